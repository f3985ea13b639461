//! The keeper's desk in process: one database in memory, the demonstration catalogue published in it as edition 1.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use axum::http::StatusCode;
use axum::http::header;
use axum::http::request::Builder;
use rungwright::domain::catalogue::Edition;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use rungwright::operations::clock::Clock;
use rungwright::operations::desk::Desk;
use rungwright::operations::start;
use rungwright::store::Database;
use rungwright::store::catalogue_files::Upload;
use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;

use crate::demo::family_bathroom;
use crate::demo::with;
use crate::keyring;
use crate::service::Answer;
use crate::service::ask_of;

/// A keeper at work.
#[derive(Debug, Clone)]
pub(crate) struct Keeper {
    router: Router,
    database: Database,
}

static KEYS: AtomicU32 = AtomicU32::new(0);

impl Keeper {
    pub(crate) async fn open() -> Self {
        let database = Database::open_in_memory().await.unwrap();
        let app = App::with_clock(Clock::Fixed("2026-11-25T12:00:00Z".parse().unwrap()));
        app.hold(start::load(&database, true).await.unwrap());
        app.open_desk(Desk::open(database.clone()));
        keyring::open(&app);
        app.advance(Readiness::Ready);
        Self { router: routes::router(app), database }
    }

    pub(crate) const fn database(&self) -> &Database {
        &self.database
    }

    pub(crate) async fn get(&self, path: &str) -> Answer {
        ask_of(self.router.clone(), Request::get(path), Body::empty()).await
    }

    pub(crate) async fn get_json(&self, path: &str) -> Value {
        let answer = self.get(path).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        answer.json()
    }

    pub(crate) async fn post(&self, path: &str, body: &Value) -> Answer {
        let request = Request::post(path).header(header::CONTENT_TYPE, "application/json");
        ask_of(self.router.clone(), request, Body::from(body.to_string())).await
    }

    pub(crate) async fn post_json(&self, path: &str, body: &Value) -> Value {
        let answer = self.post(path, body).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        answer.json()
    }

    pub(crate) async fn ask(&self, request: Builder, body: String) -> Answer {
        ask_of(self.router.clone(), request, Body::from(body)).await
    }

    pub(crate) async fn delete(&self, path: &str) -> Answer {
        ask_of(self.router.clone(), Request::delete(path), Body::empty()).await
    }

    /// Sends a catalogue under a key.
    pub(crate) async fn send(
        &self,
        path: &str,
        (kind, key): (&str, &str),
        body: Vec<u8>,
    ) -> Answer {
        let request =
            Request::post(path).header(header::CONTENT_TYPE, kind).header("idempotency-key", key);
        ask_of(self.router.clone(), request, Body::from(body)).await
    }

    /// Loads a JSON document under a new key.
    pub(crate) async fn load(&self, path: &str, document: &Value) -> Answer {
        let key = format!("key-{}", KEYS.fetch_add(1, Ordering::Relaxed));
        self.send(path, ("application/json", &key), document.to_string().into_bytes()).await
    }

    /// Loads changes to edition 1 and gives the draft's number.
    pub(crate) async fn change(&self, document: &Value) -> u64 {
        let answer = self.load("/v1/editions?base=1", document).await;
        assert_eq!(answer.status, 201, "{}", answer.body);
        answer.json()["number"].as_u64().unwrap()
    }

    pub(crate) async fn check(&self, number: u64) -> Value {
        let answer = self.bare_post(&format!("/v1/editions/{number}/checks")).await;
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.json()
    }

    pub(crate) async fn publish(&self, number: u64) -> Answer {
        self.bare_post(&format!("/v1/editions/{number}/publication")).await
    }

    async fn bare_post(&self, path: &str) -> Answer {
        ask_of(self.router.clone(), Request::post(path), Body::empty()).await
    }

    /// Number of the edition that answers.
    pub(crate) async fn in_force(&self) -> u64 {
        self.get_json("/v1/bodies?limit=1").await["edition"].as_u64().unwrap()
    }

    /// Asserts a refusal by its status and code.
    pub(crate) fn check_refused(answer: &Answer, status: u16, code: &str) {
        let told = (answer.status.as_u16(), answer.json()["code"].clone());
        assert_eq!(told, (status, json!(code)), "{}", answer.body);
    }
}

/// Another price for the element of the family bathroom's best bill.
pub(crate) fn dearer() -> Value {
    json!({ "prices": [{ "list": "gb-2026", "sku": "SRW-E-DIMRI-400-BK", "unit_price": "84.55" }] })
}

/// The demonstration as one document.
pub(crate) fn document() -> Value {
    let edition = Edition::new(0, demo_edition().unwrap()).unwrap();
    Upload::of_content(edition.content()).json()
}

pub(crate) fn dated_bathroom() -> Value {
    with(family_bathroom(), "/price_date", json!("2026-12-01"))
}

#[tokio::test]
async fn a_draft_is_checked_published_and_rolled_back() {
    let keeper = Keeper::open().await;
    let draft = keeper.change(&dearer()).await;
    assert_eq!(draft, 2);
    Keeper::check_refused(&keeper.publish(draft).await, 409, "unchecked-edition");
    assert_eq!(keeper.in_force().await, 1);
    let checked = keeper.check(draft).await;
    assert_eq!(
        (&checked["passed"], &checked["edition"]["state"]),
        (&json!(true), &json!("checked"))
    );
    let published = keeper.publish(draft).await;
    assert_eq!(
        (published.status, &published.json()["state"]),
        (StatusCode::OK, &json!("published"))
    );
    assert_eq!(keeper.in_force().await, 2);
    assert_eq!(keeper.get_json("/v1/editions/1").await["state"], "retired");
    Keeper::check_refused(&keeper.publish(draft).await, 409, "edition-state");
    assert_eq!(keeper.publish(1).await.status, 200);
    assert_eq!(keeper.in_force().await, 1);
    let states: Vec<Value> = keeper.get_json("/v1/editions").await["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|edition| json!([edition["number"], edition["state"]]))
        .collect();
    assert_eq!(states, [json!([2, "retired"]), json!([1, "published"])]);
}

#[tokio::test]
async fn an_older_edition_answers_when_it_is_asked_for_by_number() {
    let keeper = Keeper::open().await;
    let draft = keeper.change(&dearer()).await;
    let price = "/v1/elements/SRW-E-DIMRI-400-BK?market=gb";
    let other = keeper.get(&format!("{price}&edition=2")).await;
    Keeper::check_refused(&other, 400, "bad-query");
    keeper.check(draft).await;
    assert_eq!(keeper.publish(draft).await.status, 200);
    let net = |view: Value| view["price"]["unit_net"].clone();
    assert_eq!(net(keeper.get_json(price).await), "84.55");
    assert_eq!(net(keeper.get_json(&format!("{price}&edition=1")).await), "83.95");
    let gross =
        |view: &Value| (view["edition"].clone(), view["options"][0]["total"]["gross"].clone());
    let asked = with(dated_bathroom(), "/edition", json!(1));
    let old = keeper.post_json("/v1/resolutions", &asked).await;
    assert_eq!(gross(&old), (json!(1), json!("268.80")));
    let new = keeper.post_json("/v1/resolutions", &dated_bathroom()).await;
    assert_eq!(gross(&new), (json!(2), json!("269.52")));
    let absent =
        keeper.post("/v1/resolutions", &with(dated_bathroom(), "/edition", json!(77))).await;
    assert_eq!(absent.json()["errors"][0]["pointer"], "/edition");
    let checks =
        json!({ "market": "gb", "edition": 1, "checks": [{ "parts": ["SRW-E-DIMRI-400-BK"] }] });
    assert_eq!(keeper.post_json("/v1/checks", &checks).await["edition"], 1);
    for path in [
        "/v1/bodies?edition=1",
        "/v1/bodies/SRW-B-HAAR-500.1200-BK/elements?edition=1",
        "/v1/bodies/SRW-B-HAAR-500.1200-BK/accessories?edition=1",
    ] {
        assert_eq!(keeper.get_json(path).await["edition"], 1, "{path}");
    }
}

#[tokio::test]
async fn a_whole_document_gives_the_hash_of_what_went_out() {
    let keeper = Keeper::open().await;
    let answer = keeper.load("/v1/editions", &document()).await;
    assert_eq!(answer.status, 201, "{}", answer.body);
    let (first, second) = (keeper.get_json("/v1/editions/1").await, answer.json());
    assert_eq!(first["content_hash"], second["content_hash"]);
    assert_eq!(first["counts"], second["counts"]);
    assert_eq!(answer.header("location"), "/v1/editions/2");
    assert_eq!(second["created_at"], "2026-11-25T12:00:00Z");
    assert_eq!(keeper.get_json("/v1/editions/1/catalogue").await, document());
}

#[tokio::test]
async fn the_same_key_gives_the_same_draft_and_another_body_is_refused() {
    let keeper = Keeper::open().await;
    let send = |body: Value| {
        let keeper = keeper.clone();
        async move {
            keeper
                .send(
                    "/v1/editions?base=1",
                    ("application/json", "k"),
                    body.to_string().into_bytes(),
                )
                .await
        }
    };
    let first = send(dearer()).await;
    let again = send(dearer()).await;
    assert_eq!((first.status, again.status), (StatusCode::CREATED, StatusCode::CREATED));
    assert_eq!(first.body, again.body);
    Keeper::check_refused(&send(json!({})).await, 422, "idempotency-key-reused");
    assert_eq!(keeper.get_json("/v1/editions").await["items"].as_array().unwrap().len(), 2);
    let keyless = keeper.post("/v1/editions", &json!({})).await;
    Keeper::check_refused(&keyless, 400, "idempotency-key-missing");
}

#[tokio::test]
async fn a_comparison_says_what_changes_and_what_follows() {
    let keeper = Keeper::open().await;
    let changes = json!({
        "prices": dearer()["prices"],
        "bodies": [{ "sku": "SRW-B-HAAR-500.1200-BK", "watts_max": 300 }],
        "removals": [{ "file": "accessories.csv", "key": "SRW-A-PLUG-G34-AN" }],
    });
    let draft = keeper.change(&changes).await;
    let compared = keeper.post_json(&format!("/v1/editions/{draft}/comparison"), &json!({})).await;
    assert_eq!((&compared["from"], &compared["to"]), (&json!(1), &json!(2)));
    let file = |name: &str| {
        let files = compared["files"].as_array().unwrap();
        files.iter().find(|file| file["file"] == name).cloned().unwrap_or_default()
    };
    assert_eq!(file("accessories")["removed"], 1);
    assert_eq!(file("bodies")["changed"], 1);
    assert_eq!(file("bodies")["rows"][0]["cells"][0]["column"], "watts_max");
    assert_eq!(file("bodies")["rows"][0]["cells"][0]["to"], "300");
    let pairs = &compared["pairs"];
    assert_eq!(pairs["gained"], 0);
    let lost = pairs["lost"].as_u64().unwrap();
    assert!(0 < lost);
    assert_eq!(
        pairs["bodies"],
        json!([{ "body": "SRW-B-HAAR-500.1200-BK", "gained": 0, "lost": lost }])
    );
    // The list agrees with what the two editions say of the body.
    let fitting = "/v1/bodies/SRW-B-HAAR-500.1200-BK/elements";
    let before = keeper.get_json(fitting).await["items"].as_array().unwrap().len();
    keeper.check(draft).await;
    assert_eq!(keeper.publish(draft).await.status, 200);
    let after = keeper.get_json(fitting).await["items"].as_array().unwrap().len();
    assert!(after < before);
    let family = compared["samples"]
        .as_array()
        .unwrap()
        .iter()
        .find(|sample| sample["name"] == "family-bathroom");
    let family = family.unwrap();
    assert_eq!(family["fate"], "other_price", "{family}");
    assert_eq!(
        (&family["before"]["gross"], &family["after"]["gross"]),
        (&json!("268.80 GBP"), &json!("269.52 GBP"))
    );
}

#[tokio::test]
async fn a_sample_request_that_nothing_answers_any_more_is_told() {
    let keeper = Keeper::open().await;
    let samples = json!({ "sample_requests": { "anthracite": {
        "market": "gb", "heat_requirement_w": 300, "price_date": "2026-12-01", "preferences": { "finish": "anthracite" } } } });
    let draft = keeper.change(&samples).await;
    keeper.check(draft).await;
    assert_eq!(keeper.publish(draft).await.status, 200);
    let base = Edition::new(0, demo_edition().unwrap()).unwrap();
    let gone: Vec<Value> = base
        .bodies()
        .iter()
        .filter(|body| &*body.finish == "anthracite")
        .map(|body| json!({ "file": "bodies.csv", "key": body.card.sku.as_str() }))
        .collect();
    let answer = keeper.load("/v1/editions?base=2", &json!({ "removals": gone })).await;
    assert_eq!(answer.status, 201, "{}", answer.body);
    let compared = keeper.post_json("/v1/editions/3/comparison", &json!({ "with": 2 })).await;
    let fate = |name: &str| {
        let fates = compared["samples"].as_array().unwrap();
        fates.iter().find(|sample| sample["name"] == name).unwrap()["fate"].clone()
    };
    assert_eq!(fate("anthracite"), "impossible_now", "{}", compared["samples"]);
    let unknown = keeper.post("/v1/editions/3/comparison", &json!({ "with": 99 })).await;
    assert_eq!(unknown.json()["errors"][0]["pointer"], "/with");
}

#[tokio::test]
async fn a_draft_can_be_deleted_and_what_was_published_cannot() {
    let keeper = Keeper::open().await;
    let draft = keeper.change(&dearer()).await;
    assert_eq!(keeper.delete(&format!("/v1/editions/{draft}")).await.status, 204);
    Keeper::check_refused(&keeper.get(&format!("/v1/editions/{draft}")).await, 404, "not-found");
    Keeper::check_refused(&keeper.delete("/v1/editions/1").await, 409, "edition-state");
    Keeper::check_refused(&keeper.publish(99).await, 404, "not-found");
    Keeper::check_refused(&keeper.publish(draft).await, 404, "not-found");
    for odd in ["0", "x", "-1", "4294967296", "1.0"] {
        Keeper::check_refused(&keeper.get(&format!("/v1/editions/{odd}")).await, 404, "not-found");
    }
}

//! A service with a database for quotes and a clock that stands where a test puts it.

use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::Request;
use axum::http::Response;
use axum::http::header;
use axum::http::request::Builder;
use rungwright::domain::access::Grant;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::http::access::client::Client;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Held;
use rungwright::operations::Readiness;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeySecret;
use rungwright::operations::clock::Clock;
use rungwright::operations::desk::Desk;
use rungwright::operations::desk::Rights;
use rungwright::operations::start;
use rungwright::store::Database;
use serde_json::Value;
use serde_json::json;
use tower::ServiceExt;

use crate::keyring;
use crate::service::Answer;
use crate::service::ask_of;

/// A shop: one database, one moment.
#[derive(Debug, Clone)]
pub(crate) struct Shop {
    app: App,
    router: Router,
    database: Database,
    access: Access,
}

/// The moment of most tests.
pub(crate) const NOON: &str = "2026-06-15T12:00:00Z";

/// The door of a database, with a key that has these rights.
async fn access_to(database: &Database, rights: Rights) -> Access {
    let secret = KeySecret::random().unwrap();
    let access = Access::open(database.clone(), secret).await.unwrap();
    let Rights { overrides, discount_ceiling, tier } = rights;
    keyring::lend(&access, Grant { overrides, discount_ceiling, tier, ..start::demo_grant() });
    access
}

impl Shop {
    pub(crate) async fn open() -> Self {
        Self::with_rights(Rights::default()).await
    }

    pub(crate) async fn with_rights(rights: Rights) -> Self {
        let database = Database::open_in_memory().await.unwrap();
        let access = access_to(&database, rights).await;
        Self::on(database, access, NOON)
    }

    /// The same database at another moment.
    pub(crate) fn at(&self, moment: &str) -> Self {
        Self::on(self.database.clone(), self.access.clone(), moment)
    }

    /// A shop that sells another catalogue.
    pub(crate) async fn selling(content: EditionContent) -> Self {
        let database = Database::open_in_memory().await.unwrap();
        let held = start::serve(Edition::new(1, content).unwrap()).unwrap();
        let access = access_to(&database, Rights::default()).await;
        Self::holding(held, (database, access), NOON)
    }

    fn on(database: Database, access: Access, moment: &str) -> Self {
        Self::holding(start::demo().unwrap(), (database, access), moment)
    }

    fn holding(held: Held, (database, access): (Database, Access), moment: &str) -> Self {
        let app = App::with_clock(Clock::Fixed(moment.parse().unwrap()));
        app.hold(held);
        app.open_desk(Desk::open(database.clone()));
        app.open_access(access.clone());
        app.advance(Readiness::Ready);
        Self { router: routes::router(app.clone()), app, database, access }
    }

    /// The same shop with time for long answers from a program built for finding faults, however busy the machine.
    pub(crate) fn patient(mut self) -> Self {
        let limits = Limits { request_time_out: Duration::from_mins(10), ..Limits::default() };
        self.router = routes::assemble(routes::registry(), self.app.clone(), &limits);
        self
    }

    pub(crate) async fn ask(&self, request: Builder, body: Body) -> Answer {
        ask_of(self.router.clone(), request, body).await
    }

    /// An answer as it comes, for bodies that are no text.
    pub(crate) async fn raw(&self, mut request: Request<Body>) -> Response<Body> {
        let key = HeaderValue::from_str(&keyring::bearer()).unwrap();
        request.headers_mut().insert(header::AUTHORIZATION, key);
        request.extensions_mut().insert(Client::THIS_MACHINE);
        self.router.clone().oneshot(request).await.unwrap()
    }

    pub(crate) async fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path), Body::empty()).await
    }

    /// Posts with headers, each `name: value`.
    pub(crate) async fn post(&self, path: &str, headers: &[(&str, &str)], body: &Value) -> Answer {
        let mut request = Request::post(path);
        if !body.is_null() {
            request = request.header(header::CONTENT_TYPE, "application/json");
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let body = if body.is_null() { Body::empty() } else { Body::from(body.to_string()) };
        ask_of(self.router.clone(), request, body).await
    }

    /// Drafts a quote under a key.
    pub(crate) async fn draft(&self, key: &str, body: &Value) -> Answer {
        self.post("/v1/quotes", &[("idempotency-key", key)], body).await
    }

    /// A drafted and issued quote: its number.
    pub(crate) async fn issued(&self, key: &str, body: &Value) -> String {
        let draft = self.draft(key, body).await;
        assert_eq!(draft.status, 201, "{}", draft.body);
        let number = draft.json()["number"].as_str().unwrap().to_owned();
        let issue = self.change((&number, "issue"), draft.header("etag"), &Value::Null).await;
        assert_eq!(issue.status, 200, "{}", issue.body);
        number
    }

    /// Changes a quote in the state of a tag.
    pub(crate) async fn change(&self, place: (&str, &str), tag: &str, body: &Value) -> Answer {
        let (number, what) = place;
        self.post(&format!("/v1/quotes/{number}/{what}"), &[("if-match", tag)], body).await
    }

    /// Revises a quote in the state of a tag.
    pub(crate) async fn revise(
        &self,
        number: &str,
        (key, tag): (&str, &str),
        body: &Value,
    ) -> Answer {
        let headers = [("idempotency-key", key), ("if-match", tag)];
        self.post(&format!("/v1/quotes/{number}/revisions"), &headers, body).await
    }

    pub(crate) async fn accept(&self, number: &str, tag: &str) -> Answer {
        self.change((number, "acceptance"), tag, &json!({ "by": "A. Tern" })).await
    }

    /// Entity tag of the latest revision.
    pub(crate) async fn tag(&self, number: &str) -> String {
        let answer = self.get(&format!("/v1/quotes/{number}")).await;
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.header("etag").to_owned()
    }
}

/// A quote of one room, from the best option of a resolution.
pub(crate) fn resolved() -> Value {
    json!({
        "market": "gb",
        "customer": { "reference": "TERN-1", "name": "Tern House" },
        "rooms": [{ "name": "Room 1", "resolution": {
            "market": "gb", "heat_requirement_w": 250, "options_max": 2,
            "place": { "region": "scotland", "wall_width_mm": 700, "zone": "2", "connection_distance_mm": 900 },
        } }],
    })
}

/// A quote of one room with parts of the caller's own: a body and the element that was chosen for it.
pub(crate) fn chosen() -> Value {
    json!({
        "market": "gb",
        "rooms": [{ "name": "Room 2", "parts": [
            { "sku": "SRW-B-SCORI-400.700-WH" }, { "sku": "SRW-E-SMOOR-300-WH" },
        ] }],
    })
}

/// The pointers and details of a problem's errors, one a line.
pub(crate) fn errors(answer: &Answer) -> String {
    let body = answer.json();
    let told = body["errors"].as_array().into_iter().flatten().map(|error| {
        let text = |name: &str| error[name].as_str().unwrap_or_default().to_owned();
        format!("{} {}: {}", text("pointer"), text("code"), text("detail"))
    });
    told.collect::<Vec<_>>().join("\n")
}

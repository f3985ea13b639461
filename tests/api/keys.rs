//! Keys over HTTP: made, shown once, listed, rotated, revoked; and what they do and do not grant.

use std::collections::BTreeMap;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use rungwright::domain::access::Account;
use rungwright::domain::access::Actor;
use rungwright::domain::access::Grant;
use rungwright::domain::access::Origin;
use rungwright::domain::access::Scope;
use rungwright::domain::access::Scopes;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeyChange;
use rungwright::operations::access::KeySecret;
use rungwright::operations::access::KeyWrite;
use rungwright::operations::access::NewKey;
use rungwright::operations::access::Token;
use rungwright::operations::clock::Clock;
use rungwright::operations::desk::Desk;
use rungwright::operations::start;
use rungwright::store::Database;
use serde_json::Value;
use serde_json::json;

use crate::demo::wrong_fields;
use crate::quoting::NOON;
use crate::quoting::chosen;
use crate::service::Answer;
use crate::service::ask_as_it_is;

/// A service whose keys are in its database, one for each kind of caller.
pub(crate) struct Office {
    app: App,
    router: Router,
    database: Database,
    access: Access,
    keys: BTreeMap<&'static str, String>,
}

fn grant(account: &str, scopes: Scopes) -> Grant {
    let account = Account::parse(account).unwrap();
    Grant { account, scopes, ..start::demo_grant() }
}

impl Office {
    pub(crate) async fn open() -> Self {
        let database = Database::open_in_memory().await.unwrap();
        let secret = KeySecret::random().unwrap();
        let access = Access::open(database.clone(), secret).await.unwrap();
        let mut office = Self::at(NOON, (database, access));
        let page = "https://shop.example";
        let page = Origin::parse(page).unwrap();
        let browse = Grant { origins: [page].into(), ..Grant::reading() };
        let only = |scope| grant("tern", Scopes::new([scope]).unwrap());
        for (who, grant) in [
            ("quote", only(Scope::Quote)),
            ("catalogue", only(Scope::Catalogue)),
            ("operate", only(Scope::Operate)),
            ("other account", grant("heron", Scopes::all_secret())),
            ("revoked", grant("tern", Scopes::all_secret())),
            ("browse", browse),
        ] {
            let key = office.make(grant).await;
            office.keys.insert(who, key);
        }
        let revoked = Token::parse(office.key("revoked")).unwrap();
        office.change(KeyChange::Revoke(revoked.id().clone())).await;
        office.keys.insert("unknown", Token::passing().unwrap().reveal().to_owned());
        let mut mangled = office.key("quote").to_owned();
        let last = mangled.pop().unwrap();
        mangled.push(if last == '0' { '1' } else { '0' });
        office.keys.insert("mangled", mangled);
        office
    }

    fn at(moment: &str, (database, access): (Database, Access)) -> Self {
        let app = App::with_clock(Clock::Fixed(moment.parse().unwrap()));
        app.hold(start::demo().unwrap());
        app.open_desk(Desk::open(database.clone()));
        app.open_access(access.clone());
        app.advance(Readiness::Ready);
        let (router, keys) = (routes::router(app.clone()), BTreeMap::new());
        Self { app, router, database, access, keys }
    }

    /// The same service at another moment.
    fn later(&self, moment: &str) -> Self {
        let office = Self::at(moment, (self.database.clone(), self.access.clone()));
        Self { keys: self.keys.clone(), ..office }
    }

    async fn change(&self, change: KeyChange) -> KeyWrite {
        let by = (&Actor::command_line(), self.app.now());
        self.access.change(&change, by).await.unwrap().unwrap()
    }

    pub(crate) async fn make(&self, grant: Grant) -> String {
        assert_eq!(grant.check(), []);
        let made = self.change(KeyChange::Make(NewKey { label: "a test".into(), grant })).await;
        let KeyWrite::Made(_, token) = made else { panic!("{made:?}") };
        token.reveal().to_owned()
    }

    pub(crate) fn app(&self) -> App {
        self.app.clone()
    }

    pub(crate) fn router(&self) -> Router {
        self.router.clone()
    }

    pub(crate) const fn database(&self) -> &Database {
        &self.database
    }

    pub(crate) fn key(&self, who: &str) -> &str {
        &self.keys[who]
    }

    /// Id of a key that exists.
    pub(crate) fn some_id(&self) -> &str {
        self.key("quote").split('_').nth(1).unwrap()
    }

    pub(crate) async fn ask(&self, key: &str, operation: &str, body: &Value) -> Answer {
        let (method, path) = operation.split_once(' ').unwrap();
        let request = Request::builder().method(method).uri(path);
        let request = request.header("authorization", format!("Bearer {key}"));
        let request = request.header("idempotency-key", "k").header("if-match", "*");
        let request = request.header("content-type", "application/json");
        let body = if body.is_null() { Body::empty() } else { Body::from(body.to_string()) };
        ask_as_it_is(self.router(), request, body).await
    }

    /// A quote of the account `tern`, issued.
    pub(crate) async fn issued_quote(&self) -> String {
        let key = self.key("quote");
        let draft = self.ask(key, "POST /v1/quotes", &chosen()).await;
        assert_eq!(draft.status, 201, "{}", draft.body);
        let number = draft.json()["number"].as_str().unwrap().to_owned();
        let issue = format!("POST /v1/quotes/{number}/issue");
        let issue = self.ask(key, &issue, &Value::Null).await;
        assert_eq!(issue.status, 200, "{}", issue.body);
        number
    }
}

fn order() -> Value {
    json!({ "label": "desk", "account": "tern", "scopes": ["quote"] })
}

#[tokio::test]
async fn a_key_is_shown_once_and_listed_without_its_secret() {
    let office = Office::open().await;
    let operate = office.key("operate");
    let made = office.ask(operate, "POST /v1/keys", &order()).await;
    assert_eq!((made.status.as_u16(), made.header("cache-control")), (201, "no-store"));
    let secret = made.json()["secret"].as_str().unwrap().to_owned();
    let one = office.ask(operate, &format!("GET {}", made.header("location")), &Value::Null).await;
    assert_eq!(one.json(), made.json()["key"]);
    let listed = office.ask(operate, "GET /v1/keys?limit=200", &Value::Null).await;
    let digits = secret.rsplit('_').next().unwrap();
    assert!(!listed.body.contains(digits) && !one.body.contains(digits));
    // What is kept is a hash that nothing can be done with.
    let mut transaction = office.database().begin_read().await.unwrap();
    let sql = "SELECT group_concat(hash || label || scopes) FROM access_keys";
    let kept: String = sqlx::query_scalar(sql).fetch_one(&mut *transaction).await.unwrap();
    assert!(!kept.contains(digits));
    assert_eq!(office.ask(&secret, "GET /v1/quotes", &Value::Null).await.status, 200);
    let used = office.ask(operate, &format!("GET {}", made.header("location")), &Value::Null).await;
    assert_eq!(used.json()["last_used_at"], "2026-06-15T12:00:00Z");
}

#[tokio::test]
async fn keys_are_listed_page_by_page_and_by_account() {
    let office = Office::open().await;
    let operate = office.key("operate");
    let mut path = "GET /v1/keys?account=tern&limit=1".to_owned();
    let mut ids = Vec::new();
    loop {
        let page = office.ask(operate, &path, &Value::Null).await.json();
        ids.extend(page["items"].as_array().unwrap().iter().map(|key| key["id"].to_string()));
        let Some(cursor) = page["next_cursor"].as_str() else { break };
        path = format!("GET /v1/keys?account=tern&limit=1&cursor={cursor}");
    }
    assert_eq!(ids.len(), 4);
    assert!(ids.is_sorted());
}

#[tokio::test]
async fn a_rotated_key_holds_until_its_time_is_over_and_a_revoked_one_not_a_moment_longer() {
    let office = Office::open().await;
    let operate = office.key("operate").to_owned();
    let quote = office.key("quote").to_owned();
    let rotation = format!("POST /v1/keys/{}/rotation", office.some_id());
    let made = office.ask(&operate, &rotation, &json!({ "overlap_hours": 2 })).await;
    assert_eq!(made.status, 201, "{}", made.body);
    let new = made.json()["secret"].as_str().unwrap().to_owned();
    let again = office.ask(&operate, &rotation, &json!({})).await;
    assert_eq!((again.status.as_u16(), &again.json()["code"]), (409, &json!("key-ended")));
    let status = async |asked: &Office, key: &str| {
        asked.ask(key, "GET /v1/quotes", &Value::Null).await.status.as_u16()
    };
    assert_eq!((status(&office, &quote).await, status(&office, &new).await), (200, 200));
    let (before, after) =
        (office.later("2026-06-15T13:59:59Z"), office.later("2026-06-15T14:00:00Z"));
    assert_eq!((status(&before, &quote).await, status(&after, &quote).await), (200, 401));
    assert_eq!(status(&after, &new).await, 200);
    let id = made.json()["key"]["id"].as_str().unwrap().to_owned();
    let revocation = format!("POST /v1/keys/{id}/revocation");
    let revoked = office.ask(&operate, &revocation, &Value::Null).await;
    assert_eq!((revoked.status.as_u16(), &revoked.json()["state"]), (200, &json!("revoked")));
    assert_eq!(status(&office, &new).await, 401);
    let repeated = office.ask(&operate, &revocation, &Value::Null).await;
    assert_eq!(repeated.json(), revoked.json());
    let rotated = office.ask(&operate, &format!("POST /v1/keys/{id}/rotation"), &json!({})).await;
    assert_eq!(rotated.status, 409);
    let absent = office.ask(&operate, "POST /v1/keys/0123456789ab/revocation", &Value::Null).await;
    assert_eq!(absent.status, 404);
}

#[tokio::test]
async fn everything_that_is_wrong_with_a_key_is_named() {
    let office = Office::open().await;
    let post = async |order: &Value| {
        let answer = office.ask(office.key("operate"), "POST /v1/keys", order).await;
        wrong_fields(&answer)
    };
    let wrong = json!({ "label": "", "account": "Tern House", "scopes": ["buy"], "requests_per_minute": 0, "x": 1 });
    insta::assert_snapshot!(post(&wrong).await, @r"
    422 invalid-fields
    /label: too-short
    /account: bad-form
    /scopes/0: not-one-of
    /requests_per_minute: below-minimum
    /x: unknown-field
    ");
    let public = json!({ "label": "shop", "account": "tern", "scopes": ["browse"], "price_tier": "trade",
        "allow_overrides": true, "markets": ["g b"] });
    insta::assert_snapshot!(post(&public).await, @r"
    422 invalid-fields
    /origins: contradiction
    /markets: contradiction
    /price_tier_best: contradiction
    /allow_overrides: contradiction
    ");
    let mixed = json!({ "label": "shop", "account": "tern", "scopes": ["browse", "quote"],
        "origins": ["https://shop.example/", "null"] });
    insta::assert_snapshot!(post(&mixed).await, @r"
    422 invalid-fields
    /origins/0: bad-form
    /origins/1: bad-form
    /scopes: contradiction
    ");
}

#[tokio::test]
async fn a_key_grants_its_markets_its_tiers_its_discount_and_no_more() {
    let office = Office::open().await;
    let mut order = order();
    order["markets"] = json!(["gb"]);
    order["price_tier"] = json!("trade");
    order["discount_percent_max"] = json!(3);
    let made = office.ask(office.key("operate"), "POST /v1/keys", &order).await.json();
    let key = made["secret"].as_str().unwrap();
    let mut wish = chosen();
    wish["discount"] = json!({ "percent": "4", "reason": "a friend" });
    let over = office.ask(key, "POST /v1/quotes", &wish).await;
    assert_eq!(over.status, 422, "{}", over.body);
    wish["discount"] = Value::Null;
    wish["tier"] = json!("merchant");
    let better = office.ask(key, "POST /v1/quotes", &wish).await;
    assert_eq!(wrong_fields(&better), "403 beyond-the-key\n/tier: not-granted");
    let elsewhere = office.ask(key, "GET /v1/bodies?market=de", &Value::Null).await;
    assert_eq!(wrong_fields(&elsewhere), "403 beyond-the-key\nmarket: not-granted");
    let mut resolution =
        json!({ "market": "gb", "rooms": [{ "name": "A", "resolution": { "market": "ie" } }] });
    let nested = office.ask(key, "POST /v1/quotes", &resolution).await;
    assert_eq!(
        wrong_fields(&nested),
        "403 beyond-the-key\n/rooms/0/resolution/market: not-granted"
    );
    resolution["market"] = json!("de");
    let both = office.ask(key, "POST /v1/quotes", &resolution).await;
    assert_eq!(both.json()["errors"].as_array().unwrap().len(), 2);
    // Unasked, the key's own tier is taken.
    let unasked = office.ask(key, "POST /v1/quotes", &chosen()).await;
    assert_eq!(unasked.status, 201, "{}", unasked.body);
    let retail = office.ask(office.key("other account"), "POST /v1/quotes", &chosen()).await;
    assert_ne!(unasked.json()["price_list"], retail.json()["price_list"]);
}

#[tokio::test]
async fn two_accounts_see_only_their_own_also_under_the_same_idempotency_key() {
    let office = Office::open().await;
    let number = office.issued_quote().await;
    let other = office.key("other account");
    let own = office.ask(other, "POST /v1/quotes", &chosen()).await;
    assert_eq!(own.status, 201, "{}", own.body);
    assert_ne!(own.json()["number"], json!(number));
    for (who, count) in [("quote", 1), ("other account", 1)] {
        let listed = office.ask(office.key(who), "GET /v1/quotes", &Value::Null).await.json();
        let items = listed["items"].as_array().unwrap();
        assert_eq!(items.len(), count, "{who}");
        assert_eq!(items[0]["number"] == json!(number), who == "quote");
    }
}

//! Every operation of the description, asked by everybody who may not: all are refused, and nothing is changed.

use axum::body::Body;
use axum::http::Request;
use axum::http::request::Builder;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use rungwright::store::Database;
use serde_json::json;
use sqlx::AssertSqlSafe;
use utoipa_axum::routes;

use crate::description::described;
use crate::keys::Office;
use crate::quoting::chosen;
use crate::sample;
use crate::service::Answer;
use crate::service::ask_as_it_is;

/// What is open to everybody. A route is added here only when there is a reason to.
const OPEN: [&str; 4] =
    ["GET /health/live", "GET /health/ready", "GET /openapi.json", "GET /problems/{code}"];

/// An operation of the description.
#[derive(Debug, Clone)]
struct Operation {
    method: String,
    path: String,
    /// The scope that it states; nothing when it is open.
    scope: Option<String>,
    body: Option<String>,
}

impl Operation {
    fn name(&self) -> String {
        format!("{} {}", self.method, self.path)
    }

    /// A request for something of one account that exists.
    fn request(&self, number: &str, id: &str) -> Builder {
        let mut path = self.path.clone();
        for (parameter, value) in [
            ("{number}", number),
            ("{revision}", "1"),
            ("{id}", id),
            ("{code}", "not-found"),
            ("{sku}", "SRW-B-SCORI-400.700-WH"),
        ] {
            path = path.replace(parameter, value);
        }
        assert!(!path.contains('{'), "say what stands for the parameters of {path}");
        let request = Request::builder().method(&*self.method).uri(path);
        let request = request.header("idempotency-key", "walk").header("if-match", "*");
        if self.body.is_none() {
            request
        } else {
            request.header("content-type", "application/json")
        }
    }

    /// A body that only wants the right account.
    fn right_body(&self) -> Body {
        let body = match self.body.as_deref() {
            None => return Body::empty(),
            Some("NewQuote") => chosen(),
            Some("NewAcceptance") => json!({ "by": "A. Tern" }),
            Some("NewWithdrawal") => json!({ "reason": "a walk" }),
            Some(other) => panic!("say what a right {other} is"),
        };
        Body::from(body.to_string())
    }
}

fn operations() -> Vec<Operation> {
    let description = described();
    let mut found = Vec::new();
    for (path, methods) in description["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let name = format!("{method} {path}");
            let stated = operation["security"].as_array();
            let [stated] = stated.unwrap_or_else(|| panic!("{name} states no scope")).as_slice()
            else {
                panic!("{name} states not one scope")
            };
            let scope = stated.get("key").map(|scopes| scopes[0].as_str().unwrap().to_owned());
            let schema = &operation["requestBody"]["content"]["application/json"]["schema"]["$ref"];
            let body =
                schema.as_str().map(|reference| reference.rsplit('/').next().unwrap().to_owned());
            let (method, path) = (method.to_uppercase(), path.clone());
            found.push(Operation { method, path, scope, body });
        }
    }
    assert!(40 <= found.len(), "only {} operations", found.len());
    found
}

/// Every row of every table, hashed.
async fn fingerprint(database: &Database) -> String {
    let mut transaction = database.begin_read().await.unwrap();
    let sql = "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name";
    let tables: Vec<String> = sqlx::query_scalar(sql).fetch_all(&mut *transaction).await.unwrap();
    assert!(20 < tables.len());
    let mut hasher = blake3::Hasher::new();
    for table in tables {
        let columns_sql = "SELECT group_concat('quote(\"' || name || '\")', ' || '','' || ') FROM pragma_table_info(?)";
        let columns: String = sqlx::query_scalar(columns_sql)
            .bind(&table)
            .fetch_one(&mut *transaction)
            .await
            .unwrap();
        let rows_sql = format!("SELECT {columns} FROM \"{table}\" ORDER BY 1");
        let rows = sqlx::query_scalar(AssertSqlSafe(rows_sql));
        let rows: Vec<String> = rows.fetch_all(&mut *transaction).await.unwrap();
        hasher.update(format!("{table}\n{}\n", rows.join("\n")).as_bytes());
    }
    hasher.finalize().to_string()
}

fn check_refused(answer: &Answer, (status, who): (u16, &str), name: &str) {
    assert_eq!(answer.status, status, "{name} by {who}: {}", answer.body);
    let media_type = answer.header("content-type");
    // HEAD has no body, and every other refusal is a whole document.
    assert_eq!(media_type, "application/problem+json", "{name} by {who}");
    if status == 401 {
        assert!(answer.header("www-authenticate").starts_with("Bearer "), "{name} by {who}");
    }
    if !answer.body.is_empty() {
        let document = answer.json();
        assert_eq!(document["status"], status, "{name} by {who}");
    }
}

/// Asks for an operation with a key and from a page, where there are any.
async fn ask(
    (office, operation): (&Office, &Operation),
    number: &str,
    (key, origin): (Option<&str>, Option<&str>),
) -> Answer {
    let mut request = operation.request(number, office.some_id());
    if let Some(shown) = key {
        request = request.header("authorization", format!("Bearer {shown}"));
    }
    if let Some(page) = origin {
        request = request.header("origin", page);
    }
    // Whoever is refused is so before a body is read.
    let body = if operation.body.is_some() { Body::from("{}") } else { Body::empty() };
    ask_as_it_is(office.router(), request, body).await
}

/// Everybody who may not, what they show, from where, and how they are refused.
fn outsiders<'a>(office: &'a Office, scope: &str) -> Vec<Outsider<'a>> {
    let page = "https://shop.example";
    let mut outsiders = vec![(401, "nobody", (None, None)), (401, "a page", (None, Some(page)))];
    let invalid = ["unknown", "revoked", "mangled"];
    outsiders.extend(invalid.map(|who| (401, who, (Some(office.key(who)), None))));
    for who in ["quote", "catalogue", "operate", "browse"] {
        let is_enough = who == scope || (scope == "browse" && who != "browse");
        let origin = (who == "browse").then_some(page);
        outsiders.extend((!is_enough).then(|| (403, who, (Some(office.key(who)), origin))));
    }
    let browse = Some(office.key("browse"));
    for origin in [None, Some("https://elsewhere.example"), Some("null")] {
        outsiders.push((403, "a page elsewhere", (browse, origin)));
    }
    outsiders
}

/// A key and a page.
type Shown<'a> = (Option<&'a str>, Option<&'a str>);
/// Status, name, and what is shown.
type Outsider<'a> = (u16, &'a str, Shown<'a>);

#[tokio::test]
async fn whoever_may_not_is_refused_by_every_operation_and_changes_nothing() {
    let office = Office::open().await;
    let number = office.issued_quote().await;
    let before = fingerprint(office.database()).await;
    let (closed, open): (Vec<_>, Vec<_>) =
        operations().into_iter().partition(|operation| operation.scope.is_some());
    let open: Vec<String> = open.iter().map(Operation::name).collect();
    assert_eq!(open, OPEN);
    for operation in &closed {
        let scope = operation.scope.as_deref().unwrap();
        for (status, who, shown) in outsiders(&office, scope) {
            let answer = ask((&office, operation), &number, shown).await;
            check_refused(&answer, (status, who), &operation.name());
        }
    }
    assert_eq!(fingerprint(office.database()).await, before);
}

#[tokio::test]
async fn another_account_finds_nothing_of_a_quote_by_any_operation() {
    let office = Office::open().await;
    let number = office.issued_quote().await;
    let before = fingerprint(office.database()).await;
    let operations = operations();
    let of_quotes =
        operations.iter().filter(|operation| operation.path.starts_with("/v1/quotes/{number}"));
    let mut count = 0;
    for operation in of_quotes {
        let request = operation.request(&number, office.some_id());
        let other = format!("Bearer {}", office.key("other account"));
        let request = request.header("authorization", other);
        let answer = ask_as_it_is(office.router(), request, operation.right_body()).await;
        check_refused(&answer, (404, "another account"), &operation.name());
        count += 1;
    }
    assert!(8 <= count);
    assert_eq!(fingerprint(office.database()).await, before);
}

#[tokio::test]
async fn a_route_that_states_no_scope_is_closed_to_everybody() {
    let office = Office::open().await;
    let routes = routes::registry().routes(routes!(sample::get_picture));
    let service = routes::assemble(routes, office.app(), &Limits::default());
    for who in ["quote", "operate", "catalogue"] {
        let request =
            Request::get("/picture").header("authorization", format!("Bearer {}", office.key(who)));
        let answer = ask_as_it_is(service.clone(), request, Body::empty()).await;
        check_refused(&answer, (403, who), "GET /picture");
        assert_eq!(answer.json()["code"], "not-opened");
    }
}

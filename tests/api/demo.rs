//! The real routes over the demonstration catalogue, compiled once and asked in process on a day that stands still.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use rungwright::operations::clock::Clock;
use rungwright::operations::start;
use serde_json::Value;
use serde_json::json;
use std::sync::OnceLock;

use crate::keyring;
use crate::service::Answer;
use crate::service::ask_of;

/// The request of the contract: a family bathroom in Scotland.
pub(crate) const FAMILY_BATHROOM: &str = include_str!("../fixtures/requests/family-bathroom.json");

/// The program with the demonstration catalogue, on 25 November 2026.
pub(crate) fn make_app() -> App {
    static APP: OnceLock<App> = OnceLock::new();
    let made = APP.get_or_init(|| {
        let app = App::with_clock(Clock::Fixed("2026-11-25T12:00:00Z".parse().unwrap()));
        app.hold(start::demo().unwrap());
        keyring::open(&app);
        app.advance(Readiness::Ready);
        app
    });
    made.clone()
}

/// The service over it.
pub(crate) fn demo() -> Router {
    static ROUTER: OnceLock<Router> = OnceLock::new();
    ROUTER.get_or_init(|| routes::router(make_app())).clone()
}

pub(crate) async fn get(path: &str) -> Answer {
    ask_of(demo(), Request::get(path), Body::empty()).await
}

/// The JSON of an answer that is 200.
pub(crate) async fn get_json(path: &str) -> Value {
    let answer = get(path).await;
    assert_eq!(answer.status, 200, "{path}: {}", answer.body);
    answer.json()
}

pub(crate) async fn post<B: Into<Body>>(path: &str, body: B) -> Answer {
    let request = Request::post(path).header(header::CONTENT_TYPE, "application/json");
    ask_of(demo(), request, body.into()).await
}

/// Posts a body that is right, and answers the JSON of the 200.
pub(crate) async fn post_json(path: &str, body: &Value) -> Value {
    let answer = post(path, body.to_string()).await;
    assert_eq!(answer.status, 200, "{path}: {}", answer.body);
    answer.json()
}

pub(crate) fn family_bathroom() -> Value {
    serde_json::from_str(FAMILY_BATHROOM).unwrap()
}

/// The document with the value at a pointer set, made where it is not there yet.
pub(crate) fn with(mut document: Value, pointer: &str, value: Value) -> Value {
    let (above, name) = pointer.rsplit_once('/').unwrap();
    match document.pointer_mut(above).unwrap() {
        Value::Object(fields) => drop(fields.insert(name.to_owned(), value)),
        Value::Array(entries) => entries[name.parse::<usize>().unwrap()] = value,
        other @ (Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_)) => {
            *other = json!({ name: value });
        }
    }
    document
}

/// `pointer: code` of every wrong field of a refusal, with the status before them.
pub(crate) fn wrong_fields(answer: &Answer) -> String {
    let document = answer.json();
    let errors = document["errors"].as_array().cloned().unwrap_or_default();
    let named = errors.iter().map(|error| {
        let place = error["pointer"].as_str().or_else(|| error["parameter"].as_str()).unwrap();
        format!("{place}: {}", error["code"].as_str().unwrap())
    });
    let mut lines = vec![format!("{} {}", document["status"], document["code"].as_str().unwrap())];
    lines.extend(named);
    lines.join("\n")
}

/// The texts of a field of every entry of a list.
pub(crate) fn texts<'a>(list: &'a Value, field: &str) -> Vec<&'a str> {
    list.as_array().unwrap().iter().map(|entry| entry[field].as_str().unwrap()).collect()
}

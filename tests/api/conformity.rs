//! Every answer that a test hears in process is held to the description: its status is described, and its JSON fits.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::LazyLock;
use std::sync::Mutex;

use axum::http::header;
use jsonschema::Validator;
use serde_json::Value;

use crate::description::described;
use crate::service::Answer;

static DESCRIPTION: LazyLock<Value> = LazyLock::new(described);

/// Schemas made ready, by where they stand in the description.
type Schemas = BTreeMap<String, Arc<Validator>>;

static READY: Mutex<Schemas> = Mutex::new(BTreeMap::new());

/// Fails where an answer to an operation that is described differs from what the description says of it.
pub(crate) fn check(method: &str, path: &str, answer: &Answer) {
    let Some(operation) = operation(&method.to_lowercase(), path) else { return };
    let (method, status) = (method.to_lowercase(), answer.status.as_str());
    let at = format!("/paths/{}/{method}/responses/{status}", escaped(operation));
    let Some(response) = DESCRIPTION.pointer(&at) else {
        panic!("{method} {path} is answered {status}, which is not described: {}", answer.body);
    };
    let shared = response["$ref"].as_str().map(|reference| reference.trim_start_matches('#'));
    let at = shared.unwrap_or(&at);
    let media_type = answer.header(header::CONTENT_TYPE.as_str()).split(';').next().unwrap();
    let at = format!("{at}/content/{}/schema", escaped(media_type));
    let is_compressed = !answer.header(header::CONTENT_ENCODING.as_str()).is_empty();
    if !media_type.ends_with("json") || answer.body.is_empty() || is_compressed {
        return;
    }
    assert!(DESCRIPTION.pointer(&at).is_some(), "{method} {path}: {media_type} is not described");
    let json = answer.json();
    let validator = ready(&at);
    let errors = validator.iter_errors(&json);
    let errors: Vec<String> =
        errors.map(|error| format!("{} {error}", error.instance_path())).collect();
    assert!(errors.is_empty(), "{method} {path} {status}: {errors:#?}");
}

/// The described path that a path belongs to; one without places to fill goes first.
fn operation(method: &str, path: &str) -> Option<&'static str> {
    let parts: Vec<&str> = path.split('?').next()?.split('/').collect();
    let fits = |template: &str| {
        let wanted: Vec<&str> = template.split('/').collect();
        let is_filled = |(place, part): (&&str, &&str)| place == part || place.starts_with('{');
        wanted.len() == parts.len() && wanted.iter().zip(&parts).all(is_filled)
    };
    let paths = DESCRIPTION["paths"].as_object()?;
    let described = |template: &&String| !paths[*template][method].is_null() && fits(template);
    paths.keys().filter(described).min_by_key(|template| template.contains('{')).map(String::as_str)
}

fn escaped(part: &str) -> String {
    part.replace('~', "~0").replace('/', "~1")
}

fn ready(at: &str) -> Arc<Validator> {
    let mut ready = READY.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let make = || {
        let mut root = DESCRIPTION.clone();
        root["$ref"] = format!("#{}", at.replace('{', "%7B").replace('}', "%7D")).into();
        Arc::new(jsonschema::validator_for(&root).unwrap())
    };
    Arc::clone(ready.entry(at.to_owned()).or_insert_with(make))
}

/// An answer of no known form.
fn answered(status: u16, body: &str) -> Answer {
    let json = axum::http::HeaderValue::from_static("application/json");
    Answer {
        status: axum::http::StatusCode::from_u16(status).unwrap(),
        headers: [(header::CONTENT_TYPE, json)].into_iter().collect(),
        body: body.to_owned(),
    }
}

#[test]
#[should_panic(expected = "is a required property")]
fn an_answer_that_lacks_what_is_described_is_found() {
    check("GET", "/v1/editions?limit=2", &answered(200, "{}"));
}

#[test]
#[should_panic(expected = "which is not described")]
fn a_status_that_is_not_described_is_found() {
    check("GET", "/v1/editions/7", &answered(418, "{}"));
}

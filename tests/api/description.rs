//! Laws of the published description.

use rungwright::domain::resolver::CHOSEN_MAX;
use rungwright::domain::resolver::OPTIONS_MAX;
use rungwright::domain::resolver::WISHES_MAX;
use rungwright::domain::room::BOUNDARIES_MAX;
use rungwright::domain::room::layers::LAYERS_MAX;
use rungwright::http::routes;
use serde_json::Value;

use crate::service::get;

/// Every operation with its path, as JSON.
fn operations(description: &Value) -> Vec<(String, Value)> {
    let paths = description["paths"].as_object().unwrap();
    let of_path = |(path, methods): (&String, &Value)| {
        let methods = methods.as_object().unwrap().clone();
        methods
            .into_iter()
            .map(|(method, operation)| (format!("{method} {path}"), operation))
            .collect::<Vec<_>>()
    };
    paths.iter().flat_map(of_path).collect()
}

pub(crate) fn described() -> Value {
    serde_json::to_value(routes::description()).unwrap()
}

#[test]
fn every_response_has_a_description_and_every_operation_its_problems() {
    let description = described();
    assert_eq!(description["openapi"], "3.1.0");
    let operations = operations(&description);
    assert!(operations.len() >= 4);
    for (name, operation) in operations {
        let responses = operation["responses"].as_object().unwrap();
        for (status, response) in responses {
            let shared =
                response["$ref"].as_str().map(|reference| reference.trim_start_matches('#'));
            let response = shared.map_or(response, |pointer| description.pointer(pointer).unwrap());
            assert!(
                response["description"].as_str().is_some_and(|text| !text.is_empty()),
                "{name} {status}"
            );
        }
        for status in ["400", "406", "414", "431", "500", "503"] {
            assert!(responses.contains_key(status), "{name} lacks {status}");
        }
        let body = operation.get("requestBody").is_some();
        for status in ["408", "413", "415", "422"] {
            assert_eq!(responses.contains_key(status), body, "{name} {status}");
        }
    }
}

#[test]
fn every_operation_says_in_a_summary_what_it_answers() {
    for (name, operation) in operations(&described()) {
        assert!(operation["summary"].as_str().is_some_and(|text| text.len() > 10), "{name}");
    }
}

#[test]
fn the_description_is_the_same_every_time() {
    let text = || serde_json::to_string(&routes::description()).unwrap();
    let first = text();
    assert!((0..20).all(|_| text() == first));
}

#[tokio::test]
async fn the_problem_documents_fit_their_own_schema() {
    let description = described();
    let mut schema = description["components"]["schemas"]["Problem"].clone();
    schema["components"] = description["components"].clone();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for path in ["/nothing", "/panics", "/samples/7?colour=red"] {
        let problem = get(path).await.json();
        let errors =
            validator.iter_errors(&problem).map(|error| error.to_string()).collect::<Vec<_>>();
        assert!(errors.is_empty(), "{path}: {errors:?}");
    }
    assert!(!validator.is_valid(&serde_json::json!({ "title": "no status" })));
}

#[test]
fn the_limits_published_are_the_limits_named_in_the_domain() {
    let schemas = &described()["components"]["schemas"];
    let limit = |schema: &str, field: &str, keyword: &str| {
        let found = &schemas[schema]["properties"][field][keyword];
        usize::try_from(found.as_u64().unwrap()).unwrap()
    };
    assert_eq!(limit("NewPreferences", "accessories", "maxItems"), WISHES_MAX);
    assert_eq!(limit("NewResolution", "options_max", "maximum"), OPTIONS_MAX);
    assert_eq!(limit("NewChoices", "chosen", "maxItems"), CHOSEN_MAX);
    assert_eq!(limit("NewRoom", "boundaries", "maxItems"), BOUNDARIES_MAX);
    assert_eq!(limit("NewBoundary", "layers", "maxItems"), LAYERS_MAX);
}

/// Bounds that an integer of 32 bits cannot hold, by where they stand.
fn beyond_int32(schema: &Value, at: &str, found: &mut Vec<String>) {
    let is_narrow = schema["format"] == "int32";
    let mut bounds = [&schema["minimum"], &schema["maximum"]].into_iter().filter_map(Value::as_i64);
    if is_narrow && bounds.any(|bound| i32::try_from(bound).is_err()) {
        found.push(at.to_owned());
    }
    let members = schema.as_object().into_iter().flatten();
    members.for_each(|(name, inner)| beyond_int32(inner, &format!("{at}/{name}"), found));
    let entries = schema.as_array().into_iter().flatten().enumerate();
    entries.for_each(|(place, inner)| beyond_int32(inner, &format!("{at}/{place}"), found));
}

#[test]
fn no_bound_lies_beyond_the_width_that_is_stated() {
    let mut found = Vec::new();
    beyond_int32(&described(), "", &mut found);
    assert_eq!(found, Vec::<String>::new());
}

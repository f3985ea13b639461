//! The law that a bound in the description is a bound in the service: values just outside are refused by name.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use serde_json::Value;
use serde_json::json;

use crate::sample::RIGHT;
use crate::service::ask_of;
use crate::service::service;

/// A value outside its bound, and the code it must be refused with.
type Trial = (Value, &'static str);

/// Pointer and schema of a value.
type Place = (String, Value);

/// Walks a right body along its schema; for every bounded value in it, sends the body with that value just out of
/// bounds and demands 422 with exactly that pointer and code. Answers how many values were tried.
pub(crate) async fn check_bounds(
    service: &Router,
    path: &str,
    (root, right): (&Value, &Value),
) -> usize {
    let body_schema = request_schema(root, path);
    let mut places = Vec::new();
    walk(root, &body_schema, (String::new(), right, &mut places));
    let mut count = 0;
    for (pointer, schema) in places {
        for (value, code) in trials(&schema, right.pointer(&pointer).unwrap()) {
            let mut body = right.clone();
            *body.pointer_mut(&pointer).unwrap() = value;
            let request = Request::post(path).header(header::CONTENT_TYPE, "application/json");
            let answer = ask_of(service.clone(), request, Body::from(body.to_string())).await;
            let errors = answer.json()["errors"].clone();
            let found = errors.as_array().is_some_and(|errors| {
                errors
                    .iter()
                    .any(|error| error["pointer"] == pointer.as_str() && error["code"] == code)
            });
            assert!(answer.status == 422 && found, "{path} {pointer} {code}: {}", answer.body);
            count += 1;
        }
    }
    count
}

fn request_schema(root: &Value, path: &str) -> Value {
    let pointer = format!(
        "/paths/{}/post/requestBody/content/application~1json/schema",
        path.replace('/', "~1")
    );
    root.pointer(&pointer).unwrap().clone()
}

fn resolved(root: &Value, schema: &Value) -> Value {
    match schema["$ref"].as_str() {
        Some(reference) => root.pointer(reference.trim_start_matches('#')).unwrap().clone(),
        None => schema.clone(),
    }
}

/// Collects the pointer and schema of every value in the body that has a bound, an enumeration or a length.
fn walk(root: &Value, schema: &Value, (pointer, value, places): (String, &Value, &mut Vec<Place>)) {
    let schema = resolved(root, schema);
    for key in ["oneOf", "anyOf", "allOf"] {
        for branch in schema[key].as_array().into_iter().flatten() {
            let branch = resolved(root, branch);
            let tag = &branch["properties"]["kind"]["enum"][0];
            if tag.is_null() || *tag == value["kind"] {
                walk(root, &branch, (pointer.clone(), value, places));
            }
        }
    }
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        if let Some(inner) = value.get(name).filter(|inner| !inner.is_null()) {
            walk(root, property, (format!("{pointer}/{name}"), inner, places));
        }
    }
    for (index, entry) in value.as_array().into_iter().flatten().enumerate() {
        walk(root, &schema["items"], (format!("{pointer}/{index}"), entry, places));
    }
    if !trials(&schema, value).is_empty() {
        places.push((pointer, schema));
    }
}

fn trials(schema: &Value, right: &Value) -> Vec<Trial> {
    let mut trials = Vec::new();
    if let Some(least) = schema["minimum"].as_f64() {
        trials.push((json!(least - 1.0), "below-minimum"));
        trials.push((json!(-1e300), "below-minimum"));
    }
    if let Some(most) = schema["maximum"].as_f64() {
        trials.push((json!(most + 1.0), "above-maximum"));
        trials.push((json!(1e300), "above-maximum"));
    }
    if schema["enum"].is_array() && right.is_string() {
        trials.push((json!("no such word"), "not-one-of"));
    }
    if let (Some(most), Some(entry)) = (schema["maxItems"].as_u64(), right.get(0)) {
        trials.push((json!(vec![entry; usize::try_from(most + 1).unwrap()]), "too-many"));
    }
    if let (Some(most), true) = (schema["maxLength"].as_u64(), right.is_string()) {
        trials.push((json!("a".repeat(usize::try_from(most + 1).unwrap())), "too-long"));
    }
    let number = right.is_number() || right.is_boolean();
    trials.extend(number.then(|| (json!("NaN"), "wrong-type")));
    trials
}

#[tokio::test]
async fn every_bound_of_the_sample_is_enforced() {
    let description = crate::service::get("/openapi.json").await.json();
    let mut right: Value = serde_json::from_str(RIGHT).unwrap();
    right["heat_requirement_w"] = json!(300.0);
    right["place"] = json!({ "wall_width_mm": 700 });
    right["note"] = json!("note");
    right["time_control"] = json!(true);
    let wall = json!({ "kind": "internal_wall", "area_m2": 9.0, "beyond_c": 18.0 });
    right["room"]["boundaries"].as_array_mut().unwrap().push(wall);
    let count = check_bounds(&service(), "/samples", (&description, &right)).await;
    // Seven bounded numbers, five trials each; one enumeration, one list, one text, one truth value; the two tags are
    // enumerations as well.
    assert_eq!(count, 41);
}

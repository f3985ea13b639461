//! Bad input against every POST route of the real service: the right status, every wrong field named, and a right
//! request answered straight after.

use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use serde_json::Value;
use serde_json::json;

use crate::bounds::check_bounds;
use crate::demo::demo;
use crate::demo::family_bathroom;
use crate::demo::get_json;
use crate::demo::post;
use crate::demo::with;
use crate::demo::wrong_fields;
use crate::right_requests::right;
use crate::service::Answer;
use crate::service::ask_of;

/// Every POST route that the description lists and that only answers. What creates or changes something answers 201, or
/// asks for a version in its head, and has its own bad input beside its own tests (`quote_refusals` and its neighbours).
async fn routes() -> Vec<(String, Value)> {
    let description = get_json("/openapi.json").await;
    let paths = description["paths"].as_object().unwrap();
    let only_answers =
        |post: &Value| post.get("parameters").is_none() && post["responses"].get("201").is_none();
    let posts = paths.iter().filter(|(_, methods)| methods.get("post").is_some_and(only_answers));
    posts.map(|(path, _)| (path.clone(), right(path))).collect()
}

/// Asserts the refusal, and that the service answers a right request after it.
async fn check_refused(path: &str, answer: &Answer, expected: &str) {
    assert_eq!(wrong_fields(answer), expected, "{path}: {}", answer.body);
    assert_eq!(answer.header("content-type"), "application/problem+json");
    let next = post(path, right(path).to_string()).await;
    assert_eq!(next.status, 200, "{path}: {}", next.body);
}

#[tokio::test]
async fn the_right_requests_are_right() {
    let routes = routes().await;
    assert!(2 <= routes.len());
    for (path, body) in routes {
        let answer = post(&path, body.to_string()).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
    }
}

#[tokio::test]
async fn bodies_that_are_no_json_are_400() {
    for (path, _) in routes().await {
        for (body, code) in [
            (&b""[..], "empty-body"),
            (b" \n\t", "empty-body"),
            (b"room", "not-json"),
            (b"{\"market\":\"gb\"", "not-json"),
            (b"{\"market\":NaN}", "not-json"),
            (b"{\"market\":\"\xff\xfe\"}", "not-utf-8"),
            (b"\xef\xbb\xbf{}", "not-json"),
        ] {
            let answer = post(&path, body.to_vec()).await;
            check_refused(&path, &answer, &format!("400 {code}")).await;
        }
        let deep = format!("{}{}", "[".repeat(1000), "]".repeat(1000));
        check_refused(&path, &post(&path, deep).await, "400 nested-too-deep").await;
    }
}

#[tokio::test]
async fn bodies_that_are_too_large_are_413() {
    for (path, right) in routes().await {
        let padded = format!("{}{}", right, " ".repeat(2 << 20));
        check_refused(&path, &post(&path, padded).await, "413 body-too-large").await;
        let many = format!("[{}0]", "0,".repeat(30_000));
        check_refused(&path, &post(&path, many).await, "413 body-too-large").await;
    }
}

#[tokio::test]
async fn other_media_types_are_415() {
    for (path, right) in routes().await {
        for kind in ["text/plain", "application/xml", "application/json; charset=utf-16", "*"] {
            let request = Request::post(&path).header(header::CONTENT_TYPE, kind);
            let answer = ask_of(demo(), request, Body::from(right.to_string())).await;
            check_refused(&path, &answer, "415 unsupported-media-type").await;
        }
        let answer = ask_of(demo(), Request::post(&path), Body::from(right.to_string())).await;
        check_refused(&path, &answer, "415 unsupported-media-type").await;
    }
}

#[tokio::test]
async fn query_parameters_are_400_and_named() {
    for (path, right) in routes().await {
        let answer = post(&format!("{path}?colour=red&dry=1"), right.to_string()).await;
        let expected = "400 bad-query\ncolour: unknown-field\ndry: unknown-field";
        check_refused(&path, &answer, expected).await;
    }
}

#[tokio::test]
async fn other_methods_are_405() {
    for (path, _) in routes().await {
        for method in ["GET", "PUT", "PATCH", "DELETE"] {
            let request = Request::builder().method(method).uri(&path);
            let answer = ask_of(demo(), request, Body::empty()).await;
            check_refused(&path, &answer, "405 method-not-allowed").await;
        }
    }
}

/// Pointers of every value in a document, objects and lists included, from the outside in.
fn pointers(document: &Value) -> Vec<String> {
    let mut found = Vec::new();
    let children: Vec<(String, &Value)> = match document {
        Value::Object(fields) => fields.iter().map(|(name, value)| (name.clone(), value)).collect(),
        Value::Array(entries) => {
            entries.iter().enumerate().map(|(index, value)| (index.to_string(), value)).collect()
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    };
    for (name, value) in children {
        found.push(format!("/{name}"));
        found.extend(pointers(value).into_iter().map(|inner| format!("/{name}{inner}")));
    }
    found
}

/// Values of a type that the field does not have.
fn wrong_types(value: &Value) -> Vec<Value> {
    let all = [json!(true), json!(7), json!("seven"), json!([]), json!({})];
    let is_alike = |other: &Value| match (value, other) {
        (Value::Bool(_), Value::Bool(_))
        | (Value::Number(_), Value::Number(_))
        | (Value::String(_), Value::String(_))
        | (Value::Array(_), Value::Array(_))
        | (Value::Object(_), Value::Object(_)) => true,
        (_, _) => false,
    };
    all.into_iter().filter(|other| !is_alike(other)).collect()
}

#[tokio::test]
async fn a_wrong_type_in_any_field_is_422_and_named() {
    for (path, right) in routes().await {
        let wrong_values = pointers(&right).into_iter().flat_map(|pointer| {
            let wrong = wrong_types(right.pointer(&pointer).unwrap());
            wrong.into_iter().map(move |wrong| (pointer.clone(), wrong))
        });
        let mut tried = 0;
        for (pointer, wrong) in wrong_values {
            let answer =
                post(&path, with(right.clone(), &pointer, wrong.clone()).to_string()).await;
            let named = wrong_fields(&answer);
            // A word of a list of words refuses by the list, any other type by its name.
            let expected = [
                format!("422 invalid-fields\n{pointer}: wrong-type"),
                format!("422 invalid-fields\n{pointer}: not-one-of"),
            ];
            // In a drawn room an outlet that serves a fixture which could not be read is named after it.
            let (first, follow_on) = named.split_once("\n/scene/outlets/").unwrap_or((&named, ""));
            let is_follow_on =
                follow_on.split('\n').all(|line| line.ends_with("/serves: contradiction"));
            let is_told = expected.iter().any(|told| told == first || *told == named);
            let is_clean = follow_on.is_empty() || is_follow_on || expected.contains(&named);
            assert!(is_told && is_clean, "{path} {pointer} {wrong}: {}", answer.body);
            tried += 1;
        }
        assert!(20 < tried, "{path}: {tried}");
        assert_eq!(post(&path, right.to_string()).await.status, 200);
    }
}

#[tokio::test]
async fn an_unknown_field_in_any_object_is_422_and_named() {
    for (path, right) in routes().await {
        let objects =
            pointers(&right).into_iter().filter(|at| right.pointer(at).unwrap().is_object());
        for pointer in std::iter::once(String::new()).chain(objects) {
            let field = format!("{pointer}/colour");
            let answer = post(&path, with(right.clone(), &field, json!("red")).to_string()).await;
            let expected = format!("422 invalid-fields\n{field}: unknown-field");
            check_refused(&path, &answer, &expected).await;
        }
    }
}

#[tokio::test]
async fn numbers_just_out_of_bounds_and_far_out_and_texts_for_numbers_are_422_and_named() {
    let description = get_json("/openapi.json").await;
    for (path, right) in routes().await {
        let tried = check_bounds(&demo(), &path, (&description, &right)).await;
        assert!(10 < tried, "{path}: {tried}");
        assert_eq!(post(&path, right.to_string()).await.status, 200);
    }
}

#[tokio::test]
async fn numbers_beyond_a_double_and_words_for_numbers_are_422_and_named() {
    for (path, right) in routes().await {
        let numbers =
            pointers(&right).into_iter().filter(|at| right.pointer(at).unwrap().is_number());
        for pointer in numbers {
            check_no_numbers(&path, &right, &pointer).await;
        }
        assert_eq!(post(&path, right.to_string()).await.status, 200);
    }
}

async fn check_no_numbers(path: &str, right: &Value, pointer: &str) {
    let marked = with(right.clone(), pointer, json!("MARK")).to_string();
    for (text, code) in [
        ("1e999", "number-out-of-range"),
        ("\"NaN\"", "wrong-type"),
        ("\"Infinity\"", "wrong-type"),
        ("\"-inf\"", "wrong-type"),
        ("\"12\"", "wrong-type"),
        ("\"\"", "wrong-type"),
    ] {
        let answer = post(path, marked.replace("\"MARK\"", text)).await;
        let expected = format!("422 invalid-fields\n{pointer}: {code}");
        assert_eq!(wrong_fields(&answer), expected, "{path} {text}");
    }
}

#[tokio::test]
async fn unknown_names_are_422_and_named() {
    let routes = routes().await;
    for (path, right) in routes.into_iter().filter(|(_, right)| right.get("market").is_some()) {
        let answer = post(&path, with(right, "/market", json!("xx")).to_string()).await;
        check_refused(&path, &answer, "422 invalid-fields\n/market: unknown").await;
    }
    let path = "/v1/resolutions";
    let finish = with(right(path), "/preferences/finish", json!("puce"));
    let answer = post(path, finish.to_string()).await;
    check_refused(path, &answer, "422 invalid-fields\n/preferences/finish: unknown").await;
}

#[tokio::test]
async fn a_room_without_width_is_422() {
    let path = "/v1/resolutions";
    let order = with(family_bathroom(), "/room/width_mm", json!(0));
    let answer = post(path, order.to_string()).await;
    check_refused(path, &answer, "422 invalid-fields\n/room/width_mm: below-minimum").await;
}

#[tokio::test]
async fn ten_thousand_wishes_and_parts_are_422() {
    let wishes = with(family_bathroom(), "/preferences/accessories", json!(vec!["hook"; 10_000]));
    let answer = post("/v1/resolutions", wishes.to_string()).await;
    let expected = "422 invalid-fields\n/preferences/accessories: too-many";
    check_refused("/v1/resolutions", &answer, expected).await;
    let parts = json!({ "market": "gb", "checks": [{ "parts": vec!["SRW-A-KEY-5"; 10_000] }] });
    let refused = post("/v1/checks", parts.to_string()).await;
    check_refused("/v1/checks", &refused, "422 invalid-fields\n/checks/0/parts: too-many").await;
}

#[tokio::test]
#[expect(clippy::too_many_lines, reason = "the reviewed answers of every route")]
async fn nothing_at_all_is_refused_with_all_that_is_missing() {
    let mut told = Vec::new();
    for (path, _) in routes().await {
        for body in ["{}", "[]", "\"gb\"", "{\"market\":\"gb\"}"] {
            told.push(format!("{path} {body} {}", wrong_fields(&post(&path, body).await)));
        }
    }
    insta::assert_snapshot!(told.join("\n"), @r#"
    /v1/checks {} 422 invalid-fields
    /market: missing
    /checks: missing
    /v1/checks [] 422 invalid-fields
    : wrong-type
    /v1/checks "gb" 422 invalid-fields
    : wrong-type
    /v1/checks {"market":"gb"} 422 invalid-fields
    /checks: missing
    /v1/choices {} 422 invalid-fields
    /request: missing
    /v1/choices [] 422 invalid-fields
    : wrong-type
    /v1/choices "gb" 422 invalid-fields
    : wrong-type
    /v1/choices {"market":"gb"} 422 invalid-fields
    /market: unknown-field
    /request: missing
    /v1/electrical-supplies {} 422 invalid-fields
    /rails: missing
    /v1/electrical-supplies [] 422 invalid-fields
    : wrong-type
    /v1/electrical-supplies "gb" 422 invalid-fields
    : wrong-type
    /v1/electrical-supplies {"market":"gb"} 422 invalid-fields
    /rails: missing
    /v1/fills {} 422 invalid-fields
    /body_volume_l: missing
    /headspace_fraction: missing
    /hot_c: missing
    /v1/fills [] 422 invalid-fields
    : wrong-type
    /v1/fills "gb" 422 invalid-fields
    : wrong-type
    /v1/fills {"market":"gb"} 422 invalid-fields
    /market: unknown-field
    /v1/heat-outputs {} 422 invalid-fields
    /room_c: missing
    /v1/heat-outputs [] 422 invalid-fields
    : wrong-type
    /v1/heat-outputs "gb" 422 invalid-fields
    : wrong-type
    /v1/heat-outputs {"market":"gb"} 422 invalid-fields
    /room_c: missing
    /v1/heat-requirements {} 422 invalid-fields
    /room: missing
    /v1/heat-requirements [] 422 invalid-fields
    : wrong-type
    /v1/heat-requirements "gb" 422 invalid-fields
    : wrong-type
    /v1/heat-requirements {"market":"gb"} 422 invalid-fields
    /room: missing
    /v1/placements {} 422 invalid-fields
    /scene: missing
    /items: missing
    /v1/placements [] 422 invalid-fields
    : wrong-type
    /v1/placements "gb" 422 invalid-fields
    : wrong-type
    /v1/placements {"market":"gb"} 422 invalid-fields
    /scene: missing
    /items: missing
    /v1/positions {} 422 invalid-fields
    /scene: missing
    /body: missing
    /v1/positions [] 422 invalid-fields
    : wrong-type
    /v1/positions "gb" 422 invalid-fields
    : wrong-type
    /v1/positions {"market":"gb"} 422 invalid-fields
    /scene: missing
    /body: missing
    /v1/resolutions {} 422 invalid-fields
    /market: missing
    /v1/resolutions [] 422 invalid-fields
    : wrong-type
    /v1/resolutions "gb" 422 invalid-fields
    : wrong-type
    /v1/resolutions {"market":"gb"} 422 invalid-fields
    /heat_requirement_w: missing
    /v1/rules/trials {} 422 invalid-fields
    /rule: missing
    /v1/rules/trials [] 422 invalid-fields
    : wrong-type
    /v1/rules/trials "gb" 422 invalid-fields
    : wrong-type
    /v1/rules/trials {"market":"gb"} 422 invalid-fields
    /market: unknown-field
    /rule: missing
    "#);
}

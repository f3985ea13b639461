//! What goes with good answers: ids, tags, compression, the pages.

use axum::body::Body;
use axum::http::Request;
use axum::http::header;

use crate::sample::RIGHT;
use crate::service::ask_of;
use crate::service::get;
use crate::service::post;
use crate::service::service;

#[tokio::test]
async fn a_right_body_is_answered() {
    let answer = post(RIGHT).await;
    assert_eq!((answer.status.as_u16(), answer.header("content-type")), (200, "application/json"));
    assert_eq!(answer.json()["room"]["length_mm"], 2600);
}

#[tokio::test]
async fn a_strange_request_id_is_replaced() {
    let request = Request::get("/health/live").header("x-request-id", "<script>");
    let answer =
        tower::ServiceExt::oneshot(service(), request.body(Body::empty()).unwrap()).await.unwrap();
    let id = answer.headers()["x-request-id"].to_str().unwrap();
    assert!(id.len() == 16 && id.bytes().all(|byte| byte.is_ascii_hexdigit()), "{id}");
}

#[tokio::test]
async fn a_current_copy_of_the_description_is_not_sent_again() {
    let first = get("/openapi.json").await;
    let tag = first.header("etag");
    assert!(tag.starts_with('"') && tag.len() == 34, "{tag}");
    let again = Request::get("/openapi.json").header(header::IF_NONE_MATCH, tag);
    let second = ask_of(service(), again, Body::empty()).await;
    assert_eq!(
        (second.status.as_u16(), second.body.as_str(), second.header("etag")),
        (304, "", tag)
    );
    let other = Request::get("/openapi.json").header(header::IF_NONE_MATCH, "\"other\"");
    assert_eq!(ask_of(service(), other, Body::empty()).await.status, 200);
}

#[tokio::test]
async fn a_compressed_answer_has_a_tag_of_its_own() {
    let plain = get("/openapi.json").await;
    let request = Request::get("/openapi.json").header(header::ACCEPT_ENCODING, "gzip");
    let packed = ask_of(service(), request, Body::empty()).await;
    assert_eq!(packed.header("content-encoding"), "gzip");
    let tag = packed.header("etag");
    assert_eq!(tag, format!("{}-gzip\"", plain.header("etag").trim_end_matches('"')));
    let again = Request::get("/openapi.json").header(header::IF_NONE_MATCH, tag);
    assert_eq!(ask_of(service(), again, Body::empty()).await.status, 304);
}

#[tokio::test]
async fn the_pages_load_nothing_from_elsewhere() {
    let page = get("/docs/").await;
    assert_eq!((page.status.as_u16(), page.header("content-type")), (200, "text/html"));
    assert!(page.header("content-security-policy").starts_with("default-src 'self';"));
    assert!(!page.body.contains("http://") && !page.body.contains("https://"), "{}", page.body);
    let script = get("/docs/swagger-initializer.js").await;
    assert!(
        script.body.contains("/openapi.json") && script.body.contains("\"none\""),
        "{}",
        script.body
    );
}

#[tokio::test]
async fn the_type_of_a_problem_is_an_address_that_answers() {
    let problem = get("/nothing").await.json();
    let explained = get(problem["type"].as_str().unwrap()).await;
    insta::assert_snapshot!(explained.told(), @r#"
    200 OK
    content-type: application/json
    x-request-id: test
    {
      "code": "no-such-route",
      "status": 404,
      "title": "There is nothing at this address"
    }
    "#);
    assert_eq!(get("/problems/no-such-code").await.status, 404);
}

//! Every kind of refusal that the edge itself gives, as the client sees it.

use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use rungwright::http::limits;
use rungwright::http::problem::MEDIA_TYPE;

use crate::sample::RIGHT;
use crate::service::ask_of;
use crate::service::get;
use crate::service::post;
use crate::service::service;

#[tokio::test]
async fn an_address_without_a_route() {
    insta::assert_snapshot!(get("/v1/nothing?a=b").await.told(), @r#"
    404 Not Found
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/no-such-route",
      "title": "There is nothing at this address",
      "status": 404,
      "detail": "there is nothing at /v1/nothing",
      "instance": "test",
      "code": "no-such-route"
    }
    "#);
}

#[tokio::test]
async fn a_method_the_address_does_not_answer_to() {
    let answer = ask_of(service(), Request::delete("/samples"), Body::empty()).await;
    insta::assert_snapshot!(answer.told(), @r#"
    405 Method Not Allowed
    content-type: application/problem+json
    allow: POST
    x-request-id: test
    {
      "type": "/problems/method-not-allowed",
      "title": "The address does not answer to this method",
      "status": 405,
      "detail": "/samples does not answer to DELETE",
      "instance": "test",
      "code": "method-not-allowed"
    }
    "#);
    let traced =
        ask_of(service(), Request::builder().method("TRACE").uri("/health/live"), Body::empty());
    assert_eq!(traced.await.status, 405);
}

#[tokio::test]
async fn an_empty_body() {
    insta::assert_snapshot!(post("").await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/empty-body",
      "title": "The body is empty",
      "status": 400,
      "detail": "the body is empty, a JSON object is expected",
      "instance": "test",
      "code": "empty-body"
    }
    "#);
}

#[tokio::test]
async fn a_body_that_is_not_json() {
    insta::assert_snapshot!(post("{\"market\":\n NaN}").await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/not-json",
      "title": "The body is not JSON",
      "status": 400,
      "detail": "not JSON: expected value at line 2 column 2",
      "instance": "test",
      "code": "not-json"
    }
    "#);
    insta::assert_snapshot!(post("{\"market\":").await.json()["detail"], @r#""the JSON ends too early, at line 1 column 10""#);
}

#[tokio::test]
async fn a_body_that_is_not_utf_8() {
    insta::assert_snapshot!(post(b"{\"market\":\"\xff\"}".to_vec()).await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/not-utf-8",
      "title": "The body is not UTF-8 text",
      "status": 400,
      "detail": "the body is not UTF-8 text from byte 11 on",
      "instance": "test",
      "code": "not-utf-8"
    }
    "#);
}

#[tokio::test]
async fn a_body_nested_too_deep() {
    insta::assert_snapshot!(post("[".repeat(200)).await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/nested-too-deep",
      "title": "The body is nested too deep",
      "status": 400,
      "detail": "the body is nested deeper than 127 levels",
      "instance": "test",
      "code": "nested-too-deep"
    }
    "#);
}

#[tokio::test]
async fn a_body_of_another_media_type() {
    let request = Request::post("/samples").header(header::CONTENT_TYPE, "text/xml");
    insta::assert_snapshot!(ask_of(service(), request, Body::from(RIGHT)).await.told(), @r#"
    415 Unsupported Media Type
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/unsupported-media-type",
      "title": "The body's media type is not understood",
      "status": 415,
      "detail": "the body is text/xml, application/json is expected",
      "instance": "test",
      "code": "unsupported-media-type"
    }
    "#);
    let bare = ask_of(service(), Request::post("/samples"), Body::from(RIGHT)).await;
    assert_eq!(bare.status, 415);
}

#[tokio::test]
async fn a_body_of_two_megabytes() {
    insta::assert_snapshot!(post(" ".repeat(2 << 20)).await.told(), @r#"
    413 Payload Too Large
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/body-too-large",
      "title": "The body is too large",
      "status": 413,
      "detail": "the body is larger than 1572864 bytes, the most that is taken here",
      "instance": "test",
      "code": "body-too-large"
    }
    "#);
    let exact = format!("{RIGHT}{}", " ".repeat(limits::BODY_BYTES_MAX - RIGHT.len()));
    assert_eq!(post(exact.clone()).await.status, 200);
    assert_eq!(post(format!("{exact} ")).await.status, 413);
}

#[tokio::test]
async fn a_body_with_wrong_fields() {
    let answer =
        post(RIGHT.replace("1900", "0").replace("\"market\":\"gb\"", "\"colour\":1")).await;
    insta::assert_snapshot!(answer.told(), @r#"
    422 Unprocessable Entity
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/invalid-fields",
      "title": "Fields of the body are wrong",
      "status": 422,
      "detail": "the body has 3 errors",
      "instance": "test",
      "code": "invalid-fields",
      "errors": [
        {
          "pointer": "/market",
          "code": "missing",
          "detail": "market is missing"
        },
        {
          "pointer": "/room/width_mm",
          "code": "below-minimum",
          "detail": "width of the room is 0 mm, allowed are 300 to 20000 mm",
          "allowed": "300 to 20000"
        },
        {
          "pointer": "/colour",
          "code": "unknown-field",
          "detail": "there is no field colour here",
          "allowed": "market, room, heat_requirement_w, place, accessories, note, time_control"
        }
      ]
    }
    "#);
}

#[tokio::test]
async fn nothing_acceptable() {
    let request = Request::get("/health/live").header(header::ACCEPT, "text/html, image/*;q=0.5");
    insta::assert_snapshot!(ask_of(service(), request, Body::empty()).await.told(), @r#"
    406 Not Acceptable
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/not-acceptable",
      "title": "No representation is acceptable",
      "status": 406,
      "detail": "this address answers with application/json",
      "instance": "test",
      "code": "not-acceptable"
    }
    "#);
    for (path, accept, status) in [
        ("/picture", "image/svg+xml", 200),
        ("/picture", "application/json", 406),
        ("/picture", "application/json, */*;q=0.1", 200),
        ("/health/live", "application/*", 200),
        ("/health/live", "application/json;q=0", 406),
    ] {
        let wish = Request::get(path).header(header::ACCEPT, accept);
        assert_eq!(ask_of(service(), wish, Body::empty()).await.status, status, "{path} {accept}");
    }
}

#[tokio::test]
async fn a_path_parameter_that_does_not_parse() {
    insta::assert_snapshot!(get("/samples/seven?finish=chrome").await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/malformed-request",
      "title": "The request cannot be read",
      "status": 400,
      "detail": "the request cannot be read",
      "instance": "test",
      "code": "malformed-request"
    }
    "#);
}

#[tokio::test]
async fn an_address_that_is_too_long() {
    let path = format!("/health/live?{}", "a".repeat(limits::TARGET_BYTES_MAX));
    insta::assert_snapshot!(get(&path).await.told(), @r#"
    414 URI Too Long
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/target-too-long",
      "title": "The address is too long",
      "status": 414,
      "detail": "path and query are longer than 4096 bytes",
      "instance": "test",
      "code": "target-too-long"
    }
    "#);
}

#[tokio::test]
async fn header_fields_that_are_too_large() {
    let large = Request::get("/health/live").header("x-long", "a".repeat(limits::HEADER_BYTES_MAX));
    insta::assert_snapshot!(ask_of(service(), large, Body::empty()).await.told(), @r#"
    431 Request Header Fields Too Large
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/headers-too-large",
      "title": "The header fields are too large",
      "status": 431,
      "detail": "more than 64 header fields or more than 16384 bytes of them",
      "instance": "test",
      "code": "headers-too-large"
    }
    "#);
    let mut many = Request::get("/health/live");
    for index in 0..limits::HEADER_FIELDS_MAX {
        many = many.header(format!("x-{index}"), "a");
    }
    assert_eq!(ask_of(service(), many, Body::empty()).await.status, 431);
}

#[tokio::test]
async fn a_panic_tells_nothing_of_the_inside() {
    let answer = get("/panics").await;
    insta::assert_snapshot!(answer.told(), @r#"
    500 Internal Server Error
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/internal",
      "title": "The service has failed",
      "status": 500,
      "detail": "the service has failed; its log has the cause under this id",
      "instance": "test",
      "code": "internal"
    }
    "#);
    assert!(!answer.body.contains("secret"));
}

#[tokio::test]
async fn a_library_s_own_error_page_becomes_a_problem_document() {
    let missing = get("/docs/no-such-file.js").await;
    assert_eq!((missing.status.as_u16(), missing.header("content-type")), (404, MEDIA_TYPE));
    assert_eq!(missing.json()["code"], "not-found");
}

//! What is said about query parameters.

use crate::service::get;

#[tokio::test]
async fn a_right_query_is_read_as_its_types() {
    let answer =
        get("/samples/7?limit=200&finish=matt-black&lockable=true&kind=hook&kind=plug_cover").await;
    insta::assert_snapshot!(answer.body, @r#"{"limit":200,"finish":"matt-black","lockable":true,"kind":["hook","plug_cover"]}"#);
}

#[tokio::test]
async fn every_wrong_parameter_is_named_at_once() {
    let answer = get(
        "/samples/7?limit=201&limit=5&finish=RED&lockable=maybe&kind=hook&kind=bell&colour=red",
    )
    .await;
    insta::assert_snapshot!(answer.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/bad-query",
      "title": "A query parameter is wrong or unknown",
      "status": 400,
      "detail": "the query has 6 errors",
      "instance": "test",
      "code": "bad-query",
      "errors": [
        {
          "parameter": "limit",
          "code": "duplicate-key",
          "detail": "the parameter limit is given twice"
        },
        {
          "parameter": "limit",
          "code": "above-maximum",
          "detail": "limit is 201, allowed are 1 to 200",
          "allowed": "1 to 200"
        },
        {
          "parameter": "finish",
          "code": "bad-form",
          "detail": "finish is RED, which does not have the form ^[a-z-]+$",
          "allowed": "^[a-z-]+$"
        },
        {
          "parameter": "lockable",
          "code": "wrong-type",
          "detail": "lockable is text, must be true or false",
          "allowed": "true or false"
        },
        {
          "parameter": "kind",
          "code": "not-one-of",
          "detail": "entry 1 of kind is bell, allowed are plug_cover, hook",
          "allowed": "plug_cover, hook"
        },
        {
          "parameter": "colour",
          "code": "unknown-field",
          "detail": "there is no parameter colour here",
          "allowed": "finish, kind, limit, lockable"
        }
      ]
    }
    "#);
}

#[tokio::test]
async fn a_missing_parameter_is_named() {
    insta::assert_snapshot!(get("/samples/7?limit=1.5").await.json()["errors"], @r#"[{"parameter":"limit","code":"wrong-type","detail":"limit is a number with decimals, must be a whole number","allowed":"a whole number"},{"parameter":"finish","code":"missing","detail":"finish is missing"}]"#);
}

#[tokio::test]
async fn a_route_without_parameters_refuses_any() {
    insta::assert_snapshot!(get("/health/live?verbose=1").await.told(), @r#"
    400 Bad Request
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/bad-query",
      "title": "A query parameter is wrong or unknown",
      "status": 400,
      "detail": "there is no parameter verbose here",
      "instance": "test",
      "code": "bad-query",
      "errors": [
        {
          "parameter": "verbose",
          "code": "unknown-field",
          "detail": "there is no parameter verbose here"
        }
      ]
    }
    "#);
}

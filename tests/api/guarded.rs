//! Bodies that could swell, keys shown in odd ways, and the figures of the running service.

use axum::body::Body;
use axum::http::Request;
use serde_json::Value;

use crate::demo::demo;
use crate::keys::Office;
use crate::right_requests::right;
use crate::service::ask_as_it_is;
use crate::service::ask_of;

#[tokio::test]
async fn a_compressed_body_is_refused_unread() {
    for (coding, status) in [("gzip", 415), ("br", 415), ("identity, gzip", 415), ("identity", 200)]
    {
        let request = Request::post("/v1/fills").header("content-encoding", coding);
        let request = request.header("content-type", "application/json");
        let answer = ask_of(demo(), request, Body::from(right("/v1/fills").to_string())).await;
        assert_eq!(answer.status, status, "{coding}: {}", answer.body);
    }
}

#[tokio::test]
async fn a_key_counts_only_as_one_bearer_token() {
    let office = Office::open().await;
    let key = office.key("quote");
    let whole = format!("Bearer {key}");
    let basic = format!("Basic {key}");
    for (fields, status) in [
        (vec![whole.as_str()], 200),
        (vec![&*whole.replace("Bearer", "bearer")], 200),
        (vec![&*basic], 401),
        (vec![key], 401),
        (vec!["Bearer"], 401),
        (vec!["Bearer "], 401),
        (vec![&*whole, &*whole], 401),
    ] {
        let mut request = Request::get("/v1/quotes");
        for field in &fields {
            request = request.header("authorization", *field);
        }
        let answer = ask_as_it_is(office.router(), request, Body::empty()).await;
        assert_eq!(answer.status, status, "{} fields: {}", fields.len(), answer.body);
    }
    let request = Request::get(format!("/v1/quotes?key={key}"));
    let answer = ask_as_it_is(office.router(), request, Body::empty()).await;
    assert_eq!(answer.status, 401);
    assert!(!answer.body.contains(key), "an answer repeats the key");
}

#[tokio::test]
async fn the_figures_count_requests_by_route_and_not_by_what_callers_make_up() {
    let office = Office::open().await;
    let operate = office.key("operate");
    for path in ["GET /v1/bodies/NONE-1", "GET /v1/bodies/NONE-2", "BREW /v1/bodies/NONE-3"] {
        assert!(400 <= office.ask(operate, path, &Value::Null).await.status.as_u16());
    }
    let figures = office.ask(operate, "GET /metrics", &Value::Null).await;
    assert_eq!(figures.status, 200);
    assert!(
        figures.header("content-type").starts_with("application/openmetrics-text; version=1.0.0")
    );
    let has = |line: &str| {
        assert!(figures.body.lines().any(|own| own == line), "{line}\n{}", figures.body);
    };
    has(r#"rungwright_requests_total{method="GET",route="/v1/bodies/{sku}",status="404"} 2"#);
    has(r#"rungwright_requests_total{method="other",route="/v1/bodies/{sku}",status="405"} 1"#);
    has(r#"rungwright_request_duration_seconds_count{method="GET",route="/v1/bodies/{sku}"} 2"#);
    has("rungwright_requests_in_flight 1");
    has("rungwright_edition 1");
    assert!(figures.body.ends_with("# EOF\n") && !figures.body.contains("NONE"));
}

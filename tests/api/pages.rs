//! What browsers are told: which pages may ask, and what a page of ours may do.

use axum::body::Body;
use axum::http::Request;

use crate::demo::demo;
use crate::keys::Office;
use crate::right_requests::right;
use crate::service::Answer;
use crate::service::ask_as_it_is;
use crate::service::ask_of;

const SHOP: &str = "https://shop.example";

async fn preflight(office: &Office, (method, path): (&str, &str), origin: &str) -> Answer {
    let request = Request::builder().method("OPTIONS").uri(path).header("origin", origin);
    let request = request.header("access-control-request-method", method);
    let request = request.header("access-control-request-headers", "authorization,content-type");
    ask_as_it_is(office.router(), request, Body::empty()).await
}

#[tokio::test]
async fn a_preflight_is_answered_without_a_key_for_pages_that_a_key_is_bound_to() {
    let office = Office::open().await;
    let allowed = preflight(&office, ("POST", "/v1/resolutions"), SHOP).await;
    assert_eq!(allowed.status, 204);
    assert_eq!(allowed.header("access-control-allow-origin"), SHOP);
    assert_eq!(allowed.header("access-control-allow-methods"), "POST");
    assert!(allowed.header("access-control-allow-headers").contains("authorization"));
    assert_eq!(allowed.header("access-control-allow-credentials"), "");
    let reading = preflight(&office, ("HEAD", "/v1/bodies"), SHOP).await;
    assert_eq!(reading.header("access-control-allow-methods"), "GET, HEAD");
    for (operation, origin) in [
        (("POST", "/v1/resolutions"), "https://elsewhere.example"),
        (("POST", "/v1/resolutions"), "null"),
        (("POST", "/v1/quotes"), SHOP),
        (("GET", "/metrics"), SHOP),
        (("DELETE", "/v1/bodies"), SHOP),
    ] {
        let refused = preflight(&office, operation, origin).await;
        assert_eq!(refused.status, 405, "{operation:?} {origin}");
        assert_eq!(refused.header("access-control-allow-methods"), "");
    }
}

#[tokio::test]
async fn a_page_reads_answers_and_refusals_and_other_pages_read_neither() {
    let office = Office::open().await;
    let ask = async |origin: &str, key: &str| {
        let request = Request::get("/v1/bodies?limit=1").header("origin", origin);
        let request = request.header("authorization", format!("Bearer {key}"));
        ask_as_it_is(office.router(), request, Body::empty()).await
    };
    let read = ask(SHOP, office.key("browse")).await;
    assert_eq!((read.status.as_u16(), read.header("access-control-allow-origin")), (200, SHOP));
    let refused = ask(SHOP, office.key("unknown")).await;
    assert_eq!(
        (refused.status.as_u16(), refused.header("access-control-allow-origin")),
        (401, SHOP)
    );
    let elsewhere = ask("https://elsewhere.example", office.key("browse")).await;
    assert_eq!(elsewhere.status, 403);
    assert_eq!(elsewhere.header("access-control-allow-origin"), "");
    let varies = read.headers.get_all("vary").iter();
    assert!(varies.into_iter().any(|value| value == "origin"));
}

#[tokio::test]
async fn pages_and_pictures_of_ours_are_fenced() {
    let office = Office::open().await;
    let page = ask_as_it_is(office.router(), Request::get("/docs/"), Body::empty()).await;
    let own = page.header("content-security-policy");
    assert!(own.contains("default-src 'self'") && own.contains("frame-ancestors 'none'"), "{own}");
    let request = Request::post("/v1/placements").header("accept", "image/svg+xml");
    let request = request.header("content-type", "application/json");
    let plan = Body::from(right("/v1/placements").to_string());
    let picture = ask_of(demo(), request, plan).await;
    assert_eq!(picture.status, 200, "{}", picture.body);
    let policy = picture.header("content-security-policy");
    assert!(policy.contains("default-src 'none'"), "{policy}");
    for answer in [&page, &picture] {
        assert_eq!(answer.header("x-frame-options"), "DENY");
        assert_eq!(answer.header("referrer-policy"), "no-referrer");
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
    }
}

//! Which edition of a country's rules answers: one whose time is over or to come says so, one that only warns allows.

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

use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;
use crate::keyring;
use crate::right_requests::right;
use crate::service::ask_of;

/// The demonstration catalogue on a day.
fn on(day: &str) -> Router {
    let noon = format!("{day}T12:00:00Z");
    let app = App::with_clock(Clock::Fixed(noon.parse().unwrap()));
    app.hold(start::demo().unwrap());
    keyring::open(&app);
    app.advance(Readiness::Ready);
    routes::router(app)
}

async fn told(day: &str, path: &str, question: &Value) -> Option<String> {
    let request = Request::post(path).header(header::CONTENT_TYPE, "application/json");
    let answer = ask_of(on(day), request, Body::from(question.to_string())).await;
    assert_eq!(answer.status, 200, "{path}: {}", answer.body);
    let document = answer.json();
    let notices = document["notices"].as_array().unwrap().clone();
    let told = notices.into_iter().find(|notice| notice["code"] == "rules-not-in-force");
    told.map(|notice| notice["text"].as_str().unwrap().to_owned())
}

#[tokio::test]
async fn rules_say_when_their_last_day_is_over_or_their_first_is_to_come() {
    for path in ["/v1/placements", "/v1/positions", "/v1/electrical-supplies"] {
        let of = |rules: &str| {
            let mut question = with(right(path), "/wiring_rules", json!(rules));
            question.as_object_mut().unwrap().remove("market");
            question
        };
        for (rules, day, words) in [
            ("gb-16th", "2026-11-25", Some("their last day was 2008-06-30")),
            ("gb-bs7671-2018-a1", "2026-11-25", Some("their last day was 2022-09-27")),
            ("gb-bs7671", "2026-11-25", None),
            ("de-2025", "2026-11-25", None),
            // The old German text may be used up to and on its last day.
            ("de-2008", "2027-12-06", None),
            ("de-2008", "2027-12-07", Some("their last day was 2027-12-06")),
            ("de-2025", "2025-05-31", Some("their first day is 2025-06-01")),
            ("de-2025", "2025-06-01", None),
        ] {
            let text = told(day, path, &of(rules)).await;
            let id = format!("{path}, {rules} on {day}: {text:?}");
            assert_eq!(text.is_some(), words.is_some(), "{id}");
            assert!(words.is_none_or(|words| text.unwrap().contains(words)), "{id}");
        }
    }
}

/// A bath in a corner, and one thing two metres and more away from it.
fn away(rules: &str, kind: &str) -> Value {
    json!({ "wiring_rules": rules,
        "scene": { "room_mm": [0, 0, 4500, 2500], "ceiling_mm": 2400, "fixtures": [
            { "id": "bath", "kind": "bath", "rect_mm": [0, 0, 1000, 700], "bottom_mm": 100, "rim_mm": 550 }] },
        "items": [{ "id": "it", "kind": kind, "point_mm": [4400, 350, 300], "ip": "IPX4", "class": "I" }] })
}

#[tokio::test]
async fn a_row_that_only_warns_allows_with_a_notice() {
    let answer = post_json("/v1/placements", &away("es-itc-bt-27", "socket")).await;
    let item = &answer["items"][0];
    assert!(texts(&item["notices"], "code").contains(&"place-contested"), "{item}");
    assert!(
        texts(&item["reasons"], "effect").iter().all(|effect| *effect == "allowed_if"),
        "{item}"
    );
    let dry = with(away("es-itc-bt-27", "socket"), "/scene/fixtures", json!([]));
    let without_water = &post_json("/v1/placements", &dry).await["items"][0];
    assert_eq!(without_water["verdict"], "allowed", "{without_water}");
    assert!(texts(&without_water["notices"], "code").contains(&"place-contested"));
}

#[tokio::test]
async fn what_switches_stands_outside_the_zones_and_belgium_establishes_nothing_of_any_kind() {
    let kinds = ["rail", "connection_unit", "wall_control", "time_switch", "socket", "pull_switch"];
    for kind in kinds {
        let belgian = post_json("/v1/placements", &away("be-arei", kind)).await;
        assert_eq!(belgian["items"][0]["verdict"], "not_established", "{kind}");
        let near = with(away("gb-bs7671", kind), "/items/0/point_mm", json!([1300, 350, 1000]));
        let answer = post_json("/v1/placements", &near).await;
        let item = &answer["items"][0];
        assert_eq!(item["zone"], "2", "{kind}");
        assert_eq!(item["verdict"] == "refused", kind != "rail", "{kind}: {item}");
    }
}

//! What is asked of every route that only answers, so that every outcome comes about at least once.

use serde_json::Value;
use serde_json::json;

use crate::demo::with;
use crate::right_requests::right;

/// What a question is to bring about, and the question.
pub(crate) type Named = (&'static str, Value);

/// Questions to a route; the first is the right request.
pub(crate) fn questions(path: &str) -> Vec<Named> {
    let more = match path {
        "/v1/checks" => checks(),
        "/v1/resolutions" => resolutions(),
        "/v1/choices" => choices(),
        "/v1/placements" => placements(),
        "/v1/positions" => positions(),
        "/v1/electrical-supplies" => supplies(),
        "/v1/fills" => vec![("to the brim", changed(path, "/headspace_fraction", json!(0.0)))],
        "/v1/heat-outputs" | "/v1/heat-requirements" => {
            vec![("no market", without(path, "market"))]
        }
        other => panic!("no questions are written down for {other}: add some"),
    };
    let mut questions = vec![("the right request", right(path))];
    questions.extend(more);
    questions
}

fn changed(path: &str, pointer: &str, value: Value) -> Value {
    with(right(path), pointer, value)
}

fn without(path: &str, field: &str) -> Value {
    let mut question = right(path);
    question.as_object_mut().unwrap().remove(field);
    question
}

fn checks() -> Vec<Named> {
    let changed = |pointer, value| changed("/v1/checks", pointer, value);
    let parts = json!(["SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-BK"]);
    let clash = json!(["SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-1000-BK"]);
    vec![
        ("parts alone", json!({ "market": "gb", "checks": [{ "parts": parts }] })),
        ("refused", changed("/checks/0/place/zone", json!("0"))),
        ("a clash", changed("/checks/0/parts", clash)),
        ("drawn", changed("/checks/0/place", json!({ "plan": plan() }))),
        ("drawn where nothing may hang", changed("/checks/0/place", json!({ "plan": full() }))),
    ]
}

fn resolutions() -> Vec<Named> {
    let changed = |pointer, value| changed("/v1/resolutions", pointer, value);
    let brief = with(changed("/preferences/budget", json!("1.00")), "/explain", json!(false));
    let drawn = |plan: Value| json!({ "market": "gb", "heat_requirement_w": 250, "options_max": 1, "place": { "plan": plan } });
    vec![
        ("impossible", changed("/preferences/budget", json!("1.00"))),
        ("impossible, and no more", brief),
        ("a finish that no part has", changed("/preferences/finish", json!("sea-green"))),
        ("zone 0", changed("/place/zone", json!("0"))),
        ("towels alone", json!({ "market": "gb", "purpose": "towel_warming", "options_max": 1 })),
        ("drawn", drawn(plan())),
        ("drawn where nothing may hang", drawn(full())),
    ]
}

fn choices() -> Vec<Named> {
    let asked = resolutions().into_iter().map(|(name, mut request)| {
        if request.pointer("/place/plan").is_some() {
            // Fewer pairs to be placed: all of them are counted.
            request["heat_requirement_w"] = json!(700);
        }
        (name, json!({ "request": request }))
    });
    let nowhere = json!([{ "attribute": "element.watts", "value": 1 }]);
    asked
        .chain([("a choice that leads nowhere", changed("/v1/choices", "/chosen", nowhere))])
        .collect()
}

fn placements() -> Vec<Named> {
    let changed = |pointer, value| changed("/v1/placements", pointer, value);
    let wet = json!({ "room_mm": [0, 0, 3000, 2500], "ceiling_mm": 2400,
        "fixtures": [{ "id": "wet", "kind": "trayless" }] });
    vec![
        ("refused", changed("/items/0/point_mm", json!([100, 100, 400]))),
        ("no figures", changed("/wiring_rules", json!("be-arei"))),
        ("stand-in figures", changed("/wiring_rules", json!("ie-is10101"))),
        ("no water", changed("/scene", dry())),
        ("no fixed outlet", changed("/scene", wet)),
    ]
}

fn positions() -> Vec<Named> {
    let changed = |pointer, value| changed("/v1/positions", pointer, value);
    vec![
        ("no figures", changed("/wiring_rules", json!("be-arei"))),
        ("stand-in figures", changed("/wiring_rules", json!("ie-is10101"))),
        ("no place", changed("/scene", full()["scene"].clone())),
        ("no water", changed("/scene", dry())),
    ]
}

fn supplies() -> Vec<Named> {
    let path = "/v1/electrical-supplies";
    let changed = |pointer, value| changed(path, pointer, value);
    let much = json!([{ "watts": 3000 }, { "watts": 3000 }]);
    vec![
        ("too much for any fuse", changed("/rails", much)),
        ("circuit breakers", changed("/market", json!("de"))),
        ("stand-in rules", changed("/market", json!("ie"))),
        ("no work", without(path, "work")),
    ]
}

/// A small drawn room in which there is a place.
fn plan() -> Value {
    json!({ "scene": { "room_mm": [0, 0, 1900, 2600], "ceiling_mm": 2400, "fixtures": [
        { "id": "bath", "kind": "bath", "rect_mm": [0, 0, 700, 700], "bottom_mm": 100, "rim_mm": 550 }] } })
}

/// A drawn room that a bath fills.
fn full() -> Value {
    json!({ "scene": { "room_mm": [0, 0, 1700, 700], "ceiling_mm": 2400, "fixtures": [
        { "id": "bath", "kind": "bath", "rect_mm": [0, 0, 1700, 700], "bottom_mm": 100, "rim_mm": 550 }] } })
}

fn dry() -> Value {
    json!({ "room_mm": [0, 0, 4200, 3600], "ceiling_mm": 2400, "fixtures": [] })
}

//! The shared cases of boxes, strings over low partitions, and sockets, each asked over HTTP with its source beside it.
//!
//! The shared points are in `placements`.

use serde_json::Value;
use serde_json::json;

use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;

const PATH: &str = "/v1/placements";
const ZONES: &str =
    "hand-written from IEC 60364-7-701:2006 / BS 7671 section 701, interpretation of 701.32";
const STRING: &str = "DIN VDE 0100-701, string rule, interpretation in space";
const SOCKETS: &str = "BS 7671 701.512.3, edition as in the case";

fn cases(text: &str) -> Vec<Value> {
    serde_json::from_str(text).unwrap()
}

fn scene_of(id: &str) -> Value {
    let scenes = cases(include_str!("../fixtures/placement/scenes.json"));
    scenes.into_iter().find(|scene| scene["id"] == id).unwrap()
}

/// The only thing of a room, placed.
async fn placed(rules: &str, scene: &Value, item: Value) -> Value {
    let question = json!({ "wiring_rules": rules, "scene": scene, "items": [item] });
    post_json(PATH, &question).await["items"][0].clone()
}

#[tokio::test]
async fn every_shared_box_has_its_worst_zone_and_the_zones_its_corners_touch() {
    let cases = cases(include_str!("../fixtures/placement/box_cases.json"));
    assert_eq!(cases.len(), 4);
    for case in &cases {
        let id = format!("{}: {} [{ZONES}]", case["id"], case["reason"]);
        // One case reaches above the ceiling of its scene, which a drawing may not: there the ceiling is raised.
        let scene = with(scene_of(case["scene"].as_str().unwrap()), "/ceiling_mm", json!(2600));
        let whole = json!({ "id": "it", "kind": "rail", "min_mm": case["min_mm"], "max_mm": case["max_mm"] });
        let worst = placed("gb-bs7671", &scene, whole).await["zone"].clone();
        assert_eq!(worst, case["expect_worst"], "{id}");
        let ends = [&case["min_mm"], &case["max_mm"]];
        let mut touched = vec![worst.as_str().unwrap().to_owned()];
        for corner in 0..8_usize {
            let at = [0, 1, 2].map(|axis| ends[(corner >> axis) & 1][axis].clone());
            let point = json!({ "id": "it", "kind": "rail", "point_mm": at });
            let zone = placed("gb-bs7671", &scene, point).await["zone"].clone();
            touched.push(zone.as_str().unwrap().to_owned());
        }
        touched.sort();
        touched.dedup();
        assert_eq!(json!(touched), case["zones_touched"], "{id}");
    }
}

/// A low partition on the edge of a tray that ends where the partition ends, in a long room.
fn string_scene(case: &Value) -> Value {
    let end = case["to_free_end_mm"].as_i64().unwrap() + 100;
    json!({
        "room_mm": [0, 0, 6000, end + 3000], "ceiling_mm": 2600,
        "fixtures": [{ "id": "tray", "kind": "tray", "rect_mm": [0, 0, 900, end], "bottom_mm": 20, "rim_mm": 80 }],
        "partitions": [{ "a_mm": [900, 0], "b_mm": [900, end], "top_mm": case["partition_top_mm"], "fixed": true,
            "floor_joined": true, "kind": "glass_panel" }],
    })
}

#[tokio::test]
async fn every_shared_string_over_a_low_partition_has_its_length_and_zone_in_germany_and_britain() {
    let cases = cases(include_str!("../fixtures/placement/de_string_cases.json"));
    assert_eq!(cases.len(), 4);
    for case in &cases {
        let beyond = 900 + case["beyond_mm"].as_i64().unwrap();
        let item = json!({ "id": "it", "kind": "rail", "point_mm": [beyond, 100, case["z_mm"]] });
        let scene = string_scene(case);
        for rules in ["de-2008", "de-2025"] {
            let id = format!("{} {rules} [{STRING}]", case["id"]);
            let own = placed(rules, &scene, item.clone()).await;
            assert_eq!(own["zone"], case["expect_DE"], "{id}");
            let [own, known] =
                [&own["distance_mm"], &case["string_mm"]].map(|mm| mm.as_f64().unwrap());
            assert!((own - known).abs() <= 0.05 + 1e-9, "{own} mm: {id}");
        }
        let british = placed("gb-bs7671", &scene, item).await;
        assert_eq!(british["zone"], case["expect_UK_policy"], "{} [{STRING}]", case["id"]);
    }
}

#[tokio::test]
async fn every_shared_socket_and_switch_is_judged_under_its_edition() {
    let cases = cases(include_str!("../fixtures/placement/socket_cases.json"));
    assert_eq!(cases.len(), 6);
    for case in &cases {
        let packs = match case["edition"].as_str().unwrap() {
            "A2:2022+" => vec!["gb-bs7671"],
            "18th A1" => vec!["gb-bs7671-2018-a1"],
            "any" => vec!["gb-bs7671", "gb-bs7671-2018-a1"],
            other => panic!("unknown edition {other:?}"),
        };
        let (kind, scene, x) = match case["item"].as_str().unwrap() {
            "13 A socket" => ("socket", bath_scene(), 1700 + case["dist_mm"].as_i64().unwrap()),
            "13 A socket beside trayless shower" => {
                ("socket", wet_scene(), case["from_outlet_mm"].as_i64().unwrap())
            }
            "FCU" => ("connection_unit", bath_scene(), 1700 + case["dist_mm"].as_i64().unwrap()),
            "shaver unit BS EN 61558-2-5" => {
                ("shaver_unit", bath_scene(), 1700 + case["dist_mm"].as_i64().unwrap())
            }
            other => panic!("unknown item {other:?}"),
        };
        let item = json!({ "id": "it", "kind": kind, "ip": "IP20", "class": "I", "jets": false,
            "connection": "permanent", "rcd_30ma": true, "point_mm": [x, 0, 1100] });
        for rules in packs {
            let id = format!("{} {rules} [{SOCKETS}]", case["id"]);
            let own = placed(rules, &scene, item.clone()).await;
            let expect = case["expect"].as_str().unwrap();
            let is_refused = own["verdict"] == "refused";
            assert!(is_refused || own["verdict"] == "allowed", "{id}: {own}");
            assert_eq!(is_refused, expect == "refuse", "{id}: {own}");
            // What the case allows with a proviso is allowed with a notice that says it.
            let is_warned =
                texts(&own["notices"], "text").iter().any(|text| text.contains("direct spray"));
            assert_eq!(is_warned, expect.contains("direct spray"), "{id}: {own}");
        }
    }
}

fn bath_scene() -> Value {
    with(scene_of("B1"), "/room_mm", json!([0, 0, 6000, 2500]))
}

fn wet_scene() -> Value {
    json!({ "room_mm": [0, 0, 6000, 2500], "ceiling_mm": 2400, "fixtures": [{ "id": "wet", "kind": "trayless" }],
        "outlets": [{ "at_mm": [0, 0], "z_mm": 2000, "serves": "wet", "fixed": true }] })
}

//! `POST /v1/positions`: places on the walls of a drawn room, and why walls are refused.

use serde_json::Value;
use serde_json::json;

use crate::bounds::check_bounds;
use crate::demo::demo;
use crate::demo::get_json;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;
use crate::demo::wrong_fields;

const PATH: &str = "/v1/positions";

fn question() -> Value {
    serde_json::from_str(include_str!("../fixtures/requests/places/busy-bathroom-position.json"))
        .unwrap()
}

#[tokio::test]
async fn up_to_five_places_come_best_first_and_each_is_allowed_when_it_is_asked_for() {
    let answer = post_json(PATH, &question()).await;
    let positions = answer["positions"].as_array().unwrap();
    assert!((1..=5).contains(&positions.len()));
    assert_eq!(positions[0]["zone"], "outside");
    assert!(texts(&answer["notices"], "code").contains(&"electrician-decides"));
    for position in positions {
        assert!(600 <= position["lowest_heated_tube_mm"].as_i64().unwrap(), "children are about");
        let connection = &position["connection"];
        assert!(connection["flex_needed_mm"].as_i64() <= connection["flex_length_mm"].as_i64());
        let item = json!({ "id": "rail", "sku": question()["body"], "element": question()["element"], "rcd_30ma": true,
            "wall": position["wall"], "offset_mm": position["offset_mm"], "height_mm": position["height_mm"] });
        let asked =
            json!({ "wiring_rules": "gb-bs7671", "scene": question()["scene"], "items": [item] });
        let placed = post_json("/v1/placements", &asked).await["items"][0].clone();
        assert_eq!(
            (&placed["zone"], &placed["verdict"]),
            (&position["zone"], &position["verdict"])
        );
        assert_eq!(placed["distance_mm"], position["distance_mm"]);
    }
    assert_eq!(post_json(PATH, &question()).await, answer, "the same question has the same answer");
}

#[tokio::test]
async fn each_wall_without_a_place_says_why() {
    let narrow = with(question(), "/scene/room_mm", json!([0, 0, 4200, 3000]));
    let answer = post_json(PATH, &narrow).await;
    for wall in answer["refused_walls"].as_array().unwrap() {
        assert!(!wall["reasons"].as_array().unwrap().is_empty(), "{wall}");
        assert!(texts(&wall["reasons"], "text").iter().all(|text| !text.is_empty()));
    }
    assert!(!answer["refused_walls"].as_array().unwrap().is_empty());
    let belgium = post_json(PATH, &with(question(), "/wiring_rules", json!("be-arei"))).await;
    assert_eq!(belgium["positions"], json!([]));
    let reasons = belgium["refused_walls"].as_array().unwrap();
    assert!(
        reasons.iter().all(|wall| texts(&wall["reasons"], "code") == ["rules-not-established"])
    );
}

#[tokio::test]
async fn a_connection_point_that_is_there_already_decides_which_port_reaches() {
    let given = |offset: i64| {
        let point = json!({ "wall": 0, "offset_mm": offset, "height_mm": 450 });
        with(question(), "/connection", point)
    };
    let answer = post_json(PATH, &given(2_200)).await;
    let positions = answer["positions"].as_array().unwrap();
    assert!(!positions.is_empty(), "{answer}");
    for position in positions {
        let connection = &position["connection"];
        assert_eq!((&connection["wall"], &connection["offset_mm"]), (&json!(0), &json!(2_200)));
        assert!(["left", "right"].contains(&connection["port"].as_str().unwrap()));
    }
    // In zone 1 of the shower no connection unit may stand, whatever reaches it.
    let inside = post_json(PATH, &given(500)).await;
    assert_eq!(inside["positions"], json!([]));
    assert!(inside["refused_walls"].to_string().contains("switch-inside-zone"), "{inside}");
}

#[tokio::test]
async fn wrong_fields_are_told_at_once() {
    let mut wrong = with(question(), "/body", json!("SRW-NONE"));
    wrong = with(wrong, "/element", json!("SRW-B-HAAR-500.1200-BK"));
    wrong = with(wrong, "/wiring_rules", json!("nowhere"));
    wrong = with(wrong, "/connection", json!({ "wall": 9, "offset_mm": 1, "height_mm": 1 }));
    insta::assert_snapshot!(wrong_fields(&post(PATH, wrong.to_string()).await), @r#"
    422 invalid-fields
    /wiring_rules: unknown
    /body: unknown
    /element: unknown
    /connection/wall: contradiction
    "#);
}

#[tokio::test]
async fn every_bound_of_a_position_is_enforced() {
    let description = get_json("/openapi.json").await;
    let right =
        with(question(), "/connection", json!({ "wall": 0, "offset_mm": 2200, "height_mm": 450 }));
    let count = check_bounds(&demo(), PATH, (&description, &right)).await;
    assert!(100 < count, "{count}");
}

fn plan(position: &Value) -> Value {
    let sample: Value =
        serde_json::from_str(include_str!("../fixtures/plans/bath-and-washbasin.json")).unwrap();
    json!({ "scene": sample["scene"], "position": position })
}

fn order(position: &Value) -> Value {
    json!({ "market": "gb", "heat_requirement_w": 250, "users": { "children": true },
        "place": { "plan": plan(position), "wall_type": "board" }, "options_max": 2 })
}

#[tokio::test]
async fn a_resolution_in_a_drawn_room_hangs_every_rail_where_it_may_hang() {
    let answer = post_json("/v1/resolutions", &order(&json!("best"))).await;
    assert_eq!(answer["outcome"], "resolved", "{answer}");
    for option in answer["options"].as_array().unwrap() {
        let rules = texts(&option["checks"], "rule");
        for rule in [
            "zone-allowed",
            "flex-too-short",
            "head-clears-floor",
            "tube-too-low",
            "control-place",
            "wall-loading",
        ] {
            assert!(rules.contains(&rule), "{rule} in {rules:?}");
        }
        assert!(texts(&option["notices"], "code").contains(&"electrician-decides"));
        // What the sources disagree on about washbasins is no concern of a rail whose zone is known.
        assert!(!option["notices"].to_string().contains("washbasin"));
    }
}

#[tokio::test]
async fn a_place_over_the_bath_is_the_conflict_and_the_best_place_the_way_out() {
    let over_the_bath = json!({ "wall": 0, "offset_mm": 900, "height_mm": 600 });
    let answer = post_json("/v1/resolutions", &order(&over_the_bath)).await;
    assert_eq!(answer["outcome"], "impossible");
    assert_eq!(answer["conflict"]["demands"], json!(["/place/plan"]));
    let fact = answer["conflict"]["facts"][0]["text"].as_str().unwrap();
    assert!(fact.contains("\"bath\" is in the way"), "{fact}");
    assert_eq!(answer["relaxations"][0]["to"], "best");
}

#[tokio::test]
async fn checks_place_each_pair_in_the_drawn_room() {
    let parts = ["SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-BK", "SRW-C-KIST-3-BK"];
    let check = |offset: i64, height: i64| {
        let spot = json!({ "wall": 0, "offset_mm": offset, "height_mm": height });
        json!({ "parts": parts, "place": { "plan": plan(&spot) } })
    };
    let alone = json!({ "parts": [parts[0]], "place": { "plan": plan(&json!("best")) } });
    let twice = json!({ "parts": parts, "place": { "plan": plan(&json!("best")), "zone": "2" } });
    let body = json!({ "market": "gb", "checks": [check(2350, 600), check(1000, 600), check(2350, 1300), alone, twice] });
    let answers = post_json("/v1/checks", &body).await["answers"].clone();
    assert_eq!(texts(&answers, "outcome"), ["fits", "clashes", "clashes", "clashes", "invalid"]);
    assert_eq!(texts(&answers[1]["clashes"], "rule"), ["place-in-plan"]);
    assert!(answers[1]["clashes"][0]["detail"].as_str().unwrap().contains("fixture-in-the-way"));
    assert!(answers[2]["clashes"][0]["detail"].as_str().unwrap().contains("too-high-for-room"));
    assert_eq!(answers[3]["clashes"][0]["outcome"], "not_established");
    assert_eq!(answers[4]["errors"][0]["pointer"], "/checks/4/place/zone");
}

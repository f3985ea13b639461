//! `POST /v1/placements`: the shared cases through HTTP, every bad drawing by the field that is wrong, and the pictures.

use axum::body::Body;
use axum::http::Request;
use axum::http::header;
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
use crate::service::ask_of;

const PATH: &str = "/v1/placements";
const SOURCE: &str =
    "hand-written from IEC 60364-7-701:2006 / BS 7671 section 701, interpretation of 701.32";

macro_rules! sample {
    ($name:literal) => {
        (
            $name,
            include_str!(concat!("../fixtures/plans/", $name, ".json")),
            include_str!(concat!("../fixtures/plans/", $name, ".svg")),
        )
    };
}
/// Name, question, and the picture that was looked at.
type Sample = (&'static str, &'static str, &'static str);

/// The sample bathrooms.
const SAMPLES: [Sample; 6] = [
    sample!("bath-and-washbasin"),
    sample!("tray-behind-a-pane"),
    sample!("tray-less-wet-room"),
    sample!("l-shaped-room"),
    sample!("german-low-partition"),
    sample!("italian-three-zones"),
];

fn scene_of(id: &str) -> Value {
    let scenes: Vec<Value> =
        serde_json::from_str(include_str!("../fixtures/placement/scenes.json")).unwrap();
    scenes.into_iter().find(|scene| scene["id"] == id).unwrap()
}

/// A bath in a corner and one thing in the room.
fn simple() -> Value {
    json!({
        "wiring_rules": "gb-bs7671",
        "scene": scene_of("B1"),
        "items": [{ "id": "rail", "kind": "rail", "ip": "IPX4", "class": "I", "declared_zones": ["1", "2"],
            "jets": false, "connection": "permanent", "rcd_30ma": true, "min_mm": [2200, 0, 600],
            "max_mm": [2700, 100, 1400] }],
    })
}

async fn refused(question: Value) -> String {
    wrong_fields(&post(PATH, question.to_string()).await)
}

#[tokio::test]
async fn every_shared_point_has_its_zone_distance_and_boundary_over_http() {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../fixtures/placement/point_cases.json")).unwrap();
    for case in &cases {
        let item = json!({ "id": "it", "kind": "rail", "point_mm": case["point_mm"] });
        let scene = scene_of(case["scene"].as_str().unwrap());
        let kinds = texts(&scene["fixtures"], "kind");
        let no_water = kinds.iter().all(|kind| *kind == "washbasin");
        let question =
            json!({ "wiring_rules": "gb-bs7671", "scene": scene.clone(), "items": [item] });
        let placed = post_json(PATH, &question).await["items"][0].clone();
        let id = format!("{}: {} [{SOURCE}]", case["id"], case["reason"]);
        let expected = if no_water { json!("not_applicable") } else { case["expect"].clone() };
        assert_eq!(placed["zone"], expected, "{id}");
        assert_eq!(placed["on_boundary"], case["on_boundary"], "{id}");
        match (placed["distance_mm"].as_f64(), case["plan_dist_mm"].as_f64()) {
            (Some(own), Some(known)) => assert!((own - known).abs() <= 0.05 + 1e-9, "{own}: {id}"),
            (own, known) => assert_eq!(own, known, "{id}"),
        }
        let ends = placed["path_mm"].as_array().unwrap().len();
        assert_eq!(placed["distance_mm"].is_null(), ends == 0, "{id}");
    }
}

#[tokio::test]
async fn every_shared_socket_is_judged_by_its_distance_from_zone_1() {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../fixtures/placement/socket_cases.json")).unwrap();
    assert!(!cases.is_empty());
    for (distance, verdict) in [(2_499, "refused"), (2_500, "allowed"), (2_501, "allowed")] {
        let scene = with(scene_of("B1"), "/room_mm", json!([0, 0, 6000, 2500]));
        let item = json!({ "id": "socket", "kind": "socket", "rcd_30ma": true,
            "point_mm": [1_700 + distance, 0, 300] });
        let question = json!({ "wiring_rules": "gb-bs7671", "scene": scene, "items": [item] });
        let placed = post_json(PATH, &question).await["items"][0].clone();
        assert_eq!(placed["verdict"], verdict, "{placed}");
    }
}

#[tokio::test]
async fn the_worst_zone_of_the_whole_box_governs_and_the_conditions_are_listed() {
    let mut question = simple();
    question["items"][0]["rcd_30ma"] = Value::Null;
    let answer = post_json(PATH, &question).await;
    let placed = &answer["items"][0];
    insta::assert_json_snapshot!(placed, @r#"
    {
      "id": "rail",
      "kinds": [
        "rail"
      ],
      "zone": "2",
      "on_boundary": false,
      "distance_mm": 500.0,
      "governing_fixture": "bath",
      "path_mm": [
        [
          1700,
          0
        ],
        [
          2200,
          0
        ]
      ],
      "verdict": "allowed_if",
      "reasons": [
        {
          "code": "rcd-30ma",
          "effect": "allowed_if",
          "text": "a residual current device of at most 30 mA on the circuit"
        }
      ],
      "source": "BS 7671 701.512.2 [S4][S11]; no closed list for zone 2 (from memory)",
      "evidence": "read-secondary",
      "notices": []
    }
    "#);
    assert_eq!(texts(&answer["notices"], "code").first(), Some(&"electrician-decides"));
    // Each mark in the answer has its text beside it.
    let marks = texts(&answer["sources"], "mark");
    assert!(marks.contains(&"S4") && marks.contains(&"S11"), "{marks:?}");
}

#[tokio::test]
async fn a_rail_is_a_body_with_its_head_and_the_flex_leaves_below_it() {
    let rail = json!({ "id": "rail", "sku": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK",
        "wall": 0, "offset_mm": 1800, "height_mm": 600 });
    let unit = json!({ "id": "unit", "sku": "SRW-C-KIST-3-BK", "wall": 0, "offset_mm": 2000, "height_mm": 450 });
    let question =
        json!({ "market": "gb", "scene": scene_of("B1"), "items": [rail.clone(), unit] });
    let answer = post_json(PATH, &question).await;
    let items = &answer["items"];
    assert_eq!((&items[0]["zone"], &items[0]["verdict"]), (&json!("2"), &json!("allowed_if")));
    assert_eq!(items[0]["distance_mm"], 100.0);
    assert_eq!(texts(&items[0]["flex_entries"], "port"), ["left", "right"]);
    // The left port is exactly 600 mm from the bath: the boundary belongs to zone 2.
    assert_eq!(items[0]["flex_entries"][0]["on_boundary"], true);
    assert_eq!(items[1]["verdict"], "refused");
    assert_eq!(texts(&items[1]["reasons"], "code"), ["switch-inside-zone"]);
    // A head that would end below the floor.
    let low = with(question.clone(), "/items/0/height_mm", json!(40));
    insta::assert_snapshot!(refused(low).await, @"
    422 invalid-fields
    /items/0: contradiction
    ");
}

#[tokio::test]
async fn a_room_without_bath_or_shower_has_no_zones_and_belgium_establishes_nothing() {
    let dry = with(simple(), "/scene/fixtures", json!([]));
    let answer = post_json(PATH, &dry).await;
    assert_eq!(answer["items"][0]["zone"], "not_applicable");
    let belgium = with(simple(), "/wiring_rules", json!("be-arei"));
    let answered = post_json(PATH, &belgium).await;
    let placed = &answered["items"][0];
    assert_eq!(
        (&placed["zone"], &placed["verdict"]),
        (&json!("not_established"), &json!("not_established"))
    );
    let ireland = with(simple(), "/wiring_rules", json!("ie-is10101"));
    let codes = post_json(PATH, &ireland).await;
    assert!(texts(&codes["notices"], "code").contains(&"rules-fallback"));
}

#[tokio::test]
async fn an_ambiguous_drawing_is_not_established_and_says_why() {
    let question = json!({ "wiring_rules": "gb-bs7671",
        "scene": { "room_mm": [0, 0, 3000, 2500], "ceiling_mm": 2400, "fixtures": [{ "id": "wet", "kind": "trayless" }] },
        "items": [{ "id": "rail", "kind": "rail", "ip": "IPX5", "point_mm": [100, 100, 1000] }] });
    let placed = post_json(PATH, &question).await["items"][0].clone();
    assert_eq!(
        (&placed["zone"], &placed["verdict"]),
        (&json!("not_established"), &json!("not_established"))
    );
    let reasons = texts(&placed["reasons"], "text").join(" ");
    assert!(reasons.contains("no fixed outlet"), "{reasons}");
}

/// What is wrong, where it is put into the simple question, and as what.
const WRONG: &str = r#"
fixture outside the room | /scene/fixtures/0/rect_mm | [2000,0,3700,700]
outlet in a wall | /scene/outlets | [{"at_mm":[-1,350],"z_mm":2000,"serves":"bath"}]
outlet of nothing | /scene/outlets | [{"at_mm":[0,350],"z_mm":2000,"serves":"sink"}]
partition through a bath | /scene/partitions | [{"a_mm":[800,0],"b_mm":[800,900],"top_mm":2000,"kind":"wall"}]
item partly behind a wall | /items/0/max_mm | [3100,100,1400]
item above the ceiling | /items/0/max_mm | [2700,100,2500]
outlet above the ceiling | /scene/outlets | [{"at_mm":[0,350],"z_mm":2500,"serves":"bath"}]
ceiling out of range | /scene/ceiling_mm | 900
unknown edition | /wiring_rules | "gb-bs9999"
two names | /market | "gb"
no outline | /scene/fixtures/0/rect_mm | null
no rim | /scene/fixtures/0/rim_mm | null
door in no wall | /scene/openings | [{"kind":"door","a_mm":[500,500],"b_mm":[900,500],"high_mm":2000}]
no place | /items/0/min_mm | null
two places | /items/0/point_mm | [1,1,1]
no kind | /items/0/kind | null
bad code | /items/0/ip | "IP99999"
figures swapped | /items/0/min_mm | [2800,0,600]
wall with no part | /items/0/wall | 1
unknown part | /items | [{"id":"rail","sku":"SRW-NONE","wall":0,"offset_mm":0,"height_mm":600}]
no such wall | /items | [{"id":"rail","sku":"SRW-C-KIST-3-BK","wall":7,"offset_mm":0,"height_mm":600}]
an element alone | /items | [{"id":"rail","sku":"SRW-E-GLEED-400-BK","wall":0,"offset_mm":0,"height_mm":600}]
data beside a part | /items | [{"id":"rail","sku":"SRW-C-KIST-3-BK","ip":"IP44","wall":0,"offset_mm":0,"height_mm":600}]
one name twice | /items | [{"id":"a","kind":"box","point_mm":[1,1,1]},{"id":"a","kind":"box","point_mm":[1,1,1]}]
"#;

#[tokio::test]
async fn every_bad_drawing_is_refused_at_the_field_that_is_wrong() {
    let mut told = Vec::new();
    for line in WRONG.trim().lines() {
        let [name, pointer, value] = line.splitn(3, " | ").collect::<Vec<_>>().try_into().unwrap();
        let question = with(simple(), pointer, serde_json::from_str(value).unwrap());
        told.push(format!("{name}: {}", refused(question).await.replace('\n', " ")));
    }
    insta::assert_snapshot!(told.join("\n"), @r#"
    fixture outside the room: 422 invalid-fields /scene/fixtures/0: contradiction
    outlet in a wall: 422 invalid-fields /scene/outlets/0: contradiction
    outlet of nothing: 422 invalid-fields /scene/outlets/0/serves: contradiction
    partition through a bath: 422 invalid-fields /scene/partitions/0: contradiction
    item partly behind a wall: 422 invalid-fields /items/0: contradiction
    item above the ceiling: 422 invalid-fields /items/0: contradiction
    outlet above the ceiling: 422 invalid-fields /scene/outlets/0: contradiction
    ceiling out of range: 422 invalid-fields /scene/ceiling_mm: below-minimum
    unknown edition: 422 invalid-fields /wiring_rules: unknown
    two names: 422 invalid-fields /market: contradiction
    no outline: 422 invalid-fields /scene/fixtures/0/rect_mm: missing
    no rim: 422 invalid-fields /scene/fixtures/0/rim_mm: missing
    door in no wall: 422 invalid-fields /scene/openings/0: contradiction
    no place: 422 invalid-fields /items/0/min_mm: missing
    two places: 422 invalid-fields /items/0/point_mm: contradiction
    no kind: 422 invalid-fields /items/0/kind: missing
    bad code: 422 invalid-fields /items/0/ip: bad-form
    figures swapped: 422 invalid-fields /items/0/max_mm: contradiction
    wall with no part: 422 invalid-fields /items/0/wall: contradiction
    unknown part: 422 invalid-fields /items/0/sku: unknown
    no such wall: 422 invalid-fields /items/0: contradiction
    an element alone: 422 invalid-fields /items/0/sku: contradiction
    data beside a part: 422 invalid-fields /items/0/ip: contradiction
    one name twice: 422 invalid-fields /items/1/id: repeated
    "#);
}

#[tokio::test]
async fn a_polygon_that_crosses_itself_and_a_name_given_twice_are_refused() {
    let mut polygon =
        with(simple(), "/scene/corners_mm", json!([[0, 0], [3000, 2500], [3000, 0], [0, 2500]]));
    polygon["scene"].as_object_mut().unwrap().remove("room_mm");
    assert_eq!(refused(polygon).await, "422 invalid-fields\n/scene/corners_mm: contradiction");
    let bath = simple()["scene"]["fixtures"][0].clone();
    let twice = with(simple(), "/scene/fixtures", json!([bath, bath]));
    assert_eq!(refused(twice).await, "422 invalid-fields\n/scene/fixtures/1/id: contradiction");
}

#[tokio::test]
async fn unknown_markets_and_ten_thousand_partitions_are_refused_by_name() {
    let mut unknown = simple();
    unknown.as_object_mut().unwrap().remove("wiring_rules");
    let unknown = with(unknown, "/market", json!("xx"));
    let many = |count: usize| {
        let panel =
            json!({ "a_mm": [2000, 0], "b_mm": [2000, 900], "top_mm": 2000, "kind": "wall" });
        with(simple(), "/scene/partitions", json!(vec![panel; count]))
    };
    insta::assert_snapshot!(refused(unknown).await, @r#"
    422 invalid-fields
    /market: unknown
    "#);
    for (count, detail) in [
        (25, "partitions has 25 entries, allowed are 0 to 24"),
        (512, "partitions has 512 entries, allowed are 0 to 24"),
        (513, "the list has 513 entries; allowed here are 0 to 24"),
        (10_000, "the list has 10000 entries; allowed here are 0 to 24"),
    ] {
        let answer = post(PATH, many(count).to_string()).await;
        assert_eq!(answer.status, 422, "{count}: {}", answer.body);
        let errors = answer.json()["errors"].clone();
        assert_eq!(
            (&errors[0]["pointer"], &errors[0]["code"], &errors[0]["detail"], &errors[1]),
            (&json!("/scene/partitions"), &json!("too-many"), &json!(detail), &Value::Null),
            "{count}: {errors}"
        );
    }
}

#[tokio::test]
async fn faults_of_several_parts_of_a_drawing_are_told_at_once() {
    let mut question = simple();
    question["scene"]["fixtures"][0]["rect_mm"] = json!([2000, 0, 3700, 700]);
    question["scene"]["outlets"] = json!([{ "at_mm": [0, 350], "z_mm": 2000, "serves": "sink" }]);
    question["wiring_rules"] = json!("nowhere");
    question["items"][0]["ip"] = json!("IP4");
    insta::assert_snapshot!(refused(question).await, @r#"
    422 invalid-fields
    /wiring_rules: unknown
    /scene/fixtures/0: contradiction
    /scene/outlets/0/serves: contradiction
    /items/0/ip: bad-form
    "#);
}

#[tokio::test]
async fn every_bound_of_a_placement_is_enforced() {
    let description = get_json("/openapi.json").await;
    let mut question: Value = serde_json::from_str(SAMPLES[0].1).unwrap();
    question["scene"]["partitions"] = json!([{ "a_mm": [1700, 0], "b_mm": [1700, 700], "top_mm": 2000,
        "kind": "glass_panel", "thickness_mm": 8 }]);
    question["items"].as_array_mut().unwrap().push(simple()["items"][0].clone());
    let count = check_bounds(&demo(), PATH, (&description, &question)).await;
    assert!(150 < count, "{count}");
}

async fn draw(question: &str) -> String {
    let request = Request::post(PATH)
        .header(header::CONTENT_TYPE, "application/json")
        .header(header::ACCEPT, "image/svg+xml");
    let answer = ask_of(demo(), request, Body::from(question.to_owned())).await;
    assert_eq!(
        (answer.status.as_u16(), answer.header("content-type")),
        (200, "image/svg+xml"),
        "{}",
        answer.body
    );
    answer.body
}

#[tokio::test]
async fn six_sample_bathrooms_are_drawn_as_they_were_looked_at() {
    for (name, question, picture) in SAMPLES {
        assert!(
            draw(question).await == picture,
            "the drawing of {name} has changed: look at it, then keep it"
        );
    }
}

#[tokio::test]
async fn names_in_a_drawing_do_no_harm() {
    let question = with(simple(), "/scene/name", json!("<script>alert(1)</script>"));
    let question = with(question, "/items/0/id", json!("\"><svg onload=x>"));
    let picture = draw(&question.to_string()).await;
    assert!(!picture.contains("<script") && !picture.contains("<svg onload"));
    assert!(picture.contains("The local wiring code and a licensed electrician decide"));
}

#[tokio::test]
async fn the_list_of_sources_has_every_mark_that_an_answer_shows() {
    let listed = get_json("/v1/sources").await;
    let marks = texts(&listed["sources"], "mark");
    for rules in
        ["gb-bs7671", "de-2025", "fr-a5", "it-cei64-8", "es-itc-bt-27", "nl-nen1010", "au-nz-3000"]
    {
        let answer = post_json(PATH, &with(simple(), "/wiring_rules", json!(rules))).await;
        let text = answer.to_string();
        let shown = text.split("[S").skip(1).filter_map(|rest| rest.split_once(']'));
        for (number, _rest) in shown {
            assert!(marks.contains(&format!("S{number}").as_str()), "[S{number}] of {rules}");
        }
        assert!(!answer["sources"].as_array().unwrap().is_empty(), "{rules}");
    }
}

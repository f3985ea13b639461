//! `POST /v1/checks` over the demonstration catalogue: pairs chosen by hand, whose clash a fitter could name.

use serde_json::Value;
use serde_json::json;

use crate::demo::get_json;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::wrong_fields;
use crate::resolutions::hundredths;

const PATH: &str = "/v1/checks";

async fn ask(market: &str, checks: Vec<Value>) -> Vec<Value> {
    let body = json!({ "market": market, "checks": checks });
    post_json(PATH, &body).await["answers"].as_array().unwrap().clone()
}

/// The clashing rules of parts, at a place.
async fn clashes(parts: &[&str], place: Value, users: Value) -> (String, Vec<Value>) {
    let check = json!({ "parts": parts, "place": place, "users": users });
    let answer = ask("gb", vec![check]).await.remove(0);
    let outcome = answer["outcome"].as_str().unwrap().to_owned();
    (outcome, answer["clashes"].as_array().unwrap().clone())
}

/// Asserts that the parts clash by exactly one rule, and that it shows both values.
async fn check_clash(parts: &[&str], place: Value, (rule, left, right): (&str, &str, &str)) {
    let (outcome, found) = clashes(parts, place, Value::Null).await;
    assert_eq!(outcome, "clashes", "{parts:?}");
    assert_eq!(texts(&json!(found), "rule"), [rule], "{parts:?}");
    assert_eq!(found[0]["left"]["value"], left, "{}", found[0]);
    assert_eq!(found[0]["right"]["value"], right, "{}", found[0]);
    assert!(!found[0]["detail"].as_str().unwrap().is_empty());
    assert!(!found[0]["source"].as_str().unwrap().is_empty());
}

/// A rail of 500 x 1200 mm and an element that fit, the measure of the pairs below.
const BODY: &str = "SRW-B-HAAR-500.1200-BK";
const ELEMENT: &str = "SRW-E-GLEED-400-BK";

#[tokio::test]
async fn parts_that_belong_together_fit() {
    let place = json!({ "zone": "2", "connection_distance_mm": 1000 });
    let check =
        json!({ "parts": [BODY, ELEMENT, "SRW-C-KIST-3-BK", "SRW-A-PLUG-G12-BK"], "place": place });
    let answer = ask("gb", vec![check]).await.remove(0);
    assert_eq!(answer["outcome"], "fits", "{answer}");
    assert_eq!(answer["clashes"], json!([]));
    // 400 W at 60 degrees in a body of 599 W at 70: the element is the bottleneck or the body is, never more than both.
    assert!(answer["delivered_w"].as_f64().unwrap() <= 400.0);
    assert!(texts(&answer["notices"], "code").contains(&"electrician-decides"));
    let rules = texts(&answer["checks"], "rule");
    for rule in [
        "thread-mates",
        "element-finish",
        "control-overloaded",
        "plug-cover-thread",
        "zone-allowed",
    ] {
        assert!(rules.contains(&rule), "{rules:?}");
    }
}

#[tokio::test]
async fn each_trap_of_a_pair_clashes_by_its_own_rule() {
    let nowhere = Value::Null;
    for (body, element, rule, left, right) in [
        // The same element and rail with another thread.
        (BODY, "SRW-E-GLEED-400-BK-34", "thread-mates", "G 3/4 ext", "G 1/2 int"),
        ("SRW-B-HAAR-500.1200-BK-34", ELEMENT, "thread-mates", "G 1/2 ext", "G 3/4 int"),
        // ISO 7-1: a parallel external thread does not joint in a taper port.
        (
            "SRW-B-SKROV-500.1000-WH",
            "SRW-E-GLEED-400-WH",
            "thread-mates",
            "G 1/2 ext",
            "Rc 1/2 int",
        ),
        // No standard says that a taper thread joints in a parallel port.
        (BODY, "SRW-E-GLEED-400-BK-R12", "thread-mates", "R 1/2 ext", "G 1/2 int"),
        (BODY, "SRW-E-GLEED-400-WH", "element-finish", "white", "matt-black"),
        (BODY, "SRW-E-GLEED-800-BK", "element-within-watts", "800", "300 to 700"),
        (BODY, "SRW-E-GLEED-200-BK", "element-within-watts", "200", "300 to 700"),
        ("SRW-B-HAAR-500.1200-BK-DF", ELEMENT, "body-not-electric", "dual_fuel", "electric"),
        (
            "SRW-B-HAAR-500.1200-CH-CW",
            "SRW-E-GLEED-400-CH",
            "body-not-electric",
            "central_heating",
            "electric",
        ),
    ] {
        check_clash(&[body, element], nowhere.clone(), (rule, left, right)).await;
    }
}

#[tokio::test]
async fn a_body_plumbed_to_the_central_heating_is_refused_by_itself() {
    for body in ["SRW-B-RIVLI-500.1000-CH", "SRW-B-BRIMT-500.1000-BK"] {
        let (outcome, found) = clashes(&[body], Value::Null, Value::Null).await;
        assert_eq!(outcome, "clashes");
        assert_eq!(
            found[0]["detail"].as_str().unwrap().split(" Here ").next().unwrap(),
            "Only bodies made for electric heating alone are answered for."
        );
    }
}

#[tokio::test]
async fn a_place_clashes_with_what_is_stated_about_the_parts() {
    let short = "SRW-E-GLEED-400-BK-F8";
    for (parts, place, clash) in [
        (
            [BODY, short],
            json!({ "connection_distance_mm": 800 }),
            ("flex-too-short", "800 mm", "800 mm and 100 mm of slack"),
        ),
        ([BODY, ELEMENT], json!({ "wall_width_mm": 499 }), ("body-too-wide", "500 mm", "499 mm")),
        (
            ["SRW-B-SKARF-500.1100-BK-L", ELEMENT],
            json!({ "side": "right" }),
            ("element-on-wrong-side", "left", "right"),
        ),
        // IPX4 where water jets clean, which asks for IPX5.
        (
            [BODY, "SRW-E-GLEED-400-BK-X4"],
            json!({ "zone": "2", "water_jets": true }),
            ("zone-allowed", "IPX4, class I, declared for 1 and 2", "2"),
        ),
        (
            [BODY, ELEMENT],
            json!({ "zone": "0" }),
            ("zone-allowed", "IPX5, class I, declared for 1 and 2", "0"),
        ),
        // Declared for zone 2 only.
        (
            [BODY, "SRW-E-LUNT-600-BK"],
            json!({ "zone": "1" }),
            ("zone-allowed", "IP54, class I, declared for 2", "1"),
        ),
    ] {
        check_clash(&parts, place, clash).await;
    }
    // One millimetre more, or the other side, and nothing speaks against them.
    for (parts, place) in [
        ([BODY, short], json!({ "connection_distance_mm": 700 })),
        ([BODY, ELEMENT], json!({ "wall_width_mm": 500 })),
        (["SRW-B-SKARF-500.1100-BK-L", ELEMENT], json!({ "side": "left" })),
        ([BODY, ELEMENT], json!({ "zone": "2", "water_jets": true })),
    ] {
        assert_eq!(
            clashes(&parts, place.clone(), Value::Null).await.0,
            "fits",
            "{parts:?} {place}"
        );
    }
}

#[tokio::test]
async fn an_ip_code_that_is_not_stated_is_never_taken_for_enough() {
    let parts = ["SRW-B-OOTAD-400.1100-BK", "SRW-E-DIMRI-600-BB-IN"];
    let (outcome, found) = clashes(&parts, json!({ "zone": "2" }), Value::Null).await;
    assert_eq!(outcome, "clashes");
    let zone = found.iter().find(|clash| clash["rule"] == "zone-allowed").unwrap();
    assert_eq!(zone["outcome"], "not_established");
    assert_eq!(zone["left"]["value"], "IP not stated, class I, declared for 1 and 2");
}

#[tokio::test]
async fn the_users_protection_decides() {
    let children = json!({ "children": true });
    let vulnerable = json!({ "vulnerable": true });
    for (element, users, rule) in [
        (ELEMENT, &children, Some("heat-not-lockable")),
        (ELEMENT, &vulnerable, Some("surface-too-hot")),
        // Locked at 45 degrees: enough for children, two too many for people who cannot pull away.
        ("SRW-E-LEW-400-BK-L45", &children, None),
        ("SRW-E-LEW-400-BK-L45", &vulnerable, Some("surface-too-hot")),
        ("SRW-E-LEW-400-BK", &vulnerable, None),
    ] {
        let (_, found) = clashes(&[BODY, element], Value::Null, users.clone()).await;
        assert_eq!(texts(&json!(found), "rule"), Vec::from_iter(rule), "{element} {users}");
    }
    // A guard makes up for the element.
    let guarded = ["SRW-B-HAAR-500.1200-BK-GD", ELEMENT];
    assert_eq!(clashes(&guarded, Value::Null, vulnerable).await.0, "fits");
}

#[tokio::test]
async fn controls_clash_with_elements() {
    for (element, control, rule, left, right) in [
        ("SRW-E-LUNT-600-BK", "SRW-C-KLOKK-16-BK-L2", "control-overloaded", "600", "460"),
        (
            "SRW-E-LUNT-600-BK",
            "SRW-C-LIPPT-10-BK",
            "wall-thermostat-needs-fixed-element",
            "adjustable",
            "fixed",
        ),
        (
            "SRW-E-LUNTK-400-BK-NR",
            "SRW-C-KLOKK-16-BK",
            "time-switch-needs-resuming-element",
            "no",
            "yes",
        ),
    ] {
        check_clash(&[BODY, element, control], Value::Null, (rule, left, right)).await;
    }
}

#[tokio::test]
async fn accessories_clash_with_bodies() {
    for (accessory, rule, left, right) in [
        ("SRW-A-PLUG-G34-BK", "plug-cover-thread", "G 3/4 ext", "G 1/2 int"),
        ("SRW-A-PLUG-G12-WH", "plug-cover-finish", "white", "matt-black"),
        ("SRW-A-HOOK-ROUND-25-BK", "hook-tube", "round-25", "round-22"),
        ("SRW-A-FLEX-1000-CH", "flex-cover-finish", "polished-chrome", "matt-black"),
    ] {
        check_clash(&[BODY, accessory], Value::Null, (rule, left, right)).await;
    }
}

#[tokio::test]
async fn answers_come_by_index_and_a_wrong_question_spoils_no_other() {
    let answers = ask(
        "gb",
        vec![
            json!({ "parts": [BODY, ELEMENT] }),
            json!({ "parts": [BODY, "SRW-E-NOTHING"] }),
            json!({ "parts": [BODY, "SRW-E-GLEED-400-BK-34"] }),
            json!({ "parts": [BODY, BODY, "srw-e-small", "SRW-A-KEY-5", "SRW-A-KEY-5"],
                "place": { "region": "atlantis" } }),
            json!({ "parts": [BODY, "SRW-B-HAAR-500.1200-WH", ELEMENT, "SRW-E-GLEED-400-WH"] }),
        ],
    )
    .await;
    assert_eq!(
        texts(&json!(answers), "outcome"),
        ["fits", "invalid", "clashes", "invalid", "invalid"]
    );
    let named: Vec<String> = answers
        .iter()
        .flat_map(|answer| answer["errors"].as_array().cloned().unwrap_or_default())
        .map(|error| {
            format!("{}: {}", error["pointer"].as_str().unwrap(), error["code"].as_str().unwrap())
        })
        .collect();
    insta::assert_snapshot!(named.join("\n"), @"
    /checks/1/parts/1: unknown
    /checks/3/parts/1: repeated
    /checks/3/parts/2: unknown
    /checks/3/parts/4: repeated
    /checks/3/place/region: unknown
    /checks/4/parts/1: too-many
    /checks/4/parts/3: too-many
    ");
}

#[tokio::test]
async fn two_hundred_checks_are_answered_and_one_more_is_refused() {
    let check = json!({ "parts": [BODY, ELEMENT] });
    assert_eq!(ask("gb", vec![check.clone(); 200]).await.len(), 200);
    let body = json!({ "market": "gb", "checks": vec![check; 201] });
    let answer = post(PATH, body.to_string()).await;
    assert_eq!(wrong_fields(&answer), "422 invalid-fields\n/checks: too-many");
}

#[tokio::test]
async fn an_unknown_market_is_named_beside_other_wrong_fields() {
    let body =
        json!({ "market": "xx", "checks": [{ "parts": [BODY], "room_c": 200, "colour": 1 }] });
    insta::assert_snapshot!(wrong_fields(&post(PATH, body.to_string()).await), @"
    422 invalid-fields
    /checks/0/room_c: above-maximum
    /checks/0/colour: unknown-field
    /market: unknown
    ");
}

#[tokio::test]
async fn a_body_delivers_less_in_a_warm_room_and_under_towels() {
    let parts = json!([BODY, "SRW-E-GLEED-600-BK"]);
    let answers = ask(
        "gb",
        vec![
            json!({ "parts": parts }),
            json!({ "parts": parts, "room_c": 26 }),
            json!({ "parts": parts, "towels_factor": 0.6 }),
        ],
    )
    .await;
    let delivered: Vec<f64> =
        answers.iter().map(|answer| answer["delivered_w"].as_f64().unwrap()).collect();
    assert!(delivered[1] < delivered[0] && delivered[2] < delivered[0], "{delivered:?}");
    // Bare, the body is the bottleneck: under towels it sheds six tenths of what it shed, to the printed tenth.
    assert!((delivered[2] - 0.6 * delivered[0]).abs() <= 0.1, "{delivered:?}");
}

#[tokio::test]
async fn a_check_agrees_with_the_list_of_what_fits() {
    let list = get_json(&format!("/v1/bodies/{BODY}/elements")).await;
    let listed = texts(&list["items"], "sku");
    let mut checks = Vec::new();
    let elements = get_json("/v1/elements?limit=200").await;
    let skus = texts(&elements["items"], "sku");
    for sku in &skus {
        checks.push(json!({ "parts": [BODY, sku] }));
    }
    let answers = ask("gb", checks).await;
    for (sku, answer) in skus.iter().zip(&answers) {
        assert_eq!(
            listed.contains(sku),
            answer["outcome"] == "fits",
            "{sku}: {}",
            answer["clashes"]
        );
    }
    assert!(!listed.is_empty() && listed.len() < skus.len());
}

#[tokio::test]
async fn a_clash_names_the_single_part_to_swap_and_what_would_do() {
    let parts = [BODY, "SRW-E-GLEED-400-BK-34", "SRW-A-PLUG-G12-BK"];
    let answer = ask("gb", vec![json!({ "parts": parts })]).await.remove(0);
    assert_eq!(answer["outcome"], "clashes", "{answer}");
    let mut tried = 0;
    for swap in answer["swaps"].as_array().unwrap() {
        let substitutes = swap["by"].as_array().unwrap();
        let prices: Vec<i64> =
            substitutes.iter().map(|part| hundredths(&part["unit_net"])).collect();
        assert!(prices.is_sorted(), "{swap}");
        for substitute in texts(&swap["by"], "sku") {
            let stays = |part: &&str| swap["replaced"] != *part;
            let mut swapped: Vec<&str> = parts.into_iter().filter(stays).collect();
            swapped.push(substitute);
            let fitting = ask("gb", vec![json!({ "parts": swapped })]).await.remove(0);
            assert_eq!(fitting["outcome"], "fits", "{swapped:?}");
            assert_eq!(fitting.get("swaps"), None);
            tried += 1;
        }
    }
    assert!(tried >= 2, "{tried}");
}

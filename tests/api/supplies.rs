//! `POST /v1/electrical-supplies`: current, fuse, flex, voltage drop and duties, against worked figures.

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

const PATH: &str = "/v1/electrical-supplies";

fn question() -> Value {
    json!({
        "market": "gb",
        "rails": [{ "watts": 695, "flex_mm2": 0.75, "flex_length_mm": 1500, "maker_fuse_a_max": 13 }],
        "cables": [{ "size_mm2": "1.5", "length_mm": 20000 }],
        "device_a": 16,
        "work": { "region": "england", "kind": "addition",
            "site": { "height_mm": 500, "from_bath_or_tray_mm": 700, "from_shower_head_mm": 2000, "shower_head_height_mm": 2100 } },
    })
}

#[tokio::test]
async fn the_exact_and_the_customary_limit_of_3_ampere_are_both_shown() {
    // 690 W is 3.000 A at 230 V; custom goes to 700 W; 5 A is legal and seldom in stock.
    for (watts, fit, exact, customary) in
        [(690.0, 3, 3, 3), (690.1, 5, 13, 3), (700.0, 5, 13, 3), (700.1, 5, 13, 13)]
    {
        let answer = post_json(PATH, &with(question(), "/rails/0/watts", json!(watts))).await;
        let fuse = &answer["rails"][0]["fuse"];
        assert_eq!(fuse["fit_a"], fit, "{watts}");
        assert_eq!(
            (&fuse["exact_a"], &fuse["customary_a"]),
            (&json!(exact), &json!(customary)),
            "{watts}"
        );
        assert_eq!(
            (&fuse["exact_3a_limit_w"], &fuse["customary_3a_limit_w"]),
            (&json!(690.0), &json!(700.0))
        );
    }
}

#[tokio::test]
async fn the_power_follows_the_square_of_the_voltage_and_the_flex_adds_to_the_drop() {
    let answer = post_json(PATH, &with(question(), "/rails/0/watts", json!(600))).await;
    let rail = &answer["rails"][0];
    assert_eq!(rail["highest"], json!({ "volts": 253.0, "power_w": 726.0, "current_a": 2.87 }));
    // 600 W x (216.2 / 230)^2.
    assert_eq!(rail["lowest"], json!({ "volts": 216.2, "power_w": 530.16, "current_a": 2.452 }));
    assert_eq!(rail["nominal"], json!({ "volts": 230.0, "power_w": 600.0, "current_a": 2.609 }));
    // (29 mV x 20 m + 62 mV x 1.5 m) x 2.6087 A = 1.756 V.
    assert_eq!(rail["voltage_drop"]["volts"], 1.756);
    assert_eq!(rail["voltage_drop"]["within_limit"], true);
}

#[tokio::test]
async fn several_rails_share_one_circuit_and_its_device() {
    let rail = json!({ "element": "SRW-E-GLEED-400-BK" });
    let twelve = with(question(), "/rails", json!(vec![rail; 12]));
    let answer = post_json(PATH, &twelve).await;
    assert_eq!(answer["total"], json!({ "volts": 230.0, "power_w": 4800.0, "current_a": 20.87 }));
    assert_eq!(
        (&answer["breaker_a_min"], &answer["device_carries_all"]),
        (&json!(25), &json!(false))
    );
    assert_eq!(answer["rails"].as_array().unwrap().len(), 12);
}

#[tokio::test]
async fn the_fuse_is_a_british_and_irish_matter_and_every_answer_carries_the_caution() {
    for (market, has_fuse) in [("gb", true), ("ie", true), ("de", false)] {
        let answer = post_json(PATH, &with(question(), "/market", json!(market))).await;
        assert_eq!(answer["rails"][0]["fuse"].is_object(), has_fuse, "{market}");
        assert_eq!(
            texts(&answer["advice"], "code"),
            ["rcd-30ma", "bonding", "isolation", "protective-device"]
        );
        assert!(texts(&answer["notices"], "code").contains(&"electrician-decides"), "{market}");
    }
}

#[tokio::test]
async fn a_fuse_that_the_flex_does_not_bear_is_told() {
    let mut thin = with(question(), "/rails/0/flex_mm2", json!(0.5));
    thin = with(thin, "/rails/0/maker_fuse_a", json!(13));
    let answer = post_json(PATH, &thin).await;
    let fuse = &answer["rails"][0]["fuse"];
    assert_eq!(fuse["stated_by_maker"], true);
    assert_eq!(texts(&fuse["faults"], "code"), ["fuse-above-flex"]);
}

#[tokio::test]
async fn a_fuse_is_no_less_than_the_load_and_no_more_than_flex_and_maker_allow() {
    let stated = |watts: i32, fuse_a: i32, most_a: i32| {
        let rail = json!({ "watts": watts, "flex_mm2": 0.75, "flex_length_mm": 1500,
            "maker_fuse_a": fuse_a, "maker_fuse_a_max": most_a });
        with(question(), "/rails", json!([rail]))
    };
    // A flex of 0.75 mm² bears 6 A.
    for (watts, fuse_a, most_a, faults) in [
        (690, 3, 3, &[][..]),
        (691, 3, 13, &["fuse-below-load"]),
        (690, 5, 3, &["fuse-above-maker"]),
        (690, 13, 13, &["fuse-above-flex"]),
        (690, 13, 3, &["fuse-above-flex", "fuse-above-maker"]),
    ] {
        let answer = post_json(PATH, &stated(watts, fuse_a, most_a)).await;
        let told = texts(&answer["rails"][0]["fuse"]["faults"], "code");
        assert_eq!(told, faults, "{watts} W, {fuse_a} A, at most {most_a} A");
    }
}

#[tokio::test]
async fn who_must_be_told_depends_on_place_and_distance() {
    for (region, kind, from_bath, duty) in [
        ("england", "addition", 700, "not-notifiable"),
        ("england", "addition", 600, "notifiable"),
        ("england", "new_circuit", 700, "notifiable"),
        ("england", "replacement", 100, "not-notifiable"),
        ("wales", "addition", 700, "treat-as-notifiable"),
        ("scotland", "addition", 700, "check-warrant"),
        ("northern_ireland", "addition", 700, "not-established"),
        ("ireland", "addition", 700, "restricted-with-certificate"),
        ("elsewhere", "addition", 700, "not-established"),
    ] {
        let site = json!({ "height_mm": 500, "from_bath_or_tray_mm": from_bath });
        let work = json!({ "region": region, "kind": kind, "site": site });
        let answer = post_json(PATH, &with(question(), "/work", work)).await;
        assert_eq!(answer["notification"]["duty"], duty, "{region} {kind} {from_bath}");
        assert!(!answer["notification"]["source"].as_str().unwrap().is_empty());
    }
    let unsaid = post_json(PATH, &with(question(), "/work", Value::Null)).await;
    assert_eq!(unsaid["notification"], Value::Null);
}

#[tokio::test]
async fn wrong_fields_are_told_at_once() {
    let wrong = json!({
        "market": "xx",
        "rails": [{}, { "watts": 400, "element": "SRW-E-GLEED-400-BK" }, { "element": "SRW-NONE" },
            { "watts": 400, "flex_mm2": 0.8 }, { "watts": 400, "maker_fuse_a": 4 },
            { "element": "SRW-E-GLEED-400-BK", "flex_mm2": 1.0 }],
    });
    insta::assert_snapshot!(wrong_fields(&post(PATH, wrong.to_string()).await), @r#"
    422 invalid-fields
    /market: unknown
    /rails/0/watts: missing
    /rails/1/watts: contradiction
    /rails/2/element: unknown
    /rails/3/flex_mm2: not-one-of
    /rails/4/maker_fuse_a: not-one-of
    /rails/5/flex_mm2: contradiction
    "#);
}

#[tokio::test]
async fn every_bound_of_a_supply_is_enforced() {
    let description = get_json("/openapi.json").await;
    let count = check_bounds(&demo(), PATH, (&description, &question())).await;
    assert!(50 < count, "{count}");
}

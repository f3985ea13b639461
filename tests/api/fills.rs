//! `POST /v1/fills`: litres, doses and pressures by part numbers and by raw figures, and what happens where there are none.

use serde_json::Value;
use serde_json::json;

use crate::bounds::check_bounds;
use crate::demo::demo;
use crate::demo::family_bathroom;
use crate::demo::get_json;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;
use crate::demo::wrong_fields;

const PATH: &str = "/v1/fills";

/// Five litres of body, a tenth of them air, filled at 20 °C for 70 °C.
fn worked_fill() -> Value {
    json!({ "body_volume_l": 5, "headspace_fraction": 0.1, "fill_c": 20, "hot_c": 70 })
}

async fn answer(asked: Value) -> Value {
    post_json(PATH, &asked).await
}

#[tokio::test]
async fn the_worked_fill() {
    let mut answer = answer(worked_fill()).await;
    let fields = answer.as_object_mut().unwrap();
    fields.remove("notices");
    fields.remove("steps");
    insta::assert_snapshot!(serde_json::to_string_pretty(&answer).unwrap(), @r#"
    {
      "outcome": "filled",
      "verdict": "not_established",
      "sentence": "When to close the vent, or what the body bears, is not known, so no pressure is judged. The figures are of a body closed cold.",
      "fill_l": 4.5,
      "fill_kg": 4.492,
      "expansion_percent": 2.091,
      "headspace_fraction": 0.1,
      "headspace_min_fraction": 0.02048,
      "headspace_advised_fraction": null,
      "case": "sealed_cold",
      "absolute_kpa": 173.93,
      "gauge_bar": 0.726,
      "permitted_gauge_bar": null,
      "allowed_gauge_bar": null,
      "cases": {
        "sealed_cold": {
          "absolute_kpa": 173.93,
          "gauge_bar": 0.726
        },
        "sealed_hot": {
          "hot": {
            "absolute_kpa": 101.33,
            "gauge_bar": 0.0
          },
          "lowest": {
            "absolute_kpa": 50.97,
            "gauge_bar": -0.504
          }
        },
        "never_vented": {
          "absolute_kpa": 173.93,
          "gauge_bar": 0.726
        }
      },
      "doses": {
        "water_l": 4.5,
        "water_kg": 4.492,
        "glycol_l": 0.0,
        "inhibitor_ml": null
      },
      "fill_c": 20.0,
      "hot_c": 70.0,
      "fluid": {
        "kind": "water",
        "volume_fraction": 0.0,
        "freezes_c": 0.0,
        "source": "IAPWS SR6-08 closed form at 100 kPa, checked against IAPWS-IF97",
        "evidence": "computed"
      }
    }
    "#);
}

#[tokio::test]
async fn the_worked_fill_lists_its_steps_in_order_and_its_cautions() {
    let answer = answer(worked_fill()).await;
    let (steps, notices) = (&answer["steps"], &answer["notices"]);
    insta::assert_snapshot!(texts(steps, "code").join("\n"), @"
    isolate
    rinse
    fit-element
    mix
    fill
    check-dry
    ask-maker
    recheck
    ");
    insta::assert_snapshot!(texts(notices, "code").join("\n"), @"
    electrician-decides
    licensed-electrician
    pressure-can-be-higher
    vent-closing-not-established
    permitted-pressure-not-stated
    inhibitor-not-established
    frost
    ");
}

#[tokio::test]
async fn a_named_body_is_filled_with_its_own_data() {
    let named = json!({ "body": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK", "inhibitor": "SRW-A-INHIB-250" });
    let answer = answer(named).await;
    let told = [
        "fill_l",
        "fill_kg",
        "hot_c",
        "gauge_bar",
        "permitted_gauge_bar",
        "allowed_gauge_bar",
        "verdict",
        "case",
    ];
    let told: Vec<String> =
        told.iter().map(|field| format!("{field} {}", answer[*field])).collect();
    insta::assert_snapshot!(told.join("\n"), @r#"
    fill_l 4.751
    fill_kg 4.743
    hot_c 60.0
    gauge_bar 0.49
    permitted_gauge_bar 4.0
    allowed_gauge_bar 3.077
    verdict "within"
    case "sealed_cold"
    "#);
    let doses = &answer["doses"];
    let sum = doses["water_l"].as_f64().unwrap() + doses["inhibitor_ml"].as_f64().unwrap() / 1000.0;
    assert!((sum - answer["fill_l"].as_f64().unwrap()).abs() < 0.002, "{answer}");
}

#[tokio::test]
async fn the_makers_word_on_the_vent_decides_which_case_is_judged() {
    let judged = |closing: &'static str, bar: f64| async move {
        let mut asked = with(worked_fill(), "/vent_closing", json!(closing));
        asked["permitted_gauge_bar"] = json!(bar);
        asked["element_displacement_l"] = json!(0.4);
        let answer = answer(asked).await;
        format!("{} {} bar {}", answer["case"], answer["gauge_bar"], answer["verdict"])
    };
    insta::assert_snapshot!(judged("sealed_cold", 0.9).await, @r#""sealed_cold" 0.726 bar "exceeds""#);
    insta::assert_snapshot!(judged("sealed_cold", 1.0).await, @r#""sealed_cold" 0.726 bar "within""#);
    insta::assert_snapshot!(judged("never_vented", 1.0).await, @r#""never_vented" 1.967 bar "exceeds""#);
    insta::assert_snapshot!(judged("sealed_hot", 0.5).await, @r#""sealed_hot" 0.0 bar "within""#);
}

#[tokio::test]
async fn the_vent_is_open_before_a_body_to_be_closed_hot_is_heated() {
    let answer = answer(with(worked_fill(), "/vent_closing", json!("sealed_hot"))).await;
    let steps = texts(&answer["steps"], "code");
    let place = |code: &str| steps.iter().position(|known| *known == code).unwrap();
    assert!(place("open-vent") < place("first-heating"));
    assert!(place("first-heating") < place("close-vent-hot"));
    let open = &answer["steps"][place("open-vent")];
    assert!(open["caution"].as_str().unwrap().contains("may spit hot fluid"));
}

#[tokio::test]
async fn where_the_model_ends_the_answer_says_what_happens_and_gives_no_figure() {
    let locked = with(worked_fill(), "/headspace_fraction", json!(0.02));
    let dry = with(worked_fill(), "/headspace_fraction", json!(1));
    let boiling = with(worked_fill(), "/hot_c", json!(120));
    for (asked, verdict) in [(locked, "locked"), (dry, "dry"), (boiling, "boiling")] {
        let answer = answer(asked).await;
        assert_eq!((&answer["outcome"], &answer["verdict"]), (&json!("refused"), &json!(verdict)));
        assert!(40 < answer["sentence"].as_str().unwrap().len());
        assert!(texts(&answer["notices"], "code").contains(&"electrician-decides"));
        let names: Vec<&String> = answer.as_object().unwrap().keys().collect();
        assert_eq!(names, ["outcome", "verdict", "sentence", "notices"]);
    }
}

#[tokio::test]
async fn what_cannot_be_is_named_with_its_reason() {
    let refused = |asked: Value| async move { wrong_fields(&post(PATH, asked.to_string()).await) };
    insta::assert_snapshot!(refused(json!({})).await, @"
    422 invalid-fields
    /body_volume_l: missing
    /headspace_fraction: missing
    /hot_c: missing
    ");
    let mut asked = with(worked_fill(), "/element_displacement_l", json!(5));
    asked["fluid"] = json!({ "kind": "propylene_glycol", "volume_fraction": 0.6 });
    asked["hot_c"] = json!(95);
    let answer = post(PATH, asked.to_string()).await;
    insta::assert_snapshot!(answer.json()["errors"].to_string(), @r#"[{"pointer":"/fluid/volume_fraction","code":"contradiction","detail":"volume fraction of glycol is 0.6, the table holds 0.2 to 0.5 and is not extrapolated"},{"pointer":"/hot_c","code":"contradiction","detail":"95 °C lies outside the glycol table, which holds 10 °C to 90 °C"},{"pointer":"/element_displacement_l","code":"contradiction","detail":"the element takes up 5 l, the body holds 5 l"}]"#);
    let mut crowded = with(worked_fill(), "/fill_l", json!(6));
    crowded["body"] = json!("SRW-B-HAAR-500.1200-BK");
    crowded["inhibitor"] = json!("SRW-A-KEY-5");
    crowded["fluid"] = json!({ "kind": "ethylene_glycol" });
    crowded["fill_c"] = json!(80);
    insta::assert_snapshot!(refused(crowded).await, @"
    422 invalid-fields
    /fill_c: above-maximum
    /inhibitor: contradiction
    /body_volume_l: contradiction
    /fill_l: contradiction
    /hot_c: contradiction
    ");
    let mut brim = worked_fill();
    brim.as_object_mut().unwrap().remove("headspace_fraction");
    brim["fill_l"] = json!(5.5);
    insta::assert_snapshot!(refused(brim).await, @"
    422 invalid-fields
    /fill_l: contradiction
    ");
    let colder = with(worked_fill(), "/fill_c", json!(60));
    insta::assert_snapshot!(refused(with(colder, "/hot_c", json!(40))).await, @"
    422 invalid-fields
    /hot_c: contradiction
    ");
}

#[tokio::test]
async fn a_body_that_comes_filled_is_not_filled_again() {
    let bodies = get_json("/v1/bodies?limit=200").await;
    let filled = bodies["items"]
        .as_array()
        .unwrap()
        .iter()
        .find(|body| body["attributes"]["filled"] == true);
    let asked = json!({ "body": filled.unwrap()["sku"] });
    insta::assert_snapshot!(wrong_fields(&post(PATH, asked.to_string()).await), @"
    422 invalid-fields
    /body: not-supported
    ");
}

#[tokio::test]
async fn every_bound_is_enforced() {
    let description = get_json("/openapi.json").await;
    let mut asked = worked_fill();
    let more = json!({ "element_displacement_l": 0.1, "permitted_gauge_bar": 6, "vent_closing": "sealed_hot",
        "inhibitor_ml_l": 10, "concentrate_kg_l": 1.04, "fluid": { "kind": "ethylene_glycol", "volume_fraction": 0.3 } });
    asked.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    let count = check_bounds(&demo(), PATH, (&description, &asked)).await;
    assert!(45 < count, "{count}");
}

#[tokio::test]
async fn a_bill_with_an_empty_body_says_how_it_is_filled_and_its_link_answers() {
    let answer = post_json("/v1/resolutions", &family_bathroom()).await;
    for option in answer["options"].as_array().unwrap() {
        let fill = &option["fill"];
        assert_eq!(fill["outcome"], "filled", "{fill}");
        let link = &fill["commissioning"];
        let told = post_json(link["path"].as_str().unwrap(), &link["request"]).await;
        for field in [
            "fill_l",
            "gauge_bar",
            "verdict",
            "permitted_gauge_bar",
            "headspace_min_fraction",
            "case",
        ] {
            assert_eq!(told[field], fill[field], "{field}");
        }
        assert_eq!(told["doses"]["inhibitor_ml"], fill["inhibitor_ml"]);
        // A pack that is too small would be a defect of the bill.
        assert!(fill["inhibitor_ml"].as_f64().is_some(), "{fill}");
    }
}

#[tokio::test]
async fn every_option_tells_how_the_pair_works() {
    let answer = post_json("/v1/resolutions", &family_bathroom()).await;
    for option in answer["options"].as_array().unwrap() {
        let emission = &option["emission"];
        let sku = |kind: &str| {
            let lines = option["lines"].as_array().unwrap().iter();
            lines.clone().find(|line| line["kind"] == kind).unwrap()["sku"].clone()
        };
        let alone = json!({ "body": sku("body"), "element": sku("element"), "room_c": 22, "set_point_c": emission["steady_fluid_c"] });
        if emission["operation"] == "held" {
            let told = post_json("/v1/heat-outputs", &alone).await;
            assert_eq!(told["delivered_w"], option["delivered_w"]);
            assert_eq!(told["towels_on"], emission["towels_on"]);
            assert_eq!(told["surface"], emission["surface"]);
        }
        let is_hot = emission["surface"]["verdict"] == "above";
        assert_eq!(texts(&option["notices"], "code").contains(&"surface-hot"), is_hot);
    }
}

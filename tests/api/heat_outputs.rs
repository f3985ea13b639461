//! `POST /v1/heat-outputs`: pairs by part numbers and by raw figures, at work, at rest, and where the model ends.

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

const PATH: &str = "/v1/heat-outputs";

/// The worked rail of the reference: 450 W at 50 K, exponent 1.25, 300 W, held at 50 °C in a room of 22 °C.
fn worked_rail() -> Value {
    json!({ "rated_output_w": 450, "exponent": 1.25, "element_w": 300, "set_point_c": 50, "room_c": 22,
        "heat_capacity_j_k": 24_462.5 })
}

async fn answer(asked: Value) -> Value {
    post_json(PATH, &asked).await
}

/// The answer without its cautions and without ecodesign.
fn figures(mut answer: Value) -> String {
    let fields = answer.as_object_mut().unwrap();
    fields.remove("notices");
    fields.remove("ecodesign");
    serde_json::to_string_pretty(&answer).unwrap()
}

#[tokio::test]
async fn the_worked_rail_carries_its_cautions() {
    let answer = answer(worked_rail()).await;
    insta::assert_snapshot!(texts(&answer["notices"], "code").join("\n"), @"
    electrician-decides
    rated-output-of-the-body
    surface-hot
    watts-beyond-the-body
    fluid-limit-not-stated
    control-code-not-stated
    ecodesign-market-unknown
    ");
}

#[tokio::test]
async fn the_worked_rail() {
    let mut asked = worked_rail();
    asked["schedule"] = json!(["17:00-19:00", "06:00-08:00"]);
    asked["tariff"] = json!({ "price_per_kwh": 0.28, "currency": "GBP" });
    let answer = answer(asked).await;
    insta::assert_snapshot!(figures(answer), @r#"
    {
      "delivered_w": 217.9,
      "operation": "held",
      "duty": 0.727,
      "steady_fluid_c": 50.0,
      "uncapped_fluid_c": 58.15,
      "towels_on": {
        "towels_factor": 0.5,
        "operation": "held",
        "delivered_w": 108.9,
        "duty": 0.363,
        "steady_fluid_c": 50.0,
        "source": "a flat half off the rated output for hung towels, from one planning help page",
        "evidence": "read-secondary"
      },
      "surface": {
        "surface_c": 50.0,
        "limit_c": 43.0,
        "verdict": "above",
        "output_at_limit_w": 152.1,
        "share_of_rated": 0.338
      },
      "element_max_w": 722.1,
      "fluid_limit_c": 95.0,
      "overheating": "within",
      "warm_up_s": 3831.78,
      "warm_up": {
        "outcome": "set_point",
        "to_c": 50.0,
        "after_s": 3831.78
      },
      "cool_down": {
        "from_c": 50.0,
        "half_c": 36.0,
        "half_s": 2377.98,
        "tenth_c": 24.8,
        "tenth_s": 9781.53
      },
      "stored_kwh": 0.19,
      "energy_kwh_day": 1.046,
      "energy": {
        "on_hours": 4.0,
        "first_day_kwh": 1.046,
        "settled_day_kwh": 1.046,
        "linear_kwh": 1.2
      },
      "cost_day": 0.29,
      "cost_currency": "GBP"
    }
    "#);
}

#[tokio::test]
async fn a_named_pair_states_its_own_figures() {
    let named = json!({ "body": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK", "room_c": 22, "market": "de" });
    let answer = answer(named).await;
    insta::assert_snapshot!(answer["ecodesign"].to_string(), @r#"{"regime":"eu-2024","control_code":"NC (0/0/0/0/0/0/0/0)","verdict":"not_met","efficiency_percent":39.5,"minimum_percent":46.0,"completions":[{"base":"TX","functions_count":5,"of":[2,4,5,7,8]},{"base":"TM","functions_count":5,"of":[2,4,5,7,8]},{"base":"TE","functions_count":5,"of":[2,4,5,7,8]},{"base":"TD","functions_count":2,"of":[2,4,5,7,8]},{"base":"TW","functions_count":0,"of":[2,4,5,7,8]}],"source":"100 (0.75 + F(2) + F(3)) / 1.9, inferred from the limits of Regulation (EU) 2024/1103","evidence":"inferred"}"#);
    insta::assert_snapshot!(figures(answer), @r#"
    {
      "body": "SRW-B-HAAR-500.1200-BK",
      "element": "SRW-E-GLEED-400-BK",
      "delivered_w": 400.0,
      "operation": "continuous",
      "duty": 1.0,
      "steady_fluid_c": 58.18,
      "uncapped_fluid_c": 58.18,
      "towels_on": {
        "towels_factor": 0.5,
        "operation": "held",
        "delivered_w": 212.6,
        "duty": 0.532,
        "steady_fluid_c": 60.0,
        "source": "a flat half off the rated output for hung towels, from one planning help page",
        "evidence": "read-secondary"
      },
      "surface": {
        "surface_c": 58.18,
        "limit_c": 43.0,
        "verdict": "above",
        "output_at_limit_w": 202.8,
        "share_of_rated": 0.339
      },
      "element_max_w": 879.1,
      "fluid_limit_c": 90.0,
      "overheating": "within",
      "warm_up_s": null,
      "warm_up": {
        "outcome": "not_reached",
        "to_c": 54.56,
        "after_s": 4357.52
      },
      "cool_down": {
        "from_c": 58.18,
        "half_c": 40.09,
        "half_s": 1676.49,
        "tenth_c": 25.62,
        "tenth_s": 6883.56
      },
      "stored_kwh": 0.246,
      "energy_kwh_day": 9.6,
      "energy": {
        "on_hours": 24.0,
        "first_day_kwh": 9.6,
        "settled_day_kwh": 9.6,
        "linear_kwh": 9.6
      },
      "cost_day": null
    }
    "#);
}

#[tokio::test]
async fn more_watts_than_the_body_sheds_add_nothing() {
    let strong = answer(with(worked_rail(), "/element_w", json!(900))).await;
    assert_eq!(strong["delivered_w"], answer(worked_rail()).await["delivered_w"]);
    assert!(texts(&strong["notices"], "code").contains(&"watts-beyond-the-body"));
    // 900 W would bring the fluid beyond the limit, and nothing is stated that stops it.
    assert_eq!(strong["overheating"], "refused");
    let capped =
        with(with(worked_rail(), "/element_w", json!(900)), "/thermal_cut_out", json!(true));
    assert_eq!(answer(capped).await["overheating"], "by_cut_out");
}

#[tokio::test]
async fn a_set_point_below_the_room_is_no_error() {
    let idle = answer(with(worked_rail(), "/set_point_c", json!(20))).await;
    assert_eq!((&idle["delivered_w"], &idle["operation"]), (&json!(0.0), &json!("idle")));
    assert_eq!(idle["warm_up"], json!({ "outcome": "stays_off" }));
    assert_eq!(idle["energy_kwh_day"], 0.0);
}

#[tokio::test]
async fn a_set_point_out_of_reach_is_an_answer() {
    let late = answer(with(worked_rail(), "/set_point_c", json!(60))).await;
    assert_eq!(late["warm_up_s"], Value::Null);
    assert_eq!(late["warm_up"]["outcome"], "not_reached");
    assert_eq!((&late["duty"], &late["delivered_w"]), (&json!(1.0), &json!(300.0)));
}

#[tokio::test]
async fn a_boiling_body_gets_no_figure() {
    let mut asked = with(worked_rail(), "/element_w", json!(2000));
    asked.as_object_mut().unwrap().remove("set_point_c");
    let boiling = answer(asked).await;
    assert_eq!(boiling["operation"], "boiling");
    for field in
        ["delivered_w", "duty", "steady_fluid_c", "warm_up_s", "energy_kwh_day", "stored_kwh"]
    {
        assert_eq!(boiling[field], Value::Null, "{field}");
    }
    assert!(boiling["sentence"].as_str().unwrap().contains("steams out of an open vent"));
}

#[tokio::test]
async fn without_a_heat_capacity_only_a_rail_that_is_always_on_has_a_day() {
    let mut asked = worked_rail();
    asked.as_object_mut().unwrap().remove("heat_capacity_j_k");
    let always = answer(asked.clone()).await;
    assert_eq!((&always["warm_up"], &always["energy_kwh_day"]), (&Value::Null, &json!(5.232)));
    let timed = answer(with(asked, "/schedule", json!(["06:00-08:00"]))).await;
    assert_eq!(timed["energy_kwh_day"], Value::Null);
    assert!(texts(&timed["notices"], "code").contains(&"heat-capacity-not-stated"));
}

#[tokio::test]
async fn what_cannot_be_is_named_with_its_reason() {
    let refused = |asked: Value| async move { wrong_fields(&post(PATH, asked.to_string()).await) };
    let mut asked = with(worked_rail(), "/exponent", json!(1.6));
    asked["schedule"] = json!(["06:00-08:00", "07:30-09:00", "20:00-25:00", "noon"]);
    asked["control_code"] = json!("TV");
    asked["market"] = json!("xx");
    insta::assert_snapshot!(refused(asked).await, @"
    422 invalid-fields
    /exponent: above-maximum
    /schedule/3: bad-form
    /control_code: bad-form
    /market: unknown
    ");
    let overlapping = with(
        worked_rail(),
        "/schedule",
        json!(["06:00-08:00", "07:30-09:00", "20:00-25:00", "10:00-10:00"]),
    );
    let answer = post(PATH, overlapping.to_string()).await;
    insta::assert_snapshot!(answer.json()["errors"].to_string(), @r#"[{"pointer":"/schedule/0","code":"contradiction","detail":"the period from minute 360 to 480 overlaps period 1"},{"pointer":"/schedule/1","code":"contradiction","detail":"the period from minute 450 to 540 overlaps period 0"},{"pointer":"/schedule/2","code":"contradiction","detail":"the period ends at minute 1500, a day has 1440"},{"pointer":"/schedule/3","code":"contradiction","detail":"the period from minute 600 to 600 is empty"}]"#);
    let mixed = json!({ "body": "SRW-B-HAAR-500.1200-BK", "rated_output_w": 450, "element": "NONE", "room_c": 22 });
    insta::assert_snapshot!(refused(mixed).await, @"
    422 invalid-fields
    /element: unknown
    /rated_output_w: contradiction
    ");
    insta::assert_snapshot!(refused(json!({ "room_c": 20 })).await, @"
    422 invalid-fields
    /rated_output_w: missing
    /exponent: missing
    /element_w: missing
    ");
    let beyond = json!({ "body": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK", "room_c": 22, "set_point_c": 95 });
    insta::assert_snapshot!(post(PATH, beyond.to_string()).await.json()["errors"].to_string(), @r#"[{"pointer":"/set_point_c","code":"contradiction","detail":"the element's set point is fixed at 60 °C, 95 °C cannot be set"}]"#);
}

#[tokio::test]
async fn every_bound_is_enforced() {
    let description = get_json("/openapi.json").await;
    let mut asked = worked_rail();
    let more = json!({ "towels_factor": 0.8, "start_c": 18, "fluid_limit_c": 90, "thermal_cut_out": true,
        "control_code": "TW (0/0/0/0/0/0/0/0)", "schedule": ["06:00-08:00"], "tariff": { "price_per_kwh": 0.3 } });
    asked.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    let count = check_bounds(&demo(), PATH, (&description, &asked)).await;
    assert!(50 < count, "{count}");
}

#[tokio::test]
async fn a_drawing_is_sent_to_those_who_like_it_better() {
    let request = Request::post(PATH)
        .header(header::CONTENT_TYPE, "application/json")
        .header(header::ACCEPT, "image/svg+xml");
    let drawn = ask_of(demo(), request, Body::from(worked_rail().to_string())).await;
    assert_eq!((drawn.status.as_u16(), drawn.header("content-type")), (200, "image/svg+xml"));
    assert!(drawn.body.contains("set point, 50 °C"), "{}", drawn.body);
}

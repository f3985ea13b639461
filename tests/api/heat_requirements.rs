//! `POST /v1/heat-requirements`: steps that can be checked by hand, and every way to ask wrongly.

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

const PATH: &str = "/v1/heat-requirements";

/// A bathroom over a hall, below a loft, beside a warmer kitchen.
fn bathroom() -> Value {
    json!({ "room": { "use": "bathroom", "length_mm": 2600, "width_mm": 1900, "height_mm": 2400, "indoor_c": 22,
        "outdoor_c": -3, "air_changes_per_hour": 1.5, "reheat_w_m2": 11, "boundaries": [
            { "kind": "external_wall", "area_m2": 6.2, "construction": "scotland-rdsap/cavity/E" },
            { "kind": "window", "area_m2": 0.8, "u_w_m2k": 1.6 },
            { "kind": "internal_wall", "area_m2": 4.0, "u_w_m2k": 1.8, "beyond_c": 26 },
            { "kind": "roof", "area_m2": 4.94, "layers": [{ "thickness_mm": 12.5, "conductivity_w_mk": 0.25 },
                { "thickness_mm": 250, "conductivity_w_mk": 0.04 }] }],
        "bridges": { "lengths": [{ "what": "lintel", "psi_w_mk": 0.3, "length_m": 2.4 }] } } })
}

/// Tenths of a watt, so that sums are exact.
fn tenths(value: &Value) -> i64 {
    #[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "watts of a test")]
    let tenths = (value.as_f64().unwrap() * 10.0).round() as i64;
    tenths
}

/// A step as a person works it out.
fn worked(step: &Value) -> String {
    format!(
        "{}: {}, {} {} x {} {} x {} x {} K = {} W; {} ({})",
        step["part"].as_str().unwrap(),
        step["what"].as_str().unwrap(),
        step["amount"],
        step["amount_unit"].as_str().unwrap(),
        step["rate"],
        step["rate_unit"].as_str().unwrap(),
        step["factor"],
        step["dk"],
        step["watts"],
        step["source"].as_str().unwrap(),
        step["evidence"].as_str().unwrap(),
    )
}

#[tokio::test]
async fn a_worked_room_lists_every_step() {
    let answer = post_json(PATH, &bathroom()).await;
    let steps: Vec<String> = answer["steps"].as_array().unwrap().iter().map(worked).collect();
    insta::assert_snapshot!(steps.join("\n"), @"
    transmission: external wall to outside, 6.2 m2 x 1.6 W/m2K x 1.0 x 25.0 K = 248.0 W; RdSAP default walls as built, Scotland: Scottish Government EPC review, supplementary notes, table UV1 (read)
    transmission: window to outside, 0.8 m2 x 1.6 W/m2K x 1.0 x 25.0 K = 32.0 W; stated in the request (fallback)
    transmission: internal wall to 26 °C, 4.0 m2 x 1.8 W/m2K x 1.0 x -4.0 K = -28.8 W; stated in the request (fallback)
    transmission: roof to outside, 4.94 m2 x 0.15528 W/m2K x 1.0 x 25.0 K = 19.2 W; ISO 6946 from the layers given (computed)
    bridges: thermal bridge: lintel, 2.4 m x 0.3 W/mK x 1.0 x 25.0 K = 18.0 W; linear transmittance times length, as given (computed)
    ventilation: air from outside, 17.784 m3/h x 0.33 Wh/m3K x 1.0 x 25.0 K = 146.7 W; air constant 0.33, British rounding of 1.2 kJ/m3K (MacKay, p. 289) (read)
    reheat: warming up after a set-back, 4.94 m2 x 11.0 W/m2 x 1.0 x null K = 54.4 W; reheat allowance as given in the question (fallback)
    ");
    let mut figures = answer.clone();
    figures.as_object_mut().unwrap().retain(|name, _| name.ends_with("_w") || name == "governs");
    insta::assert_snapshot!(figures.to_string(), @r#"{"required_w":489.5,"governs":"steady_state","balance_w":489.5,"transmission_w":270.4,"ventilation_w":146.7,"bridges_w":18.0,"reheat_w":54.4,"quick_rule_w":494.0}"#);
    insta::assert_snapshot!(texts(&answer["notices"], "text").join("\n"), @"
    The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
    Some figures of the sum were stated by the asker or are stand-ins; each step names its source.
    The steady-state sum of 489.5 W governs. The quick rule (100 W per m2, common practice, no source) gives 494.0 W and is shown for comparison only.
    ");
}

#[tokio::test]
async fn the_printed_steps_add_up_and_each_is_its_product() {
    let answer = post_json(PATH, &bathroom()).await;
    let steps = answer["steps"].as_array().unwrap();
    let mut sum = 0;
    for step in steps {
        let number = |name: &str| step[name].as_f64().unwrap_or(1.0);
        let product = number("amount") * number("rate") * number("factor") * number("dk");
        assert!((product - number("watts")).abs() < 0.1, "{step}");
        sum += tenths(&step["watts"]);
    }
    assert_eq!(sum, tenths(&answer["balance_w"]));
    let parts = ["transmission_w", "ventilation_w", "bridges_w", "reheat_w"];
    assert_eq!(parts.iter().map(|part| tenths(&answer[*part])).sum::<i64>(), sum);
    assert_eq!(answer["required_w"], answer["balance_w"]);
}

#[tokio::test]
async fn a_surface_has_its_area_and_transmittance_and_nothing_else_has() {
    let answer = post_json(PATH, &bathroom()).await;
    for step in answer["steps"].as_array().unwrap() {
        let is_surface = step["part"] == "transmission";
        assert_eq!(step.get("area_m2").is_some(), is_surface, "{step}");
        assert_eq!(step.get("u_w_m2k").is_some(), is_surface, "{step}");
    }
}

#[tokio::test]
async fn temperatures_come_from_market_and_place_and_the_answer_says_so() {
    let mut asked = bathroom();
    let room = asked["room"].as_object_mut().unwrap();
    room.remove("indoor_c");
    room.remove("outdoor_c");
    asked["market"] = json!("de");
    asked["outdoor_place"] = json!({ "country": "de", "key": "10117" });
    let answer = post_json(PATH, &asked).await;
    // 24 °C inside, -11.3 °C outside.
    assert_eq!(answer["steps"][1]["dk"], 35.3);
    let notices = &answer["notices"];
    let codes = texts(notices, "code");
    for code in ["indoor-design-taken", "outdoor-design-taken"] {
        assert!(codes.contains(&code), "{codes:?}");
    }
    let text = texts(notices, "text").join("\n");
    assert!(text.contains("DIN EN 12831") && text.contains("DIN/TS 12831-1:2020-04"), "{text}");
}

#[tokio::test]
async fn a_room_that_its_neighbours_heat_needs_nothing() {
    let warm = json!([{ "kind": "internal_wall", "area_m2": 40, "u_w_m2k": 3, "beyond_c": 35 }]);
    let answer = post_json(PATH, &with(bathroom(), "/room/boundaries", warm)).await;
    assert_eq!(answer["required_w"], 0.0);
    assert!(answer["balance_w"].as_f64().unwrap() < -1000.0);
    assert!(texts(&answer["notices"], "code").contains(&"no-heat-needed"));
}

async fn refused(asked: Value) -> String {
    wrong_fields(&post(PATH, asked.to_string()).await)
}

#[tokio::test]
async fn what_cannot_be_is_named_with_its_reason() {
    let mut asked = with(bathroom(), "/room/boundaries/0/construction", json!("castle"));
    asked = with(asked, "/room/boundaries/1/u_w_m2k", json!(0));
    asked = with(asked, "/room/boundaries/2/area_m2", json!(-4));
    asked = with(asked, "/room/boundaries/3/layers/0/thickness_mm", json!(1e9));
    asked["outdoor_place"] = json!({ "country": "de", "key": "99999" });
    asked["market"] = json!("xx");
    insta::assert_snapshot!(refused(asked).await, @"
    422 invalid-fields
    /room/boundaries/1/u_w_m2k: below-minimum
    /room/boundaries/2/area_m2: below-minimum
    /room/boundaries/3/layers/0/thickness_mm: above-maximum
    /market: unknown
    /outdoor_place: contradiction
    /outdoor_place: unknown
    /room/boundaries/0/construction: unknown
    ");
    let colder = with(bathroom(), "/room/indoor_c", json!(5));
    let colder = with(colder, "/room/outdoor_c", json!(10));
    let answer = post(PATH, colder.to_string()).await;
    insta::assert_snapshot!(answer.json()["errors"].to_string(), @r#"[{"pointer":"/room/indoor_c","code":"contradiction","detail":"indoor temperature is 5 °C, outdoor 10 °C: a room that is no warmer than outside needs no heat"}]"#);
    let mut nothing_known = bathroom();
    let room = nothing_known["room"].as_object_mut().unwrap();
    for field in ["indoor_c", "outdoor_c", "height_mm", "air_changes_per_hour", "boundaries"] {
        room.remove(field);
    }
    insta::assert_snapshot!(refused(nothing_known).await, @"
    422 invalid-fields
    /room/indoor_c: missing
    /room/boundaries: missing
    /room/height_mm: missing
    /room/outdoor_c: missing
    /room/air_changes_per_hour: missing
    ");
}

#[tokio::test]
async fn every_bound_is_enforced() {
    let description = get_json("/openapi.json").await;
    let mut asked = with(bathroom(), "/market", json!("gb"));
    asked["room"]["annual_mean_c"] = json!(9);
    asked["room"]["heat_recovery"] = json!(0.3);
    asked["room"]["air_heat_wh_m3k"] = json!(0.34);
    let count = check_bounds(&demo(), PATH, (&description, &asked)).await;
    assert!(100 < count, "{count}");
}

#[tokio::test]
async fn a_drawing_is_sent_to_those_who_like_it_better() {
    let ask = |accept: &'static str| {
        let request = Request::post(PATH)
            .header(header::CONTENT_TYPE, "application/json")
            .header(header::ACCEPT, accept);
        ask_of(demo(), request, Body::from(bathroom().to_string()))
    };
    let drawn = ask("image/svg+xml").await;
    assert_eq!((drawn.status.as_u16(), drawn.header("content-type")), (200, "image/svg+xml"));
    assert!(drawn.body.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""), "{}", drawn.body);
    let told = ask("application/json, image/svg+xml;q=0.9").await;
    assert_eq!(told.header("content-type"), "application/json");
    assert_eq!(ask("text/html").await.status, 406);
}

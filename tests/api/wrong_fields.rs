//! Several things wrong with one request: each of them is named, whoever finds it.

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::post;
use crate::demo::with;
use crate::demo::wrong_fields;

#[tokio::test]
async fn wrong_fields_in_different_parts_are_all_named() {
    let mut order = with(family_bathroom(), "/room/width_mm", json!(0));
    order = with(order, "/room/height_mm", json!("high"));
    order = with(order, "/users/children", json!("two"));
    order = with(order, "/preferences/colour", json!("red"));
    order = with(order, "/options_max", json!(99));
    let answer = post("/v1/resolutions", order.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&answer), @"
    422 invalid-fields
    /room/width_mm: below-minimum
    /room/height_mm: wrong-type
    /users/children: wrong-type
    /preferences/colour: unknown-field
    /options_max: above-maximum
    ");
}

#[tokio::test]
async fn faults_that_need_the_catalogue_are_named_with_those_of_the_schema() {
    let mut order = with(family_bathroom(), "/options_max", json!(99));
    order = with(order, "/users/children", json!("two"));
    order = with(order, "/preferences/finish", json!("puce"));
    order = with(order, "/preferences/budget", json!("4.5050"));
    order = with(order, "/place/region", json!("atlantis"));
    order = with(order, "/price_date", json!("2026-02-31"));
    order = with(order, "/room/boundaries/0/construction", json!("scotland-rdsap/cavity/E"));
    let answer = post("/v1/resolutions", order.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&answer), @"
    422 invalid-fields
    /users/children: wrong-type
    /options_max: above-maximum
    /room/boundaries/0: contradiction
    /place/region: unknown
    /preferences/finish: unknown
    /preferences/budget: bad-form
    /price_date: bad-form
    ");
    // The market unknown as well: what does not depend on it is still found.
    let nowhere = with(order, "/market", json!("xx"));
    let refused = post("/v1/resolutions", nowhere.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&refused), @"
    422 invalid-fields
    /users/children: wrong-type
    /options_max: above-maximum
    /market: unknown
    /room/boundaries/0: contradiction
    /preferences/finish: unknown
    /price_date: bad-form
    ");
}

#[tokio::test]
async fn faults_that_only_the_sum_finds_are_named_with_the_others() {
    let mut order = with(family_bathroom(), "/preferences/finish", json!("puce"));
    order = with(order, "/room/indoor_c", json!(10));
    order = with(order, "/room/outdoor_c", json!(15));
    order = with(order, "/options_max", json!(0));
    let answer = post("/v1/resolutions", order.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&answer), @"
    422 invalid-fields
    /options_max: below-minimum
    /room/indoor_c: contradiction
    /preferences/finish: unknown
    ");
}

#[tokio::test]
async fn what_contradicts_itself_is_named() {
    let room = |field: &str, value: Value| with(family_bathroom(), &format!("/room{field}"), value);
    let cases = [
        room("/extract_l_s", json!(15)),
        room("/boundaries/0/layers", json!([{ "resistance_m2k_w": 1 }])),
        room("/boundaries/2/unheated_factor", json!(0.5)),
        room("/boundaries/0", json!({ "kind": "external_wall", "area_m2": 6.2 })),
        room(
            "/boundaries/0",
            json!({ "kind": "external_wall", "area_m2": 6.2, "construction": "none/such" }),
        ),
        room(
            "/boundaries/0",
            json!({ "kind": "external_wall", "area_m2": 6.2, "layers": [{ "thickness_mm": 100 }] }),
        ),
        room("/boundaries/0", json!({ "kind": "external_wall", "area_m2": 6.2, "layers": [] })),
        room("/bridges", json!({ "y_w_m2k": 0.1, "delta_u_w_m2k": 0.1 })),
        room("/bridges", json!({})),
    ];
    let mut told = Vec::new();
    for order in cases {
        let answer = post("/v1/resolutions", order.to_string()).await;
        told.push(wrong_fields(&answer));
    }
    insta::assert_snapshot!(told.join("\n"), @"
    422 invalid-fields
    /room/extract_l_s: contradiction
    422 invalid-fields
    /room/boundaries/0: contradiction
    422 invalid-fields
    /room/boundaries/2/unheated_factor: contradiction
    422 invalid-fields
    /room/boundaries/0/u_w_m2k: missing
    422 invalid-fields
    /room/boundaries/0/construction: unknown
    422 invalid-fields
    /room/boundaries/0/layers/0: contradiction
    422 invalid-fields
    /room/boundaries/0/layers: contradiction
    422 invalid-fields
    /room/bridges: contradiction
    422 invalid-fields
    /room/bridges: contradiction
    ");
}

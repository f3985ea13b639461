//! What is said about the fields of a body.

use rungwright::http::json;
use rungwright::http::limits;

use crate::sample::NewSample;
use crate::sample::RIGHT;

/// The errors of a body, one a line.
fn told(body: &str) -> String {
    let problem = json::parse::<NewSample>(body.as_bytes()).unwrap_err();
    let errors = problem.errors().iter().map(|error| {
        let place = error.pointer.clone().unwrap_or_default();
        let allowed = error.allowed.as_ref().map(|text| format!(" [{text}]")).unwrap_or_default();
        format!("{place}: {}: {}{allowed}\n", error.code.text(), error.detail)
    });
    format!("{}\n{}", problem.code().text(), errors.collect::<String>())
}

#[test]
fn a_right_body_passes() {
    let sample = json::parse::<NewSample>(RIGHT.as_bytes()).unwrap();
    assert_eq!(sample.room.length_mm, 2600);
}

#[test]
fn every_wrong_field_is_named_at_once() {
    let body = r#"{"market":"GB1","colour":"red","room":{"length_mm":299,"width_mm":20001,"height":1,
        "boundaries":[{"kind":"window","area_m2":0},{"kind":"door"},{"kind":"internal_wall","area_m2":"4"},{},7]},
        "heat_requirement_w":-1,"place":{"wall_width_mm":0,"x/y":1},"accessories":["plug_cover","bell","hook","hook"],
        "note":"longer","time_control":"yes"}"#;
    insta::assert_snapshot!(told(body), @"
    invalid-fields
    /market: bad-form: market is GB1, which does not have the form ^[a-z]{2}$ [^[a-z]{2}$]
    /room/length_mm: below-minimum: length of the room is 299 mm, allowed are 300 to 20000 mm [300 to 20000]
    /room/width_mm: above-maximum: width of the room is 20001 mm, allowed are 300 to 20000 mm [300 to 20000]
    /room/boundaries/0/area_m2: below-minimum: area of the boundary is 0 m2, allowed are 0.01 to 400 m2 [0.01 to 400]
    /room/boundaries/1/area_m2: missing: area_m2 is missing
    /room/boundaries/1/kind: not-one-of: kind is door, allowed are window, internal_wall [window, internal_wall]
    /room/boundaries/2/beyond_c: missing: beyond_c is missing
    /room/boundaries/2/area_m2: wrong-type: area of the boundary is text, must be a number [a number]
    /room/boundaries/3/area_m2: missing: area_m2 is missing
    /room/boundaries/3/kind: missing: kind is missing
    /room/boundaries/4: wrong-type: entry 4 of boundaries is a number, must be an object [an object]
    /room/height: unknown-field: there is no field height here [length_mm, width_mm, boundaries]
    /heat_requirement_w: below-minimum: heat requirement is -1 W, allowed are 1 to 10000 W [1 to 10000]
    /place/wall_width_mm: below-minimum: width of the wall space is 0 mm, allowed are 100 to 10000 mm [100 to 10000]
    /place/x~1y: unknown-field: there is no field x/y here [wall_width_mm]
    /accessories: too-many: accessories has 4 entries, allowed are 0 to 3 [0 to 3]
    /accessories/1: not-one-of: entry 1 of accessories is bell, allowed are plug_cover, hook [plug_cover, hook]
    /note: too-long: note has 6 characters, allowed are 0 to 5 [0 to 5]
    /time_control: wrong-type: time_control is text, must be true or false [true or false]
    /colour: unknown-field: there is no field colour here [market, room, heat_requirement_w, place, accessories, note, time_control]
    ");
}

#[test]
fn wrong_types_are_told_in_every_field() {
    let body = r#"{"market":1,"room":{"length_mm":"NaN","width_mm":1900.5,"boundaries":{}},
        "heat_requirement_w":"Infinity","place":[],"accessories":null,"note":false,"time_control":1}"#;
    insta::assert_snapshot!(told(body), @"
    invalid-fields
    /market: wrong-type: market is a number, must be text [text]
    /room/length_mm: wrong-type: length of the room is text, must be a whole number [a whole number]
    /room/width_mm: wrong-type: width of the room is a number with decimals, must be a whole number [a whole number]
    /room/boundaries: wrong-type: boundaries is an object, must be a list [a list]
    /heat_requirement_w: wrong-type: heat requirement is text, must be a number [a number]
    /place: wrong-type: place is a list, must be an object [an object]
    /accessories: wrong-type: accessories is null, must be a list [a list]
    /note: wrong-type: note is false, must be text [text]
    /time_control: wrong-type: time_control is a number, must be true or false [true or false]
    ");
}

#[test]
fn a_missing_field_is_named_by_where_it_would_be() {
    insta::assert_snapshot!(told(r#"{"room":{"length_mm":3000}}"#), @"
    invalid-fields
    /market: missing: market is missing
    /room/width_mm: missing: width_mm is missing
    /room/boundaries: missing: boundaries is missing
    ");
    insta::assert_snapshot!(told("[]"), @"
    invalid-fields
    : wrong-type: the body is a list, must be an object [an object]
    ");
}

#[test]
fn a_key_named_twice_is_refused() {
    let body = RIGHT.replacen("\"place\":null", "\"place\":null,\"market\":\"ie\"", 1);
    insta::assert_snapshot!(told(&body), @"
    invalid-fields
    /market: duplicate-key: the key market is named twice
    ");
}

#[test]
fn huge_numbers_are_refused_by_name() {
    let body = RIGHT.replace("1900", "1e999");
    insta::assert_snapshot!(told(&body), @"
    invalid-fields
    /room/width_mm: number-out-of-range: the number is beyond the range of a double
    ");
    let long = RIGHT.replace("1900", "123456789012345678901234567890");
    insta::assert_snapshot!(told(&long), @"
    invalid-fields
    /room/width_mm: above-maximum: width of the room is 1.2345678901234568e+29 mm, allowed are 300 to 20000 mm [300 to 20000]
    ");
}

#[test]
fn ten_thousand_wishes_are_refused_by_name() {
    let body = RIGHT.replace("[\"hook\"]", &format!("[{}\"hook\"]", "\"hook\",".repeat(9_999)));
    insta::assert_snapshot!(told(&body), @"
    invalid-fields
    /accessories: too-many: the list has 10000 entries; allowed here are 0 to 3 [0 to 3]
    ");
}

#[test]
fn a_body_of_nothing_but_errors_is_cut_short() {
    let body = RIGHT.replace("[\"hook\"]", &format!("[{}1]", "1,".repeat(9_999)));
    let problem = json::parse::<NewSample>(body.as_bytes()).unwrap_err();
    assert_eq!(problem.errors().len(), limits::FIELD_ERRORS_MAX);
}

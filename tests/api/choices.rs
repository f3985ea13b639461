//! `POST /v1/choices`: what can still be chosen, followed to where it leads, and how a wrong partial choice is refused.

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::get_json;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;
use crate::demo::wrong_fields;
use crate::editions::Keeper;
use crate::editions::dated_bathroom;
use crate::editions::dearer;
use crate::keys::Office;
use crate::resolutions::assert_cautioned;
use crate::resolutions::resolve;

const PATH: &str = "/v1/choices";

/// The family bathroom, and what is chosen.
fn bathroom(chosen: &Value) -> Value {
    let mut request = family_bathroom();
    request.as_object_mut().unwrap().remove("options_max");
    json!({ "request": request, "chosen": chosen })
}

fn attribute<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let attributes = answer["attributes"].as_array().unwrap();
    attributes.iter().find(|found| found["attribute"] == name).unwrap_or(&Value::Null)
}

/// The cheapest price and the count of a value.
fn told(next: &Value) -> (Value, Value) {
    (next["bills"].clone(), next["cheapest_gross"].clone())
}

#[tokio::test]
async fn the_example_of_the_description_is_the_family_bathroom_and_is_answered() {
    let description = get_json("/openapi.json").await;
    let example = description["components"]["schemas"]["NewChoices"]["example"].clone();
    assert_eq!(example["request"], bathroom(&json!([]))["request"]);
    let answer = post_json(PATH, &example).await;
    assert_eq!((&answer["complete"], &answer["currency"]), (&json!(true), &json!("GBP")));
    assert!(answer.get("limit").is_none());
    assert_eq!(answer["heat_requirement"]["required_w"], 313.3);
    assert!(0 < answer["bills"].as_u64().unwrap());
    assert_cautioned(&answer["notices"]);
    let widths = attribute(&answer, "body.width_mm")["values"].as_array().unwrap();
    assert!(1 < widths.len(), "other widths are shown beside the chosen one: {widths:?}");
    for next in widths {
        assert_eq!(next["is_chosen"], next["value"] == 500, "{next}");
        assert!(next["value"].as_i64().unwrap() <= 700, "wider than the wall: {next}");
    }
    assert_eq!(post_json(PATH, &example).await, answer, "the same question has the same answer");
}

#[tokio::test]
async fn the_cheapest_price_is_that_of_the_first_option() {
    let towels = json!({ "market": "gb", "purpose": "towel_warming" });
    let trade = with(family_bathroom(), "/tier", json!("trade"));
    let plan = json!({ "scene": { "room_mm": [0, 0, 1900, 2600], "ceiling_mm": 2400, "fixtures": [
        { "id": "bath", "kind": "bath", "rect_mm": [0, 0, 700, 700], "bottom_mm": 100, "rim_mm": 550 }] } });
    let drawn = json!({ "market": "gb", "heat_requirement_w": 700, "place": { "plan": plan } });
    let walls = json!({ "market": "gb", "heat_requirement_w": 250,
        "walls": [{ "wall_width_mm": 420 }, { "wall_width_mm": 650, "connection_distance_mm": 900 }] });
    for request in [family_bathroom(), towels, trade, drawn, walls] {
        let best = resolve(&request).await;
        let answer = post_json(PATH, &json!({ "request": request })).await;
        assert_eq!(
            answer["cheapest_gross"], best["options"][0]["total"]["gross"],
            "{request}: {answer}"
        );
    }
}

/// Takes a value of a wish in a request.
fn wishing(request: &Value, wish: &Value, next: &Value) -> Value {
    let Some(kind) = wish["accessory"].as_str() else {
        return with(request.clone(), wish["field"].as_str().unwrap(), next["value"].clone());
    };
    let field = wish["field"].as_str().unwrap();
    let wished = request.pointer(field).and_then(Value::as_array).cloned().unwrap_or_default();
    let others = wished.into_iter().filter(|other| other != kind);
    let own = (0..next["value"].as_u64().unwrap()).map(|_| json!(kind));
    with(request.clone(), field, others.chain(own).collect())
}

#[tokio::test]
async fn whoever_takes_a_value_that_is_shown_gets_its_bills_at_its_price() {
    let order = bathroom(&json!([{ "attribute": "body.width_mm", "value": 500 }]));
    let answer = post_json(PATH, &order).await;
    let mut followed = 0;
    for wish in answer["wishes"].as_array().unwrap() {
        for next in wish["values"].as_array().unwrap() {
            let taken = post_json(PATH, &wishing(&order, wish, next)).await;
            assert_eq!(told(&taken), told(next), "{wish}");
            followed += 1;
        }
    }
    for found in answer["attributes"].as_array().unwrap() {
        for next in found["values"].as_array().unwrap().iter().take(2) {
            let mut chosen = order["chosen"].as_array().unwrap().clone();
            chosen.retain(|one| one["attribute"] != found["attribute"]);
            chosen.push(json!({ "attribute": found["attribute"], "value": next["value"] }));
            let taken = post_json(PATH, &bathroom(&json!(chosen))).await;
            assert_eq!(told(&taken), told(next), "{found}");
            followed += 1;
        }
    }
    assert!(60 < followed, "{followed}");
}

#[tokio::test]
async fn choices_that_lead_nowhere_show_the_ways_back() {
    let chosen = json!([{ "attribute": "element.watts", "value": 100 }]);
    let answer = post_json(PATH, &bathroom(&chosen)).await;
    assert_eq!((&answer["bills"], &answer["complete"]), (&json!(0), &json!(true)));
    assert!(answer.get("cheapest_gross").is_none());
    let watts = attribute(&answer, "element.watts")["values"].as_array().unwrap();
    assert!(!watts.is_empty() && watts.iter().all(|next| next["is_chosen"] == false), "{watts:?}");
    assert_cautioned(&answer["notices"]);
}

#[tokio::test]
async fn every_fault_of_a_partial_choice_is_named_at_once() {
    let chosen = json!([
        { "attribute": "body.colour", "value": "red" },
        { "attribute": "body.width_mm", "value": "500" },
        { "attribute": "body.width_mm", "value": 500 },
        { "attribute": "control.load_w_max", "value": 500 },
        { "attribute": "element.watts", "value": 400.000_5 },
        { "attribute": "body.finish", "value": "puce" },
        { "attribute": "body.sku", "value": "NO-SUCH-PART" },
        { "attribute": "width_mm", "value": 500 },
        { "attribute": "element.declared_zones", "value": "2" },
    ]);
    let mut order = with(bathroom(&chosen), "/request/room/width_mm", json!(0));
    order = with(order, "/request/preferences/finish", json!("puce"));
    order = with(order, "/colour", json!("red"));
    insta::assert_snapshot!(wrong_fields(&post(PATH, order.to_string()).await), @"
    422 invalid-fields
    /request/room/width_mm: below-minimum
    /colour: unknown-field
    /request/preferences/finish: unknown
    /chosen/0/attribute: unknown
    /chosen/1/value: wrong-type
    /chosen/2/attribute: repeated
    /chosen/3/attribute: not-supported
    /chosen/4/value: bad-form
    /chosen/5/value: unknown
    /chosen/6/value: unknown
    /chosen/7/attribute: unknown
    /chosen/8/value: wrong-type
    ");
    let unreadable =
        json!([{ "attribute": "element.plug", "value": null }, { "attribute": "element.ip" }, {}]);
    let unread = post(PATH, bathroom(&unreadable).to_string()).await;
    insta::assert_snapshot!(wrong_fields(&unread), @"
    422 invalid-fields
    /chosen/0/value: wrong-type
    /chosen/1/value: missing
    /chosen/2/attribute: missing
    /chosen/2/value: missing
    ");
}

#[tokio::test]
async fn a_wrong_request_is_refused_at_its_place_in_the_body() {
    let order = with(bathroom(&json!([])), "/request/market", json!("xx"));
    let elsewhere = post(PATH, order.to_string()).await;
    assert_eq!(wrong_fields(&elsewhere), "422 invalid-fields\n/request/market: unknown");
    let mut cold = with(bathroom(&json!([])), "/request/room/indoor_c", json!(10));
    cold = with(cold, "/request/room/outdoor_c", json!(15));
    let refused = post(PATH, cold.to_string()).await;
    assert_eq!(wrong_fields(&refused), "422 invalid-fields\n/request/room/indoor_c: contradiction");
    let early = with(bathroom(&json!([])), "/request/price_date", json!("2020-01-01"));
    assert_eq!(wrong_fields(&post(PATH, early.to_string()).await), "409 no-price-list");
    let chosen = json!([{ "attribute": "body.width_mm", "value": 500 }]);
    let mut absent = with(bathroom(&chosen), "/request/edition", json!(77));
    absent = with(absent, "/chosen/0/value", json!(true));
    let both = post(PATH, absent.to_string()).await;
    let expected = "422 invalid-fields\n/request/edition: unknown\n/chosen/0/value: wrong-type";
    assert_eq!(wrong_fields(&both), expected);
}

#[tokio::test]
async fn as_many_wishes_as_a_request_may_have_are_answered_and_more_are_refused() {
    let wishing = |count: usize| {
        let request = json!({ "market": "gb", "heat_requirement_w": 250,
            "preferences": { "accessories": vec!["hook"; count] } });
        json!({ "request": request })
    };
    let most = post_json(PATH, &wishing(40)).await;
    let wishes = most["wishes"].as_array().unwrap().iter();
    let hooks = wishes.clone().find(|wish| wish["accessory"] == "hook").unwrap();
    let values = hooks["values"].as_array().unwrap();
    assert_eq!((&values[0]["value"], &values[1]["value"]), (&json!(0), &json!(40)));
    let mut others = wishes.filter(|wish| wish["accessory"].is_string() && *wish != hooks);
    assert!(others.all(|wish| wish["values"].as_array().unwrap().len() == 1));
    let expected = "422 invalid-fields\n/request/preferences/accessories: too-many";
    assert_eq!(wrong_fields(&post(PATH, wishing(200).to_string()).await), expected);
}

#[tokio::test]
async fn what_is_not_counted_or_not_used_is_said() {
    let several = with(bathroom(&json!([])), "/request/preferences/rails_max", json!(3));
    let answer = post_json(PATH, &several).await;
    assert!(texts(&answer["notices"], "code").contains(&"one-rail-counted"));
    let alone = post_json(PATH, &bathroom(&json!([]))).await;
    let codes = texts(&alone["notices"], "code");
    assert!(
        !codes.contains(&"one-rail-counted") && !codes.contains(&"field-not-used"),
        "{codes:?}"
    );
    assert_eq!((&answer["bills"], &answer["wishes"]), (&alone["bills"], &alone["wishes"]));
    let mut idle = with(bathroom(&json!([])), "/request/options_max", json!(3));
    idle = with(idle, "/request/frontier", json!(true));
    idle = with(idle, "/request/explain", json!(false));
    idle = with(idle, "/request/running", json!({ "price_per_kwh": 0.3 }));
    idle = with(idle, "/request/preferences/order", json!("warmest_within_budget"));
    idle = with(idle, "/request/preferences/variety", json!("any"));
    idle = with(idle, "/request/heat_share_percent", json!(50));
    let answer_idle = post_json(PATH, &idle).await;
    let told = answer_idle["notices"].to_string();
    for field in
        ["options_max", "explain", "frontier", "running", "order", "variety", "heat_share_percent"]
    {
        assert!(told.contains(&format!("{field} was not used")), "{field}: {told}");
    }
    assert_eq!(answer_idle["attributes"], alone["attributes"]);
}

#[tokio::test]
async fn an_older_edition_says_what_can_be_chosen_in_it() {
    let keeper = Keeper::open().await;
    let mut changes = dearer();
    changes["attributes"] =
        json!([{ "attribute": "body.coating_class", "value_type": "number", "unit": "class" }]);
    changes["bodies"] = json!([{ "sku": "SRW-B-OOTAD-400.1100-BK", "coating_class": 2.5 }]);
    let draft = keeper.change(&changes).await;
    keeper.check(draft).await;
    assert_eq!(keeper.publish(draft).await.status, 200);
    let asked = |request: Value| json!({ "request": request });
    let new = keeper.post_json(PATH, &asked(dated_bathroom())).await;
    let first = with(dated_bathroom(), "/edition", json!(1));
    let old = keeper.post_json(PATH, &asked(first)).await;
    assert_eq!((&old["edition"], &old["cheapest_gross"]), (&json!(1), &json!("268.80")));
    assert_eq!((&new["edition"], &new["cheapest_gross"]), (&json!(2), &json!("269.52")));
    assert_eq!(attribute(&old, "body.coating_class"), &Value::Null);
    let coating = attribute(&new, "body.coating_class");
    assert_eq!((&coating["unit"], &coating["values"][0]["value"]), (&json!("class"), &json!(2.5)));
    let counted = coating["values"][0]["bills"].as_u64().unwrap();
    let silent = coating["bills_not_stated"].as_u64().unwrap();
    assert_eq!(counted + silent, new["bills"].as_u64().unwrap(), "{coating}");
}

#[tokio::test]
async fn a_key_sees_the_choices_of_its_own_markets_only() {
    let office = Office::open().await;
    let order =
        json!({ "label": "shop", "account": "tern", "scopes": ["quote"], "markets": ["ie"] });
    let made = office.ask(office.key("operate"), "POST /v1/keys", &order).await.json();
    let key = made["secret"].as_str().unwrap();
    let elsewhere = office.ask(key, "POST /v1/choices", &bathroom(&json!([]))).await;
    assert_eq!(wrong_fields(&elsewhere), "403 beyond-the-key\n/request/market: not-granted");
    let browse = office.ask(office.key("quote"), "POST /v1/choices", &bathroom(&json!([]))).await;
    assert_eq!(browse.status, 200, "{}", browse.body);
}

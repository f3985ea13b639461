//! `POST /v1/resolutions` for several rails, in several orders, on walls of their own, and with more than can be had.

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::post;
use crate::demo::texts;
use crate::demo::with;
use crate::demo::wrong_fields;
use crate::resolutions::PATH;
use crate::resolutions::assert_cautioned;
use crate::resolutions::cheapest;
use crate::resolutions::check_total;
use crate::resolutions::hundredths;
use crate::resolutions::resolve;

#[tokio::test]
async fn several_rails_are_told_one_by_one_and_priced_together() {
    let order = json!({ "market": "gb", "heat_requirement_w": 900, "options_max": 3,
        "place": { "region": "scotland", "zone": "2", "wall_width_mm": 1600 },
        "preferences": { "rails_max": 3 } });
    let answer = resolve(&order).await;
    assert_eq!(answer["outcome"], "resolved");
    let mut several = 0;
    for option in answer["options"].as_array().unwrap() {
        check_total(option, 20);
        let count = option["rail_count"].as_u64().unwrap();
        let rails = option.get("rails").map_or(&[][..], |rails| rails.as_array().unwrap());
        if count == 1 {
            assert!(rails.is_empty() && option.get("emission").is_some());
            continue;
        }
        several += 1;
        assert!(option.get("emission").is_none() && option.get("fill").is_none());
        assert_eq!(rails.len(), usize::try_from(count).unwrap());
        let heat: f64 = rails.iter().map(|rail| rail["delivered_w"].as_f64().unwrap()).sum();
        let delivered = option["delivered_w"].as_f64().unwrap();
        assert!((heat - delivered).abs() < 0.01 && 900.0 <= delivered, "{option}");
        for (number, rail) in (1..=count).zip(rails) {
            assert_eq!(rail["rail"], number);
            let lines = option["lines"].as_array().unwrap().iter();
            let own: Vec<&Value> = lines.filter(|line| line["rail"] == number).collect();
            assert_eq!((&own[0]["sku"], &own[0]["kind"]), (&rail["body"], &json!("body")));
            assert!(own.iter().any(|line| line["sku"] == rail["element"]), "{own:?}");
        }
        let fits = option["checks"].as_array().unwrap().iter();
        let fits = fits.filter(|check| check["rule"] == "rails-too-wide");
        assert_eq!(fits.map(|check| &check["outcome"]).collect::<Vec<_>>(), ["holds"]);
        assert!(texts(&option["notices"], "code").contains(&"rails-side-by-side"));
        assert_cautioned(&option["notices"]);
    }
    assert!(0 < several, "{answer}");
}

#[tokio::test]
async fn more_rails_allowed_never_cost_more() {
    let order = |rails: u32| {
        json!({ "market": "gb", "heat_requirement_w": 620, "options_max": 1,
            "place": { "region": "england", "wall_width_mm": 1500 },
            "preferences": { "rails_max": rails } })
    };
    let mut prices = Vec::new();
    for rails in [1, 2, 3] {
        let answer = resolve(&order(rails)).await;
        if answer["outcome"] == "resolved" {
            prices.push(cheapest(&answer));
        }
    }
    assert!(!prices.is_empty() && prices.is_sorted_by(|one, next| next <= one), "{prices:?}");
}

/// A warm request for rails on walls of their own.
fn on_walls() -> Value {
    json!({ "market": "gb", "heat_requirement_w": 800, "options_max": 2,
        "place": { "region": "england", "zone": "outside" },
        "walls": [{ "wall_width_mm": 600 },
            { "wall_width_mm": 550, "wall_height_mm": 1900, "connection_distance_mm": 400 }],
        "preferences": { "rails_max": 3 } })
}

#[tokio::test]
async fn each_rail_hangs_on_a_wall_of_its_own_when_walls_are_given() {
    let answer = resolve(&on_walls()).await;
    assert_eq!(answer["outcome"], "resolved", "{answer}");
    for option in answer["options"].as_array().unwrap() {
        check_total(option, 20);
        let rails = option["rails"].as_array().unwrap();
        let mut walls: Vec<u64> = rails.iter().map(|rail| rail["wall"].as_u64().unwrap()).collect();
        walls.sort_unstable();
        assert_eq!(walls, [1, 2], "three rails do not hang on two walls");
        assert!(!texts(&option["notices"], "code").contains(&"rails-side-by-side"));
    }
}

#[tokio::test]
async fn walls_that_contradict_the_place_are_wrong_fields() {
    let order = with(on_walls(), "/place/wall_width_mm", json!(900));
    let too_many = with(on_walls(), "/walls", json!([{}, {}, {}, {}, {}, {}, {}]));
    insta::assert_snapshot!(wrong_fields(&post(PATH, order.to_string()).await), @"
    422 invalid-fields
    /place/wall_width_mm: contradiction
    ");
    insta::assert_snapshot!(wrong_fields(&post(PATH, too_many.to_string()).await), @"
    422 invalid-fields
    /walls: too-many
    ");
}

#[tokio::test]
async fn walls_too_narrow_for_any_rail_are_named_as_the_conflict() {
    let order = with(on_walls(), "/walls", json!([{ "wall_width_mm": 150 }]));
    let answer = resolve(&order).await;
    assert_eq!(answer["conflict"]["demands"], json!(["/walls"]), "{answer}");
}

#[tokio::test]
async fn an_order_lacks_nothing_that_it_goes_by() {
    for (order, pointer) in
        [("warmest_within_budget", "/preferences/budget"), ("lowest_running_cost", "/running")]
    {
        let asked = json!({ "market": "gb", "heat_requirement_w": 300,
            "preferences": { "order": order } });
        let refused = post(PATH, asked.to_string()).await;
        assert_eq!(wrong_fields(&refused), format!("422 invalid-fields\n{pointer}: missing"));
    }
}

fn in_order(order: &str) -> Value {
    json!({ "market": "gb", "heat_requirement_w": 300, "options_max": 5,
        "place": { "region": "england", "zone": "2", "wall_width_mm": 600 },
        "running": { "price_per_kwh": 0.25, "schedule": ["06:00-08:00"] },
        "preferences": { "order": order, "budget": "600.00" } })
}

#[tokio::test]
async fn the_options_stand_in_the_order_that_is_asked_for() {
    let by_price = resolve(&in_order("price")).await;
    let warmest = resolve(&in_order("warmest_within_budget")).await;
    let within = resolve(&in_order("fewest_parts")).await;
    let fewest = with(in_order("fewest_parts"), "/preferences", json!({ "order": "fewest_parts" }));
    let fewest = resolve(&fewest).await;
    let options = |answer: &Value| answer["options"].as_array().unwrap().clone();
    let heat = |option: &Value| option["delivered_w"].as_f64().unwrap();
    let pieces = |option: &Value| -> f64 {
        let lines = option["lines"].as_array().unwrap().iter();
        let paid = lines.filter(|line| line.get("included_with").is_none());
        paid.map(|line| line["quantity"].as_f64().unwrap()).sum()
    };
    let cooler = options(&warmest).iter().map(|option| -heat(option)).collect::<Vec<f64>>();
    assert!(cooler.is_sorted() && heat(&by_price["options"][0]) <= -cooler[0], "{cooler:?}");
    assert!(options(&fewest).iter().map(pieces).is_sorted());
    assert!(options(&within).iter().map(pieces).is_sorted());
    assert!(pieces(&fewest["options"][0]) <= pieces(&within["options"][0]));
    assert!(pieces(&fewest["options"][0]) <= pieces(&by_price["options"][0]));
    assert!(cheapest(&by_price) <= cheapest(&fewest));
}

#[tokio::test]
async fn the_lowest_running_cost_states_energy_and_money() {
    let answer = resolve(&in_order("lowest_running_cost")).await;
    let options = answer["options"].as_array().unwrap();
    let cost = |option: &Value| option["running_cost"]["cost_year"].as_f64().unwrap();
    assert!(options.iter().map(cost).is_sorted(), "{answer}");
    let first = &options[0]["running_cost"];
    let day = first["energy_kwh_day"].as_f64().unwrap();
    let year = first["energy_kwh_year"].as_f64().unwrap();
    assert!((day * 365.0 - year).abs() < 0.2 && (year * 0.25 - cost(&options[0])).abs() < 0.01);
    // Two hours a day of at least 300 W, and less than the same element on all day.
    assert!(0.4 < day && day < 0.3 * 24.0, "{first}");
    let other = resolve(&in_order("price")).await;
    assert!(texts(&other["notices"], "code").contains(&"field-not-used"));
    assert!(other["options"][0].get("running_cost").is_none());
}

#[tokio::test]
async fn any_variety_lists_dearer_ways_to_complete_the_same_rail() {
    let order = with(in_order("price"), "/options_max", json!(20));
    let any = with(order.clone(), "/preferences/variety", json!("any"));
    let (rails, any) = (resolve(&order).await, resolve(&any).await);
    assert_eq!(cheapest(&rails), cheapest(&any));
    let heart = |option: &Value| option["lines"][0]["sku"].to_string();
    let options = any["options"].as_array().unwrap();
    let prices: Vec<i64> =
        options.iter().map(|option| hundredths(&option["total"]["gross"])).collect();
    assert!(prices.is_sorted(), "{prices:?}");
    let lines: Vec<String> = options
        .iter()
        .map(|option| {
            let lines = option["lines"].as_array().unwrap().iter();
            let told = lines.map(|line| format!("{} {};", line["sku"], line["quantity"]));
            told.collect()
        })
        .collect();
    let mut distinct = lines.clone();
    distinct.sort();
    distinct.dedup();
    assert_eq!(distinct.len(), lines.len(), "an option is told twice");
    let twice = options.iter().filter(|option| heart(option) == heart(&options[0])).count();
    assert!(1 < twice, "no rail is completed in two ways");
}

#[tokio::test]
async fn the_frontier_rises_in_price_and_heat_and_begins_with_the_cheapest_bill() {
    let order = with(in_order("price"), "/frontier", json!(true));
    let order = with(order, "/preferences/rails_max", json!(2));
    let answer = resolve(&order).await;
    let points = answer["frontier"]["points"].as_array().unwrap();
    assert_eq!(answer["frontier"]["is_whole"], true);
    let gross: Vec<i64> = points.iter().map(|point| hundredths(&point["gross"])).collect();
    let heat: Vec<f64> =
        points.iter().map(|point| point["delivered_w"].as_f64().unwrap()).collect();
    assert!(1 < points.len() && gross.is_sorted_by(|one, next| one < next), "{gross:?}");
    assert!(heat.is_sorted_by(|one, next| one < next), "{heat:?}");
    assert_eq!(gross[0], cheapest(&answer));
    assert!(gross.iter().all(|gross| *gross <= 60_000));
    assert!(resolve(&in_order("price")).await.get("frontier").is_none());
}

#[tokio::test]
async fn a_refusal_may_be_had_without_its_reasons_and_nothing_else_changes() {
    let brief = |order: Value| with(order, "/explain", json!(false));
    let dear = with(in_order("price"), "/preferences/budget", json!("10.00"));
    for order in [dear.clone(), with(dear, "/preferences/order", json!("lowest_running_cost"))] {
        let explained = resolve(&order).await;
        let refused = resolve(&brief(order)).await;
        assert_eq!(
            (&refused["outcome"], &refused["explained"]),
            (&json!("impossible"), &json!(false))
        );
        assert!(explained.get("explained").is_none() && explained["conflict"]["facts"].is_array());
        for left_out in ["conflict", "other_conflicts", "relaxations", "combined_relaxations"] {
            assert!(refused.get(left_out).is_none(), "{refused}");
        }
        for said in ["edition", "market", "price_list", "heat_requirement", "notices"] {
            assert_eq!(refused[said], explained[said]);
        }
    }
    let order = in_order("price");
    assert_eq!(resolve(&brief(order.clone())).await, resolve(&order).await);
}

#[tokio::test]
async fn more_than_a_request_may_ask_for_is_named_field_by_field() {
    let hooks = vec![json!("hook"); 200];
    let order = json!({ "market": "gb", "heat_requirement_w": 300, "options_max": 10_000,
        "preferences": { "rails_max": 50, "accessories": hooks } });
    insta::assert_snapshot!(wrong_fields(&post(PATH, order.to_string()).await), @"
    422 invalid-fields
    /options_max: above-maximum
    /preferences/rails_max: above-maximum
    /preferences/accessories: too-many
    ");
}

#[tokio::test]
async fn no_money_and_wishes_that_contradict_each_other_are_impossible_and_say_why() {
    let free = with(family_bathroom(), "/preferences/budget", json!("0"));
    let free = with(free, "/preferences/rails_max", json!(3));
    let answer = resolve(&free).await;
    assert_eq!(answer["conflict"]["demands"], json!(["/preferences/budget"]), "{answer}");
    assert_eq!(answer["relaxations"][0]["demand"], "/preferences/budget");
    let contrary = json!({ "market": "gb", "heat_requirement_w": 300,
        "preferences": { "wall_control": true, "regulation": "adjustable", "rails_max": 2 } });
    let refused = resolve(&contrary).await;
    let demands = json!(["/preferences/regulation", "/preferences/wall_control"]);
    assert_eq!(refused["conflict"]["demands"], demands, "{refused}");
}

#[tokio::test]
async fn forty_wishes_at_once_are_answered() {
    let kinds = ["hook", "shelf", "wall_plate", "vent_key", "plug_cover", "flex_cover"];
    let wishes: Vec<Value> = kinds.iter().cycle().take(40).map(|kind| json!(kind)).collect();
    let order = json!({ "market": "gb", "heat_requirement_w": 300,
        "place": { "region": "wales", "connection_distance_mm": 500 },
        "preferences": { "accessories": wishes } });
    let answer = resolve(&order).await;
    if answer["outcome"] == "resolved" {
        let lines = answer["options"][0]["lines"].as_array().unwrap();
        let hooks = lines.iter().find(|line| line["sku"].as_str().unwrap().contains("HOOK"));
        assert!(hooks.is_some_and(|hooks| 7 <= hooks["quantity"].as_u64().unwrap()), "{lines:?}");
    } else {
        assert_eq!(answer["outcome"], "impossible");
    }
}

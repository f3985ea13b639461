//! Demands on `POST /v1/resolutions` that cannot be met, that are no demands, or that end the search early.

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::post;
use crate::demo::with;
use crate::demo::wrong_fields;
use crate::resolutions::PATH;
use crate::resolutions::assert_cautioned;
use crate::resolutions::hundredths;
use crate::resolutions::resolve;

#[tokio::test]
async fn an_unknown_region_is_refused_with_those_that_exist() {
    let order = with(family_bathroom(), "/place/region", json!("atlantis"));
    let answer = post(PATH, order.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&answer), @"
    422 invalid-fields
    /place/region: unknown
    ");
    insta::assert_snapshot!(answer.json()["errors"][0]["detail"].as_str().unwrap(), @"the market gb has no such region; it has: england, wales, scotland, northern-ireland");
}

#[tokio::test]
async fn an_impossible_request_names_its_demands_by_pointers() {
    let order = with(family_bathroom(), "/place/connection_distance_mm", json!(5000));
    let mut answer = resolve(&order).await;
    assert_cautioned(&answer["notices"].take());
    insta::assert_snapshot!(serde_json::to_string_pretty(&answer).unwrap(), @r#"
    {
      "outcome": "impossible",
      "edition": 1,
      "market": "gb",
      "price_list": "gb-2026",
      "heat_requirement": {
        "required_w": 313.3,
        "basis": "steady_state",
        "quick_rule_w": 494.0
      },
      "conflict": {
        "demands": [
          "/place/connection_distance_mm"
        ],
        "facts": [
          {
            "demand": "/place/connection_distance_mm",
            "rule": "flex-too-short",
            "nearest": 2400,
            "misses_by": 2600,
            "sku": "SRW-E-GLEED-400-WH-F25",
            "text": "Asked: a rail that reaches a connection point 5000 mm away. Beside this conflict's other demands the nearest is 2400 mm (SRW-E-GLEED-400-WH-F25) and misses by 2600 mm."
          }
        ],
        "sentence": "No rail in this catalogue reaches a connection point 5000 mm away; the cheapest way out is a flex route of 2400 mm, from 379.62 GBP."
      },
      "other_conflicts": [],
      "conflicts_complete": true,
      "relaxations": [
        {
          "demand": "/place/connection_distance_mm",
          "from": 5000,
          "to": 2400,
          "cheapest_gross": "379.62"
        }
      ],
      "combined_relaxations": [],
      "notices": null
    }
    "#);
    for demand in answer["conflict"]["demands"].as_array().unwrap() {
        assert!(order.pointer(demand.as_str().unwrap()).is_some(), "{demand}");
    }
}

#[tokio::test]
async fn a_relaxation_followed_leads_to_a_bill_of_the_price_it_names() {
    let orders = [
        with(family_bathroom(), "/place/connection_distance_mm", json!(5000)),
        with(family_bathroom(), "/preferences/budget", json!("100.00")),
        with(family_bathroom(), "/place/wall_width_mm", json!(120)),
        with(family_bathroom(), "/heat_requirement_w", json!(5000)),
        json!({ "market": "gb", "heat_requirement_w": 300,
            "preferences": { "wall_control": true, "regulation": "adjustable" } }),
    ];
    let mut followed = 0;
    for order in orders {
        let answer = resolve(&order).await;
        assert_eq!(answer["outcome"], "impossible", "{order}");
        assert_cautioned(&answer["notices"]);
        for relaxation in answer["relaxations"].as_array().unwrap() {
            let pointer = relaxation["demand"].as_str().unwrap();
            // One rail is what a request asks for that does not say how many.
            let stated = order.pointer(pointer).map_or(Some(1.0), Value::as_f64);
            assert_eq!(stated, relaxation["from"].as_f64(), "{relaxation}");
            let relaxed = with(order.clone(), pointer, relaxation["to"].clone());
            let bill = resolve(&relaxed).await;
            assert_eq!(
                bill["options"][0]["total"]["gross"], relaxation["cheapest_gross"],
                "{relaxation}"
            );
            followed += 1;
        }
    }
    assert!(followed >= 5, "{followed}");
}

#[tokio::test]
async fn two_independent_reasons_are_both_named_and_their_changes_offered_together() {
    let order = with(family_bathroom(), "/place/connection_distance_mm", json!(2600));
    let order = with(order, "/preferences/budget", json!("150.00"));
    let answer = resolve(&order).await;
    insta::assert_snapshot!(told(&answer), @r#"
    No rail in this catalogue reaches a connection point 2600 mm away; the cheapest way out is a flex route of 2400 mm and a budget of 379.62 GBP together.
    No rail in this catalogue keeps the limits where children use the room and costs at most 150.00 GBP.
    No rail in this catalogue gives 313.3 W of heat, comes in matt-black and costs at most 150.00 GBP.
    No rail in this catalogue gives 313.3 W of heat, is controlled by the clock and costs at most 150.00 GBP.
    No rail in this catalogue comes in matt-black, is controlled by the clock and costs at most 150.00 GBP.
    "/place/connection_distance_mm" 2600 -> 2400, "/preferences/budget" "150.00" -> "379.62": "379.62"
    "#);
    check_combined(&order, &answer).await;
}

#[tokio::test]
async fn finish_reach_and_budget_together_are_explained_in_a_sentence_to_read_out() {
    let order = json!({ "market": "gb", "heat_requirement_w": 300, "price_date": "2026-12-01",
        "place": { "region": "scotland", "connection_distance_mm": 1900 },
        "preferences": { "finish": "brushed-brass", "budget": "260.00" } });
    let answer = resolve(&order).await;
    insta::assert_snapshot!(told(&answer), @r#"
    No rail in this catalogue reaches a connection point 1900 mm away and comes in brushed-brass; the cheapest way out is the finish white, from 148.69 GBP.
    No rail in this catalogue gives 300.0 W of heat, comes in brushed-brass and costs at most 260.00 GBP.
    "/preferences/finish" "brushed-brass" -> "white": "148.69"
    "/preferences/finish" "brushed-brass" -> "anthracite": "183.31"
    "/preferences/finish" "brushed-brass" -> "matt-black": "184.63"
    "/preferences/finish" "brushed-brass" -> "polished-chrome": "241.81"
    "/heat_requirement_w" 300.0 -> 159.0, "/place/connection_distance_mm" 1900 -> 1400: "258.43"
    "/place/connection_distance_mm" 1900 -> 1400, "/preferences/budget" "260.00" -> "351.43": "351.43"
    "#);
    check_combined(&order, &answer).await;
}

#[tokio::test]
async fn two_rails_are_offered_where_one_does_not_give_the_heat() {
    let order = json!({ "market": "gb", "heat_requirement_w": 1100, "price_date": "2026-12-01",
        "place": { "region": "scotland" } });
    let answer = resolve(&order).await;
    assert_eq!(answer["conflict"]["demands"], json!(["/heat_requirement_w"]));
    let relaxations = answer["relaxations"].as_array().unwrap();
    let rails = relaxations.iter().find(|one| one["demand"] == "/preferences/rails_max").unwrap();
    assert_eq!((&rails["from"], &rails["to"]), (&json!(1), &json!(2)));
    let relaxed = with(order, "/preferences", json!({ "rails_max": 2 }));
    let bill = resolve(&relaxed).await;
    assert_eq!(bill["options"][0]["rail_count"], 2);
    assert_eq!(bill["options"][0]["total"]["gross"], rails["cheapest_gross"]);
}

/// The sentences, and what is offered.
fn told(answer: &Value) -> String {
    assert_eq!(answer["outcome"], "impossible", "{answer}");
    assert_eq!(answer["conflicts_complete"], true);
    let others = answer["other_conflicts"].as_array().unwrap();
    let conflicts = std::iter::once(&answer["conflict"]).chain(others);
    let mut rows: Vec<String> =
        conflicts.map(|conflict| conflict["sentence"].as_str().unwrap().to_owned()).collect();
    for one in answer["relaxations"].as_array().unwrap() {
        rows.push(format!(
            "{} {} -> {}: {}",
            one["demand"], one["from"], one["to"], one["cheapest_gross"]
        ));
    }
    for several in answer["combined_relaxations"].as_array().unwrap() {
        let changes = several["changes"].as_array().unwrap().iter();
        let changes: Vec<String> = changes
            .map(|one| format!("{} {} -> {}", one["demand"], one["from"], one["to"]))
            .collect();
        rows.push(format!("{}: {}", changes.join(", "), several["cheapest_gross"]));
    }
    rows.join("\n")
}

/// Every set of changes leads to a bill of the price it names, and none of its changes can be spared.
async fn check_combined(order: &Value, answer: &Value) {
    let combined = answer["combined_relaxations"].as_array().unwrap();
    for several in combined {
        let changes = several["changes"].as_array().unwrap();
        let made = |spared: usize| {
            let kept = changes.iter().enumerate().filter(|(index, _)| *index != spared);
            kept.fold(order.clone(), |order, (_, change)| {
                with(order, change["demand"].as_str().unwrap(), change["to"].clone())
            })
        };
        let bill = resolve(&made(usize::MAX)).await;
        assert_eq!(bill["options"][0]["total"]["gross"], several["cheapest_gross"], "{several}");
        for spared in 0..changes.len() {
            assert_eq!(resolve(&made(spared)).await["outcome"], "impossible", "{several}");
        }
    }
}

#[tokio::test]
async fn an_unknown_finish_is_a_wrong_field_and_a_finish_that_no_part_has_is_impossible() {
    let unknown = with(family_bathroom(), "/preferences/finish", json!("puce"));
    let refused = post(PATH, unknown.to_string()).await;
    insta::assert_snapshot!(wrong_fields(&refused), @"
    422 invalid-fields
    /preferences/finish: unknown
    ");
    // Sea green is in the finish table, and no body has it.
    let rare = with(family_bathroom(), "/preferences/finish", json!("sea-green"));
    let answer = resolve(&rare).await;
    assert_eq!(answer["outcome"], "impossible");
    assert_eq!(answer["conflict"]["demands"], json!(["/preferences/finish"]));
}

#[tokio::test]
async fn a_budget_is_an_amount_of_the_market_in_decimal_text() {
    for (budget, right) in [
        ("450.00", true),
        ("450", true),
        ("450.5", true),
        ("450.123", false),
        ("-1.00", false),
        ("4,50", false),
        ("1e3", false),
        ("NaN", false),
        ("", false),
    ] {
        let order = with(family_bathroom(), "/preferences/budget", json!(budget));
        let answer = post(PATH, order.to_string()).await;
        if right {
            assert_eq!(answer.status, 200, "{budget}: {}", answer.body);
        } else {
            assert_eq!(
                wrong_fields(&answer),
                "422 invalid-fields\n/preferences/budget: bad-form",
                "{budget}"
            );
        }
    }
}

#[tokio::test]
async fn a_budget_to_the_penny_is_kept() {
    let first = resolve(&family_bathroom()).await["options"][0]["total"]["gross"].clone();
    let exact = resolve(&with(family_bathroom(), "/preferences/budget", first.clone())).await;
    assert_eq!(exact["options"][0]["total"]["gross"], first);
    let least = hundredths(&first) - 1;
    let short = format!("{}.{:02}", least.div_euclid(100), least.rem_euclid(100));
    let answer = resolve(&with(family_bathroom(), "/preferences/budget", json!(short))).await;
    assert_eq!(answer["outcome"], "impossible");
}

#[tokio::test]
async fn a_day_before_all_price_lists_is_a_conflict() {
    let order = with(family_bathroom(), "/price_date", json!("2020-01-01"));
    insta::assert_snapshot!(post(PATH, order.to_string()).await.told(), @r#"
    409 Conflict
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/no-price-list",
      "title": "No price list holds on that day",
      "status": 409,
      "detail": "no retail price list of gb holds on 2020-01-01",
      "instance": "test",
      "code": "no-price-list"
    }
    "#);
    let later = with(family_bathroom(), "/price_date", json!("2027-02-01"));
    assert_eq!(resolve(&later).await["price_list"], "gb-2027");
    let no_day = with(family_bathroom(), "/price_date", json!("2026-02-30"));
    let refused = post(PATH, no_day.to_string()).await;
    assert_eq!(wrong_fields(&refused), "422 invalid-fields\n/price_date: bad-form");
}

#[tokio::test]
async fn as_many_options_come_as_are_asked_for() {
    for count in [1, 20] {
        let order = with(family_bathroom(), "/options_max", json!(count));
        assert_eq!(resolve(&order).await["options"].as_array().unwrap().len(), count);
    }
    for (count, code) in [(0, "below-minimum"), (21, "above-maximum")] {
        let order = with(family_bathroom(), "/options_max", json!(count));
        let answer = post(PATH, order.to_string()).await;
        assert_eq!(wrong_fields(&answer), format!("422 invalid-fields\n/options_max: {code}"));
    }
}

#[tokio::test]
async fn a_field_that_decides_nothing_is_said_to() {
    let order = json!({ "market": "gb", "purpose": "towel_warming", "heat_requirement_w": 300,
        "heat_share_percent": 40, "running": { "price_per_kwh": 0.3 } });
    let answer = resolve(&order).await;
    let notices = answer["notices"].as_array().unwrap().iter();
    let idle = notices.filter(|notice| notice["code"] == "field-not-used");
    let fields: Vec<&str> =
        idle.map(|notice| notice["text"].as_str().unwrap().split(' ').next().unwrap()).collect();
    assert_eq!(fields, ["heat_requirement_w", "heat_share_percent", "running"]);
    // Used as they are meant, none is idle.
    let used = json!({ "market": "gb", "purpose": "shared_heating", "heat_requirement_w": 300,
        "heat_share_percent": 40, "preferences": { "rails_max": 1 } });
    assert!(!resolve(&used).await["notices"].to_string().contains("field-not-used"));
}

//! `POST /v1/resolutions` over the demonstration catalogue.

use serde_json::Value;
use serde_json::json;

use crate::demo::FAMILY_BATHROOM;
use crate::demo::family_bathroom;
use crate::demo::post;
use crate::demo::post_json;
use crate::demo::texts;
use crate::demo::with;

pub(crate) const PATH: &str = "/v1/resolutions";

pub(crate) async fn resolve(order: &Value) -> Value {
    post_json(PATH, order).await
}

/// Hundredths of a decimal text.
pub(crate) fn hundredths(amount: &Value) -> i64 {
    let (whole, rest) = amount.as_str().unwrap().split_once('.').unwrap();
    assert_eq!(rest.len(), 2, "{amount}");
    format!("{whole}{rest}").parse().unwrap()
}

/// Gross price of the first option.
pub(crate) fn cheapest(answer: &Value) -> i64 {
    hundredths(&answer["options"][0]["total"]["gross"])
}

/// Asserts what every bill must keep, whatever its prices.
fn check_bill(option: &Value, tax_percent: i64) {
    check_total(option, tax_percent);
    let kinds = texts(&option["lines"], "kind");
    for kind in ["body", "element"] {
        assert_eq!(kinds.iter().filter(|found| **found == kind).count(), 1, "{kinds:?}");
    }
    let lines = option["lines"].as_array().unwrap();
    let is_plain = |line: &&Value| {
        let is_included = line.get("included_with").is_some();
        is_included == (line["unit_net"] == "0.00") && line["why"] != ""
    };
    assert_eq!(lines.iter().find(|line| !is_plain(line)), None);
    let slowest = lines.iter().map(|line| line["lead_days"].as_u64().unwrap()).max();
    assert_eq!(option["lead_days"].as_u64(), slowest);
    let checks = option["checks"].as_array().unwrap();
    let is_sourced = |check: &&Value| {
        check["source"] != "" && check["evidence"] != "" && check["outcome"] != "clashes"
    };
    assert_eq!(checks.iter().find(|check| !is_sourced(check)), None);
    assert_cautioned(&option["notices"]);
}

/// Asserts that lines, tax and total add up.
pub(crate) fn check_total(option: &Value, tax_percent: i64) {
    let lines = option["lines"].as_array().unwrap();
    let net: i64 = lines.iter().map(|line| hundredths(&line["net"])).sum();
    let total = &option["total"];
    assert_eq!(hundredths(&total["net"]), net);
    // Half a hundredth goes up, and there are no negative amounts here.
    let tax = (net * tax_percent + 50).div_euclid(100);
    assert_eq!(hundredths(&total["tax"]), tax);
    assert_eq!(hundredths(&total["gross"]), net + tax);
    assert_eq!(total["tax_rate_percent"], tax_percent.to_string());
}

pub(crate) fn assert_cautioned(notices: &Value) {
    let cautions = texts(notices, "code");
    assert_eq!(
        cautions.iter().filter(|code| **code == "electrician-decides").count(),
        1,
        "{cautions:?}"
    );
}

#[tokio::test]
async fn the_family_bathroom_is_answered_in_the_shape_of_the_contract() {
    let answer = resolve(&family_bathroom()).await;
    assert_eq!(answer["outcome"], "resolved");
    assert_eq!(
        answer["heat_requirement"],
        json!({ "required_w": 313.3, "basis": "steady_state", "quick_rule_w": 494.0 })
    );
    let options = answer["options"].as_array().unwrap();
    assert_eq!(options.len(), 5);
    let ranks: Vec<u64> = options.iter().map(|option| option["rank"].as_u64().unwrap()).collect();
    assert_eq!(ranks, [1, 2, 3, 4, 5]);
    let prices: Vec<i64> =
        options.iter().map(|option| hundredths(&option["total"]["gross"])).collect();
    assert!(prices.is_sorted(), "{prices:?}");
    assert!(prices.iter().all(|gross| *gross <= 45_000), "{prices:?}");
    for option in options {
        check_bill(option, 20);
        let delivered = option["delivered_w"].as_f64().unwrap();
        let margin = option["margin_w"].as_f64().unwrap();
        assert!(delivered >= 313.3 && (delivered - margin - 313.3).abs() < 0.01, "{option}");
        assert_eq!(option["total"]["currency"], "GBP");
    }
    assert_cautioned(&answer["notices"]);
}

#[tokio::test]
async fn no_two_options_differ_in_an_addition_only() {
    let order = with(family_bathroom(), "/options_max", json!(20));
    let answer = resolve(&order).await;
    let hearts: Vec<Vec<&str>> = answer["options"]
        .as_array()
        .unwrap()
        .iter()
        .map(|option| {
            let lines = option["lines"].as_array().unwrap().iter();
            let heart = lines.filter(|line| line["kind"] == "body" || line["kind"] == "element");
            heart.map(|line| line["sku"].as_str().unwrap()).collect()
        })
        .collect();
    let mut distinct = hearts.clone();
    distinct.sort();
    distinct.dedup();
    assert_eq!((hearts.len(), distinct.len()), (20, 20));
}

/// A bill told line by line.
fn told(option: &Value) -> String {
    let text = |value: &Value, name: &str| value[name].as_str().unwrap().to_owned();
    let mut told = Vec::new();
    for line in option["lines"].as_array().unwrap() {
        let [kind, sku, unit_net, net, why] =
            ["kind", "sku", "unit_net", "net", "why"].map(|name| text(line, name));
        let [quantity, days] = ["quantity", "lead_days"].map(|name| &line[name]);
        told.push(format!("{kind} {quantity} x {sku} at {unit_net} is {net}, {days} days: {why}"));
    }
    told.push(option["total"].to_string());
    let [delivered, margin, days] =
        ["delivered_w", "margin_w", "lead_days"].map(|name| &option[name]);
    told.push(format!("{delivered} W, {margin} W to spare, {days} days"));
    for check in option["checks"].as_array().unwrap() {
        let [rule, outcome, evidence] =
            ["rule", "outcome", "evidence"].map(|name| text(check, name));
        told.push(format!("{rule} {outcome} ({evidence})"));
    }
    for notice in option["notices"].as_array().unwrap() {
        told.push(format!("{}: {}", text(notice, "code"), text(notice, "text")));
    }
    told.join("\n")
}

#[tokio::test]
async fn the_first_bill_of_the_family_bathroom() {
    let answer = resolve(&family_bathroom()).await;
    insta::assert_snapshot!(told(&answer["options"][0]), @r#"
    body 1 x SRW-B-OOTAD-400.1100-BK at 99.90 is 99.90, 3 days: matt-black body; with this element it gives 329.2 W in a room of 22 °C, 313.3 W are required
    accessory 4 x SRW-A-BRKT-ROUND-25-BK at 0.00 is 0.00, 11 days: comes in the body's carton
    accessory 1 x SRW-A-KEY-5 at 0.00 is 0.00, 3 days: comes in the body's carton
    accessory 1 x SRW-A-VENT-G12-BK at 0.00 is 0.00, 3 days: comes in the body's carton
    element 1 x SRW-E-DIMRI-400-BK at 83.95 is 83.95, 25 days: 400 W, adjustable, held at 65 °C
    control 1 x SRW-C-KIST-3-WH at 7.20 is 7.20, 4 days: connects the flex to the fixed wiring, with a fuse and a switch
    accessory 2 x SRW-A-PLUG-G12-BK at 3.45 is 6.90, 4 days: closes the ports left open
    accessory 1 x SRW-A-FLEX-1000-BK at 14.40 is 14.40, 4 days: no loose flex where children, vulnerable people or the public come
    accessory 1 x SRW-A-INHIB-100 at 4.8625 is 4.86, 3 days: treats a fill of 3.6 l
    accessory 1 x SRW-A-HOOK-ROUND-25-BK at 6.79 is 6.79, 21 days: wished for
    {"currency":"GBP","net":"224.00","tax":"44.80","gross":"268.80","tax_rate_percent":"20"}
    329.2 W, 15.9 W to spare, 25 days
    body-hangs-firmly holds (practice)
    body-not-electric holds (practice)
    body-too-wide holds (computed)
    tube-too-low holds (read-secondary)
    element-finish holds (invented)
    element-longer-than-tube holds (inferred)
    element-within-watts holds (invented)
    sheath-tight-in-bore holds (inferred)
    sheath-wider-than-bore holds (inferred)
    thread-mates holds (read-secondary)
    fluid-within-limit holds (computed)
    heat-not-lockable holds (practice)
    body-too-high holds (computed)
    control-finish holds (invented)
    plug-cover-finish holds (invented)
    plug-cover-thread holds (read-secondary)
    flex-cover-finish holds (invented)
    hook-finish holds (invented)
    hook-tube holds (inferred)
    flex-too-short holds (computed)
    zone-allowed warns (read-secondary)
    control-overloaded holds (invented)
    control-functions holds (memory)
    assess-the-risk: Children, vulnerable people or the public use this room: the person responsible assesses the risk on the spot. No rail is safe for everybody.
    body-sold-empty: The body comes empty: fill it, treat the fill and leave room for expansion before the element is ever switched on. An element that is switched on dry is destroyed and may burn.
    condition-of-the-place: The position is allowed on a condition: a residual current device of at most 30 mA on the circuit.
    ecodesign-not-established: Great Britain keeps the older Regulation 2015/1188 (from memory). Whether it covers towel rails is not established here, so no control function is demanded on its account.
    electrician-decides: The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
    frost: Water freezes at 0 °C and can burst the body in an unheated home.
    licensed-electrician: The local wiring rules and a licensed electrician decide on connection and first switching on; this answer replaces neither, nor the maker's own instructions.
    lock-the-set-point: The installer locks the set point at 65 °C; the output is taken at it.
    pressure-can-be-higher: The pressure leaves out air that comes out of the fluid and gas from corrosion, so the true one can be higher. It counts the body as rigid.
    surface-hot: The surface can reach 65 °C. Where a vulnerable person may touch it, guidance (HSE HSG220, quoted second-hand) asks for no more than 43 °C; held there, the pair gives 135 W in this room, 34 % of the rated output.
    watts-beyond-the-body: The element is rated 400 W, the body sheds 329.2 W at its set point: that is what the room gets.
    "#);
}

#[tokio::test]
async fn one_check_of_a_bill_states_both_sides_and_its_source() {
    let answer = resolve(&family_bathroom()).await;
    let checks = answer["options"][0]["checks"].as_array().unwrap();
    let thread = checks.iter().find(|check| check["rule"] == "thread-mates").unwrap();
    insta::assert_snapshot!(serde_json::to_string_pretty(thread).unwrap(), @r#"
    {
      "rule": "thread-mates",
      "outcome": "holds",
      "detail": "The element's thread G 1/2 ext goes into the port G 1/2 int: they join (on a face: O-ring or flat gasket, never on the thread).",
      "left": {
        "sku": "SRW-E-DIMRI-400-BK",
        "attribute": "element.thread",
        "value": "G 1/2 ext"
      },
      "right": {
        "sku": "SRW-B-OOTAD-400.1100-BK",
        "attribute": "body.thread",
        "value": "G 1/2 int"
      },
      "source": "ISO 228-1 as its published scope describes it",
      "evidence": "read-secondary"
    }
    "#);
}

#[tokio::test]
async fn a_given_requirement_is_taken_as_it_is() {
    let answer = resolve(&json!({ "market": "gb", "heat_requirement_w": 300.0 })).await;
    assert_eq!(answer["heat_requirement"], json!({ "required_w": 300.0, "basis": "given" }));
    for option in answer["options"].as_array().unwrap() {
        check_bill(option, 20);
        assert!(option["delivered_w"].as_f64().unwrap() >= 300.0);
    }
    // A room beside it gives the temperature only.
    let room = json!({ "length_mm": 2600, "width_mm": 1900, "indoor_c": 24 });
    let order = json!({ "market": "gb", "heat_requirement_w": 300, "room": room });
    assert_eq!(resolve(&order).await["heat_requirement"]["basis"], "given");
}

#[tokio::test]
async fn a_floor_area_alone_gives_the_quick_rule_marked_as_such() {
    let room = json!({ "length_mm": 2600, "width_mm": 1900 });
    let answer = resolve(&json!({ "market": "gb", "room": room })).await;
    assert_eq!(
        answer["heat_requirement"],
        json!({ "required_w": 494.0, "basis": "quick_rule", "quick_rule_w": 494.0 })
    );
    assert!(texts(&answer["notices"], "code").contains(&"quick-rule-only"));
}

#[tokio::test]
async fn shared_heating_bears_its_share() {
    let order = with(family_bathroom(), "/purpose", json!("shared_heating"));
    let half = resolve(&order).await;
    assert_eq!(half["heat_requirement"]["room_w"], 313.3);
    // Half of 313.3 W, rounded up to a tenth so that the room does not go short.
    assert_eq!(half["heat_requirement"]["required_w"], 156.7);
    assert!(texts(&half["notices"], "code").contains(&"share-assumed"));
    let stated = resolve(&with(order, "/heat_share_percent", json!(80))).await;
    assert_eq!(stated["heat_requirement"]["required_w"], 250.7);
    assert!(!texts(&stated["notices"], "code").contains(&"share-assumed"));
}

#[tokio::test]
async fn towel_warming_asks_for_no_heat() {
    let answer = resolve(&json!({ "market": "gb", "purpose": "towel_warming" })).await;
    assert_eq!(answer["outcome"], "resolved");
    assert!(answer.get("heat_requirement").is_none());
    // The cheapest bill of all costs no more than the cheapest that heats.
    let heated = resolve(&json!({ "market": "gb", "heat_requirement_w": 300 })).await;
    assert!(cheapest(&answer) <= cheapest(&heated));
}

#[tokio::test]
async fn without_a_region_the_strictest_ecodesign_law_holds_and_the_answer_says_so() {
    let order = json!({ "market": "gb", "heat_requirement_w": 300 });
    let nowhere = resolve(&order).await;
    let scotland = resolve(&with(order, "/place", json!({ "region": "scotland" }))).await;
    let unknown = |answer: &Value| {
        texts(&answer["options"][0]["notices"], "code").contains(&"ecodesign-region-unknown")
    };
    assert!(unknown(&nowhere) && !unknown(&scotland));
    // The strictest law asks for a control by the clock, which the cheapest Scottish bill goes without.
    assert!(cheapest(&scotland) < cheapest(&nowhere));
}

#[tokio::test]
async fn a_place_left_out_is_said_not_to_be_checked() {
    let answer = resolve(&json!({ "market": "de", "heat_requirement_w": 300 })).await;
    let notices = &answer["options"][0]["notices"];
    let open =
        notices.as_array().unwrap().iter().find(|notice| notice["code"] == "not-established");
    assert_eq!(open.unwrap()["text"], "No zone was given, so the position was not checked.");
}

#[tokio::test]
async fn cautions_about_other_things_than_rails_are_not_shown() {
    let answer = resolve(&family_bathroom()).await;
    for option in answer["options"].as_array().unwrap() {
        let notices = option["notices"].to_string();
        assert!(!notices.contains("socket") && !notices.contains("zone 1"), "{notices}");
    }
}

#[tokio::test]
async fn the_same_question_gets_the_same_bytes() {
    let first = post(PATH, FAMILY_BATHROOM).await.body;
    let again = post(PATH, FAMILY_BATHROOM).await.body;
    assert_eq!(first, again);
    // Written in another order and with other number forms, it is still the same question.
    let other = family_bathroom().to_string().replace("2600", "2600.0");
    assert_eq!(post(PATH, other).await.body, first);
}

#[tokio::test]
async fn three_markets_price_in_their_own_money_and_tax() {
    for (market, currency, tax) in [("gb", "GBP", 20), ("ie", "EUR", 23), ("de", "EUR", 19)] {
        let order =
            json!({ "market": market, "heat_requirement_w": 250, "place": { "zone": "2" } });
        let answer = resolve(&order).await;
        for option in answer["options"].as_array().unwrap() {
            check_bill(option, tax);
            assert_eq!(option["total"]["currency"], currency);
        }
        // Where the wiring rules want a connection unit it is on the bill; Germany connects to a circuit of its own.
        let bill = answer["options"][0]["lines"].to_string();
        assert_eq!(
            bill.contains("connects the flex to the fixed wiring"),
            market != "de",
            "{bill}"
        );
    }
}

#[tokio::test]
async fn vulnerable_people_get_a_surface_of_at_most_43_degrees_or_a_guard() {
    let order = json!({ "market": "gb", "heat_requirement_w": 150, "options_max": 20,
        "users": { "vulnerable": true }, "place": { "region": "wales", "zone": "2" } });
    let answer = resolve(&order).await;
    for option in answer["options"].as_array().unwrap() {
        let checks = option["checks"].as_array().unwrap();
        let surface = checks.iter().find(|check| check["rule"] == "surface-too-hot").unwrap();
        assert_eq!(surface["outcome"], "holds");
        let covered = option["lines"].to_string().contains("no loose flex");
        assert!(covered, "{option}");
    }
}

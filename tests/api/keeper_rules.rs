//! Rules without code: an attribute and a rule by data, tried, published, and at work in every answer.

use serde_json::Value;
use serde_json::json;

use crate::editions::Keeper;
use crate::editions::dated_bathroom;

/// A rule of the keeper's own: heads of a depth that a body's clearance takes.
fn rule() -> Value {
    json!({ "code": "head-clears-the-wall", "left": "element.head_depth_mm", "relation": "at_most",
        "right": "body.clearance_mm", "severity": "refuse",
        "sentence": "The head is no deeper than the body's clearance to the wall.",
        "source": "made up for a test", "evidence": "invented" })
}

fn attributes() -> Value {
    json!([
        { "attribute": "element.head_depth_mm", "value_type": "number", "unit": "mm" },
        { "attribute": "body.clearance_mm", "value_type": "number", "unit": "mm" },
    ])
}

/// A column for every part of a list.
fn rows(list: &Value, column: &str, value: impl Fn(&str) -> f64) -> Vec<Value> {
    let row =
        |row: &Value| json!({ "sku": row["sku"], column: value(row["sku"].as_str().unwrap()) });
    list.as_array().unwrap().iter().map(row).collect()
}

/// The two attributes for every part, and one head that is too deep.
async fn changes(keeper: &Keeper, deep: &str) -> Value {
    let document = keeper.get_json("/v1/editions/1/catalogue").await;
    let depth = |sku: &str| if sku == deep { 72.5 } else { 55.0 };
    json!({
        "attributes": attributes(),
        "rules": [rule()],
        "bodies": rows(&document["bodies"], "clearance_mm", |_| 60.0),
        "elements": rows(&document["elements"], "head_depth_mm", depth),
    })
}

#[tokio::test]
async fn an_attribute_and_a_rule_by_data_take_part_in_every_answer() {
    let keeper = Keeper::open().await;
    let before = keeper.post_json("/v1/resolutions", &dated_bathroom()).await;
    let skus = |answer: &Value| -> Vec<String> {
        let lines = answer["options"][0]["lines"].as_array().unwrap().iter();
        lines.map(|line| line["sku"].as_str().unwrap().to_owned()).collect()
    };
    let (body, element) = ("SRW-B-OOTAD-400.1100-BK", "SRW-E-DIMRI-400-BK");
    assert!(skus(&before).contains(&element.to_owned()));
    let draft = keeper.change(&changes(&keeper, element).await).await;
    assert_eq!(keeper.check(draft).await["passed"], true);
    assert_eq!(keeper.publish(draft).await.status, 200);

    // Checks, with both values and the sentence.
    let question = json!({ "market": "gb", "checks": [{ "parts": [body, element] }] });
    let answer = keeper.post_json("/v1/checks", &question).await["answers"][0].clone();
    assert_eq!(answer["outcome"], "clashes");
    let clash = &answer["clashes"][0];
    assert_eq!(
        (&clash["rule"], &clash["left"]["value"], &clash["right"]["value"]),
        (&json!("head-clears-the-wall"), &json!("72.5"), &json!("60")),
        "{clash:#}"
    );
    assert!(clash["detail"].as_str().unwrap().contains("no deeper than the body's clearance"));

    // Filtering.
    let list = keeper.get_json(&format!("/v1/bodies/{body}/elements")).await;
    let listed = list["items"].as_array().unwrap();
    assert!(!listed.is_empty() && listed.iter().all(|item| item["sku"] != element));
    let attribute = &keeper.get_json(&format!("/v1/elements/{element}")).await["attributes"];
    assert_eq!(attribute["head_depth_mm"], 72.5);

    // Resolution, and the reasons in it.
    let resolved = keeper.post_json("/v1/resolutions", &dated_bathroom()).await;
    assert_eq!(resolved["outcome"], "resolved");
    assert!(!skus(&resolved).contains(&element.to_owned()), "{:?}", skus(&resolved));
    let checks = resolved["options"][0]["checks"].as_array().unwrap();
    let held = checks.iter().find(|check| check["rule"] == "head-clears-the-wall").unwrap();
    assert_eq!(
        (&held["outcome"], &held["left"]["value"]),
        (&json!("holds"), &json!("55")),
        "{held:#}"
    );
}

#[tokio::test]
async fn a_rule_is_tried_before_it_is_saved() {
    let keeper = Keeper::open().await;
    let tried = json!({ "rule": { "code": "strong-only", "left": "element.watts", "relation": "at_least", "right": "body",
        "constant": "400", "when": "body.finish=white", "severity": "refuse", "sentence": "White bodies take 400 W at least.",
        "source": "made up for a test", "evidence": "invented" } });
    let trial = keeper.post_json("/v1/rules/trials", &tried).await;
    let document = keeper.get_json("/v1/editions/1/catalogue").await;
    let rows_of = |list: &str| document[list].as_array().unwrap().clone();
    let counted = |count: usize| u64::try_from(count).unwrap();
    let is_weak = |row: &&Value| row["watts"].as_str().unwrap().parse::<f64>().unwrap() < 400.0;
    let (bodies, elements) = (rows_of("bodies"), rows_of("elements"));
    let white = counted(bodies.iter().filter(|row| row["finish"] == "white").count());
    let weak = counted(elements.iter().filter(is_weak).count());
    let all = counted(elements.len());
    assert!(0 < white && 0 < weak);
    assert_eq!((&trial["asked"], &trial["stopped"]), (&json!(white * all), &json!(white * weak)));
    assert_eq!(trial["effect"], "stops_some");
    assert_eq!(trial["examples"].as_array().unwrap().len(), 10);
    for example in trial["examples"].as_array().unwrap() {
        let values = [&example["left"]["values"], &example["right"]["values"]];
        assert_eq!(values[1]["body.finish"], "white", "{example:#}");
        assert!(values[0]["element.watts"].as_str().unwrap().parse::<f64>().unwrap() < 400.0);
    }
    assert_eq!(keeper.get_json("/v1/editions").await["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn a_trial_says_when_a_rule_is_never_asked_or_stops_everything() {
    let keeper = Keeper::open().await;
    let mut tried = json!({ "rule": rule(), "attributes": attributes() });
    let effect = |trial: Value| (trial["effect"].clone(), trial["not_stated"] == trial["stopped"]);
    assert_eq!(
        effect(keeper.post_json("/v1/rules/trials", &tried).await),
        (json!("stops_all"), true)
    );
    tried["rule"]["when"] = json!("element.head=hexagonal");
    assert_eq!(
        effect(keeper.post_json("/v1/rules/trials", &tried).await),
        (json!("never_asked"), true)
    );
}

#[tokio::test]
async fn a_rule_that_says_nothing_sensible_is_refused_by_its_field() {
    let keeper = Keeper::open().await;
    for (field, value, pointer) in [
        ("left", "element.colour", "/rule/left"),
        ("right", "body.finish", "/rule/right"),
        ("relation", "resembles", "/rule/relation"),
        ("severity", "perhaps", "/rule/severity"),
        ("evidence", "hearsay", "/rule/evidence"),
        ("when", "element.watts", "/rule/when"),
    ] {
        let mut tried = json!({ "rule": rule(), "attributes": attributes() });
        tried["rule"][field] = json!(value);
        let answer = keeper.post("/v1/rules/trials", &tried).await;
        assert_eq!(answer.status, 422, "{field}: {}", answer.body);
        assert_eq!(answer.json()["errors"][0]["pointer"], pointer, "{}", answer.body);
    }
}

//! What fits a body: held against every finding of the domain, and against what a fitter would write down.

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::compatibility::Finding;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Surroundings;
use rungwright::domain::compatibility::Users;
use rungwright::domain::compatibility::check_parts;
use rungwright::domain::units::Celsius;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeSet;

use crate::demo::get;
use crate::demo::get_json;
use crate::demo::make_app;
use crate::demo::texts;
use crate::demo::wrong_fields;
use crate::parts::walk;

#[tokio::test]
async fn a_discontinued_part_is_still_found_and_is_not_offered() {
    let gone = "SRW-E-DAYEK-400-CH-CL";
    assert_eq!(get_json(&format!("/v1/elements/{gone}")).await["stock"], "discontinued");
    assert!(walk("/v1/elements?limit=200").await.iter().any(|sku| sku == gone));
    for body in walk("/v1/bodies?limit=200").await {
        let fitting = get_json(&format!("/v1/bodies/{body}/elements")).await;
        assert!(!texts(&fitting["items"], "sku").contains(&gone), "{body}");
    }
}

fn refuses(edition: &Edition, parts: &[PartRef], room_c: f64) -> bool {
    let around = Surroundings {
        market: edition.market("gb").unwrap(),
        rules: None,
        room: Celsius::new(room_c),
        towels_factor: 1.0,
        users: Users::default(),
        place: Place::default(),
        plan: None,
    };
    check_parts(edition, parts, &around).iter().any(Finding::refuses)
}

fn skus_that_pass<F>(edition: &Edition, kind: PartKind, passes: F) -> Vec<String>
where
    F: Fn(PartRef) -> bool,
{
    let parts = edition.parts().filter(|part| part.kind == kind);
    let sold = parts.filter(|part| edition.card(*part).unwrap().stock != Stock::Discontinued);
    let fitting = sold.filter(|part| passes(*part));
    fitting.map(|part| edition.card(part).unwrap().sku.to_string()).collect()
}

#[tokio::test]
async fn the_elements_of_a_body_are_those_that_no_finding_refuses() {
    let snapshot = make_app().snapshot().unwrap();
    let edition = snapshot.catalogue().edition();
    let bodies = edition.parts().filter(|part| part.kind == PartKind::Body);
    let mut kinds = BTreeSet::new();
    for body in bodies {
        let sku = &edition.card(body).unwrap().sku;
        let list = get_json(&format!("/v1/bodies/{sku}/elements?room_c=24")).await;
        let expected = skus_that_pass(edition, PartKind::Element, |element| {
            !refuses(edition, &[body, element], 24.0)
        });
        assert_eq!(texts(&list["items"], "sku"), expected, "{sku}");
        kinds.insert(expected.is_empty());
        for item in list["items"].as_array().unwrap() {
            let delivered = item["delivered_w"].as_f64().unwrap();
            let watts = item["attributes"]["watts"].as_f64().unwrap();
            assert!(0.0 < delivered && delivered <= watts, "{item}");
        }
    }
    // Some bodies (those plumbed to a boiler) take none at all.
    assert_eq!(kinds.len(), 2);
}

#[tokio::test]
async fn the_accessories_of_a_body_are_those_that_no_finding_refuses() {
    let snapshot = make_app().snapshot().unwrap();
    let edition = snapshot.catalogue().edition();
    let bodies: Vec<PartRef> =
        edition.parts().filter(|part| part.kind == PartKind::Body).step_by(5).collect();
    for body in bodies {
        let sku = &edition.card(body).unwrap().sku;
        let list = get_json(&format!("/v1/bodies/{sku}/accessories?market=gb")).await;
        let expected = skus_that_pass(edition, PartKind::Accessory, |accessory| {
            !refuses(edition, &[body, accessory], 20.0)
        });
        assert_eq!(texts(&list["items"], "sku"), expected, "{sku}");
    }
}

/// Whether an accessory goes on a body, written down by hand from what a fitter knows.
fn goes_on(accessory: &Value, body: &Value) -> bool {
    let of =
        |part: &Value, name: &str| part["attributes"][name].as_str().unwrap_or_default().to_owned();
    let (finish, rail) = (of(accessory, "finish"), of(body, "finish"));
    let matches = finish == rail
        || [
            ("matt-black", "anthracite"),
            ("polished-chrome", "brushed-steel"),
            ("polished-chrome", "white"),
        ]
        .contains(&(finish.as_str(), rail.as_str()));
    let tube = of(accessory, "tube") == of(body, "tube");
    let (plug, port) = (of(accessory, "thread"), of(body, "thread"));
    let closes = [
        ("G 1/2 ext", "G 1/2 int"),
        ("G 3/4 ext", "G 3/4 int"),
        ("R 1/2 ext", "Rp 1/2 int"),
        ("R 1/2 ext", "Rc 1/2 int"),
    ]
    .contains(&(plug.as_str(), port.as_str()));
    match of(accessory, "kind").as_str() {
        "plug_cover" => matches && closes,
        "bracket" | "hook" | "shelf" => matches && tube,
        "flex_cover" | "wall_plate" => matches,
        "inhibitor" | "vent_key" => true,
        other => panic!("nobody wrote down what a {other} goes on"),
    }
}

#[tokio::test]
async fn the_accessories_of_a_body_are_those_that_a_fitter_would_take() {
    let mut all = Vec::new();
    for kind in [
        "plug_cover",
        "bracket",
        "hook",
        "shelf",
        "flex_cover",
        "wall_plate",
        "inhibitor",
        "vent_key",
    ] {
        let list = get_json(&format!("/v1/accessories?limit=200&kind={kind}")).await;
        all.extend(list["items"].as_array().unwrap().clone());
    }
    assert_eq!(all.len(), walk("/v1/accessories?limit=200").await.len());
    all.sort_by_key(|part| part["sku"].as_str().unwrap().to_owned());
    let mut bodies = 0;
    for sku in walk("/v1/bodies?limit=200").await {
        let body = get_json(&format!("/v1/bodies/{sku}")).await;
        if body["attributes"]["heat_source"] != "electric" {
            continue;
        }
        let expected: Vec<&str> = all
            .iter()
            .filter(|part| goes_on(part, &body))
            .map(|part| part["sku"].as_str().unwrap())
            .collect();
        let list = get_json(&format!("/v1/bodies/{sku}/accessories")).await;
        assert_eq!(texts(&list["items"], "sku"), expected, "{sku}");
        bodies += 1;
    }
    assert!(150 <= bodies, "{bodies}");
}

#[tokio::test]
async fn a_named_element_takes_nothing_away_that_fits_and_a_pair_that_is_none_has_no_accessories() {
    let path = "/v1/bodies/SRW-B-HAAR-500.1200-BK/accessories";
    let alone = get_json(path).await;
    let with = get_json(&format!("{path}?element=SRW-E-GLEED-400-BK")).await;
    assert_eq!(with["items"], alone["items"]);
    assert_eq!(with["element"], "SRW-E-GLEED-400-BK");
    assert_eq!(with["notices"], json!([]));
    // Wrong thread: nothing fits the two, and the answer says that it is the pair.
    let none = get_json(&format!("{path}?element=SRW-E-GLEED-400-BK-34")).await;
    assert_eq!(none["items"], json!([]));
    assert_eq!(texts(&none["notices"], "code"), ["element-does-not-fit"]);
    let hooks = get_json(&format!("{path}?kind=hook")).await;
    assert_eq!(texts(&hooks["items"], "sku"), ["SRW-A-HOOK-ROUND-22-BK"]);
}

#[tokio::test]
async fn a_body_plumbed_to_the_central_heating_is_offered_nothing() {
    for body in ["SRW-B-RIVLI-500.1000-CH", "SRW-B-HAAR-500.1200-BK-DF"] {
        for list in ["elements", "accessories"] {
            let found = get_json(&format!("/v1/bodies/{body}/{list}")).await;
            assert_eq!(found["items"], json!([]), "{body} {list}");
            assert_eq!(texts(&found["notices"], "code"), ["body-cannot-be-used"], "{body} {list}");
        }
    }
}

#[tokio::test]
async fn a_warmer_room_gets_less_from_the_same_pair() {
    let path = "/v1/bodies/SRW-B-HAAR-500.1200-BK/elements";
    let cool = get_json(&format!("{path}?room_c=16")).await;
    let warm = get_json(&format!("{path}?room_c=28")).await;
    let delivered = |list: &Value| -> f64 {
        let items = list["items"].as_array().unwrap().iter();
        items.map(|item| item["delivered_w"].as_f64().unwrap()).sum()
    };
    assert!(delivered(&warm) < delivered(&cool));
    assert_eq!(
        wrong_fields(&get(&format!("{path}?room_c=NaN")).await),
        "400 bad-query\nroom_c: wrong-type"
    );
    assert_eq!(
        wrong_fields(&get(&format!("{path}?room_c=90")).await),
        "400 bad-query\nroom_c: above-maximum"
    );
}

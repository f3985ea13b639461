//! Who must be told of the work in a drawn room: in England by the distances of the drawing.

use serde_json::Value;
use serde_json::json;

use crate::papers::HTML;
use crate::papers::form;
use crate::papers::tern_house;
use crate::quoting::Shop;

/// A quote for the drawn room of the guest house, moved to England; without zones to keep children out of.
fn in_england(change: impl FnOnce(&mut Value)) -> Value {
    let house = tern_house();
    let mut plan = house["rooms"][0]["resolution"]["place"]["plan"].clone();
    change(&mut plan);
    json!({ "market": "gb", "rooms": [{ "name": "Room 7", "resolution": {
        "market": "gb", "heat_requirement_w": 200, "options_max": 1,
        "place": { "region": "england", "plan": plan },
    } }] })
}

/// The installation sheet of a quote, its words one after the other.
async fn sheet(wish: &Value) -> String {
    let shop = Shop::open().await;
    let number = shop.issued("k1", wish).await;
    let path = format!("/v1/quotes/{number}/installation-sheet");
    let (_, page) = form(&shop, &path, HTML).await;
    String::from_utf8(page).unwrap()
}

const NOBODY: &str = "Nobody need be told of this work; it must be done right all the same.";
const TOLD: &str =
    "Building control must be told, or a registered electrician certifies the work himself.";

#[tokio::test]
async fn clear_of_the_bath_nobody_need_be_told_while_the_cable_is_too() {
    let sheet = sheet(&in_england(|_plan| ())).await;
    assert!(sheet.contains(NOBODY) && !sheet.contains(TOLD), "{sheet}");
    assert!(sheet.contains("mm from bath or tray in plan"), "{sheet}");
    assert!(sheet.contains("only while the altered cable keeps out of that space too"), "{sheet}");
}

#[tokio::test]
async fn beside_the_bath_building_control_must_be_told() {
    let beside = json!({ "wall": 0, "offset_mm": 1_900, "height_mm": 700 });
    let sheet = sheet(&in_england(|plan| plan["position"] = beside)).await;
    assert!(sheet.contains(TOLD) && !sheet.contains(NOBODY), "{sheet}");
    // The body begins 200 mm beyond the bath, which ends at 1,700 mm.
    assert!(sheet.contains("Here the rail is 200 mm from bath or tray in plan"), "{sheet}");
}

#[tokio::test]
async fn a_shower_without_a_tray_gets_the_stricter_answer_and_why() {
    let trayless = |plan: &mut Value| {
        plan["scene"]["fixtures"][0] = json!({ "id": "bath", "kind": "trayless" });
    };
    let sheet = sheet(&in_england(trayless)).await;
    assert!(sheet.contains(TOLD) && !sheet.contains(NOBODY), "{sheet}");
    assert!(sheet.contains("The stricter answer, because no drawing says how far"), "{sheet}");
}

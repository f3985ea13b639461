//! Quotes of options with several rails.

use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::resolved;
use crate::resolutions::resolve;

#[tokio::test]
async fn an_option_of_several_rails_is_quoted_with_all_its_lines() {
    let shop = Shop::open().await;
    let mut wish = resolved();
    let resolution = json!({ "market": "gb", "heat_requirement_w": 900, "options_max": 1,
        "place": { "region": "scotland", "zone": "2", "wall_width_mm": 1600 },
        "preferences": { "rails_max": 3 } });
    wish["rooms"][0]["resolution"] = resolution.clone();
    let draft = shop.draft("k1", &wish).await;
    assert_eq!(draft.status, 201, "{}", draft.body);
    let option = &resolve(&resolution).await["options"][0];
    let count = option["rail_count"].as_u64().unwrap();
    assert!(1 < count, "{option}");
    let body = draft.json();
    let room = &body["rooms"][0];
    let lines = room["lines"].as_array().unwrap();
    let told = |line: &Value| (line["sku"].clone(), line["quantity"].clone());
    let quoted: Vec<_> = lines.iter().map(told).collect();
    let offered: Vec<_> = option["lines"].as_array().unwrap().iter().map(told).collect();
    assert_eq!(quoted, offered);
    for number in 1..=count {
        let rail = format!("rail {number}: ");
        let own = lines.iter().filter(|line| line["why"].as_str().unwrap().starts_with(&rail));
        assert!(2 <= own.count(), "{lines:?}");
    }
    // What was answered is kept with its rails.
    let answers = shop.get("/v1/quotes/GB-2026-000001/answers").await.json();
    assert!(answers.to_string().contains("rail_count"), "{answers}");
    let again = shop.get("/v1/quotes/GB-2026-000001").await;
    assert_eq!(again.body, draft.body);
}

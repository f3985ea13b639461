//! What delivery costs: by the band, by mass, and by length alone.

use rungwright::domain::catalogue::DeliveryCharge;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::money::Minor;
use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::errors;

/// Rows of one band by length alone: a body of 700 mm and one of 1,200 mm fall into different ones.
fn by_length() -> EditionContent {
    let mut content = demo_edition().unwrap();
    let row = |length_mm_max: u32, net: i64| DeliveryCharge {
        market: "gb".into(),
        band: "mainland".into(),
        mass_g_max: 100_000,
        length_mm_max,
        net: Minor::new(net),
    };
    content.terms.deliveries = vec![row(699, 100), row(700, 500), row(1_199, 900)];
    content
}

fn wish(skus: &[&str], quantity: u32) -> Value {
    let rooms = skus.iter().enumerate().map(|(index, sku)| {
        json!({ "name": format!("Room {index}"), "parts": [{ "sku": sku, "quantity": quantity }] })
    });
    json!({ "market": "gb", "delivery": { "band": "mainland" }, "rooms": rooms.collect::<Vec<_>>() })
}

const SHORT: &str = "SRW-B-SCORI-400.700-WH";
const LONG: &str = "SRW-B-GABBR-300.1200-WH";

#[tokio::test]
async fn the_longest_piece_decides_and_many_short_ones_are_not_long() {
    let shop = Shop::selling(by_length()).await;
    for (key, wish) in [("one", wish(&[SHORT], 1)), ("five", wish(&[SHORT], 5))] {
        let quote = shop.draft(key, &wish).await;
        assert_eq!(quote.status, 201, "{}", quote.body);
        let delivery = &quote.json()["delivery"];
        // 700 mm is exactly what the row of 700 mm carries.
        assert_eq!((&delivery["length_mm"], &delivery["net"]), (&700.into(), &"5.00".into()));
    }
    // A fork of one millimetre: the longest row takes 1,199 mm, the body is 1,200 mm long.
    let long = shop.draft("long", &wish(&[SHORT, LONG], 1)).await;
    assert_eq!(long.status, 422);
    let told = errors(&long);
    assert!(told.contains("/delivery/band contradiction: no row of the band carries"), "{told}");
    assert!(errors(&long).ends_with("g and 1200 mm"), "{}", errors(&long));
    let mut content = by_length();
    content.terms.deliveries.last_mut().unwrap().length_mm_max = 1_200;
    let wider = Shop::selling(content).await;
    let quote = wider.draft("long", &wish(&[SHORT, LONG], 1)).await;
    assert_eq!(quote.json()["delivery"]["net"], "9.00", "{}", quote.body);
    assert_eq!(quote.json()["total"]["charges"], "9.00");
}

#[tokio::test]
async fn an_element_longer_than_its_body_decides() {
    let mut content = by_length();
    content.terms.deliveries.last_mut().unwrap().length_mm_max = 1_200;
    let found = content.elements.iter().max_by_key(|element| element.shape.immersed_length);
    let element = found.unwrap();
    let length = element.shape.immersed_length.value() + element.shape.head_length.value();
    let sku = element.card.sku.to_string();
    assert!(700 < length, "{sku} is {length} mm long");
    let shop = Shop::selling(content).await;
    let quote = shop.draft("k", &wish(&[&sku], 1)).await;
    assert_eq!(quote.status, 201, "{}", quote.body);
    assert_eq!(quote.json()["delivery"]["length_mm"], length);
    assert_eq!(quote.json()["delivery"]["net"], "9.00");
}

#[tokio::test]
async fn delivery_never_pays_the_customer() {
    let mut content = by_length();
    content.terms.deliveries.push(DeliveryCharge {
        market: "gb".into(),
        band: "islands".into(),
        mass_g_max: 1,
        length_mm_max: 1,
        net: Minor::new(-1),
    });
    let refused = format!("{:?}", Edition::new(1, content).unwrap_err());
    assert!(refused.contains("the delivery band islands of gb pays the customer"), "{refused}");
    // A caller names a band and no amount: neither a negative one nor any other.
    let shop = Shop::open().await;
    for delivery in [
        json!({ "band": "mainland", "net": "-5.00" }),
        json!({ "band": "-5.00" }),
        json!({ "net": "-5.00" }),
        json!(-5),
    ] {
        let mut asked = wish(&[SHORT], 1);
        asked["delivery"] = delivery;
        let answer = shop.draft("key", &asked).await;
        assert_eq!(answer.status, 422, "{}", answer.body);
        assert!(errors(&answer).contains("/delivery"), "{}", errors(&answer));
    }
    assert_eq!(shop.get("/v1/quotes").await.json()["items"], json!([]));
}

//! What a quote costs: tiers, tax of every category, prices with tax in them, discounts, delivery, and the days a key is kept.

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::ListTerms;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::TaxRounding;
use rungwright::domain::catalogue::Tier;
use rungwright::domain::money::Minor;
use rungwright::domain::money::UnitPrice;
use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::quoting::errors;
use crate::quoting::resolved;

const HOOKS: [&str; 3] =
    ["SRW-A-HOOK-FLAT-50-AN", "SRW-A-HOOK-FLAT-50-BK", "SRW-A-HOOK-FLAT-50-WH"];

fn sku(text: &str) -> Sku {
    Sku::parse(text).unwrap()
}

/// A price in ten-thousandths in a list.
fn set_price(content: &mut EditionContent, list: &str, (part, price): (&str, i64)) {
    let list = content.price_lists.iter_mut().find(|one| &*one.code == list).unwrap();
    list.prices.insert(sku(part), UnitPrice::new(price)).unwrap();
    content.terms.breaks.retain(|row| row.sku != sku(part));
}

fn hooks(market: &str, skus: &[&str]) -> Value {
    let parts: Vec<Value> = skus.iter().map(|sku| json!({ "sku": sku })).collect();
    json!({ "market": market, "rooms": [{ "name": "Hooks", "parts": parts }] })
}

async fn page(shop: &Shop, number: &str) -> String {
    let request =
        axum::http::Request::get(format!("/v1/quotes/{number}")).header("accept", "text/html");
    shop.ask(request, axum::body::Body::empty()).await.body
}

#[tokio::test]
async fn options_are_ranked_by_the_prices_of_the_tier_that_pays_them() {
    let mut content = demo_edition().unwrap();
    let ask = async |shop: &Shop, tier: &str| {
        let mut question = resolved()["rooms"][0]["resolution"].clone();
        question["tier"] = json!(tier);
        let answer = shop.post("/v1/resolutions", &[], &question).await;
        assert_eq!(answer.status, 200, "{}", answer.body);
        answer.json()["options"][0].clone()
    };
    let shop = Shop::selling(content.clone()).await;
    let retail = ask(&shop, "retail").await;
    let body = retail["lines"][0]["sku"].as_str().unwrap().to_owned();
    // The trade pays dearly for the very body that is best for everybody else.
    set_price(&mut content, "gb-trade-2026", (&body, 9_000_000));
    let dear = Shop::selling(content).await;
    let trade = ask(&dear, "trade").await;
    assert_eq!(ask(&dear, "retail").await["lines"][0]["sku"], body.as_str());
    assert_ne!(trade["lines"][0]["sku"], body.as_str());
    let mut wish = resolved();
    wish["tier"] = json!("trade");
    let quote = dear.draft("k1", &wish).await.json();
    assert_eq!(quote["rooms"][0]["lines"][0]["sku"], trade["lines"][0]["sku"]);
    assert_eq!(quote["total"]["gross"], trade["total"]["gross"]);
    wish["rooms"][0]["resolution"]["tier"] = json!("retail");
    let two = dear.draft("k2", &wish).await;
    assert_eq!(
        errors(&two),
        "/rooms/0/resolution/tier contradiction: the quote is at trade prices"
    );
}

#[tokio::test]
async fn each_tier_has_its_list() {
    let shop = Shop::open().await;
    let mut unit = Vec::new();
    for (tier, list) in
        [("retail", "gb-2026"), ("trade", "gb-trade-2026"), ("merchant", "gb-merchant-2026")]
    {
        let mut wish = chosen();
        wish["tier"] = json!(tier);
        let quote = shop.draft(tier, &wish).await.json();
        assert_eq!(quote["price_list"], list, "{quote}");
        unit.push(quote["rooms"][0]["lines"][0]["unit_net"].as_str().unwrap().to_owned());
    }
    assert_eq!(unit, ["58.00", "46.40", "40.60"]);
}

#[tokio::test]
async fn prices_with_tax_give_their_net_first_and_a_moved_penny_is_shown() {
    let mut content = demo_edition().unwrap();
    set_price(&mut content, "gb-2026", (HOOKS[0], 999_900));
    content.terms.lists.push(ListTerms {
        list: "gb-2026".into(),
        tier: Tier::Retail,
        includes_tax: true,
    });
    let shop = Shop::selling(content).await;
    let quote = shop.draft("k1", &hooks("gb", &HOOKS[..1])).await.json();
    let line = &quote["rooms"][0]["lines"][0];
    assert_eq!((&line["unit_net"], &line["unit_stated"]), (&"83.33".into(), &"99.99".into()));
    let total = &quote["total"];
    assert_eq!(
        [&total["net"], &total["tax"], &total["gross"]],
        ["83.33", "16.67", "100.00"],
        "BR-CO-17 on the derived net"
    );
    let moved =
        quote["notices"].as_array().unwrap().iter().find(|one| one["code"] == "gross-moved");
    assert!(moved.unwrap()["text"].as_str().unwrap().contains("by 0.01"));
    let page = page(&shop, "GB-2026-000001").await;
    assert!(page.contains("moves the sum of the lines with tax by 0.01"), "{page}");
}

#[tokio::test]
async fn tax_is_rounded_once_a_rate_or_once_a_line_and_the_policy_is_printed() {
    // Three lines of 0.99 at 20 %: 0.594 on their sum, 0.198 on each.
    for (rounding, tax, words) in [
        (TaxRounding::PerRate, "0.59", "Tax is taken once for each rate on the summed net"),
        (TaxRounding::PerLine, "0.60", "Tax is taken on each line"),
    ] {
        let mut content = demo_edition().unwrap();
        for hook in HOOKS {
            set_price(&mut content, "gb-2026", (hook, 9_900));
        }
        for terms in &mut content.terms.markets {
            terms.tax_rounding = rounding;
        }
        let shop = Shop::selling(content).await;
        let quote = shop.draft("k1", &hooks("gb", &HOOKS)).await.json();
        assert_eq!((&quote["total"]["net"], &quote["total"]["tax"]), (&"2.97".into(), &tax.into()));
        assert_eq!(quote["total"]["tax_rounding"], rounding.word());
        assert!(page(&shop, "GB-2026-000001").await.contains(words));
    }
}

#[tokio::test]
async fn nought_is_charged_only_under_a_row_that_says_so() {
    let shop = Shop::open().await;
    let mut wish = chosen();
    wish["tax_category"] = json!("Z");
    let zero = shop.draft("z", &wish).await.json();
    assert_eq!(
        (&zero["total"]["tax"], &zero["total"]["taxes"][0]["category"]),
        (&"0.00".into(), &"Z".into())
    );
    assert!(page(&shop, "GB-2026-000001").await.contains("zero-rated"));
    wish["tax_category"] = json!("AE");
    let bare = shop.draft("ae", &wish).await;
    assert_eq!(
        errors(&bare),
        "/tax_category contradiction: category AE needs the VAT number of the customer (EN 16931, BR-AE-02)"
    );
    wish["customer"] = json!({ "country": "GB", "vat_number": "GB123456782" });
    let reversed = shop.draft("ae2", &wish).await.json();
    assert_eq!(
        (&reversed["total"]["tax"], &reversed["total"]["taxes"][0]["category"]),
        (&"0.00".into(), &"AE".into())
    );
    let page = page(&shop, "GB-2026-000002").await;
    assert!(
        page.contains("the customer accounts for the tax") && page.contains("no proof"),
        "{page}"
    );
    // No row, no nought: Germany's list has none for these categories.
    let german = json!({ "market": "de", "tax_category": "Z", "rooms": chosen()["rooms"] });
    let refused = shop.draft("de", &german).await;
    assert!(errors(&refused).contains("no row for this tax category"), "{}", errors(&refused));
}

#[tokio::test]
async fn a_vat_number_is_checked_to_its_check_digits() {
    let shop = Shop::open().await;
    for (number, is_right) in [
        ("GB123456782", true),
        ("GB123456783", false),
        ("IE1234567T", true),
        ("IE1234567A", false),
        ("DE123456788", true),
        ("DE123456789", false),
        ("FR12345678901", true),
        ("G1", false),
    ] {
        let mut wish = chosen();
        wish["customer"] = json!({ "vat_number": number });
        let answer = shop.draft(number, &wish).await;
        assert_eq!(
            answer.status.as_u16(),
            if is_right { 201 } else { 422 },
            "{number} {}",
            answer.body
        );
        if is_right {
            assert!(answer.body.contains("vat-number-not-proved"), "{number}");
        }
    }
}

#[tokio::test]
async fn delivery_goes_by_band_mass_and_length() {
    let shop = Shop::open().await;
    let charge = async |key: &str, band: &str, quantity: u32| {
        let mut wish = chosen();
        wish["delivery"] = json!({ "band": band });
        wish["rooms"][0]["parts"][0]["quantity"] = json!(quantity);
        shop.draft(key, &wish).await
    };
    let net = async |key: &str, band: &str, quantity: u32| {
        charge(key, band, quantity).await.json()["delivery"]["net"].clone()
    };
    assert_eq!(net("a", "mainland", 1).await, "7.95");
    assert_eq!(net("b", "islands", 1).await, "15.10");
    // Heavier than the first row carries.
    assert_eq!(net("c", "mainland", 4).await, "14.95");
    let heavy = charge("d", "mainland", 999).await;
    assert!(errors(&heavy).starts_with("/delivery/band"), "{}", errors(&heavy));
    assert!(errors(&heavy).contains("no row of the band carries"), "{}", errors(&heavy));
    let mut negative = chosen();
    negative["delivery"] = json!({ "band": "mainland", "net": "-5.00" });
    assert!(
        errors(&shop.draft("e", &negative).await).starts_with("/delivery"),
        "no field for a charge"
    );
}

#[test]
fn a_delivery_that_pays_the_customer_is_a_fault_of_the_catalogue() {
    let mut content = demo_edition().unwrap();
    content.terms.deliveries[0].net = Minor::new(-1);
    let faults = Edition::new(1, content).unwrap_err();
    assert!(
        faults.iter().any(|fault| fault.to_string().contains("pays the customer")),
        "{faults:?}"
    );
}

#[tokio::test]
async fn a_part_without_a_price_in_the_market_is_not_quoted_there() {
    let content = demo_edition().unwrap();
    let list =
        |code: &str| &content.price_lists.iter().find(|list| &*list.code == code).unwrap().prices;
    let (here, there) = (list("gb-2026"), list("de-2026"));
    let missing = here.keys().find(|sku| !there.contains_key(sku)).unwrap().to_string();
    let shop = Shop::open().await;
    assert_eq!(shop.draft("gb", &hooks("gb", &[&missing])).await.status, 201);
    let refused = shop.draft("de", &hooks("de", &[&missing])).await;
    assert_eq!(
        (refused.status.as_u16(), errors(&refused)),
        (422, format!("/rooms/0/parts/0 contradiction: {missing} has no price in list de-2026"))
    );
}

#[tokio::test]
async fn a_key_is_kept_for_thirty_days_and_free_again_after_its_time() {
    let shop = Shop::open().await;
    let first = shop.draft("k1", &chosen()).await;
    // Thirty days later the same request hears the same answer.
    let late = shop.at("2026-07-15T12:00:00Z");
    assert_eq!(late.draft("k1", &chosen()).await.body, first.body);
    let other = late.draft("k1", &resolved()).await;
    assert_eq!(other.json()["code"], "idempotency-key-reused");
    let gone = shop.at("2026-07-17T12:00:00Z").draft("k1", &resolved()).await;
    assert_eq!((gone.status.as_u16(), &gone.json()["number"]), (201, &"GB-2026-000002".into()));
}

#[tokio::test]
async fn a_number_written_into_a_name_does_not_touch_the_answer() {
    let shop = Shop::open().await;
    let mut wish = chosen();
    wish["customer"] = json!({ "name": "GB-2026-000000" });
    let draft = shop.draft("k1", &wish).await;
    let read = shop.get(draft.header("location")).await;
    assert_eq!(read.body, draft.body);
    assert_eq!(draft.json()["customer"]["name"], "GB-2026-000000");
}

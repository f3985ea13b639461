//! A quote in its other forms: UBL and CSV, equal to the samples that a script validates against the published schemas.

use axum::body::Body;
use axum::http::Request;
use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::service::Answer;

/// A quote with everything that the forms can say, and texts that look like markup and formulas.
fn wish() -> Value {
    let mut wish = chosen();
    wish["customer"] = json!({
        "reference": "=TERN-1", "name": "Tern House <b>&amp; Söhne", "country": "GB", "vat_number": "GB123456782",
    });
    wish["discount"] = json!({ "percent": "5", "reason": "nine \"rooms\"" });
    wish["delivery"] = json!({ "band": "islands" });
    wish["rooms"].as_array_mut().unwrap().push(json!({
        "name": "=Room, 2", "parts": [{ "sku": "SRW-A-HOOK-FLAT-50-AN", "quantity": 12 }],
        "line_discounts": [{ "sku": "SRW-A-HOOK-FLAT-50-AN", "amount": "1.25", "reason": "scratched" }],
    }));
    wish
}

async fn form(shop: &Shop, number: &str, media_type: &str) -> Answer {
    let request = Request::get(format!("/v1/quotes/{number}")).header("accept", media_type);
    shop.ask(request, Body::empty()).await
}

/// The text equals the sample; a new sample is left beside the build for a person to look at and take over.
fn check_sample(name: &str, text: &str) {
    let sample = format!("{}/tests/fixtures/quotes/{name}", env!("CARGO_MANIFEST_DIR"));
    let known = std::fs::read_to_string(&sample).unwrap_or_default();
    if known != text {
        let found = format!("{}/{name}", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(&found, text).unwrap();
        panic!("{name} differs from its sample; see {found}");
    }
}

#[tokio::test]
async fn a_quote_is_a_ubl_quotation_and_an_accepted_one_an_order() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &wish()).await;
    let quotation = form(&shop, &number, "application/xml").await;
    assert_eq!(
        (quotation.status.as_u16(), quotation.header("content-type")),
        (200, "application/xml")
    );
    assert_ne!(quotation.header("etag"), shop.tag(&number).await);
    check_sample("quotation.xml", &quotation.body);
    shop.accept(&number, &shop.tag(&number).await).await;
    let order = form(&shop, &number, "application/xml").await;
    check_sample("order.xml", &order.body);
    let gross = shop.get(&format!("/v1/quotes/{number}")).await.json()["total"]["gross"].clone();
    let payable = format!("<cbc:PayableAmount currencyID=\"GBP\">{}<", gross.as_str().unwrap());
    assert!(quotation.body.contains(&payable) && order.body.contains(&payable));
}

#[tokio::test]
async fn the_lines_of_a_quote_are_a_table_without_formulas() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &wish()).await;
    let table = form(&shop, &number, "text/csv").await;
    assert_eq!(table.header("content-type"), "text/csv; charset=utf-8");
    let mut reader = table.body.lines();
    let columns = reader.next().unwrap().split(',').count();
    assert_eq!(columns, 14);
    let last = reader.last().unwrap();
    assert!(
        last.starts_with("GB-2026-000001,1,\"'=Room, 2\",SRW-A-HOOK-FLAT-50-AN,accessory,"),
        "{last}"
    );
    assert!(last.ends_with(",12,6.4125,1.25,75.70,GBP,S,20,"), "{last}");
}

#[tokio::test]
async fn a_form_that_is_not_offered_is_not_acceptable() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &wish()).await;
    assert_eq!(form(&shop, &number, "image/png").await.status, 406);
}

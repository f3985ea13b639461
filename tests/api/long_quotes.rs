//! Five thousand lines, end to end: drafted, issued, accepted, and given out in every form.

use axum::body::Body;
use axum::body::to_bytes;
use axum::http::Request;
use rungwright::domain::quote::QUOTE_LINES_MAX;
use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::errors;

/// Rooms of a hundred accessories each.
fn wish(rooms: usize) -> Value {
    let content = demo_edition().unwrap();
    let list = content.price_lists.iter().find(|list| &*list.code == "gb-2026").unwrap();
    let sold = content.accessories.iter().filter(|part| list.prices.contains_key(&part.card.sku));
    let parts: Vec<Value> =
        sold.take(100).map(|part| json!({ "sku": part.card.sku.to_string() })).collect();
    assert_eq!(parts.len(), 100);
    let rooms: Vec<Value> =
        (0..rooms).map(|room| json!({ "name": format!("Store {room}"), "parts": parts })).collect();
    json!({ "market": "gb", "rooms": rooms })
}

#[tokio::test]
async fn five_thousand_lines_are_quoted_and_given_out_in_every_form() {
    let shop = Shop::open().await.patient();
    let number = shop.issued("k1", &wish(50)).await;
    let gross = shop.get(&format!("/v1/quotes/{number}")).await.json()["total"]["gross"].clone();
    let gross = gross.as_str().unwrap().to_owned();
    for media_type in
        ["application/json", "text/html", "application/pdf", "application/xml", "text/csv"]
    {
        let request = Request::get(format!("/v1/quotes/{number}")).header("accept", media_type);
        let answer = shop.raw(request.body(Body::empty()).unwrap()).await;
        assert_eq!(answer.status(), 200, "{media_type}");
        let bytes = to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        let text = String::from_utf8_lossy(&bytes);
        let count = match media_type {
            "application/json" => text.matches("\"unit_net\":").count(),
            "text/html" => text.matches("Chosen by the customer.").count(),
            "application/xml" => text.matches("<cac:QuotationLine>").count(),
            "text/csv" => text.lines().count() - 1,
            _ => QUOTE_LINES_MAX,
        };
        assert_eq!(count, QUOTE_LINES_MAX, "{media_type}");
        let says_gross =
            text.contains(&gross) || media_type == "text/csv" || media_type == "application/pdf";
        assert!(says_gross, "{media_type}");
    }
    let accepted = shop.accept(&number, &shop.tag(&number).await).await;
    assert_eq!(accepted.status, 200);
    let order = Request::get(format!("/v1/quotes/{number}")).header("accept", "application/xml");
    let order = shop.ask(order, Body::empty()).await.body;
    assert_eq!(order.matches("<cac:OrderLine>").count(), QUOTE_LINES_MAX);
}

#[tokio::test]
async fn one_line_more_is_refused_by_a_named_limit() {
    let shop = Shop::open().await;
    let mut long = wish(50);
    let more = json!({ "sku": "SRW-C-KIST-3-WH" });
    long["rooms"][0]["parts"].as_array_mut().unwrap().push(more);
    let answer = shop.draft("k1", &long).await;
    assert_eq!(answer.status, 422);
    let wanted = "/rooms contradiction: the quote has 5001 lines, 5000 at the most";
    assert!(errors(&answer).contains(wanted), "{}", errors(&answer));
}

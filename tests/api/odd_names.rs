//! Names of every script, and names that look like markup or formulas, in every form that a quote is given out in; and
//! parts that a market does not sell.

use axum::body::Body;
use axum::http::Request;
use serde_json::Value;
use serde_json::json;

use crate::papers::HTML;
use crate::papers::PDF;
use crate::papers::flowing;
use crate::papers::form;
use crate::papers::tern_house;
use crate::papers::text_of;
use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::quoting::errors;

const MARKUP: &str = "<script>alert(1)</script> & \"Sons\" ]]><b>";
const HEBREW: &str = "בית השחף";
const ARABIC: &str = "دار الخرشنة";
const FORMULA: &str = "=HYPERLINK(\"x\")";

/// The quote of the guest house with odd texts wherever a caller may write one.
fn odd() -> Value {
    let mut wish = tern_house();
    wish["customer"]["name"] = json!(format!("{MARKUP} {HEBREW}"));
    wish["customer"]["reference"] = json!(FORMULA);
    wish["customer"]["address"] = json!([MARKUP, ARABIC]);
    wish["discount"]["reason"] = json!(format!("{MARKUP} {ARABIC}"));
    wish["rooms"][0]["name"] = json!(format!("{FORMULA} {HEBREW} {MARKUP}"));
    let scene = &mut wish["rooms"][0]["resolution"]["place"]["plan"]["scene"];
    assert!(scene.is_object(), "the first room of the sample is drawn");
    scene["name"] = json!(MARKUP);
    wish
}

/// Every `<` of a markup begins a tag of our own: none was written by a customer.
fn check_inert(path: &str, markup: &str) {
    for wrong in ["<script", "<b>", "]]><b"] {
        assert!(!markup.contains(wrong), "{path} holds {wrong}");
    }
    assert!(markup.contains("&lt;script&gt;alert(1)&lt;/script&gt;"), "{path}");
    let odd = markup.chars().find(|letter| letter.is_control() && !"\n\r\t".contains(*letter));
    assert_eq!(odd, None, "{path}");
}

#[tokio::test]
async fn odd_names_are_text_in_every_form() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &odd()).await;
    shop.accept(&number, &shop.tag(&number).await).await;
    let quote = format!("/v1/quotes/{number}");
    for (path, media_type) in [
        (quote.clone(), HTML),
        (format!("{quote}/installation-sheet"), HTML),
        (format!("{quote}/care-sheet"), HTML),
        (quote.clone(), "application/xml"),
    ] {
        let (answer, bytes) = form(&shop, &path, media_type).await;
        let page = String::from_utf8(bytes).unwrap();
        assert_eq!(answer.status(), 200, "{path} as {media_type}");
        check_inert(&format!("{path} as {media_type}"), &page);
        assert!(page.contains(HEBREW), "{path} as {media_type}");
    }
    let (_, table) = form(&shop, &quote, "text/csv").await;
    let table = String::from_utf8(table).unwrap();
    // A table program takes a cell that begins so for a formula.
    assert!(!table.lines().any(|line| line.contains(",=") || line.contains(",\"=")), "{table}");
    for what in ["", "/installation-sheet", "/care-sheet"] {
        let (_, pdf) = form(&shop, &format!("{quote}{what}"), PDF).await;
        let Some(text) = text_of("odd-names", &pdf) else { return };
        assert!(flowing(&text).contains("<script>alert(1)</script> & \"Sons\""), "{what}: {text}");
        for letter in HEBREW.chars().filter(|letter| letter.is_alphabetic()) {
            assert!(text.contains(letter), "{what} has no {letter}");
        }
    }
}

#[tokio::test]
async fn control_characters_are_refused_wherever_a_text_may_stand() {
    let shop = Shop::open().await;
    // A null, a bell, an escape, a line end, and marks that turn the direction of writing.
    for odd in ['\u{0}', '\u{7}', '\u{1b}', '\n', '\u{85}', '\u{202e}', '\u{2066}', '\u{200f}'] {
        let text = format!("Tern{odd}House");
        for (pointer, place) in [
            ("/customer/name", json!({ "customer": { "name": text } })),
            ("/customer/reference", json!({ "customer": { "reference": text } })),
            ("/customer/address/0", json!({ "customer": { "address": [text] } })),
            ("/discount/reason", json!({ "discount": { "percent": "1", "reason": text } })),
        ] {
            let mut wish = chosen();
            let place = place.as_object().unwrap().clone();
            wish.as_object_mut().unwrap().extend(place);
            let answer = shop.draft("key", &wish).await;
            assert_eq!(answer.status, 422, "{pointer} {odd:?}: {}", answer.body);
            assert!(errors(&answer).starts_with(pointer), "{odd:?}: {}", errors(&answer));
        }
        let mut wish = chosen();
        wish["rooms"][0]["name"] = json!(text);
        assert!(errors(&shop.draft("key", &wish).await).starts_with("/rooms/0/name"), "{odd:?}");
    }
    let number = shop.issued("good", &chosen()).await;
    let tag = shop.tag(&number).await;
    let by = json!({ "by": "A.\u{1b} Tern" });
    assert_eq!(shop.change((&number, "acceptance"), &tag, &by).await.status, 422);
    let reason = json!({ "reason": "\u{202e}lost" });
    assert_eq!(shop.change((&number, "withdrawal"), &tag, &reason).await.status, 422);
    // Nothing of it happened.
    assert_eq!(shop.tag(&number).await, tag);
    let listed = shop.get("/v1/quotes").await.json();
    assert_eq!(listed["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn a_drawing_shows_odd_names_as_text() {
    let shop = Shop::open().await;
    let room = json!({ "room": { "use": "bathroom", "length_mm": 2600, "width_mm": 1900,
        "height_mm": 2400, "indoor_c": 22, "outdoor_c": -3, "air_changes_per_hour": 1.5,
        "boundaries": [{ "kind": "external_wall", "area_m2": 6.2, "u_w_m2k": 0.45 }],
        "bridges": { "lengths": [
            { "what": format!("{HEBREW} {MARKUP}"), "psi_w_mk": 0.3, "length_m": 2.4 }] } } });
    let request = Request::post("/v1/heat-requirements")
        .header("content-type", "application/json")
        .header("accept", "image/svg+xml");
    let drawn = shop.ask(request, Body::from(room.to_string())).await;
    assert_eq!(drawn.status, 200, "{}", drawn.body);
    check_inert("the drawing", &drawn.body);
    assert!(drawn.body.contains(HEBREW), "{}", drawn.body);
}

#[tokio::test]
async fn a_part_without_a_price_in_the_market_is_not_quoted() {
    let shop = Shop::open().await;
    // On sale in the other markets, each of them.
    for (market, sku) in [
        ("gb", "SRW-E-TREEF-200-CH"),
        ("ie", "SRW-B-GNAP-400.1000-AN"),
        ("ie", "SRW-A-HOOK-ROUND-22-BB"),
        ("de", "SRW-C-KIST-3-BK"),
    ] {
        let parts = json!([{ "sku": "SRW-A-KEY-5" }, { "sku": sku }]);
        let wish = json!({ "market": market, "rooms": [{ "name": "R", "parts": parts }] });
        let answer = shop.draft("key", &wish).await;
        assert_eq!(answer.status, 422, "{}", answer.body);
        let told = errors(&answer);
        assert!(told.contains("/rooms/0/parts/1") && told.contains("price"), "{market}: {told}");
    }
    assert_eq!(shop.get("/v1/quotes").await.json()["items"], json!([]));
    // The same key is still free.
    assert_eq!(shop.draft("key", &chosen()).await.status, 201);
}

#[tokio::test]
async fn days_before_1970_and_leap_days_are_days() {
    let shop = Shop::open().await;
    for (moment, status) in [("1969-12-31T23:59:59Z", 409), ("1600-02-29T12:00:00Z", 409)] {
        let early = shop.at(moment).draft(moment, &chosen()).await;
        assert_eq!(early.status, status, "{moment}: {}", early.body);
    }
    let resolution =
        json!({ "market": "gb", "heat_requirement_w": 250, "price_date": "1969-07-20" });
    let answer = shop.post("/v1/resolutions", &[], &resolution).await;
    assert_eq!((answer.status.as_u16(), &answer.json()["code"]), (409, &"no-price-list".into()));
    for (query, found) in [
        ("created_from=1969-07-20", 200),
        ("created_to=1600-02-29", 200),
        ("created_from=2028-02-29", 200),
        ("created_from=2027-02-29", 400),
        ("created_from=1900-02-29", 400),
    ] {
        let listed = shop.get(&format!("/v1/quotes?{query}")).await;
        assert_eq!(listed.status, found, "{query}: {}", listed.body);
    }
    // Drafted on a leap day, an offer of a year less a day.
    let leap = shop.at("2028-02-29T12:00:00Z");
    let mut wish = chosen();
    wish["valid_until"] = json!("2029-02-28");
    let quote = leap.draft("leap", &wish).await;
    assert_eq!(
        (quote.status.as_u16(), &quote.json()["expires_at"]),
        (201, &"2029-03-01T00:00:00Z".into()),
        "{}",
        quote.body
    );
}

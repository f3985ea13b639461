//! Papers out of stored quotes: offered by media type, safe to show, the same for ever, and true to the totals.

use std::fs;
use std::path::Path;
use std::process::Command;

use axum::body::Body;
use axum::body::to_bytes;
use axum::http::Request;
use axum::http::Response;
use rungwright::operations::desk::Rights;
use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::quoting::resolved;

/// The quote of the made-up guest house: a drawn room, a stated zone, a room without a rail.
pub(crate) fn tern_house() -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/quotes/tern-house.json");
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

pub(crate) const HTML: &str = "text/html";
pub(crate) const PDF: &str = "application/pdf";

pub(crate) async fn form(shop: &Shop, path: &str, media_type: &str) -> (Response<Body>, Vec<u8>) {
    let request = Request::get(path).header("accept", media_type);
    let answer = shop.raw(request.body(Body::empty()).unwrap()).await;
    let (head, body) = answer.into_parts();
    let bytes = to_bytes(body, usize::MAX).await.unwrap().to_vec();
    (Response::from_parts(head, Body::empty()), bytes)
}

fn header<'a>(answer: &'a Response<Body>, name: &str) -> &'a str {
    answer.headers().get(name).map_or("", |value| value.to_str().unwrap())
}

/// The text of a PDF by pdftotext; none on a machine without it, which CI is not.
pub(crate) fn text_of(name: &str, bytes: &[u8]) -> Option<String> {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    fs::write(&file, bytes).unwrap();
    let out = Command::new("pdftotext").args(["-layout"]).arg(&file).arg("-").output();
    assert!(out.is_ok() || std::env::var_os("CI").is_none(), "CI needs pdftotext of poppler-utils");
    let out = out.ok()?;
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    Some(String::from_utf8(out.stdout).unwrap())
}

pub(crate) fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[tokio::test]
async fn a_quote_is_a_page_and_a_file_by_what_the_client_accepts() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    for (path, kind) in [
        (format!("/v1/quotes/{number}"), "quote"),
        (format!("/v1/quotes/{number}/revisions/1"), "quote"),
        (format!("/v1/quotes/{number}/installation-sheet"), "installation-sheet"),
        (format!("/v1/quotes/{number}/care-sheet"), "care-sheet"),
    ] {
        let (page, bytes) =
            form(&shop, &path, "text/html,application/xhtml+xml;q=0.9,*/*;q=0.8").await;
        assert_eq!(
            (page.status().as_u16(), header(&page, "content-type")),
            (200, "text/html; charset=utf-8"),
            "{path}"
        );
        assert!(bytes.starts_with(b"<!DOCTYPE html>"));
        let policy = header(&page, "content-security-policy");
        assert!(policy.starts_with("default-src 'none'; style-src 'unsafe-inline'"), "{policy}");
        assert_eq!(header(&page, "x-content-type-options"), "nosniff");
        assert_eq!(
            header(&page, "content-disposition"),
            format!("inline; filename=\"{number}-r1-{kind}.html\"")
        );
        let (file, printed) = form(&shop, &path, PDF).await;
        assert_eq!((file.status().as_u16(), header(&file, "content-type")), (200, PDF), "{path}");
        assert!(printed.starts_with(b"%PDF-"));
        let (again, same) = form(&shop, &path, PDF).await;
        assert_eq!((header(&again, "etag"), same), (header(&file, "etag"), printed), "{path}");
        assert_ne!(header(&file, "etag"), header(&page, "etag"));
        let known = Request::get(&path)
            .header("accept", PDF)
            .header("if-none-match", header(&file, "etag"));
        assert_eq!(shop.ask(known, Body::empty()).await.status, 304);
        let picture = Request::get(&path).header("accept", "image/png");
        assert_eq!(shop.ask(picture, Body::empty()).await.status, 406);
    }
    // Who says nothing gets what another program reads.
    assert_eq!(
        shop.get(&format!("/v1/quotes/{number}")).await.header("content-type"),
        "application/json"
    );
}

#[tokio::test]
async fn a_page_brings_no_script_and_shows_markup_as_text() {
    let shop = Shop::open().await;
    let mut wish = tern_house();
    let name = "<script>alert(1)</script> \"Bad\" & 'Room' חדר";
    wish["customer"]["name"] = json!(name);
    wish["rooms"][0]["name"] = json!(name);
    let number = shop.issued("k1", &wish).await;
    for what in ["", "/installation-sheet", "/care-sheet"] {
        let path = format!("/v1/quotes/{number}{what}");
        let (_, bytes) = form(&shop, &path, HTML).await;
        let page = String::from_utf8(bytes).unwrap();
        assert!(
            !page.contains("<script") && page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"),
            "{path}"
        );
        assert!(page.contains("חדר"));
        for reference in ["src=", "href=", "url(", "@import", "<form", "<iframe", "<object"] {
            assert!(!page.contains(reference), "{path} holds {reference}");
        }
    }
}

#[tokio::test]
async fn the_papers_of_tern_house_read_as_they_did() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let papers = [
        ("quote", ""),
        ("installation-sheet", "/installation-sheet"),
        ("care-sheet", "/care-sheet"),
    ];
    for (name, what) in papers {
        let (_, bytes) = form(&shop, &format!("/v1/quotes/{number}{what}"), PDF).await;
        let Some(text) = text_of(name, &bytes) else { return };
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("../fixtures/papers");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!(name, text));
    }
}

#[tokio::test]
async fn the_papers_say_the_totals_of_the_quote() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let quote = shop.get(&format!("/v1/quotes/{number}")).await.json();
    let (_, pdf) = form(&shop, &format!("/v1/quotes/{number}"), PDF).await;
    let (_, html) = form(&shop, &format!("/v1/quotes/{number}"), HTML).await;
    let html = String::from_utf8(html).unwrap();
    let Some(text) = text_of("quote-totals", &pdf) else { return };
    let text = flowing(&text);
    for amount in ["lines", "net", "tax", "gross"] {
        let amount = format!("GBP {}", quote["total"][amount].as_str().unwrap());
        assert!(text.contains(&amount) && html.contains(&amount), "{amount}");
    }
    assert!(
        text.contains(&format!("Total to pay GBP {}", quote["total"]["gross"].as_str().unwrap()))
    );
    for room in quote["rooms"].as_array().unwrap() {
        assert!(text.contains(room["name"].as_str().unwrap()));
        for line in room["lines"].as_array().unwrap() {
            assert!(html.contains(line["sku"].as_str().unwrap()), "{line}");
            assert!(text.contains(line["net"].as_str().unwrap()), "{line}");
        }
    }
    for words in [
        "Skerry Rail Works",
        "Tern House",
        "Strand Road 9",
        "313.3 W",
        "329.2 W",
        "nine rooms, 5 %",
        "islands",
        "Terms of sale",
        "Tax is taken once for each rate",
    ] {
        assert!(text.contains(words), "{words} is not in {text}");
    }
}

#[tokio::test]
async fn the_installation_sheet_says_what_the_electrician_needs() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let path = format!("/v1/quotes/{number}/installation-sheet");
    let (_, bytes) = form(&shop, &path, PDF).await;
    let Some(text) = text_of("installation", &bytes) else { return };
    let text = flowing(&text);
    for words in [
        "For a licensed electrician",
        "Inspect on delivery",
        "Plan, zones cut 1034 mm above the floor",
        "seen from the room",
        "zone 2",
        "lower right port, seen from the room",
        "G 1/2 int in the body, G 1/2 ext on the element",
        "O-ring or flat gasket",
        "100 mm of slack included",
        "Kist fused connection unit",
        "3 A cartridge fuse",
        "at most 30 mA",
        "2.5 mm² twin and earth, 18.500 m",
        "within the 11.5 V (5 %)",
        "Pour in",
        "measured, not guessed",
        "Never fill to the brim",
        "Insulation resistance",
        "building warrant",
        "The seller's guarantee ends when",
        "The rights that the law gives the buyer remain",
        "Signature",
        "Date",
        "Fitter or electrician",
        "Customer",
        // The second room was not drawn, and says so.
        "there is no plan and no elevation. The zone was stated as: zone 2.",
        "Building control must be told",
        "the fixed cable was not stated",
    ] {
        assert!(text.contains(words), "{words} is not in {text}");
    }
    let one = format!("{path}?room=Room%208,%20shower%20room");
    let (answer, of_one) = form(&shop, &one, HTML).await;
    let page = String::from_utf8(of_one).unwrap();
    assert_eq!(answer.status(), 200);
    assert!(page.contains("Room 8, shower room") && !page.contains("Room 7, family bathroom"));
    // A room without a rail has nothing to install.
    for query in ["?room=Linen%20store", "?room=Nowhere", "?revision=2"] {
        assert_eq!(shop.get(&format!("{path}{query}")).await.status, 404, "{query}");
    }
    assert_eq!(shop.get(&format!("{path}?colour=red")).await.status, 400);
}

#[tokio::test]
async fn the_care_sheet_says_what_the_household_needs() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let (_, bytes) = form(&shop, &format!("/v1/quotes/{number}/care-sheet"), PDF).await;
    let Some(text) = text_of("care", &bytes) else { return };
    let text = flowing(&text);
    for words in [
        "In use the rail may be as hot as",
        "Drying and cleaning",
        "It stays cold",
        "It is half hot",
        "It is noisy",
        "It leaks",
        "It trips the breaker",
        "The right replacement",
        "Part number",
        "Thread",
        "Power",
        "Length",
        "Finish",
        "Flex",
        "Record, to be filled in",
        "Date of purchase",
        "licensed electrician",
        "Room 8, shower room",
    ] {
        assert!(text.contains(words), "{words} is not in {text}");
    }
}

#[tokio::test]
async fn hooks_alone_have_no_sheets() {
    let shop = Shop::open().await;
    let parts = json!([{ "sku": "SRW-A-HOOK-FLAT-50-AN" }]);
    let wish = json!({ "market": "gb", "rooms": [{ "name": "Hooks", "parts": parts }] });
    let number = shop.issued("k1", &wish).await;
    for what in ["installation-sheet", "care-sheet"] {
        let answer = shop.get(&format!("/v1/quotes/{number}/{what}")).await;
        assert_eq!(answer.status, 404, "{}", answer.body);
    }
}

#[tokio::test]
async fn a_paper_stays_what_it_was_when_the_last_day_is_over() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let paths =
        ["", "/installation-sheet", "/care-sheet"].map(|what| format!("/v1/quotes/{number}{what}"));
    for path in paths {
        for media_type in [HTML, PDF] {
            let (_, then) = form(&shop, &path, media_type).await;
            let (_, now) = form(&shop.at("2031-01-01T00:00:00Z"), &path, media_type).await;
            assert!(then == now, "{path} as {media_type} changed with the clock");
        }
    }
}

#[tokio::test]
async fn a_paper_says_when_it_is_no_offer() {
    let shop = Shop::open().await;
    let draft = shop.draft("k1", &resolved()).await;
    let number = "GB-2026-000001";
    let page = async |path: &str| String::from_utf8(form(&shop, path, HTML).await.1).unwrap();
    let path = format!("/v1/quotes/{number}");
    assert!(
        page(&path)
            .await
            .contains("This is a draft. It has not been issued and cannot be accepted.")
    );
    shop.change((number, "issue"), draft.header("etag"), &Value::Null).await;
    let offer = page(&path).await;
    assert!(!offer.contains("No offer") && offer.contains("May be accepted until"));
    let revision = shop.revise(number, ("k2", &shop.tag(number).await), &chosen()).await;
    shop.change((number, "issue"), revision.header("etag"), &Value::Null).await;
    assert!(
        page(&format!("{path}/revisions/1"))
            .await
            .contains("A later revision has taken its place.")
    );
    assert!(page(&path).await.contains("Since the predecessor"));
    shop.accept(number, &shop.tag(number).await).await;
    let accepted = page(&path).await;
    assert!(
        accepted.contains("Accepted by A. Tern on 2026-06-15 13:00 (Europe/London)."),
        "{accepted}"
    );
    let other = shop.issued("k3", &resolved()).await;
    let reason = json!({ "reason": "misprinted" });
    shop.change((&other, "withdrawal"), &shop.tag(&other).await, &reason).await;
    assert!(page(&format!("/v1/quotes/{other}")).await.contains("misprinted"));
}

#[tokio::test]
async fn an_override_is_printed_with_its_reason() {
    let shop = Shop::with_rights(Rights { overrides: true, ..Rights::default() }).await;
    let mut wish = chosen();
    wish["rooms"][0]["parts"][1]["sku"] = json!("SRW-E-LEW-300-BK");
    wish["rooms"][0]["override_reason"] = json!("the customer wants it so");
    let number = shop.issued("k1", &wish).await;
    let (_, bytes) = form(&shop, &format!("/v1/quotes/{number}"), HTML).await;
    let page = String::from_utf8(bytes).unwrap();
    assert!(
        page.contains("Sold although a rule does not hold")
            && page.contains("the customer wants it so")
    );
}

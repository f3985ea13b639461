//! Quotes that are wrongly asked for: nothing is written, and everything wrong is named.

use rungwright::domain::pricing::discount::DiscountCeiling;
use rungwright::operations::desk::Rights;
use serde_json::Value;
use serde_json::json;

use crate::description::described;
use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::quoting::errors;
use crate::quoting::resolved;

/// A body changed at one place is refused with 422 and these errors, and leaves nothing behind.
async fn check(shop: &Shop, change: impl FnOnce(&mut Value), wanted: &str) {
    let mut wish = chosen();
    change(&mut wish);
    let answer = shop.draft("key", &wish).await;
    assert_eq!(answer.status, 422, "{}", answer.body);
    assert_eq!(errors(&answer), wanted);
    assert_eq!(shop.get("/v1/quotes").await.json()["items"], json!([]));
}

#[tokio::test]
async fn a_key_is_needed_and_has_a_form() {
    let shop = Shop::open().await;
    let bare = shop.post("/v1/quotes", &[], &resolved()).await;
    assert_eq!(
        (bare.status.as_u16(), &bare.json()["code"]),
        (400, &"idempotency-key-missing".into())
    );
    for key in ["", "\"\"", "a b", &"k".repeat(201)] {
        let answer = shop.draft(key, &resolved()).await;
        assert_eq!(
            (answer.status.as_u16(), &answer.json()["code"]),
            (400, &"idempotency-key-bad-form".into())
        );
    }
    assert_eq!(shop.draft(&"k".repeat(1024 * 1024), &resolved()).await.status, 431);
    assert_eq!(shop.draft(&"k".repeat(200), &resolved()).await.status, 201);
}

#[tokio::test]
async fn headers_have_the_form_that_the_description_states() {
    let shop = Shop::open().await;
    let description = described();
    let parameters = &description["paths"]["/v1/quotes/{number}/revisions"]["post"]["parameters"];
    let is_stated = |name: &str, text: &str| {
        let parameters = parameters.as_array().unwrap();
        let parameter = parameters.iter().find(|parameter| parameter["name"] == name).unwrap();
        jsonschema::is_valid(&parameter["schema"], &text.into())
    };
    let (long, longer) = ("k".repeat(200), "k".repeat(201));
    let quoted = [&long, &longer].map(|key| format!("\"{key}\""));
    let keys =
        ["k", "\"k\"", "~!#[]", "", "\"\"", "a b", "k\"", "k\"k", "k\\", "\"", &long, &longer];
    for key in keys.into_iter().chain(quoted.iter().map(String::as_str)) {
        let answer = shop.draft(key, &resolved()).await;
        assert_eq!(
            answer.status == 201,
            is_stated("Idempotency-Key", key),
            "{key} {}",
            answer.status
        );
    }
    let draft = shop.draft("k", &resolved()).await;
    let list = format!("W/\"a\" , {},\"b\"", draft.header("etag"));
    assert!(is_stated("If-Match", &list) && is_stated("If-Match", "*"), "{list}");
    let number = draft.json()["number"].as_str().unwrap().to_owned();
    assert_eq!(shop.change((&number, "issue"), &list, &Value::Null).await.status, 200);
    for wrong in ["", "a", "\"a", "\"a\"b\"", "**"] {
        assert!(!is_stated("If-Match", wrong), "{wrong}");
    }
}

#[tokio::test]
async fn a_discount_has_a_ceiling_and_one_form() {
    let shop = Shop::open().await;
    let discounted = |discount: Value| move |wish: &mut Value| wish["discount"] = discount;
    check(
        &shop,
        discounted(json!({ "percent": "15.01", "reason": "friend" })),
        "/discount contradiction: the discount is over the ceiling of 15 %",
    )
    .await;
    check(
        &shop,
        discounted(json!({ "amount": "900.00", "reason": "friend" })),
        "/discount contradiction: a discount takes off more than nothing and no more than there is",
    )
    .await;
    check(
        &shop,
        discounted(json!({ "amount": "1.001", "reason": "friend" })),
        "/discount/amount bad-form: \"1.001\" is no amount in GBP",
    )
    .await;
    check(
        &shop,
        discounted(json!({ "amount": "1.00", "percent": "1", "reason": "friend" })),
        "/discount contradiction: a discount has either a percent or an amount",
    )
    .await;
    let generous =
        Rights { discount_ceiling: DiscountCeiling::new(5_000).unwrap(), ..Rights::default() };
    let looser = Shop::with_rights(generous).await;
    let mut wish = chosen();
    wish["discount"] = json!({ "percent": "50", "reason": "closing down" });
    assert_eq!(looser.draft("key", &wish).await.status, 201);
}

#[tokio::test]
async fn a_clash_is_quoted_only_by_right_and_with_a_reason() {
    let shop = Shop::open().await;
    let mut wish = chosen();
    // An element of another finish than the body's, not listed as a pair.
    wish["rooms"][0]["parts"][1]["sku"] = json!("SRW-E-LEW-300-BK");
    let clash = shop.draft("key", &wish).await;
    assert_eq!(clash.status, 422, "{}", clash.body);
    assert!(
        errors(&clash).contains("/rooms/0/parts contradiction: element-finish"),
        "{}",
        errors(&clash)
    );
    wish["rooms"][0]["override_reason"] = json!("the customer wants it so");
    let no_right = shop.draft("key", &wish).await;
    assert!(errors(&no_right).contains("--allow-overrides"), "{}", errors(&no_right));
    let trusted = Rights { overrides: true, ..Rights::default() };
    let trusting = Shop::with_rights(trusted).await;
    let quote = trusting.draft("key", &wish).await;
    assert_eq!(quote.status, 201, "{}", quote.body);
    let room = &quote.json()["rooms"][0];
    assert_eq!(room["override_reason"], "the customer wants it so");
    assert!(
        room["notices"]
            .as_array()
            .unwrap()
            .iter()
            .any(|notice| notice["code"] == "clash-overridden")
    );
    assert!(room["checks"].as_array().unwrap().iter().any(|check| check["outcome"] == "clashes"));
    wish["rooms"][0].as_object_mut().unwrap().remove("override_reason");
    assert_eq!(trusting.draft("other", &wish).await.status, 422);
}

#[tokio::test]
async fn rooms_are_named_apart_and_have_one_source() {
    let shop = Shop::open().await;
    check(
        &shop,
        |wish| {
            let room = wish["rooms"][0].clone();
            wish["rooms"].as_array_mut().unwrap().push(room);
        },
        "/rooms/1/name repeated: another room has this name",
    )
    .await;
    check(
        &shop,
        |wish| wish["rooms"][0]["resolution"] = resolved()["rooms"][0]["resolution"].clone(),
        "/rooms/0/parts contradiction: a room has either a resolution or parts",
    )
    .await;
    check(
        &shop,
        |wish| wish["rooms"] = json!([{ "name": "Empty" }]),
        "/rooms/0/parts missing: a room needs a resolution or parts",
    )
    .await;
    check(
        &shop,
        |wish| {
            *wish = resolved();
            wish["rooms"][0]["option"] = json!(9);
            wish["rooms"][0]["resolution"]["market"] = json!("ie");
        },
        "/rooms/0/resolution/market contradiction: the quote is for the market gb",
    )
    .await;
    check(
        &shop,
        |wish| {
            *wish = resolved();
            wish["rooms"][0]["option"] = json!(9);
        },
        "/rooms/0/option unknown: there are 2 options",
    )
    .await;
    for (explain, why) in [
        (
            true,
            "No rail in this catalogue costs at most 1.00 GBP; the cheapest way out is a budget of 103.75 GBP.",
        ),
        (false, "no bill meets all demands; leave explain out to be told why"),
    ] {
        let too_dear = |wish: &mut Value| {
            *wish = resolved();
            wish["rooms"][0]["resolution"]["preferences"]["budget"] = json!("1.00");
            wish["rooms"][0]["resolution"]["explain"] = json!(explain);
        };
        check(&shop, too_dear, &format!("/rooms/0/resolution contradiction: {why}")).await;
    }
}

#[tokio::test]
async fn an_old_price_list_is_not_quoted_from() {
    let shop = Shop::open().await;
    check(
        &shop,
        |wish| {
            *wish = resolved();
            wish["rooms"][0]["resolution"]["price_date"] = json!("2026-01-02");
        },
        "/rooms/0/resolution/price_date contradiction: a quote takes the prices of its own day, 2026-06-15",
    )
    .await;
    let before = shop.at("1969-12-31T12:00:00Z").draft("key", &chosen()).await;
    assert_eq!((before.status.as_u16(), &before.json()["code"]), (409, &"no-price-list".into()));
    // Drafted on the last day of a list, issued on the first day after it, by the seller's clock.
    let eve = shop.at("2026-12-31T23:59:59Z");
    let draft = eve.draft("eve", &chosen()).await;
    assert_eq!(draft.json()["price_list"], "gb-2026");
    let morning = shop.at("2027-01-01T00:00:00Z");
    let issue =
        morning.change(("GB-2026-000001", "issue"), draft.header("etag"), &Value::Null).await;
    assert_eq!((issue.status.as_u16(), &issue.json()["code"]), (409, &"price-list-ended".into()));
    let revised = morning.revise("GB-2026-000001", ("new", draft.header("etag")), &chosen()).await;
    assert_eq!((revised.status.as_u16(), &revised.json()["price_list"]), (201, &"gb-2027".into()));
}

#[tokio::test]
async fn the_last_day_is_a_day_of_the_calendar_and_not_over() {
    let shop = Shop::open().await;
    let until = |day: &'static str| move |wish: &mut Value| wish["valid_until"] = json!(day);
    check(
        &shop,
        until("2027-02-29"),
        "/valid_until bad-form: 2027-02-29 is no day of the calendar",
    )
    .await;
    for day in ["2026-06-14", "1969-07-20", "2028-02-29"] {
        let wanted = format!(
            "/valid_until out-of-range: the last day is {day}, allowed are 2026-06-15 to 2027-06-16"
        );
        check(&shop, until(day), &wanted).await;
    }
    let leap = shop.at("2028-02-01T00:00:00Z");
    let mut wish = chosen();
    wish["valid_until"] = json!("2028-02-29");
    let quote = leap.draft("leap", &wish).await;
    assert_eq!(
        (quote.status.as_u16(), &quote.json()["expires_at"]),
        (201, &"2028-03-01T00:00:00Z".into())
    );
}

#[tokio::test]
async fn parts_must_exist_and_have_a_price_in_the_market() {
    let shop = Shop::open().await;
    let sku = |sku: &'static str| {
        move |wish: &mut Value| wish["rooms"][0]["parts"] = json!([{ "sku": sku }])
    };
    check(
        &shop,
        sku("NO-SUCH-PART"),
        "/rooms/0/parts/0/sku unknown: there is no part NO-SUCH-PART in this catalogue",
    )
    .await;
    let mut fields = chosen();
    fields["colour"] = json!("red");
    fields["rooms"][0]["parts"][0]["quantity"] = json!(0);
    let answer = shop.draft("key", &fields).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.json()["errors"].as_array().unwrap().len(), 2, "{}", answer.body);
    // The market has no list for those who sell on.
    let mut wish = chosen();
    wish["tier"] = json!("merchant");
    wish["market"] = json!("ie");
    let dear = shop.draft("key", &wish).await;
    assert_eq!((dear.status.as_u16(), &dear.json()["code"]), (409, &"no-price-list".into()));
}

#[tokio::test]
async fn names_may_be_of_any_script_but_hold_no_control_characters() {
    let shop = Shop::open().await;
    check(
        &shop,
        |wish| wish["customer"] = json!({ "name": "Tern\u{202e}House", "reference": "a\u{0}b" }),
        "/customer/reference bad-form: the text holds the control character U+0000\n\
         /customer/name bad-form: the text holds the control character U+202E",
    )
    .await;
    for name in
        ["<script>alert(1)</script> & Sons", "בית השחף", "دار الخرشنة", "'; DROP TABLE quotes; --"]
    {
        let mut wish = chosen();
        wish["customer"] = json!({ "name": name });
        wish["rooms"][0]["name"] = json!(name);
        let answer = shop.draft(&format!("k-{}", name.len()), &wish).await;
        assert_eq!(answer.status, 201, "{}", answer.body);
        let read = shop.get(answer.header("location")).await.json();
        assert_eq!(
            (&read["customer"]["name"], &read["rooms"][0]["name"]),
            (&name.into(), &name.into())
        );
    }
}

#[tokio::test]
async fn more_rooms_than_a_quote_holds_are_refused_by_a_named_limit() {
    let shop = Shop::open().await;
    let skus = [
        "SRW-A-HOOK-FLAT-50-AN",
        "SRW-A-HOOK-FLAT-50-BK",
        "SRW-A-BRKT-FLAT-50-AN",
        "SRW-A-BRKT-FLAT-50-BK",
    ];
    let parts: Vec<Value> = skus.iter().map(|sku| json!({ "sku": sku })).collect();
    let rooms = |count: usize| -> Vec<Value> {
        (0..count).map(|index| json!({ "name": format!("R{index}"), "parts": parts })).collect()
    };
    let wish = json!({ "market": "gb", "rooms": rooms(1_250) });
    let answer = shop.draft("many", &wish).await;
    assert_eq!(answer.status, 422, "{}", answer.body);
    assert!(errors(&answer).starts_with("/rooms too-many"), "{}", errors(&answer));
    let fits = shop.draft("fits", &json!({ "market": "gb", "rooms": rooms(50) })).await;
    assert_eq!(fits.status, 201, "{}", fits.body);
    let room = |index: usize| {
        let hooks = (0..9).map(|hook| json!({ "sku": format!("SRW-A-HOOK-FLAT-50-{hook}") }));
        json!({ "name": format!("R{index}"), "parts": hooks.collect::<Vec<_>>() })
    };
    let unknown = shop.draft("unknown", &json!({ "market": "gb", "rooms": [room(0)] })).await;
    assert_eq!(unknown.json()["errors"].as_array().unwrap().len(), 9);
}

#[tokio::test]
async fn a_quote_that_is_not_there_is_not_found() {
    let shop = Shop::open().await;
    for path in [
        "GB-2026-000001",
        "gb-2026-000001",
        "x",
        "GB-2026-000001/history",
        "GB-2026-000001/revisions/1",
    ] {
        assert_eq!(shop.get(&format!("/v1/quotes/{path}")).await.status, 404, "{path}");
    }
    let issue = shop.change(("GB-2026-000009", "issue"), "*", &Value::Null).await;
    assert_eq!(issue.status, 404);
    let number = shop.issued("k", &chosen()).await;
    let odd = shop.get(&format!("/v1/quotes/{number}/revisions/-1")).await;
    assert_eq!(odd.status, 404);
    assert_eq!(shop.get("/v1/quotes?state=lost").await.status, 400);
    assert_eq!(shop.get("/v1/quotes?created_from=2026-02-30").await.status, 400);
}

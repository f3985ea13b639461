//! Quotes through the HTTP interface: drafted, repeated, issued, read, revised, accepted, listed.

use serde_json::Value;
use serde_json::json;

use crate::quoting::Shop;
use crate::quoting::chosen;
use crate::quoting::resolved;

fn minor(text: &Value) -> i64 {
    text.as_str().unwrap().replace('.', "").parse().unwrap()
}

#[tokio::test]
async fn a_draft_gets_its_number_and_stays_byte_for_byte_what_it_was() {
    let shop = Shop::open().await;
    let draft = shop.draft("k1", &resolved()).await;
    assert_eq!(draft.status, 201, "{}", draft.body);
    assert_eq!(draft.header("location"), "/v1/quotes/GB-2026-000001");
    let read = shop.get("/v1/quotes/GB-2026-000001").await;
    assert_eq!((read.status.as_u16(), &read.body), (200, &draft.body));
    assert_eq!(read.header("etag"), draft.header("etag"));
    let body = draft.json();
    assert_eq!((&body["state"], &body["tier"]), (&"draft".into(), &"retail".into()));
    // The last day ends in the seller's time zone, an hour before it does in universal time.
    assert_eq!(body["valid_until"], "2026-07-15");
    assert_eq!(body["expires_at"], "2026-07-15T23:00:00Z");
}

#[tokio::test]
async fn the_totals_are_the_sums_of_what_is_listed() {
    let shop = Shop::open().await;
    let mut wish = resolved();
    wish["discount"] = json!({ "percent": "7.5", "reason": "nine rooms" });
    wish["delivery"] = json!({ "band": "mainland" });
    let mut second = chosen()["rooms"][0].clone();
    second["line_discounts"] =
        json!([{ "sku": "SRW-B-SCORI-400.700-WH", "amount": "2.50", "reason": "a scratch" }]);
    wish["rooms"].as_array_mut().unwrap().push(second);
    let answer = shop.draft("k1", &wish).await;
    assert_eq!(answer.status, 201, "{}", answer.body);
    let quote = answer.json();
    let total = &quote["total"];
    let rooms = quote["rooms"].as_array().unwrap();
    let lines = rooms.iter().flat_map(|room| room["lines"].as_array().unwrap());
    let lines: i64 = lines.map(|line| minor(&line["net"])).sum();
    assert_eq!(minor(&total["lines"]), lines, "BR-CO-10");
    assert_eq!(minor(&total["allowances"]), minor(&quote["discount"]["net"]), "BR-CO-11");
    assert_eq!(minor(&total["charges"]), minor(&quote["delivery"]["net"]), "BR-CO-12");
    let net = lines - minor(&total["allowances"]) + minor(&total["charges"]);
    assert_eq!(minor(&total["net"]), net, "BR-CO-13");
    assert_eq!(minor(&total["gross"]), net + minor(&total["tax"]), "BR-CO-15");
    assert_eq!(minor(&total["taxes"][0]["base"]), net, "BR-S-08");
    assert_eq!(minor(&total["tax"]), (net * 2000 + 5000).div_euclid(10_000), "BR-CO-17");
    assert_eq!(
        (&total["tax_rounding"], &total["taxes"][0]["category"]),
        (&"per_rate".into(), &"S".into())
    );
    let body = &rooms[1]["lines"][0];
    assert_eq!((&body["unit_net"], &body["net"]), (&"58.00".into(), &"55.50".into()));
}

#[tokio::test]
async fn a_repeated_request_creates_nothing_and_hears_the_same() {
    let shop = Shop::open().await;
    let first = shop.draft("k1", &resolved()).await;
    shop.change(("GB-2026-000001", "issue"), first.header("etag"), &Value::Null).await;
    let again = shop.draft("\"k1\"", &resolved()).await;
    assert_eq!((again.status, &again.body), (first.status, &first.body));
    assert_eq!(again.header("location"), first.header("location"));
    assert_eq!(again.header("etag"), first.header("etag"));
    let other = shop.draft("k1", &chosen()).await;
    assert_eq!(
        (other.status.as_u16(), &other.json()["code"]),
        (422, &"idempotency-key-reused".into())
    );
    let next = shop.draft("k2", &resolved()).await;
    assert_eq!(next.json()["number"], "GB-2026-000002");
    assert_eq!(shop.get("/v1/quotes").await.json()["items"].as_array().unwrap().len(), 2);
}

#[tokio::test]
async fn a_refused_request_uses_neither_key_nor_number() {
    let shop = Shop::open().await;
    let mut wrong = resolved();
    wrong["delivery"] = json!({ "band": "the-moon" });
    assert_eq!(shop.draft("k1", &wrong).await.status, 422);
    let right = shop.draft("k1", &resolved()).await;
    assert_eq!((right.status.as_u16(), &right.json()["number"]), (201, &"GB-2026-000001".into()));
}

#[tokio::test]
async fn equal_requests_at_one_moment_create_one_quote() {
    let shop = Shop::open().await;
    let body = resolved();
    let asked = (0..8).map(|_| {
        let (shop, body) = (shop.clone(), body.clone());
        tokio::spawn(async move { shop.draft("same", &body).await })
    });
    let mut created = Vec::new();
    for task in asked.collect::<Vec<_>>() {
        let answer = task.await.unwrap();
        match answer.status.as_u16() {
            201 => created.push(answer.body),
            409 => assert_eq!(answer.json()["code"], "idempotency-key-running"),
            other => panic!("{other} {}", answer.body),
        }
    }
    assert!(!created.is_empty());
    assert!(created.iter().all(|one| *one == created[0]));
    assert_eq!(shop.get("/v1/quotes").await.json()["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn an_offer_is_accepted_once_and_only_as_it_was_read() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &resolved()).await;
    let tag = shop.tag(&number).await;
    assert_eq!(shop.accept(&number, "\"other\"").await.status, 412);
    assert_eq!(shop.accept(&number, &format!("W/{tag}")).await.status, 412);
    let body = json!({ "by": "A. Tern" });
    let bare = shop.post(&format!("/v1/quotes/{number}/acceptance"), &[], &body).await;
    assert_eq!(
        (bare.status.as_u16(), &bare.json()["code"]),
        (428, &"precondition-required".into())
    );
    let accepted = shop.accept(&number, &tag).await;
    assert_eq!(accepted.status, 200, "{}", accepted.body);
    assert_eq!(
        accepted.json()["acceptance"],
        json!({ "by": "A. Tern", "at": "2026-06-15T12:00:00Z" })
    );
    assert_eq!(shop.accept(&number, &tag).await.status, 412);
    let again = shop.accept(&number, accepted.header("etag")).await;
    assert_eq!((again.status.as_u16(), &again.json()["code"]), (409, &"wrong-state".into()));
    let events = shop.get(&format!("/v1/quotes/{number}/history")).await.json();
    let kinds =
        events["events"].as_array().unwrap().iter().map(|event| event["kind"].as_str().unwrap());
    assert_eq!(kinds.collect::<Vec<_>>(), ["drafted", "issued", "accepted"]);
}

#[tokio::test]
async fn two_acceptances_at_one_moment_leave_one() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &resolved()).await;
    let tag = shop.tag(&number).await;
    let (left, right) = tokio::join!(shop.accept(&number, &tag), shop.accept(&number, &tag));
    let mut statuses = [left.status.as_u16(), right.status.as_u16()];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412]);
}

#[tokio::test]
async fn an_offer_ends_with_the_seller_s_day() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &resolved()).await;
    let tag = shop.tag(&number).await;
    let late = shop.at("2026-07-15T23:00:00Z");
    assert_eq!(late.get(&format!("/v1/quotes/{number}")).await.json()["state"], "expired");
    let refused = late.accept(&number, &tag).await;
    assert_eq!((refused.status.as_u16(), &refused.json()["code"]), (409, &"quote-expired".into()));
    let listed = late.get("/v1/quotes?state=expired").await.json();
    assert_eq!(listed["items"][0]["number"], number.as_str());
    assert_eq!(late.get("/v1/quotes?state=issued").await.json()["items"], json!([]));
    let just = shop.at("2026-07-15T22:59:59.999Z");
    assert_eq!(just.accept(&number, &tag).await.status, 200);
}

#[tokio::test]
async fn a_clock_moved_back_does_not_turn_history_round() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &resolved()).await;
    let earlier = shop.at("2026-06-14T00:00:00Z");
    let accepted = earlier.accept(&number, &shop.tag(&number).await).await;
    assert_eq!(accepted.json()["acceptance"]["at"], "2026-06-15T12:00:00Z");
    let next = earlier.draft("k2", &resolved()).await;
    assert_eq!(next.json()["number"], "GB-2026-000002");
    let last_year = shop.at("2026-01-01T00:00:00Z").draft("k3", &resolved()).await;
    assert_eq!(last_year.json()["number"], "GB-2026-000003");
}

#[tokio::test]
async fn a_revision_names_its_predecessor_and_what_differs() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &chosen()).await;
    let offer = shop.tag(&number).await;
    let mut wish = chosen();
    wish["rooms"][0]["parts"][0]["quantity"] = json!(2);
    let revision = shop.revise(&number, ("k2", &offer), &wish).await;
    assert_eq!(revision.status, 201, "{}", revision.body);
    assert_eq!(revision.header("location"), format!("/v1/quotes/{number}/revisions/2"));
    let body = revision.json();
    assert_eq!((&body["revision"], &body["predecessor"]), (&2.into(), &1.into()));
    let changes = body["changes"].as_array().unwrap();
    let quantity = json!({
        "what": "quantity", "place": "Room 2 / SRW-B-SCORI-400.700-WH", "from": "1", "to": "2",
    });
    assert!(changes.contains(&quantity), "{changes:?}");
    assert!(changes.iter().any(|change| change["what"] == "gross"));
    // The offer stands until the revision is issued.
    let first = format!("/v1/quotes/{number}/revisions/1");
    assert_eq!(shop.get(&first).await.json()["state"], "issued");
    let third = shop.revise(&number, ("k3", &offer), &wish).await;
    assert_eq!((third.status.as_u16(), &third.json()["code"]), (409, &"open-draft".into()));
    shop.change((&number, "issue"), revision.header("etag"), &Value::Null).await;
    assert_eq!(shop.get(&first).await.json()["state"], "superseded");
    let old = shop.get(&first).await;
    let refused = shop.accept(&number, old.header("etag")).await;
    assert_eq!((refused.status.as_u16(), &refused.json()["code"]), (409, &"wrong-state".into()));
    assert_eq!(shop.accept(&number, &shop.tag(&number).await).await.status, 200);
}

#[tokio::test]
async fn an_offer_accepted_while_its_revision_was_drafted_stays_accepted() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &chosen()).await;
    let offer = shop.tag(&number).await;
    let revision = shop.revise(&number, ("k2", &offer), &resolved()).await;
    assert_eq!(shop.accept(&number, &offer).await.status, 200);
    let issue = shop.change((&number, "issue"), revision.header("etag"), &Value::Null).await;
    assert_eq!((issue.status.as_u16(), &issue.json()["code"]), (409, &"wrong-state".into()));
}

#[tokio::test]
async fn what_was_withdrawn_has_no_revision() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &chosen()).await;
    let reason = json!({ "reason": "misprinted" });
    let withdrawn = shop.change((&number, "withdrawal"), &shop.tag(&number).await, &reason).await;
    assert_eq!(withdrawn.json()["withdrawal"]["reason"], "misprinted");
    let revision = shop.revise(&number, ("k2", withdrawn.header("etag")), &chosen()).await;
    assert_eq!((revision.status.as_u16(), &revision.json()["code"]), (409, &"wrong-state".into()));
    let accepted = shop.accept(&number, withdrawn.header("etag")).await;
    assert_eq!(accepted.status, 409);
}

#[tokio::test]
async fn lists_are_filtered_and_paged() {
    let shop = Shop::open().await;
    for (key, reference) in [("a", "TERN-1"), ("b", "TERN-2"), ("c", "TERN-1")] {
        let mut wish = chosen();
        wish["customer"] = json!({ "reference": reference });
        wish["rooms"][0]["name"] = json!(format!("Room {key}"));
        assert_eq!(shop.draft(key, &wish).await.status, 201);
    }
    let numbers = async |query: &str| {
        let answer = shop.get(&format!("/v1/quotes{query}")).await;
        assert_eq!(answer.status, 200, "{}", answer.body);
        let items = answer.json()["items"].as_array().unwrap().clone();
        items
            .iter()
            .map(|item| item["number"].as_str().unwrap().replace("GB-2026-", ""))
            .collect::<Vec<_>>()
    };
    assert_eq!(numbers("").await, ["000003", "000002", "000001"]);
    assert_eq!(numbers("?customer_reference=TERN-1").await, ["000003", "000001"]);
    assert_eq!(numbers("?room=Room%20b").await, ["000002"]);
    assert_eq!(numbers("?sku=SRW-E-SMOOR-300-WH&state=draft").await.len(), 3);
    assert_eq!(numbers("?created_from=2026-06-15&created_to=2026-06-15").await.len(), 3);
    assert_eq!(numbers("?created_to=2026-06-14").await, Vec::<String>::new());
    let page = shop.get("/v1/quotes?limit=2").await.json();
    let cursor = page["next_cursor"].as_str().unwrap();
    assert_eq!(numbers(&format!("?limit=2&cursor={cursor}")).await, ["000001"]);
    let strange = shop.get(&format!("/v1/quotes?state=draft&cursor={cursor}")).await;
    assert_eq!(strange.status, 400);
}

#[tokio::test]
async fn the_answer_that_led_to_a_quote_is_kept() {
    let shop = Shop::open().await;
    shop.draft("k1", &resolved()).await;
    let answers = shop.get("/v1/quotes/GB-2026-000001/answers").await.json();
    let room = &answers["rooms"][0];
    assert_eq!(room["request"]["resolution"]["heat_requirement_w"], 250);
    assert_eq!(room["answer"]["outcome"], "resolved");
    assert_eq!(room["answer"]["options"].as_array().unwrap().len(), 1);
    assert_eq!(room["answer"]["options"][0]["rank"], 1);
}

#[tokio::test]
async fn the_trade_pays_its_own_prices_and_many_hooks_cost_less() {
    let shop = Shop::open().await;
    let mut wish = chosen();
    let retail = shop.draft("k1", &wish).await.json();
    wish["tier"] = json!("trade");
    let trade = shop.draft("k2", &wish).await.json();
    assert_eq!((&trade["tier"], &trade["price_list"]), (&"trade".into(), &"gb-trade-2026".into()));
    let gross = |quote: &Value| minor(&quote["total"]["gross"]);
    assert!(gross(&trade) < gross(&retail), "{} {}", gross(&trade), gross(&retail));
    let hooks = async |key: &str, quantity: u32| {
        let parts = json!([{ "sku": "SRW-A-HOOK-FLAT-50-AN", "quantity": quantity }]);
        let order = json!({ "market": "gb", "rooms": [{ "name": "Hooks", "parts": parts }] });
        shop.draft(key, &order).await.json()["rooms"][0]["lines"][0]["unit_net"].clone()
    };
    assert_eq!(hooks("h9", 9).await, "6.75");
    assert_eq!(hooks("h10", 10).await, "6.4125");
    assert_eq!(hooks("h50", 50).await, "6.075");
}

#[tokio::test]
async fn exports_and_union_businesses_are_taxed_by_their_rows() {
    let shop = Shop::open().await;
    let mut wish = chosen();
    wish["market"] = json!("ie");
    wish["tax_category"] = json!("K");
    wish["customer"] = json!({ "country": "DE", "vat_number": "DE 123456788" });
    let answer = shop.draft("k1", &wish).await;
    assert_eq!(answer.status, 201, "{}", answer.body);
    let quote = answer.json();
    assert_eq!(
        (&quote["total"]["tax"], &quote["total"]["taxes"][0]["category"]),
        (&"0.00".into(), &"K".into())
    );
    assert!(quote["total"]["tax_source"].as_str().unwrap().ends_with("(memory)"));
    assert!(
        quote["notices"]
            .as_array()
            .unwrap()
            .iter()
            .any(|notice| notice["code"] == "vat-number-not-proved")
    );
    wish["customer"] = json!({ "country": "IE", "vat_number": "IE1234567T" });
    let home = shop.draft("k2", &wish).await;
    assert_eq!(home.status, 422, "{}", home.body);
    wish["tax_category"] = json!("AE");
    assert_eq!(shop.draft("k3", &wish).await.status, 422);
}

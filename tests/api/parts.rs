//! Lists of parts and single parts, over the demonstration catalogue.

use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeSet;

use crate::demo::demo;
use crate::demo::get;
use crate::demo::get_json;
use crate::demo::make_app;
use crate::demo::texts;
use crate::demo::wrong_fields;
use crate::service::ask_of;

const LISTS: [(&str, PartKind); 4] = [
    ("bodies", PartKind::Body),
    ("elements", PartKind::Element),
    ("controls", PartKind::Control),
    ("accessories", PartKind::Accessory),
];

/// All part numbers of a list, page by page.
pub(crate) async fn walk(path: &str) -> Vec<String> {
    let mut skus = Vec::new();
    let mut next = path.to_owned();
    loop {
        let page = get_json(&next).await;
        skus.extend(texts(&page["items"], "sku").into_iter().map(ToOwned::to_owned));
        let Some(cursor) = page["next_cursor"].as_str() else { return skus };
        next = format!("{path}&cursor={cursor}");
    }
}

fn every_sku(edition: &Edition, kind: PartKind) -> Vec<String> {
    let parts = edition.parts().filter(|part| part.kind == kind);
    parts.map(|part| edition.card(part).unwrap().sku.to_string()).collect()
}

#[tokio::test]
async fn pages_walk_the_whole_catalogue_exactly_once() {
    let snapshot = make_app().snapshot().unwrap();
    for (list, kind) in LISTS {
        let expected = every_sku(snapshot.catalogue().edition(), kind);
        assert!(expected.is_sorted() && 30 < expected.len());
        // A size that divides nothing, the smallest, and the largest.
        for limit in [7, 200] {
            assert_eq!(
                walk(&format!("/v1/{list}?limit={limit}")).await,
                expected,
                "{list} {limit}"
            );
        }
        assert_eq!(walk(&format!("/v1/{list}?market=gb")).await, expected, "{list}");
    }
}

#[tokio::test]
async fn a_cursor_is_good_for_its_own_list_only() {
    let page = get_json("/v1/bodies?limit=1&finish=white").await;
    let cursor = page["next_cursor"].as_str().unwrap();
    for path in [
        format!("/v1/bodies?limit=1&finish=matt-black&cursor={cursor}"),
        format!("/v1/bodies?cursor={cursor}"),
        format!("/v1/elements?finish=white&cursor={cursor}"),
        "/v1/bodies?cursor=rubbish".to_owned(),
        "/v1/bodies?cursor=".to_owned(),
        format!("/v1/bodies?cursor={}", "a".repeat(257)),
    ] {
        let answer = get(&path).await;
        assert_eq!(answer.status, 400, "{path}");
        assert!(wrong_fields(&answer).contains("\ncursor: "), "{}", answer.body);
    }
    // Another page size is the same question.
    let other = get_json(&format!("/v1/bodies?limit=3&finish=white&cursor={cursor}")).await;
    assert_eq!(other["items"].as_array().unwrap().len(), 3);
}

#[tokio::test]
async fn filters_keep_what_they_name_and_nothing_is_lost() {
    let value = |part: &Value, name: &str| part["attributes"][name].clone();
    let elements = get_json("/v1/elements?limit=200&finish=matt-black&regulation=fixed&thread=G%201%2F2%20ext&watts_min=300&watts_max=400").await;
    let found = elements["items"].as_array().unwrap();
    assert!(!found.is_empty());
    for part in found {
        assert_eq!(value(part, "finish"), "matt-black");
        assert_eq!(value(part, "regulation"), "fixed");
        assert_eq!(value(part, "thread"), "G 1/2 ext");
        assert!((300..=400).contains(&value(part, "watts").as_i64().unwrap()));
    }
    let all = walk("/v1/elements?limit=200").await.len();
    let mut sum = 0;
    for regulation in ["fixed", "adjustable"] {
        sum += walk(&format!("/v1/elements?limit=200&regulation={regulation}")).await.len();
    }
    assert_eq!(sum, all);
    let narrow = get_json("/v1/bodies?limit=200&width_mm_max=400&height_mm_max=900").await;
    let narrow = narrow["items"].as_array().unwrap();
    assert!(!narrow.is_empty());
    for part in narrow {
        assert!(value(part, "width_mm").as_i64() <= Some(400));
        assert!(value(part, "height_mm").as_i64() <= Some(900));
    }
    let hooks = walk("/v1/accessories?limit=200&kind=hook").await;
    assert!(!hooks.is_empty() && hooks.iter().all(|sku| sku.contains("HOOK")), "{hooks:?}");
    let timers = get_json("/v1/controls?limit=200&role=time_switch").await;
    for control in timers["items"].as_array().unwrap() {
        assert!(control["attributes"]["roles"].as_array().unwrap().contains(&json!("time_switch")));
    }
    // A body has no watts of its own, so the filter finds none.
    assert_eq!(walk("/v1/bodies?limit=200&watts_min=1").await, [""; 0]);
}

#[tokio::test]
async fn wrong_filters_are_named_at_once() {
    let answer =
        get("/v1/bodies?limit=0&width_mm_max=-1&colour=red&watts_min=many&market=xx").await;
    insta::assert_snapshot!(wrong_fields(&answer), @"
    400 bad-query
    limit: below-minimum
    width_mm_max: below-minimum
    watts_min: wrong-type
    colour: unknown-field
    ");
    let names = "market=xx&finish=puce&kind=bell&role=boss&regulation=loose";
    let unknown = get(&format!("/v1/bodies?{names}")).await;
    assert_eq!(
        wrong_fields(&unknown),
        "400 bad-query\nmarket: unknown\nfinish: unknown\nregulation: unknown\nkind: unknown\nrole: unknown"
    );
    assert_eq!(unknown.json()["errors"][0]["allowed"], "de, gb, ie");
    let kind = get("/v1/bodies/SRW-B-HAAR-500.1200-BK/accessories?kind=bell").await;
    assert_eq!(wrong_fields(&kind), "400 bad-query\nkind: unknown");
}

#[tokio::test]
async fn a_copy_that_is_current_is_not_sent_again() {
    let paths = [
        "/v1/bodies?limit=5&market=gb",
        "/v1/bodies/SRW-B-HAAR-500.1200-BK?market=gb",
        "/v1/bodies/SRW-B-HAAR-500.1200-BK/elements?market=de",
        "/v1/bodies/SRW-B-HAAR-500.1200-BK/accessories?element=SRW-E-GLEED-400-BK",
    ];
    let mut tags = BTreeSet::new();
    for path in paths {
        let answer = get(path).await;
        assert_eq!(answer.status, 200, "{}", answer.body);
        let tag = answer.header("etag").to_owned();
        assert!(tag.len() > 2 && tags.insert(tag.clone()), "{tag}");
        let known = Request::get(path).header(header::IF_NONE_MATCH, &tag);
        let again = ask_of(demo(), known, Body::empty()).await;
        assert_eq!((again.status.as_u16(), again.body.as_str()), (304, ""));
        assert_eq!(again.header("etag"), tag);
        let stale = Request::get(path).header(header::IF_NONE_MATCH, "\"other\"");
        assert_eq!(ask_of(demo(), stale, Body::empty()).await.body, answer.body);
    }
}

#[tokio::test]
async fn an_unknown_part_is_404_and_named() {
    insta::assert_snapshot!(get("/v1/bodies/SRW-B-NOTHING").await.told(), @r#"
    404 Not Found
    content-type: application/problem+json
    x-request-id: test
    {
      "type": "/problems/not-found",
      "title": "There is no such thing",
      "status": 404,
      "detail": "edition 1 has no body \"SRW-B-NOTHING\"",
      "instance": "test",
      "code": "not-found"
    }
    "#);
    for path in [
        // An element is no body.
        "/v1/bodies/SRW-E-GLEED-400-BK",
        "/v1/bodies/srw-b-haar",
        "/v1/bodies/a%2Fb%20c%2B%C3%A9",
        "/v1/bodies/NOTHING/elements",
        "/v1/bodies/NOTHING/accessories",
    ] {
        assert_eq!(get(path).await.status, 404, "{path}");
    }
    let element = get("/v1/bodies/SRW-B-HAAR-500.1200-BK/accessories?element=NOTHING").await;
    assert_eq!(wrong_fields(&element), "400 bad-query\nelement: unknown");
}

#[tokio::test]
async fn a_single_part_is_what_the_list_shows() {
    let list = get_json("/v1/elements?limit=2&market=ie").await;
    for part in list["items"].as_array().unwrap() {
        let sku = part["sku"].as_str().unwrap();
        assert_eq!(get_json(&format!("/v1/elements/{sku}?market=ie")).await, *part);
        // Without a market there is no price and nothing else changes.
        let mut plain = part.clone();
        plain.as_object_mut().unwrap().remove("price");
        assert_eq!(get_json(&format!("/v1/elements/{sku}")).await, plain);
    }
}

#[tokio::test]
async fn prices_are_net_and_gross_with_the_tax_rate_named() {
    let part = get_json("/v1/bodies/SRW-B-HAAR-500.1200-BK?market=de").await;
    insta::assert_snapshot!(part["price"], @r#"{"currency":"EUR","price_list":"de-2026","unit_net":"155.95","gross":"185.58","tax_rate_percent":"19"}"#);
    let four_decimals = get_json("/v1/accessories/SRW-A-INHIB-100?market=gb").await;
    insta::assert_snapshot!(four_decimals["price"], @r#"{"currency":"GBP","price_list":"gb-2026","unit_net":"4.8625","gross":"5.83","tax_rate_percent":"20"}"#);
}

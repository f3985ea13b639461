//! Catalogues that are wrong: each is answered with a clear report, nothing is loaded, and the edition in force goes on.

use std::io::Cursor;
use std::io::Write;

use axum::http::StatusCode;
use rungwright::store::demo::demo_files;
use serde_json::Value;
use serde_json::json;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::editions::Keeper;
use crate::editions::document;

type Files = std::collections::BTreeMap<String, Vec<u8>>;

fn zipped<'a, F: IntoIterator<Item = (&'a str, &'a [u8])>>(files: F) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        writer.start_file(name, SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn archive(files: &Files) -> Vec<u8> {
    zipped(files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())))
}

/// The demonstration with a text of one file replaced once.
fn edited(file: &str, from: &[u8], to: &[u8]) -> Vec<u8> {
    let mut files = demo_files();
    let bytes = files.get_mut(file).unwrap();
    let place = bytes.windows(from.len()).position(|window| window == from).unwrap();
    bytes.splice(place..place + from.len(), to.iter().copied());
    archive(&files)
}

/// Sends an archive that is wrong, and gives its faults as `file row column`, with what is allowed.
async fn faults(keeper: &Keeper, bytes: Vec<u8>) -> Vec<(String, String)> {
    let answer = keeper.send("/v1/editions", ("application/zip", "k"), bytes).await;
    Keeper::check_refused(&answer, 422, "invalid-catalogue");
    assert_eq!(keeper.in_force().await, 1);
    assert_eq!(keeper.get_json("/v1/editions").await["items"].as_array().unwrap().len(), 1);
    let text = |fault: &Value, field: &str| match &fault[field] {
        Value::String(text) => text.clone(),
        Value::Null => "-".to_owned(),
        Value::Bool(_) | Value::Number(_) | Value::Array(_) | Value::Object(_) => {
            fault[field].to_string()
        }
    };
    let told = answer.json();
    let told = told["faults"].as_array().unwrap().iter();
    told.map(|fault| {
        let place = ["file", "row", "column"].map(|field| text(fault, field)).join(" ");
        (place, text(fault, "allowed"))
    })
    .collect()
}

#[tokio::test]
async fn each_wrong_cell_or_row_is_named_by_file_row_and_column() {
    let keeper = Keeper::open().await;
    let body = b"SRW-B-ALAMO-350.600-BK,Alamootie";
    for (file, from, to, place, allowed) in [
        ("prices.csv", &b",3.70\n"[..], &b",3.70,7\n"[..], "prices.csv 2 -", "3 cells"),
        ("prices.csv", b",3.70\n", b",\"3.70\n", "prices.csv 2 -", "quote"),
        ("prices.csv", b",3.70\n", b",1e300\n", "prices.csv 2 unit_price", "0 to"),
        (
            "bodies.csv",
            b"Alamootie 350 x 600 matt",
            b"Alamooti\xe9 350 x 600 matt",
            "bodies.csv 2 name",
            "UTF-8",
        ),
        ("bodies.csv", body, b"SRW/B/ALAMO,Alamootie", "bodies.csv 2 sku", "no SKU"),
        ("bodies.csv", body, "SRW-\u{1f6bf},Alamootie".as_bytes(), "bodies.csv 2 sku", "no SKU"),
        (
            "bodies.csv",
            b"Alamootie 350 x 600 matt black",
            b"\"Alamootie\n350\"",
            "bodies.csv 2 name",
            "one line",
        ),
        (
            "rules.csv",
            b"element.watts,within",
            b"element.colour,within",
            "rules.csv 3 left",
            "element.colour",
        ),
        (
            "rules.csv",
            b"element.watts,within",
            b"element.finish,within",
            "rules.csv 3 right",
            "a text",
        ),
        (
            "listed_pairs.csv",
            b"finish,matt-black",
            b"finish,\xff-black",
            "listed_pairs.csv 2 left",
            "UTF-8",
        ),
    ] {
        let told = faults(&keeper, edited(file, from, to)).await;
        let found = told.iter().any(|(where_, what)| where_ == place && what.contains(allowed));
        assert!(found, "{file} {:?}: {told:#?}", String::from_utf8_lossy(to));
    }
}

#[tokio::test]
async fn every_fault_is_told_at_once_also_as_a_table() {
    let keeper = Keeper::open().await;
    let mut document = document();
    document["bodies"][0]["width_mm"] = json!(1);
    document["bodies"][1]["finish"] = json!("Not A Code");
    document["prices"][5]["unit_price"] = json!(1e300);
    document["colours"] = json!([]);
    document["elements"][2]["watts"] = json!({ "most": 3 });
    let answer = keeper.load("/v1/editions", &document).await;
    Keeper::check_refused(&answer, 422, "invalid-catalogue");
    let told = answer.json();
    let files: Vec<&str> = told["faults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| fault["file"].as_str().unwrap())
        .collect();
    assert_eq!(
        files,
        ["bodies.csv", "bodies.csv", "document", "elements.csv", "elements.csv", "prices.csv"],
        "{told:#}"
    );
    let request = axum::http::Request::post("/v1/editions")
        .header("content-type", "application/json")
        .header("accept", "text/csv")
        .header("idempotency-key", "table");
    let table = keeper.ask(request, document.to_string()).await;
    assert_eq!(
        (table.status, table.header("content-type")),
        (StatusCode::UNPROCESSABLE_ENTITY, "text/csv; charset=utf-8")
    );
    assert!(
        table.body.starts_with("file,row,column,value,allowed\nbodies.csv,1,width_mm,1,"),
        "{}",
        table.body
    );
    assert_eq!(table.body.lines().count(), 7);
}

#[tokio::test]
async fn archives_that_mean_harm_are_refused_without_being_unpacked() {
    let keeper = Keeper::open().await;
    for name in ["../prices.csv", "/etc/prices.csv", "a\\..\\prices.csv", "C:prices.csv"] {
        let told = faults(&keeper, zipped([(name, &b"list,sku,unit_price\n"[..])])).await;
        assert!(
            told.iter()
                .any(|(place, what)| place == "archive - -" && what.contains("inside the archive")),
            "{told:#?}"
        );
    }
    let zeros = vec![b'\n'; 130 << 20];
    let bomb = zipped([("prices.csv", zeros.as_slice()), ("bodies.csv", b"sku\n")]);
    assert!(bomb.len() < 1 << 20);
    let told = faults(&keeper, bomb).await;
    assert!(
        told.iter()
            .any(|(place, what)| place == "prices.csv - -" && what.contains("unpacks to at most")),
        "{told:#?}"
    );
    for broken in [&b"PK\x03\x04"[..], b"", b"no archive", &archive(&demo_files())[..4000]] {
        let found = faults(&keeper, broken.to_vec()).await;
        assert!(found.iter().any(|(place, _)| place == "archive - -"), "{found:#?}");
    }
}

#[tokio::test]
async fn ten_million_rows_are_too_many_and_said_to_be() {
    let keeper = Keeper::open().await;
    let mut rows = b"list,sku,unit_price\n".to_vec();
    for _ in 0..10_000_000 {
        rows.extend_from_slice(b"a,B,1\n");
    }
    let told = faults(&keeper, zipped([("prices.csv", rows.as_slice())])).await;
    assert!(
        told.iter().any(|(_, what)| what.contains("at most 1000000 rows")),
        "{:#?}",
        told.first()
    );
}

#[tokio::test]
async fn an_archive_of_the_demonstration_in_a_folder_is_a_draft_of_the_same_hash() {
    let keeper = Keeper::open().await;
    let files = demo_files();
    let names: Vec<String> = files.keys().map(|name| format!("spring/{name}")).collect();
    let bytes = zipped(names.iter().map(String::as_str).zip(files.values().map(Vec::as_slice)));
    let answer = keeper.send("/v1/editions", ("application/zip", "k"), bytes).await;
    assert_eq!(answer.status, 201, "{}", answer.body);
    let first = keeper.get_json("/v1/editions/1").await;
    assert_eq!(answer.json()["content_hash"], first["content_hash"]);
}

#[tokio::test]
async fn pairs_of_finishes_that_run_in_a_circle_are_found_by_the_checks() {
    let keeper = Keeper::open().await;
    let pairs = json!({ "listed_pairs": [
        { "table": "finish", "left": "white", "right": "anthracite" },
        { "table": "finish", "left": "anthracite", "right": "white" },
        { "table": "finish", "left": "white", "right": "gold" },
    ] });
    let draft = keeper.change(&pairs).await;
    let checked = keeper.check(draft).await;
    let count = |code: &str| {
        let findings = checked["findings"].as_array().unwrap();
        findings
            .iter()
            .find(|finding| finding["code"] == code)
            .map(|finding| finding["count"].as_u64().unwrap())
    };
    assert!(count("finish-pairs-in-a-circle").is_some_and(|count| 2 <= count), "{checked:#}");
    // A finish that nobody declared is an error, and hinders the publication.
    assert_eq!(count("finish-pair-unknown"), Some(1));
    assert_eq!(
        (&checked["passed"], &checked["edition"]["state"]),
        (&json!(false), &json!("draft"))
    );
    Keeper::check_refused(&keeper.publish(draft).await, 409, "unchecked-edition");
}

#[tokio::test]
async fn other_media_types_and_bases_that_are_not_there_are_refused() {
    let keeper = Keeper::open().await;
    let table = keeper.send("/v1/editions", ("text/csv", "k"), b"sku\n".to_vec()).await;
    Keeper::check_refused(&table, 415, "unsupported-media-type");
    for path in ["/v1/editions?base=9", "/v1/editions?bas=1"] {
        Keeper::check_refused(&keeper.load(path, &json!({})).await, 400, "bad-query");
    }
    for text in ["", "[]", "{", "{\"bodies\":3}", "{\"bodies\":[1]}", "{\"bodies\":{}}", "null"] {
        let answer =
            keeper.send("/v1/editions", ("application/json", "k"), text.as_bytes().to_vec()).await;
        Keeper::check_refused(&answer, 422, "invalid-catalogue");
        assert!(
            answer.json()["faults"]
                .as_array()
                .unwrap()
                .iter()
                .any(|fault| fault["file"] == "document"),
            "{}",
            answer.body
        );
    }
}

//! The real program, killed at random moments under load: what was acknowledged is there, unchanged, once.
//!
//! Every request is recorded with what became of it. After each kill the program starts again on the same file and the
//! record is checked against it: acknowledged means present once, refused means absent, unknown means at most once; and
//! repeating an unanswered request with its key neither loses nor doubles it.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::thread;
use std::time::Duration;

use serde_json::Value;
use serde_json::json;

use crate::http_client::Reply;
use crate::http_client::send;
use crate::running::Folder;
use crate::running::Program;

/// Rounds when nobody says; the nightly run says 100.
const ROUNDS_USUAL: u64 = 20;
/// Names the number of rounds in the environment.
const ROUNDS_VARIABLE: &str = "RUNGWRIGHT_KILL_ROUNDS";
/// Callers at once.
const CALLERS: u64 = 4;

/// What became of a request to draft and then issue a quote.
#[derive(Debug, Clone)]
enum Outcome {
    /// Drafted, with this answer; and whether issuing it was acknowledged.
    Drafted { number: String, body: String, is_issued: bool },
    /// Refused.
    Refused,
    /// No answer.
    Unknown,
}

type Record = BTreeMap<String, Outcome>;

/// A quote with the key as the customer's reference, so that it can be found again.
fn wish(key: &str, percent: &str) -> String {
    json!({
        "market": "gb", "customer": { "reference": key },
        "discount": { "percent": percent, "reason": "under load" },
        "rooms": [
            { "name": "One", "parts": [{ "sku": "SRW-B-SCORI-400.700-WH" }, { "sku": "SRW-E-SMOOR-300-WH" }] },
            { "name": "Two", "parts": [{ "sku": "SRW-A-HOOK-FLAT-50-AN", "quantity": 12 }] },
        ],
    })
    .to_string()
}

fn draft(address: &str, key: &str, percent: &str) -> Option<Reply> {
    send(address, "POST /v1/quotes", &[("idempotency-key", key)], &wish(key, percent))
}

/// One caller: drafts and issues until nobody answers any more. Every seventh wish is over the ceiling.
fn call(address: &str, prefix: &str) -> Record {
    let mut record = Record::new();
    for count in 0_u32.. {
        let key = format!("{prefix}-{count}");
        let percent = if count % 7 == 3 { "99" } else { "5" };
        let reply = draft(address, &key, percent);
        let is_over = reply.is_none();
        let outcome = match reply {
            None => Outcome::Unknown,
            Some(reply) if reply.status == 201 => {
                let number = reply.json()["number"].as_str().unwrap().to_owned();
                let tag = reply.header("etag").to_owned();
                let issue = send(
                    address,
                    &format!("POST /v1/quotes/{number}/issue"),
                    &[("if-match", &tag)],
                    "",
                );
                let is_issued = issue.is_some_and(|told| told.status == 200);
                Outcome::Drafted { number, body: reply.body, is_issued }
            }
            Some(reply) => {
                assert_eq!((reply.status, percent), (422, "99"), "{}", reply.body);
                Outcome::Refused
            }
        };
        record.insert(key, outcome);
        if is_over {
            break;
        }
    }
    record
}

/// Callers at work until the program is killed after a while.
fn round(database: &str, round: u64) -> Record {
    let program = Program::start(database);
    let callers = (0..CALLERS).map(|caller| {
        let (address, prefix) = (program.address().to_owned(), format!("r{round}-c{caller}"));
        thread::spawn(move || call(&address, &prefix))
    });
    let callers: Vec<_> = callers.collect();
    // A different moment each time, the same in every run of the test.
    thread::sleep(Duration::from_millis(20 + (round * 7_919) % 230));
    program.kill();
    callers.into_iter().flat_map(|caller| caller.join().unwrap()).collect()
}

/// Every quote of the file: its reference and number.
fn listed(address: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut cursor = String::new();
    loop {
        let page = send(address, &format!("GET /v1/quotes?limit=200{cursor}"), &[], "").unwrap();
        let page = page.json();
        for item in page["items"].as_array().unwrap() {
            let text = |name: &str| item[name].as_str().unwrap().to_owned();
            found.push((text("customer_reference"), text("number")));
        }
        let Some(next) = page["next_cursor"].as_str() else { return found };
        cursor = format!("&cursor={next}");
    }
}

/// Holds the record against the file, with the content of every quote whose key begins so.
fn check(address: &str, record: &Record, read: &str) {
    let listed = listed(address);
    let numbers: BTreeSet<&String> = listed.iter().map(|(_, number)| number).collect();
    assert_eq!(numbers.len(), listed.len(), "a number was used twice");
    let mut by_key: BTreeMap<&String, Vec<&String>> = BTreeMap::new();
    for (key, number) in &listed {
        by_key.entry(key).or_default().push(number);
    }
    for (key, outcome) in record {
        let present = by_key.remove(key).unwrap_or_default();
        match outcome {
            Outcome::Drafted { number, body, is_issued } => {
                assert_eq!(present, [number], "{key}: acknowledged, so present once");
                if key.starts_with(read) {
                    check_unchanged(address, (number, body), *is_issued);
                }
            }
            Outcome::Refused => assert!(present.is_empty(), "{key}: refused, so absent"),
            Outcome::Unknown => {
                assert!(present.len() <= 1, "{key}: unknown, so at most once");
            }
        }
    }
    assert!(by_key.is_empty(), "quotes that nobody asked for: {by_key:?}");
}

/// The quote says what was acknowledged, its state aside.
fn check_unchanged(address: &str, (number, body): (&str, &str), is_issued: bool) {
    let reply = send(address, &format!("GET /v1/quotes/{number}"), &[], "").unwrap();
    assert_eq!(reply.status, 200, "{number}");
    let (mut now, mut then) = (reply.json(), serde_json::from_str::<Value>(body).unwrap());
    let state = now["state"].as_str().unwrap().to_owned();
    assert!(state == "issued" || (state == "draft" && !is_issued), "{number} is {state}");
    for quote in [&mut now, &mut then] {
        let fields = quote.as_object_mut().unwrap();
        fields.remove("state");
        fields.remove("issued_at");
    }
    assert_eq!(now, then, "{number}");
    let lines = then["rooms"]
        .as_array()
        .unwrap()
        .iter()
        .map(|room| room["lines"].as_array().unwrap().len());
    assert_eq!(lines.sum::<usize>(), 6, "{number} has all its lines");
}

/// Asks again what got no answer: each ends up there exactly once, under the number it had if it was there already.
fn retry(address: &str, record: &mut Record) {
    let before: BTreeMap<String, String> = listed(address).into_iter().collect();
    for (key, outcome) in record.iter_mut().filter(|(_, one)| matches!(one, Outcome::Unknown)) {
        let count: u32 = key.rsplit('-').next().unwrap().parse().unwrap();
        let percent = if count % 7 == 3 { "99" } else { "5" };
        let reply = draft(address, key, percent).unwrap();
        if percent == "99" {
            assert_eq!(reply.status, 422);
            *outcome = Outcome::Refused;
            continue;
        }
        assert_eq!(reply.status, 201, "{}", reply.body);
        let number = reply.json()["number"].as_str().unwrap().to_owned();
        assert!(before.get(key).is_none_or(|known| *known == number), "{key} was doubled");
        let again = draft(address, key, percent).unwrap();
        assert_eq!((again.status, &again.body), (201, &reply.body), "{key}");
        *outcome = Outcome::Drafted { number, body: reply.body, is_issued: false };
    }
}

#[expect(
    clippy::disallowed_methods,
    reason = "the number of rounds is a setting of the test run, not of the program"
)]
fn rounds() -> u64 {
    std::env::var(ROUNDS_VARIABLE).map_or(ROUNDS_USUAL, |text| text.parse().unwrap())
}

#[test]
fn nothing_acknowledged_is_lost_doubled_or_changed_by_a_kill() {
    let folder = Folder::new("kills");
    let database = folder.database();
    let mut record = Record::new();
    let (mut acknowledged, mut interrupted) = (0, 0);
    for number in 0..rounds() {
        let mut of_round = round(&database, number);
        acknowledged +=
            of_round.values().filter(|one| matches!(one, Outcome::Drafted { .. })).count();
        interrupted += of_round.values().filter(|one| matches!(one, Outcome::Unknown)).count();
        record.append(&mut of_round);
        let program = Program::start(&database);
        let prefix = format!("r{number}-");
        check(program.address(), &record, &prefix);
        retry(program.address(), &mut record);
        check(program.address(), &record, &prefix);
        program.kill();
    }
    let program = Program::start(&database);
    check(program.address(), &record, "");
    program.kill();
    // The test is worth something only if kills hit requests under way.
    assert!(0 < acknowledged && 0 < interrupted, "{acknowledged} {interrupted}");
}

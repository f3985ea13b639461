//! Quotes in the database: what is saved comes back, what is issued stands, one writer serves many.

use std::sync::Arc;

use jiff::Timestamp;
use jiff::civil::date;
use rungwright::domain::access::Account;
use rungwright::domain::access::Actor;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::TaxCategory;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Users;
use rungwright::domain::pricing::discount::DiscountCeiling;
use rungwright::domain::quote::AskedLine;
use rungwright::domain::quote::AskedRoom;
use rungwright::domain::quote::Composer;
use rungwright::domain::quote::Customer;
use rungwright::domain::quote::KeptNotice;
use rungwright::domain::quote::KeptRequirement;
use rungwright::domain::quote::QuoteContent;
use rungwright::domain::quote::QuoteNumber;
use rungwright::domain::quote::QuoteState;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;
use rungwright::store::Database;
use rungwright::store::StoreErrorKind;
use rungwright::store::quotes::Action;
use rungwright::store::quotes::KeyedRequest;
use rungwright::store::quotes::NewQuote;
use rungwright::store::quotes::Precondition;
use rungwright::store::quotes::QuoteChange;
use rungwright::store::quotes::QuoteWrite;
use rungwright::store::quotes::QuoteWriter;
use rungwright::store::quotes::SavedAnswer;
use rungwright::store::quotes::Written;
use rungwright::store::quotes::load_history;
use rungwright::store::quotes::load_quote;
use rungwright::store::quotes::saved_answer;

use crate::room_sheet::room_sheet;
use crate::scratch::Scratch;
use crate::scratch::cause;
use crate::scratch::number as count;
use crate::scratch::run;
use crate::synthetic::content;
use crate::synthetic::sku;

pub(crate) fn moment() -> Timestamp {
    "2026-06-15T12:00:00Z".parse().unwrap()
}

/// The content of a quote of the made-up edition, with a value in every field.
pub(crate) fn quote_content() -> QuoteContent {
    let edition = Edition::new(7, content()).unwrap();
    let market = edition.market("gb").unwrap();
    let line = |sku: Sku, quantity| AskedLine {
        sku,
        quantity,
        why: "a \"reason\" & <more>".into(),
        included_with: None,
        discount: None,
        place: "/rooms/0/parts/0".into(),
    };
    let first: PartRef = edition.find(&sku('B', 0)).unwrap();
    assert!(edition.card(first).is_some());
    let room = AskedRoom {
        name: "Bad / غرفة".into(),
        size_mm: Some([2_600, 1_900, 2_400]),
        requirement: Some(KeptRequirement {
            required: Deciwatts::new(3_133),
            room: Deciwatts::new(6_266),
            basis: "steady_state".into(),
            quick_rule: Some(Deciwatts::new(4_940)),
        }),
        delivered: Some(Deciwatts::new(3_310)),
        place: Place {
            region: Some("wales".into()),
            wall_width: Some(Millimetres::new(700)),
            zone: Some(Zone::Two),
            ..Place::default()
        },
        users: Users { children: true, ..Users::default() },
        lines: vec![line(sku('A', 0), 12), line(sku('A', 1), 1)],
        checks: Vec::new(),
        notices: vec![KeptNotice { code: "made-up".into(), text: "A notice.".into() }],
        override_reason: Some("wanted so".into()),
        sheet: Some(room_sheet()),
        request: "{}".into(),
        answer: "{}".into(),
    };
    let composer = Composer {
        edition: &edition,
        market,
        list: edition.price_list("gb", date(2026, 6, 15)).unwrap(),
        day: date(2026, 6, 15),
        customer: Customer { reference: Some("R-1".into()), ..Customer::default() },
        category: TaxCategory::Standard,
        ceiling: DiscountCeiling::USUAL,
        discount: None,
        band: Some("mainland".into()),
    };
    composer.compose(vec![room]).unwrap()
}

pub(crate) fn new_quote(key: &str, content: &QuoteContent) -> NewQuote {
    NewQuote {
        request: KeyedRequest {
            scope: "test".into(),
            key: key.into(),
            request_hash: "a".repeat(64).into(),
        },
        content: content.clone(),
        valid_until: date(2026, 7, 15),
        expires_at: "2026-07-15T23:00:00Z".parse().unwrap(),
        year: 2026,
        now: moment(),
        by: Actor::program(),
        predecessor: None,
        render: |quote| quote.number.to_string(),
    }
}

fn house() -> Account {
    Account::house()
}

pub(crate) fn writer(database: &Database) -> QuoteWriter {
    let (writer, work) = QuoteWriter::new(database.clone());
    drop(tokio::spawn(work));
    writer
}

pub(crate) async fn create(writer: &QuoteWriter, new: NewQuote) -> SavedAnswer {
    let written = writer.write(QuoteWrite::Create(Box::new(new))).await.unwrap();
    let Written::Created(answer) = written else { panic!("{written:?}") };
    answer
}

async fn change(writer: &QuoteWriter, number: &QuoteNumber, action: Action) -> Written {
    let number = number.clone();
    let by = Actor::program();
    let precondition = Precondition::Latest;
    let change = QuoteChange { number, precondition, action, now: moment(), by };
    writer.write(QuoteWrite::Change(Box::new(change))).await.unwrap()
}

pub(crate) async fn check_refused(database: &Database, sql: &str, because: &str) {
    let error = run(database, sql).await.err().ok_or(sql).unwrap();
    assert_eq!(error.kind(), StoreErrorKind::Constraint, "{sql}");
    assert!(cause(&error).contains(because), "{sql}: {}", cause(&error));
}

#[tokio::test]
async fn a_quote_comes_back_as_it_was_saved_also_after_a_restart() {
    let scratch = Scratch::new();
    let path = scratch.file("quotes.db");
    let database = Database::open(&path).await.unwrap();
    let writer = writer(&database);
    let content = quote_content();
    assert!(content.lines().next().unwrap().unit_stated.is_none());
    let answer = create(&writer, new_quote("k1", &content)).await;
    let number = QuoteNumber::parse(&answer.body).unwrap();
    drop(writer);
    database.close().await;
    let reopened = Database::open(&path).await.unwrap();
    let quote = load_quote(&reopened, (&house(), &number), None).await.unwrap().unwrap();
    assert_eq!(quote.content, content);
    assert_eq!((quote.state, quote.revision, quote.version), (QuoteState::Draft, 1, 1));
    assert_eq!((quote.created_at, quote.valid_until), (moment(), date(2026, 7, 15)));
    let kept = saved_answer(&reopened, &new_quote("k1", &content).request, moment()).await.unwrap();
    assert_eq!(kept, Some(answer));
    assert_eq!(load_history(&reopened, (&house(), &number)).await.unwrap().len(), 1);
    assert_eq!(load_quote(&reopened, (&house(), &number), Some(2)).await.unwrap(), None);
}

#[tokio::test]
async fn nothing_of_a_quote_is_changed_or_removed() {
    let database = Database::open_in_memory().await.unwrap();
    let writer = writer(&database);
    let answer = create(&writer, new_quote("k1", &quote_content())).await;
    let number = QuoteNumber::parse(&answer.body).unwrap();
    assert!(matches!(change(&writer, &number, Action::Issue).await, Written::Changed(_)));
    for sql in [
        "UPDATE quotes SET content = '{}', state_version = 3, state = 'withdrawn'",
        "UPDATE quotes SET gross_minor = 1",
        "UPDATE quotes SET state = 'draft', state_version = 3",
        "UPDATE quotes SET state = 'issued', state_version = 3",
        "UPDATE quotes SET expires_ms = expires_ms + 1",
        "DELETE FROM quotes",
        "UPDATE quote_lines SET net_minor = 0",
        "DELETE FROM quote_lines",
        "INSERT INTO quote_lines SELECT quote_id, 99, room_position, sku, quantity, unit_net_e4, net_minor FROM quote_lines LIMIT 1",
        "UPDATE quote_rooms SET name = 'x'",
        "DELETE FROM quote_rooms",
        "INSERT INTO quote_rooms SELECT quote_id, 99, name FROM quote_rooms LIMIT 1",
        "UPDATE quote_events SET note = 'x'",
        "DELETE FROM quote_events",
    ] {
        check_refused(&database, sql, "immutable").await;
    }
    check_refused(&database, "UPDATE quote_counters SET last_ordinal = last_ordinal", "given once")
        .await;
    check_refused(&database, "DELETE FROM quote_counters", "given once").await;
    let columns = "number, 9, NULL, 'issued', 1, market_code, NULL, 1, 'x', 'GBP', 1, 1, valid_until, 1, 1, 1, NULL, \
                   NULL, NULL, NULL, changes, content, content_hash, account";
    let sql = format!("INSERT INTO quotes SELECT NULL, {columns} FROM quotes");
    check_refused(&database, &sql, "begins as a draft").await;
}

#[tokio::test]
async fn a_content_that_was_tampered_with_is_not_shown() {
    let database = Database::open_in_memory().await.unwrap();
    let answer = create(&writer(&database), new_quote("k1", &quote_content())).await;
    let number = QuoteNumber::parse(&answer.body).unwrap();
    let sql =
        "DROP TRIGGER quotes_stand; UPDATE quotes SET content = replace(content, 'R-1', 'R-2')";
    run(&database, sql).await.unwrap();
    let error = load_quote(&database, (&house(), &number), None).await.unwrap_err();
    assert_eq!(error.kind(), StoreErrorKind::Content);
    assert!(error.to_string().contains("content"), "{error}");
}

#[tokio::test]
async fn many_writers_share_commits_and_no_number() {
    let scratch = Scratch::new();
    let database = Database::open(&scratch.file("many.db")).await.unwrap();
    let writer = writer(&database);
    let content = Arc::new(quote_content());
    let tasks = (0..64).map(|index| {
        let (writer, content) = (writer.clone(), Arc::clone(&content));
        tokio::spawn(async move {
            create(&writer, new_quote(&format!("k{index}"), &content)).await.body
        })
    });
    let mut numbers = Vec::new();
    for task in tasks.collect::<Vec<_>>() {
        numbers.push(task.await.unwrap());
    }
    numbers.sort();
    numbers.dedup();
    assert_eq!(numbers.len(), 64);
    assert_eq!(numbers[63], "GB-2026-000064".into());
    assert_eq!(count(&database, "SELECT count(*) FROM quote_lines").await, 128);
    assert_eq!(count(&database, "SELECT count(*) FROM idempotency_keys").await, 64);
}

#[tokio::test]
async fn a_write_that_fails_spoils_no_other() {
    let database = Database::open_in_memory().await.unwrap();
    run(
        &database,
        "CREATE TRIGGER stumble BEFORE INSERT ON idempotency_keys WHEN NEW.key = 'bad' \
         BEGIN SELECT RAISE(ABORT, 'stumbled'); END",
    )
    .await
    .unwrap();
    let writer = writer(&database);
    let content = quote_content();
    let write = |key: &str| writer.write(QuoteWrite::Create(Box::new(new_quote(key, &content))));
    let (first, bad, last) = tokio::join!(write("a"), write("bad"), write("b"));
    assert!(matches!(first, Ok(Written::Created(_))), "{first:?}");
    assert!(bad.is_err());
    assert!(matches!(last, Ok(Written::Created(_))), "{last:?}");
    assert_eq!(count(&database, "SELECT count(*) FROM quotes").await, 2);
    assert_eq!(count(&database, "SELECT count(DISTINCT quote_id) FROM quote_lines").await, 2);
}

#[tokio::test]
async fn keys_are_kept_for_a_month_and_then_forgotten() {
    let database = Database::open_in_memory().await.unwrap();
    let writer = writer(&database);
    let content = quote_content();
    create(&writer, new_quote("old", &content)).await;
    let later = |key: &str, moment: &str| NewQuote {
        now: moment.parse().unwrap(),
        ..new_quote(key, &content)
    };
    create(&writer, later("young", "2026-07-15T12:00:00Z")).await;
    assert_eq!(
        count(&database, "SELECT count(*) FROM idempotency_keys WHERE key = 'old'").await,
        1
    );
    create(&writer, later("new", "2026-07-16T12:00:01Z")).await;
    assert_eq!(
        count(&database, "SELECT count(*) FROM idempotency_keys WHERE key = 'old'").await,
        0
    );
    assert_eq!(count(&database, "SELECT count(*) FROM quotes").await, 3);
}

#[tokio::test]
async fn a_quote_in_a_list_with_tax_shows_the_cent_that_moved() {
    let edition = Edition::new(7, content()).unwrap();
    let list = &edition.content().price_lists.iter().find(|list| &*list.code == "gb-open").unwrap();
    let part = sku('A', 0);
    let composer = Composer {
        edition: &edition,
        market: edition.market("gb").unwrap(),
        list,
        day: date(2026, 6, 15),
        customer: Customer::default(),
        category: TaxCategory::Standard,
        ceiling: DiscountCeiling::USUAL,
        discount: None,
        band: None,
    };
    let line = AskedLine {
        sku: part.clone(),
        quantity: 3,
        why: "asked".into(),
        included_with: None,
        discount: None,
        place: "".into(),
    };
    let room = AskedRoom {
        name: "R".into(),
        size_mm: None,
        requirement: None,
        delivered: None,
        place: Place::default(),
        users: Users::default(),
        lines: vec![line],
        checks: Vec::new(),
        notices: Vec::new(),
        sheet: None,
        override_reason: None,
        request: "".into(),
        answer: "".into(),
    };
    let quote = composer.compose(vec![room]).unwrap();
    let shown = &quote.rooms[0].lines[0];
    assert_eq!(shown.unit_stated, list.prices.get(&part).copied());
    let stated = shown.unit_stated.unwrap().times(3, list.currency).unwrap();
    let rate = composer.market.tax_rate;
    let gross = shown.net.plus(shown.net.tax(rate).unwrap()).unwrap();
    assert_eq!(quote.moved, gross.minus(stated).unwrap());
    let told = quote.notices.iter().any(|notice| &*notice.code == "gross-moved");
    assert_eq!(told, quote.moved.value() != 0);
}

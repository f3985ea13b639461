//! A file of an earlier program that holds quotes, opened with this one: nothing of them is lost, and each has its papers.

use std::fs;
use std::path::Path;

use rungwright::documents::paper::html_of;
use rungwright::documents::paper::pdf_of;
use rungwright::documents::paper::stored::care_sheets;
use rungwright::documents::paper::stored::installation_sheets;
use rungwright::documents::paper::stored::quote_paper;
use rungwright::documents::ubl::quotation;
use rungwright::domain::access::Account;
use rungwright::domain::quote::EventKind;
use rungwright::domain::quote::Quote;
use rungwright::domain::quote::QuoteContent;
use rungwright::domain::quote::QuoteNumber;
use rungwright::domain::quote::QuoteState;
use rungwright::store::Database;
use rungwright::store::quotes::KeyedRequest;
use rungwright::store::quotes::load_history;
use rungwright::store::quotes::load_quote;
use rungwright::store::quotes::saved_answer;
use serde_json::Value;
use sqlx::Connection;
use sqlx::SqliteConnection;
use sqlx::migrate::Migrator;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::sqlite::SqliteJournalMode;

use crate::quotes::check_refused;
use crate::quotes::create;
use crate::quotes::moment;
use crate::quotes::new_quote;
use crate::quotes::quote_content;
use crate::quotes::writer;
use crate::scratch::Scratch;
use crate::scratch::number as count;
use crate::scratch::texts;

/// The last migration of the program that wrote the file.
const LAST: u32 = 5;

/// What that program kept of a quote: all but the fields that came later.
fn kept_then() -> QuoteContent {
    let mut content = quote_content();
    content.seller.words = None;
    content.customer.address = None;
    for room in &mut content.rooms {
        room.sheet = None;
    }
    content
}

/// Its text, as that program wrote it: the later fields are not there at all.
async fn text_then() -> String {
    let database = Database::open_in_memory().await.unwrap();
    create(&writer(&database), new_quote("k", &kept_then())).await;
    let today = texts(&database, "SELECT content FROM quotes").await.remove(0);
    let mut value: Value = serde_json::from_str(&today).unwrap();
    let gone = [
        value["seller"].as_object_mut().unwrap().shift_remove("words"),
        value["customer"].as_object_mut().unwrap().shift_remove("address"),
        value["rooms"][0].as_object_mut().unwrap().shift_remove("sheet"),
    ];
    assert!(gone.iter().all(Option::is_some), "{gone:?}");
    value.to_string()
}

/// A file with the schema of that program.
async fn file_of_then(scratch: &Scratch) -> (String, SqliteConnection) {
    let folder = scratch.file("migrations");
    fs::create_dir_all(&folder).unwrap();
    let all = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/migrations")).unwrap();
    for entry in all {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let (number, _words) = name.split_once('_').unwrap();
        if number.parse::<u32>().unwrap() <= LAST {
            let from = format!("{}/migrations/{name}", env!("CARGO_MANIFEST_DIR"));
            fs::copy(from, format!("{folder}/{name}")).unwrap();
        }
    }
    let path = scratch.file("older.db");
    let options = SqliteConnectOptions::new()
        .filename(&path)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .foreign_keys(true);
    let mut connection = SqliteConnection::connect_with(&options).await.unwrap();
    let migrator = Migrator::new(Path::new(&folder)).await.unwrap();
    migrator.run_direct(None, &mut connection, false).await.unwrap();
    (path, connection)
}

/// One revision of that program: its row, its room and its lines.
async fn draft(connection: &mut SqliteConnection, (id, number, revision): Row, content: &str) {
    sqlx::query(
        "INSERT INTO quotes (id, number, revision, predecessor, state, state_version, market_code, \
         customer_reference, edition_number, price_list_code, currency, gross_minor, line_count, valid_until, \
         created_ms, expires_ms, changes, content, content_hash) VALUES (?1, ?2, ?3, nullif(?3 - 1, 0), 'draft', 1, \
         'gb', 'R-1', 7, 'gb-2026', 'GBP', ?4, 2, '2026-07-15', ?5, ?5 + 2631600000, '[]', ?6, ?7)",
    )
    .bind(id)
    .bind(number)
    .bind(revision)
    .bind(quote_content().totals.gross.value())
    .bind(moment().as_millisecond())
    .bind(content)
    .bind(blake3::hash(content.as_bytes()).to_hex().to_string())
    .execute(&mut *connection)
    .await
    .unwrap();
    let room = "INSERT INTO quote_rooms (quote_id, position, name) VALUES (?, 0, 'Bad / غرفة')";
    sqlx::query(room).bind(id).execute(&mut *connection).await.unwrap();
    for (position, line) in quote_content().lines().enumerate() {
        sqlx::query("INSERT INTO quote_lines VALUES (?, ?, 0, ?, ?, ?, ?)")
            .bind(id)
            .bind(i64::try_from(position).unwrap())
            .bind(line.sku.to_string())
            .bind(line.quantity)
            .bind(line.unit_net.value())
            .bind(line.net.value())
            .execute(&mut *connection)
            .await
            .unwrap();
    }
}

/// Id, number and revision.
type Row = (i64, &'static str, i64);

/// The statements by which that program drafted, issued and revised, for two numbers.
async fn fill(connection: &mut SqliteConnection, content: &str) {
    draft(connection, (1, "GB-2026-000001", 1), content).await;
    draft(connection, (2, "GB-2026-000002", 1), content).await;
    for sql in [
        "INSERT INTO quote_events SELECT number, 1, 1, 'drafted', ?1, '' FROM quotes",
        "UPDATE quotes SET state = 'issued', state_version = 2, issued_ms = ?1",
        "INSERT INTO quote_events SELECT number, 2, 1, 'issued', ?1, '' FROM quotes",
    ] {
        let now = moment().as_millisecond();
        sqlx::query(sql).bind(now).execute(&mut *connection).await.unwrap();
    }
    draft(connection, (3, "GB-2026-000002", 2), content).await;
    for sql in [
        "INSERT INTO quote_events VALUES ('GB-2026-000002', 3, 2, 'drafted', ?1, 'after revision 1')",
        "INSERT INTO quote_counters SELECT 'gb', 2026, 2 WHERE 0 < ?1",
        "INSERT INTO idempotency_keys VALUES ('POST /v1/quotes', 'k1', replace(hex(zeroblob(32)), '0', 'a'), \
         '/v1/quotes/GB-2026-000001', '\"tag\"', 'the answer', ?1, ?1 + 2592000000)",
    ] {
        let now = moment().as_millisecond();
        sqlx::query(sql).bind(now).execute(&mut *connection).await.unwrap();
    }
}

/// Every paper of a quote: rendered, true to its total, and plain about what nobody kept.
fn check_papers(quote: &Quote) {
    let gross = quote.content.currency.format(quote.content.totals.gross);
    let paper = [quote_paper(quote)];
    let page = html_of(&paper).unwrap();
    assert!(page.contains(&gross) && page.contains("The seller, "), "{page}");
    assert!(pdf_of(&paper).unwrap().unwrap().starts_with(b"%PDF-"));
    assert!(quotation(quote).contains(&gross));
    // Hooks alone: this made-up quote has nothing that hangs and is connected, so there is no sheet to give out.
    assert!(installation_sheets(quote, None).is_empty() && care_sheets(quote, None).is_empty());
}

#[tokio::test]
async fn quotes_of_an_earlier_schema_are_all_there_after_opening() {
    let scratch = Scratch::new();
    let (path, mut connection) = file_of_then(&scratch).await;
    let content = text_then().await;
    fill(&mut connection, &content).await;
    connection.close().await.unwrap();

    let database = Database::open(&path).await.unwrap();
    let house = Account::house();
    let [first, second] =
        ["GB-2026-000001", "GB-2026-000002"].map(|number| QuoteNumber::parse(number).unwrap());
    for (number, revision, state, version) in [
        (&first, 1, QuoteState::Issued, 2),
        (&second, 1, QuoteState::Issued, 2),
        (&second, 2, QuoteState::Draft, 1),
    ] {
        let quote = load_quote(&database, (&house, number), Some(revision)).await.unwrap().unwrap();
        assert_eq!((quote.state, quote.version), (state, version), "{number} {revision}");
        assert_eq!(quote.content, kept_then(), "{number} {revision}");
        assert_eq!(quote.predecessor, (revision == 2).then_some(1));
        check_papers(&quote);
    }
    let told = load_history(&database, (&house, &second)).await.unwrap();
    let kinds: Vec<EventKind> = told.iter().map(|event| event.kind).collect();
    assert_eq!(kinds, [EventKind::Drafted, EventKind::Issued, EventKind::Drafted]);
    // Since then keys belong to accounts; those of before to the seller's own.
    let request = KeyedRequest {
        scope: "house POST /v1/quotes".into(),
        key: "k1".into(),
        request_hash: "a".repeat(64).into(),
    };
    let answer = saved_answer(&database, &request, moment()).await.unwrap().unwrap();
    assert_eq!((&*answer.body, &*answer.entity_tag), ("the answer", "\"tag\""));
    for (table, wanted) in
        [("quotes", 3), ("quote_rooms", 3), ("quote_lines", 6), ("quote_events", 5)]
    {
        assert_eq!(count(&database, &format!("SELECT count(*) FROM {table}")).await, wanted);
    }
    assert_eq!(texts(&database, "SELECT content FROM quotes").await, vec![content; 3]);
    assert_eq!(count(&database, "SELECT count(*) FROM pragma_foreign_key_check").await, 0);
}

#[tokio::test]
async fn quotes_of_an_earlier_schema_stand_and_numbers_go_on() {
    let scratch = Scratch::new();
    let (path, mut connection) = file_of_then(&scratch).await;
    fill(&mut connection, &text_then().await).await;
    connection.close().await.unwrap();

    let database = Database::open(&path).await.unwrap();
    for sql in [
        "UPDATE quotes SET gross_minor = 1",
        "DELETE FROM quotes",
        "DELETE FROM quote_lines",
        "UPDATE quote_rooms SET name = 'x'",
        "DELETE FROM quote_events",
    ] {
        check_refused(&database, sql, "immutable").await;
    }
    // One of each number stands: the indices came along.
    let twice = "UPDATE quotes SET state = 'issued', state_version = 2, issued_ms = 1 WHERE id = 3";
    check_refused(&database, twice, "UNIQUE").await;
    let answer = create(&writer(&database), new_quote("k2", &quote_content())).await;
    assert_eq!(&*answer.body, "GB-2026-000003");
    assert_eq!(count(&database, "SELECT max(id) FROM quotes").await, 4);
    drop(database);
    // Opened again, there is nothing left to do.
    let again = Database::open(&path).await.unwrap();
    assert_eq!(count(&again, "SELECT count(*) FROM quotes").await, 4);
}

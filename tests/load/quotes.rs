//! How many durable quotes a second, as a ratio to what the same disk does in the same run.
//!
//! Absolute figures say more about the machine than about the program, so each is set against (a) one row per
//! transaction into a plain table of the same kind of database and (b) appending a block to a file and syncing it.
//! The quotes go through the whole service in process: JSON in, parts checked, priced, written, committed, JSON out.
#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use std::fs::File;
use std::future::Future;
use std::io::Write;
use std::path::Path;
use std::sync::OnceLock;
use std::time::Duration;
use std::time::Instant;

use axum::Router;
use axum::body::Body;
use axum::body::to_bytes;
use axum::http::Request;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeySecret;
use rungwright::operations::access::Token;
use rungwright::operations::desk::Desk;
use rungwright::operations::start;
use rungwright::store::Database;
use tower::ServiceExt;

/// How long each measurement lasts.
const LASTING: Duration = Duration::from_secs(3);
/// Callers at once.
const CALLERS: [u32; 3] = [1, 8, 64];
/// What is appended before a sync: one page of the database.
const BLOCK: [u8; 4096] = [0; 4096];

/// A quote of one body with its element.
const WISH: &str = r#"{"market":"gb","rooms":[{"name":"Room","parts":[
    {"sku":"SRW-B-SCORI-400.700-WH"},{"sku":"SRW-E-SMOOR-300-WH"}]}]}"#;

/// Runs of some work in the time of a measurement, a second.
async fn rate<W, F>(callers: u32, work: W) -> f64
where
    W: Fn(u32, u32) -> F + Clone + Send + 'static,
    F: Future<Output = ()> + Send,
{
    let started = Instant::now();
    let caller = |caller| {
        let work = work.clone();
        tokio::spawn(async move {
            let mut count = 0_u32;
            while started.elapsed() < LASTING {
                work(caller, count).await;
                count = count.saturating_add(1);
            }
            count
        })
    };
    let tasks: Vec<_> = (0..callers).map(caller).collect();
    let mut total = 0_u32;
    for task in tasks {
        total = total.saturating_add(task.await.unwrap());
    }
    f64::from(total) / started.elapsed().as_secs_f64()
}

fn key() -> &'static Token {
    static KEY: OnceLock<Token> = OnceLock::new();
    KEY.get_or_init(|| Token::passing().unwrap())
}

async fn draft(router: Router, key: String) {
    let request = Request::post("/v1/quotes")
        .header("authorization", bearer())
        .header("content-type", "application/json")
        .header("idempotency-key", key)
        .body(Body::from(WISH))
        .unwrap();
    let response = router.oneshot(request).await.unwrap();
    assert_eq!(response.status(), 201);
    to_bytes(response.into_body(), usize::MAX).await.unwrap();
}

fn bearer() -> String {
    format!("Bearer {}", key().reveal())
}

async fn insert(database: Database) {
    let mut transaction = database.begin_write().await.unwrap();
    sqlx::query("INSERT INTO plain (text) VALUES ('one row a transaction')")
        .execute(&mut *transaction)
        .await
        .unwrap();
    transaction.commit().await.unwrap();
}

fn sync_rate(folder: &Path) -> f64 {
    let mut file = File::create(folder.join("plain.bin")).unwrap();
    let started = Instant::now();
    let mut count = 0_u32;
    while started.elapsed() < LASTING {
        file.write_all(&BLOCK).unwrap();
        file.sync_data().unwrap();
        count = count.saturating_add(1);
    }
    f64::from(count) / started.elapsed().as_secs_f64()
}

async fn quote_router(folder: &Path, callers: u32) -> Router {
    let path = folder.join(format!("quotes-{callers}.sqlite"));
    let database = Database::open(path.to_str().unwrap()).await.unwrap();
    let app = App::default();
    app.hold(start::demo().unwrap());
    app.open_desk(Desk::open(database));
    let access = Access::closed(KeySecret::random().unwrap());
    access.lend(key(), start::demo_grant());
    app.open_access(access);
    app.advance(Readiness::Ready);
    routes::router(app)
}

async fn plain_database(folder: &Path) -> Database {
    let path = folder.join("plain.sqlite");
    let database = Database::open(path.to_str().unwrap()).await.unwrap();
    let mut transaction = database.begin_write().await.unwrap();
    sqlx::query("CREATE TABLE plain (id INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT")
        .execute(&mut *transaction)
        .await
        .unwrap();
    transaction.commit().await.unwrap();
    database
}

#[tokio::main]
async fn main() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("load-quotes");
    drop(std::fs::remove_dir_all(&folder));
    std::fs::create_dir_all(&folder).unwrap();
    let syncs = sync_rate(&folder);
    let plain = plain_database(&folder).await;
    let rows = rate(1, move |_, _| insert(plain.clone())).await;
    let mut output = std::io::stdout();
    writeln!(output, "appended and synced blocks   {syncs:9.0} a second").unwrap();
    writeln!(output, "one row a transaction        {rows:9.0} a second").unwrap();
    for callers in CALLERS {
        let router = quote_router(&folder, callers).await;
        let work = move |caller, count| draft(router.clone(), format!("{caller}-{count}"));
        let quotes = rate(callers, work).await;
        writeln!(
            output,
            "quotes, {callers:2} callers           {quotes:9.0} a second, {:.2} of rows, {:.2} of syncs",
            quotes / rows,
            quotes / syncs
        )
        .unwrap();
    }
    drop(std::fs::remove_dir_all(&folder));
}

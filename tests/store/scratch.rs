//! Folders that vanish after a test, and plain SQL for what the store itself would never do.

use std::path::Path;
use std::path::PathBuf;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;

use rungwright::store::Database;
use rungwright::store::StoreError;
use sqlx::AssertSqlSafe;

static COUNT: AtomicU32 = AtomicU32::new(0);

/// A folder of one test.
#[derive(Debug)]
pub(crate) struct Scratch(PathBuf);

impl Scratch {
    pub(crate) fn new() -> Self {
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("store-{}-{number}", std::process::id());
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// Path of a file in the folder.
    pub(crate) fn file(&self, name: &str) -> String {
        self.0.join(name).to_str().unwrap().to_owned()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        drop(std::fs::remove_dir_all(&self.0));
    }
}

/// Runs statements in one transaction and keeps what they did.
pub(crate) async fn run(database: &Database, sql: &str) -> Result<(), StoreError> {
    let mut transaction = database.begin_write().await?;
    sqlx::raw_sql(AssertSqlSafe(sql.to_owned()))
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    transaction.commit().await.map_err(StoreError::Write)
}

/// The whole number that a query gives.
pub(crate) async fn number(database: &Database, sql: &str) -> i64 {
    let mut transaction = database.begin_read().await.unwrap();
    sqlx::query_scalar(AssertSqlSafe(sql.to_owned())).fetch_one(&mut *transaction).await.unwrap()
}

/// The texts that a query gives.
pub(crate) async fn texts(database: &Database, sql: &str) -> Vec<String> {
    let mut transaction = database.begin_read().await.unwrap();
    sqlx::query_scalar(AssertSqlSafe(sql.to_owned())).fetch_all(&mut *transaction).await.unwrap()
}

/// Every table whose rows belong to an edition.
pub(crate) async fn edition_tables(database: &Database) -> Vec<String> {
    let sql = "SELECT m.name FROM sqlite_schema m JOIN pragma_table_info(m.name) c \
               WHERE m.type = 'table' AND c.name = 'edition' ORDER BY m.name";
    texts(database, sql).await
}

/// The cause below an error's sentence.
pub(crate) fn cause(error: &StoreError) -> String {
    std::error::Error::source(error).map(ToString::to_string).unwrap_or_default()
}

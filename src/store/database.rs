//! Opening the database: one writer, a pool of readers, a write-ahead log that is synced at every commit.
//!
//! Owns the settings, the checks at the start and the migrations. Absent here: the rows.

use std::str::FromStr;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

use sqlx::Sqlite;
use sqlx::SqliteConnection;
use sqlx::SqlitePool;
use sqlx::Transaction;
use sqlx::migrate::MigrateError;
use sqlx::migrate::Migrator;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::sqlite::SqliteJournalMode;
use sqlx::sqlite::SqlitePoolOptions;
use sqlx::sqlite::SqliteSynchronous;

use super::error::StoreError;
use super::error::StoreErrorKind;

/// Readers at one moment. Reads of the catalogue are answered from memory, so few are needed.
pub const READERS_MAX: u32 = 4;
/// How long a statement waits for another process or connection to let go of the file.
pub const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// How long a write waits for the one writer connection: two writers that each wait out [`BUSY_TIMEOUT`].
pub const WRITER_WAIT_MAX: Duration = Duration::from_secs(10);
/// Oldest `SQLite` that is safe with a write-ahead log: before it, two connections that write and check-point at one
/// moment could damage the file (sqlite.org/wal.html, read).
pub const SQLITE_OLDEST: [u32; 3] = [3, 51, 3];

/// Pause before a file is tried again that another process is just turning to a write-ahead log: `SQLite` answers at once
/// that it is busy when waiting could end in a deadlock.
const OPEN_PAUSE: Duration = Duration::from_millis(20);

static MIGRATIONS: Migrator = sqlx::migrate!("./migrations");
static MEMORY_COUNT: AtomicU64 = AtomicU64::new(0);

/// An open database: one connection that writes, a few that read.
#[derive(Debug, Clone)]
pub struct Database {
    writer: SqlitePool,
    readers: SqlitePool,
    file: Option<Arc<str>>,
}

impl Database {
    /// Opens a file, creating it when there is none, checks it and brings its schema up to date.
    ///
    /// The address is a path, `sqlite:PATH`, or `:memory:` for a database that ends with the process. A database
    /// of another kind is refused, and so is a file whose schema is newer than this program.
    pub async fn open(address: &str) -> Result<Self, StoreError> {
        let named =
            address.strip_prefix("sqlite:").map(|rest| rest.strip_prefix("//").unwrap_or(rest));
        let path = named.unwrap_or(address);
        if path == ":memory:" {
            return Self::open_in_memory().await;
        }
        if path.is_empty() || (named.is_none() && path.contains("://")) {
            return Err(StoreError::Address(address.into()));
        }
        let file = match named {
            Some(_) => SqliteConnectOptions::from_str(address)
                .map_err(|source| StoreError::Open { place: path.into(), source })?,
            None => SqliteConnectOptions::new().filename(path),
        };
        let writer = file.clone().create_if_missing(true).journal_mode(SqliteJournalMode::Wal);
        let writer = writer_pool(writer, path).await?;
        Self::start(writer, file, path).await
    }

    /// A database in memory: empty, private to this value and its clones, gone with the last of them.
    pub async fn open_in_memory() -> Result<Self, StoreError> {
        let number = MEMORY_COUNT.fetch_add(1, Ordering::Relaxed);
        // The leading slash makes SQLite's memory file system share the content between connections.
        let options = SqliteConnectOptions::new()
            .filename(format!("/rungwright-{number}"))
            .vfs("memdb")
            .create_if_missing(true);
        let writer = writer_pool(options.clone(), ":memory:").await?;
        Self::start(writer, options, ":memory:").await
    }

    /// Begins a transaction that holds the write lock from the start, so that it cannot fail half way for want of it.
    /// Dropped without a commit, it leaves nothing behind.
    pub async fn begin_write(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        self.writer.begin_with("BEGIN IMMEDIATE").await.map_err(StoreError::Write)
    }

    /// Begins a transaction that reads: everything in it comes from one state of the database.
    pub async fn begin_read(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        self.readers.begin().await.map_err(StoreError::Read)
    }

    /// Path of its file; nothing for a database in memory.
    pub fn file(&self) -> Option<&str> {
        self.file.as_deref()
    }

    /// Waits for running transactions, writes the log back into the file, and lets go of it.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }

    async fn start(
        writer: SqlitePool,
        readers: SqliteConnectOptions,
        place: &str,
    ) -> Result<Self, StoreError> {
        let mut connection = writer.acquire().await.map_err(StoreError::Read)?;
        let version: String = sqlx::query_scalar("SELECT sqlite_version()")
            .fetch_one(&mut *connection)
            .await
            .map_err(StoreError::Read)?;
        check_sqlite_version(&version)?;
        check_pages(&mut connection, place).await?;
        check_journal(&mut connection, place).await?;
        migrate(&mut connection).await?;
        drop(connection);
        let readers = lasting_pool(READERS_MAX)
            .acquire_timeout(BUSY_TIMEOUT)
            .connect_lazy_with(settings(readers).pragma("query_only", "ON"));
        Ok(Self { writer, readers, file: file_of(place).map(Into::into) })
    }
}

/// The path of the file in a database's address; nothing for a database in memory.
pub(super) fn file_of(address: &str) -> Option<&str> {
    let path = address.strip_prefix("sqlite:").unwrap_or(address);
    let path = path.strip_prefix("//").unwrap_or(path);
    let path = path.split_once('?').map_or(path, |(file, _settings)| file);
    (path != ":memory:" && !path.is_empty()).then_some(path)
}

/// Whether this version of `SQLite` is safe with a write-ahead log.
///
/// ```
/// use rungwright::store::check_sqlite_version;
/// assert!(check_sqlite_version("3.51.3").is_ok());
/// // Compared as numbers: as texts, 3.6 would come after 3.51.
/// assert!(check_sqlite_version("3.6.23").is_err());
/// ```
pub fn check_sqlite_version(version: &str) -> Result<(), StoreError> {
    let numbers: Result<Vec<u32>, _> = version.split('.').map(str::parse).collect();
    if numbers.is_ok_and(|numbers| SQLITE_OLDEST.as_slice() <= numbers.as_slice()) {
        return Ok(());
    }
    let oldest = SQLITE_OLDEST.map(|number| number.to_string()).join(".").into();
    Err(StoreError::SqliteTooOld { found: version.into(), oldest })
}

fn settings(options: SqliteConnectOptions) -> SqliteConnectOptions {
    options
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(BUSY_TIMEOUT)
        // A row that REPLACE pushes out counts as deleted, so that immutability cannot be got round.
        .pragma("recursive_triggers", "ON")
}

fn lasting_pool(connections_max: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new().max_connections(connections_max).idle_timeout(None).max_lifetime(None)
}

async fn writer_pool(options: SqliteConnectOptions, place: &str) -> Result<SqlitePool, StoreError> {
    let options = settings(options);
    let started = Instant::now();
    loop {
        let pool = lasting_pool(1).min_connections(1).acquire_timeout(WRITER_WAIT_MAX);
        let connected = pool.connect_with(options.clone()).await;
        let error = match connected {
            Ok(opened) => return Ok(opened),
            Err(source) => StoreError::Open { place: place.into(), source },
        };
        if error.kind() != StoreErrorKind::Busy || BUSY_TIMEOUT <= started.elapsed() {
            return Err(error);
        }
        tokio::time::sleep(OPEN_PAUSE).await;
    }
}

/// A damaged page is invisible until it is touched, so all are touched before the first answer.
async fn check_pages(connection: &mut SqliteConnection, place: &str) -> Result<(), StoreError> {
    let finding: String = sqlx::query_scalar("PRAGMA quick_check(1)")
        .fetch_one(connection)
        .await
        .map_err(|source| StoreError::Open { place: place.into(), source })?;
    if finding == "ok" {
        return Ok(());
    }
    Err(StoreError::Damaged { place: place.into(), finding: finding.into() })
}

async fn check_journal(connection: &mut SqliteConnection, place: &str) -> Result<(), StoreError> {
    let mode: String = sqlx::query_scalar("PRAGMA journal_mode")
        .fetch_one(connection)
        .await
        .map_err(StoreError::Read)?;
    let wanted = if place == ":memory:" { "memory" } else { "wal" };
    if mode == wanted { Ok(()) } else { Err(StoreError::JournalMode(mode.into())) }
}

/// All migrations in one transaction under the write lock: two processes that start at once do not trip each other.
async fn migrate(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let lock = |source| StoreError::Migrate(MigrateError::Execute(source));
    let mut transaction =
        sqlx::Connection::begin_with(connection, "BEGIN IMMEDIATE").await.map_err(lock)?;
    match MIGRATIONS.run_direct(None, &mut *transaction, false).await {
        Ok(()) => transaction.commit().await.map_err(lock),
        Err(MigrateError::VersionMissing(version)) => Err(StoreError::NewerSchema(version)),
        Err(other) => Err(StoreError::Migrate(other)),
    }
}

//! Editions that are not whole: written a piece at a time, so that others write in between, and seen by nobody until all
//! of it is there; taken away a piece at a time in the same way.
//!
//! Whatever ends the writing, its rows go: at once when it fails, at the next start when the process died. A lock on a
//! file beside the database tells what the dead left from what the living still write. Absent here: the rows, and what
//! makes an edition seen (`drafts`).

use std::fs::File;
use std::fs::TryLockError;
use std::time::Duration;

use jiff::Timestamp;
use sqlx::SqliteConnection;

use super::catalogue::EditionTables;
use super::catalogue::Reached;
use super::database::Database;
use super::error::StoreError;

/// Rows that are taken away in one transaction.
const ROWS_PER_PIECE: u32 = 2_000;

/// Between two pieces, so that a writer of another process finds the database free: it only looks now and then.
const PAUSE: Duration = Duration::from_millis(10);

/// What an edition is known by before it is whole.
#[derive(Debug, Clone, Copy)]
pub(super) struct Origin<'a> {
    /// When it was loaded.
    pub at: Timestamp,
    /// Who loaded it.
    pub by: &'a str,
    /// The edition that changes made it from.
    pub base: Option<u32>,
}

/// An edition all of whose rows are written, and that nobody sees yet.
#[derive(Debug)]
pub(super) struct Unseen {
    number: u32,
    /// Held until it is seen or gone.
    _mark: Mark,
}

impl Unseen {
    /// Its number.
    pub(super) const fn number(&self) -> u32 {
        self.number
    }
}

/// Writes an edition that nobody sees. When that fails, nothing is left of it.
pub(super) async fn write(
    database: &Database,
    tables: &EditionTables,
    origin: Origin<'_>,
) -> Result<Unseen, StoreError> {
    let mark = Mark::shared(database)?;
    let number = begin(database, tables, origin).await?;
    match fill(database, tables, number).await {
        Ok(()) => Ok(Unseen { number, _mark: mark }),
        Err(error) => {
            // Where even this fails the rows stay unseen, and the next start takes them away.
            drop(take_away(database, number).await);
            Err(error)
        }
    }
}

async fn begin(
    database: &Database,
    tables: &EditionTables,
    Origin { at, by, base }: Origin<'_>,
) -> Result<u32, StoreError> {
    let mut transaction = database.begin_write().await?;
    let sql = "INSERT INTO editions (state, content_hash, created_at, created_by, base_edition, is_whole) \
               VALUES ('draft', ?, ?, ?, ?, 0) RETURNING number";
    let number: u32 = sqlx::query_scalar(sql)
        .bind(tables.hash())
        .bind(whole_seconds(at))
        .bind(by)
        .bind(base)
        .fetch_one(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(number)
}

/// RFC 3339, UTC, whole seconds, as `created_at` has it.
pub(super) fn whole_seconds(time: Timestamp) -> String {
    Timestamp::from_second(time.as_second()).unwrap_or(time).to_string()
}

async fn fill(database: &Database, tables: &EditionTables, number: u32) -> Result<(), StoreError> {
    let mut next = Some(Reached::default());
    while let Some(from) = next {
        let mut transaction = database.begin_write().await?;
        next = tables.insert_piece(&mut transaction, (number, from)).await?;
        transaction.commit().await.map_err(StoreError::Write)?;
        tokio::time::sleep(PAUSE).await;
    }
    Ok(())
}

/// Lets everybody see an edition, in the transaction that tells of it.
pub(super) async fn show(
    connection: &mut SqliteConnection,
    unseen: &Unseen,
) -> Result<(), StoreError> {
    set_whole(connection, unseen.number, true).await
}

/// Hides an edition that is not sold from, in the transaction that tells of it; [`take_away`] is to follow.
pub(super) async fn hide(connection: &mut SqliteConnection, number: u32) -> Result<(), StoreError> {
    set_whole(connection, number, false).await
}

async fn set_whole(
    connection: &mut SqliteConnection,
    number: u32,
    is_whole: bool,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE editions SET state = 'draft', is_whole = ? WHERE number = ?")
        .bind(is_whole)
        .bind(number)
        .execute(connection)
        .await
        .map_err(StoreError::Write)?;
    Ok(())
}

macro_rules! piece {
    ($table:literal, $key:literal) => {
        concat!(
            "DELETE FROM ",
            $table,
            " WHERE edition = ?1 AND (",
            $key,
            ") IN (SELECT ",
            $key,
            " FROM ",
            $table,
            " WHERE edition = ?1 LIMIT ?2)"
        )
    };
}

/// The tables that may be long, those first whose rows point to rows of the others: taken away the other way round,
/// each row would be searched for among all that might point to it.
const LONG_TABLES: [&str; 9] = [
    piece!("quantity_breaks", "price_list_code, sku, quantity_min"),
    piece!("prices", "price_list_code, sku"),
    piece!("included", "body_sku, position"),
    piece!("part_attributes", "sku, name"),
    piece!("accessories", "sku"),
    piece!("controls", "sku"),
    piece!("elements", "sku"),
    piece!("bodies", "sku"),
    piece!("parts", "sku"),
];

/// Takes the rows of an edition away that nobody sees, and then the edition.
pub(super) async fn take_away(database: &Database, number: u32) -> Result<(), StoreError> {
    for delete in LONG_TABLES {
        loop {
            let mut transaction = database.begin_write().await?;
            let piece = sqlx::query(delete).bind(number).bind(ROWS_PER_PIECE);
            let gone = piece.execute(&mut *transaction).await.map_err(StoreError::Write)?;
            transaction.commit().await.map_err(StoreError::Write)?;
            if gone.rows_affected() < u64::from(ROWS_PER_PIECE) {
                break;
            }
            tokio::time::sleep(PAUSE).await;
        }
    }
    let mut transaction = database.begin_write().await?;
    sqlx::query("DELETE FROM editions WHERE number = ? AND is_whole = 0")
        .bind(number)
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    transaction.commit().await.map_err(StoreError::Write)
}

/// Takes away what processes left that died while they wrote an edition. While another process writes one, nothing.
pub async fn sweep(database: &Database) -> Result<(), StoreError> {
    if left(database).await?.is_empty() {
        return Ok(());
    }
    let Some(mark) = Mark::alone(database)? else { return Ok(()) };
    // Asked again: what was still being written a moment ago is whole now.
    for number in left(database).await? {
        take_away(database, number).await?;
    }
    drop(mark);
    Ok(())
}

async fn left(database: &Database) -> Result<Vec<u32>, StoreError> {
    let mut transaction = database.begin_read().await?;
    sqlx::query_scalar("SELECT number FROM editions WHERE is_whole = 0 ORDER BY number")
        .fetch_all(&mut *transaction)
        .await
        .map_err(StoreError::Read)
}

/// The mark of a process that writes editions; of a database in memory there is none, for it ends with its process.
#[derive(Debug)]
struct Mark {
    _file: Option<File>,
}

impl Mark {
    /// One of those that write.
    fn shared(database: &Database) -> Result<Self, StoreError> {
        let Some((file, place)) = opened(database)? else { return Ok(Self { _file: None }) };
        // Held alone only for as long as somebody sweeps.
        let locked = file.lock_shared();
        locked.map_err(|source| StoreError::WriterMark { place: place.into(), source })?;
        Ok(Self { _file: Some(file) })
    }

    /// The only one; nothing while others write.
    fn alone(database: &Database) -> Result<Option<Self>, StoreError> {
        let Some((file, place)) = opened(database)? else { return Ok(Some(Self { _file: None })) };
        match file.try_lock() {
            Ok(()) => Ok(Some(Self { _file: Some(file) })),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(source)) => {
                Err(StoreError::WriterMark { place: place.into(), source })
            }
        }
    }
}

/// A file and its path.
type Opened = (File, String);

fn opened(database: &Database) -> Result<Option<Opened>, StoreError> {
    let Some(path) = database.file() else { return Ok(None) };
    let place = format!("{path}.loading");
    match File::options().create(true).truncate(false).write(true).open(&place) {
        Ok(file) => Ok(Some((file, place))),
        Err(source) => Err(StoreError::WriterMark { place: place.into(), source }),
    }
}

//! A revision as a row of `quotes` and back, and the history.

use jiff::Timestamp;
use sqlx::Row;
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::access::Account;
use crate::domain::quote::Acceptance;
use crate::domain::quote::Event;
use crate::domain::quote::EventKind;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::domain::quote::Withdrawal;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::form::changes_back;
use super::form::content_back;

/// A revision of an account's quote, the latest when none is named.
pub async fn load_quote(
    database: &Database,
    owned: (&Account, &QuoteNumber),
    revision: Option<u32>,
) -> Result<Option<Quote>, StoreError> {
    let mut transaction = database.begin_read().await?;
    match revision {
        Some(revision) => find(&mut transaction, owned, revision).await,
        None => latest(&mut transaction, owned).await,
    }
}

/// Everything that happened to an account's quote, oldest first; empty when the account has no such quote.
pub async fn load_history(
    database: &Database,
    (account, number): (&Account, &QuoteNumber),
) -> Result<Vec<Event>, StoreError> {
    let mut transaction = database.begin_read().await?;
    let sql = "SELECT e.* FROM quote_events e JOIN quotes q USING (number, revision) \
               WHERE e.number = ? AND q.account = ? ORDER BY e.sequence";
    let rows = sqlx::query(sql)
        .bind(number.to_string())
        .bind(account.name())
        .fetch_all(&mut *transaction)
        .await
        .map_err(StoreError::Read)?;
    let event = |row: &SqliteRow| {
        Ok(Event {
            revision: get(row, number, "revision")?,
            kind: word(row, number, ("kind", EventKind::parse))?,
            at: instant(row, number, "at_ms")?
                .ok_or_else(|| wrong(number, "at_ms", "no instant"))?,
            note: get::<String>(row, number, "note")?.into(),
        })
    };
    rows.iter().map(event).collect()
}

/// The latest revision.
pub(super) async fn latest(
    connection: &mut SqliteConnection,
    (account, number): (&Account, &QuoteNumber),
) -> Result<Option<Quote>, StoreError> {
    let sql =
        "SELECT * FROM quotes WHERE number = ? AND account = ? ORDER BY revision DESC LIMIT 1";
    let query = sqlx::query(sql).bind(number.to_string()).bind(account.name());
    let row = query.fetch_optional(connection).await;
    row.map_err(StoreError::Read)?.map(|row| read(number, &row)).transpose()
}

/// One revision.
pub(super) async fn find(
    connection: &mut SqliteConnection,
    (account, number): (&Account, &QuoteNumber),
    revision: u32,
) -> Result<Option<Quote>, StoreError> {
    let sql = "SELECT * FROM quotes WHERE number = ? AND revision = ? AND account = ?";
    let query = sqlx::query(sql).bind(number.to_string()).bind(revision).bind(account.name());
    let row = query.fetch_optional(connection);
    row.await.map_err(StoreError::Read)?.map(|row| read(number, &row)).transpose()
}

fn read(number: &QuoteNumber, row: &SqliteRow) -> Result<Quote, StoreError> {
    let content: String = get(row, number, "content")?;
    let hash: String = get(row, number, "content_hash")?;
    if hash_of(&content) != hash {
        return Err(wrong(number, "content", "the content is not the one that was saved"));
    }
    let needed =
        |column| instant(row, number, column)?.ok_or_else(|| wrong(number, column, "no instant"));
    let changes: String = get(row, number, "changes")?;
    Ok(Quote {
        number: number.clone(),
        revision: get(row, number, "revision")?,
        predecessor: get(row, number, "predecessor")?,
        state: word(row, number, ("state", QuoteState::parse))?,
        version: get(row, number, "state_version")?,
        created_at: needed("created_ms")?,
        valid_until: word(row, number, ("valid_until", |text| text.parse().ok()))?,
        expires_at: needed("expires_ms")?,
        issued_at: instant(row, number, "issued_ms")?,
        acceptance: acceptance(row, number)?,
        withdrawal: withdrawal(row, number)?,
        changes: changes_back(&changes).map_err(|error| wrong(number, "changes", error))?,
        content: content_back(&content).map_err(|error| wrong(number, "content", error))?,
    })
}

fn acceptance(row: &SqliteRow, number: &QuoteNumber) -> Result<Option<Acceptance>, StoreError> {
    let by: Option<String> = get(row, number, "accepted_by")?;
    let at = instant(row, number, "accepted_ms")?;
    Ok(by.zip(at).map(|(by, at)| Acceptance { by: by.into(), at }))
}

fn withdrawal(row: &SqliteRow, number: &QuoteNumber) -> Result<Option<Withdrawal>, StoreError> {
    let reason: Option<String> = get(row, number, "withdrawn_because")?;
    let at = instant(row, number, "withdrawn_ms")?;
    Ok(reason.zip(at).map(|(reason, at)| Withdrawal { reason: reason.into(), at }))
}

/// BLAKE3 of a content in hexadecimal.
pub(super) fn hash_of(content: &str) -> String {
    blake3::hash(content.as_bytes()).to_hex().to_string()
}

pub(super) fn get<'r, T>(
    row: &'r SqliteRow,
    number: &QuoteNumber,
    column: &'static str,
) -> Result<T, StoreError>
where
    T: sqlx::Decode<'r, sqlx::Sqlite> + sqlx::Type<sqlx::Sqlite>,
{
    row.try_get(column).map_err(|error| wrong(number, column, error))
}

pub(super) fn word<T, P: FnOnce(&str) -> Option<T>>(
    row: &SqliteRow,
    number: &QuoteNumber,
    (column, parse): (&'static str, P),
) -> Result<T, StoreError> {
    let text: String = get(row, number, column)?;
    parse(&text).ok_or_else(|| wrong(number, column, "the value is none of those allowed"))
}

pub(super) fn instant(
    row: &SqliteRow,
    number: &QuoteNumber,
    column: &'static str,
) -> Result<Option<Timestamp>, StoreError> {
    let millisecond: Option<i64> = get(row, number, column)?;
    let instant = millisecond.map(Timestamp::from_millisecond).transpose();
    instant.map_err(|error| wrong(number, column, error))
}

fn wrong<E: Into<Box<dyn std::error::Error + Send + Sync>>>(
    number: &QuoteNumber,
    column: &'static str,
    source: E,
) -> StoreError {
    let key = number.to_string().into();
    StoreError::Row { table: "quotes", key, column, source: source.into() }
}

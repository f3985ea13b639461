//! Rows of new quotes: quotes, rooms, lines, history and kept answers, one statement a table for all of a batch.

use jiff::Timestamp;
use jiff::ToSpan;
use sqlx::QueryBuilder;
use sqlx::Sqlite;
use sqlx::SqliteConnection;

use crate::domain::quote::Change;
use crate::domain::quote::EventKind;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::domain::quote::tag_of;
use crate::store::error::StoreError;

use super::answer::KeyedRequest;
use super::answer::SavedAnswer;
use super::change::add_event;
use super::change::seal_event;
use super::form::keep_changes;
use super::new_quote::KEY_KEPT_DAYS;
use super::new_quote::Prepared;

/// Most outdated keys that one new quote clears away.
const KEYS_CLEARED_MAX: i64 = 20;
/// Most rows of one statement: `SQLite` takes 32,766 values, and no row here has more than seven beside those of quotes,
/// of which there are few.
const ROWS_MAX: usize = 1_000;

/// A new quote with its number and answer.
pub(super) struct NewRow<'p> {
    /// What it was made from.
    pub prepared: &'p Prepared,
    /// Number.
    pub number: QuoteNumber,
    /// Revision.
    pub revision: u32,
    /// The revision before.
    pub predecessor: Option<u32>,
    /// What differs from it.
    pub changes: Vec<Change>,
    /// The answer.
    pub answer: SavedAnswer,
}

impl<'p> NewRow<'p> {
    /// A first draft, or the beginnings of a revision.
    pub(super) fn new(
        prepared: &'p Prepared,
        (number, revision): (QuoteNumber, u32),
        body: String,
    ) -> Self {
        let location = match &prepared.new.predecessor {
            None => format!("/v1/quotes/{number}"),
            Some(_) => format!("/v1/quotes/{number}/revisions/{revision}"),
        };
        let tag = tag_of((&number, revision), (1, QuoteState::Draft));
        let answer = SavedAnswer {
            request_hash: prepared.new.request.request_hash.clone(),
            location: location.into(),
            entity_tag: tag.into(),
            body: body.into(),
        };
        Self { prepared, number, revision, predecessor: None, changes: Vec::new(), answer }
    }
}

fn index(position: usize) -> i64 {
    i64::try_from(position).unwrap_or(i64::MAX)
}

/// Saves new quotes.
pub(super) async fn save(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
) -> Result<(), StoreError> {
    if rows.is_empty() {
        return Ok(());
    }
    let ids = ids(connection, rows.len()).await?;
    save_quotes(connection, rows, &ids).await?;
    save_rooms(connection, rows, &ids).await?;
    save_lines(connection, rows, &ids).await?;
    save_events(connection, rows).await?;
    clear_keys(connection, rows).await?;
    keep_answers(connection, rows).await
}

/// The next ids, which are given once even after a row is gone.
async fn ids(connection: &mut SqliteConnection, count: usize) -> Result<Vec<i64>, StoreError> {
    let last: Option<i64> =
        sqlx::query_scalar("SELECT seq FROM sqlite_sequence WHERE name = 'quotes'")
            .fetch_optional(connection)
            .await
            .map_err(StoreError::Read)?;
    let last = last.unwrap_or_default();
    Ok((1..).take(count).map(|step: i64| last.saturating_add(step)).collect())
}

async fn save_quotes(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
    ids: &[i64],
) -> Result<(), StoreError> {
    let mut statement = QueryBuilder::<Sqlite>::new(
        "INSERT INTO quotes (id, number, revision, predecessor, state, state_version, market_code, \
         customer_reference, edition_number, price_list_code, currency, gross_minor, line_count, valid_until, \
         created_ms, expires_ms, changes, content, content_hash, account) ",
    );
    statement.push_values(rows.iter().zip(ids), |mut values, (row, id)| {
        let new = &row.prepared.new;
        let content = &new.content;
        values.push_bind(*id).push_bind(row.number.to_string()).push_bind(row.revision);
        values.push_bind(row.predecessor).push("'draft'").push("1");
        values.push_bind(content.market.to_string());
        values.push_bind(content.customer.reference.as_deref().map(ToOwned::to_owned));
        values.push_bind(content.edition).push_bind(content.price_list.to_string());
        values.push_bind(content.currency.code()).push_bind(content.totals.gross.value());
        values.push_bind(index(content.lines().count())).push_bind(new.valid_until.to_string());
        values.push_bind(new.now.as_millisecond()).push_bind(new.expires_at.as_millisecond());
        values.push_bind(keep_changes(&row.changes)).push_bind(row.prepared.content.clone());
        values.push_bind(row.prepared.hash.clone()).push_bind(new.by.account.name().to_owned());
    });
    statement.build().execute(connection).await.map_err(StoreError::Write)?;
    Ok(())
}

async fn save_rooms(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
    ids: &[i64],
) -> Result<(), StoreError> {
    let rooms = rows.iter().zip(ids).flat_map(|(row, id)| {
        let rooms = row.prepared.new.content.rooms.iter().enumerate();
        rooms.map(move |(position, room)| (*id, position, &*room.name))
    });
    let rooms: Vec<_> = rooms.collect();
    for some in rooms.chunks(ROWS_MAX) {
        let mut statement =
            QueryBuilder::<Sqlite>::new("INSERT INTO quote_rooms (quote_id, position, name) ");
        statement.push_values(some, |mut values, (id, position, name)| {
            values.push_bind(*id).push_bind(index(*position)).push_bind((*name).to_owned());
        });
        statement.build().execute(&mut *connection).await.map_err(StoreError::Write)?;
    }
    Ok(())
}

async fn save_lines(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
    ids: &[i64],
) -> Result<(), StoreError> {
    let lines = rows.iter().zip(ids).flat_map(|(row, id)| {
        let rooms = row.prepared.new.content.rooms.iter().enumerate();
        let lines = rooms.flat_map(|(room, of)| of.lines.iter().map(move |line| (room, line)));
        lines.enumerate().map(move |(position, (room, line))| (*id, position, room, line))
    });
    let lines: Vec<_> = lines.collect();
    for some in lines.chunks(ROWS_MAX) {
        let mut statement = QueryBuilder::<Sqlite>::new(
            "INSERT INTO quote_lines \
             (quote_id, position, room_position, sku, quantity, unit_net_e4, net_minor) ",
        );
        statement.push_values(some, |mut values, (id, position, room, line)| {
            values.push_bind(*id).push_bind(index(*position)).push_bind(index(*room));
            values.push_bind(line.sku.to_string()).push_bind(line.quantity);
            values.push_bind(line.unit_net.value()).push_bind(line.net.value());
        });
        statement.build().execute(&mut *connection).await.map_err(StoreError::Write)?;
    }
    Ok(())
}

/// The first entry in the history of first drafts; a revision's entry goes on its quote's history.
async fn save_events(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
) -> Result<(), StoreError> {
    let firsts: Vec<_> = rows.iter().filter(|row| row.predecessor.is_none()).collect();
    if !firsts.is_empty() {
        let drafted = firsts.iter();
        let mut statement = QueryBuilder::<Sqlite>::new(
            "INSERT INTO quote_events (number, sequence, revision, kind, at_ms, note) ",
        );
        statement.push_values(drafted, |mut values, row| {
            values.push_bind(row.number.to_string()).push("1").push("1");
            values.push_bind(EventKind::Drafted.word());
            values.push_bind(row.prepared.new.now.as_millisecond()).push("''");
        });
        statement.build().execute(&mut *connection).await.map_err(StoreError::Write)?;
    }
    for row in firsts {
        let new = &row.prepared.new;
        let drafted = (EventKind::Drafted, new.now, &*row.prepared.hash);
        seal_event(connection, (&row.number, row.revision), drafted, &new.by).await?;
    }
    for row in rows {
        let Some(predecessor) = row.predecessor else { continue };
        let note = format!("after revision {predecessor}");
        let event = (EventKind::Drafted, row.prepared.new.now, note.as_str());
        add_event(connection, (&row.number, row.revision), event, &row.prepared.new.by).await?;
    }
    Ok(())
}

async fn clear_keys(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
) -> Result<(), StoreError> {
    let now = rows.iter().map(|row| row.prepared.new.now).min().unwrap_or(Timestamp::MIN);
    clear_outdated(connection, now, rows.len()).await
}

/// Clears away some keys past their days, more for more new ones.
async fn clear_outdated(
    connection: &mut SqliteConnection,
    now: Timestamp,
    count: usize,
) -> Result<(), StoreError> {
    sqlx::query(
        "DELETE FROM idempotency_keys WHERE (scope, key) IN (SELECT scope, key FROM idempotency_keys \
         WHERE kept_until_ms < ? ORDER BY kept_until_ms LIMIT ?)",
    )
    .bind(now.as_millisecond())
    .bind(KEYS_CLEARED_MAX.saturating_mul(index(count)))
    .execute(connection)
    .await
    .map_err(StoreError::Write)?;
    Ok(())
}

/// A request, its answer, and when it was given.
type Kept<'a> = (&'a KeyedRequest, &'a SavedAnswer, Timestamp);

/// Keeps an answer under the key of its request, and clears some outdated ones away.
pub(in crate::store) async fn keep(
    connection: &mut SqliteConnection,
    request: &KeyedRequest,
    (answer, now): (&SavedAnswer, Timestamp),
) -> Result<(), StoreError> {
    clear_outdated(connection, now, 1).await?;
    keep_all(connection, [(request, answer, now)].into_iter()).await
}

async fn keep_answers(
    connection: &mut SqliteConnection,
    rows: &[NewRow<'_>],
) -> Result<(), StoreError> {
    let answers = rows.iter().map(|NewRow { prepared, answer, .. }| {
        let new = &prepared.new;
        (&new.request, answer, new.now)
    });
    keep_all(connection, answers).await
}

async fn keep_all<'a, K: Iterator<Item = Kept<'a>>>(
    connection: &mut SqliteConnection,
    answers: K,
) -> Result<(), StoreError> {
    // A key past its days that was not cleared away yet makes room for its next use.
    let mut statement = QueryBuilder::<Sqlite>::new(
        "INSERT OR REPLACE INTO idempotency_keys \
         (scope, key, request_hash, location, entity_tag, body, created_ms, kept_until_ms) ",
    );
    statement.push_values(answers, |mut values, (request, answer, now)| {
        let until = now.checked_add((KEY_KEPT_DAYS.saturating_mul(24)).hours());
        let until = until.unwrap_or(Timestamp::MAX).as_millisecond();
        values.push_bind(request.scope.to_string()).push_bind(request.key.to_string());
        values.push_bind(answer.request_hash.to_string()).push_bind(answer.location.to_string());
        values.push_bind(answer.entity_tag.to_string()).push_bind(answer.body.to_string());
        values.push_bind(now.as_millisecond()).push_bind(until);
    });
    statement.build().execute(connection).await.map_err(StoreError::Write)?;
    Ok(())
}

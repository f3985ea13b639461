//! Creating a draft or a revision: number, quote, rooms, lines, history and the kept answer, in one transaction.

use jiff::Timestamp;
use jiff::ToSpan;
use jiff::civil::Date;
use sqlx::QueryBuilder;
use sqlx::Row;
use sqlx::Sqlite;
use sqlx::SqliteConnection;

use crate::domain::quote::EventKind;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::domain::quote::Refusal;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::answer::KeyedRequest;
use super::answer::SavedAnswer;
use super::answer::Written;
use super::change::Precondition;
use super::change::add_event;
use super::change::check;
use super::change::save_state;
use super::form::keep_changes;
use super::form::keep_content;
use super::rows::hash_of;

/// Days for which the answer of an idempotency key is kept.
pub const KEY_KEPT_DAYS: i64 = 31;
/// Most outdated keys that one creation clears away.
const KEYS_CLEARED_MAX: i64 = 20;

/// Makes the body of the answer that is kept for a quote.
pub type Render = fn(&Quote) -> String;

/// The revision that a new one follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Predecessor {
    /// Its number.
    pub number: QuoteNumber,
    /// Which revision, in which state.
    pub precondition: Precondition,
}

/// A draft about to be saved.
#[derive(Debug, Clone)]
pub struct NewQuote {
    /// The request.
    pub request: KeyedRequest,
    /// What is on offer.
    pub content: QuoteContent,
    /// Last day.
    pub valid_until: Date,
    /// End of that day.
    pub expires_at: Timestamp,
    /// Year of the number, in the seller's time zone.
    pub year: i16,
    /// The time.
    pub now: Timestamp,
    /// The revision that it follows, if any.
    pub predecessor: Option<Predecessor>,
    /// Makes the answer.
    pub render: Render,
}

/// The answer kept for a key, if there is one.
pub async fn saved_answer(
    database: &Database,
    request: &KeyedRequest,
) -> Result<Option<SavedAnswer>, StoreError> {
    let mut transaction = database.begin_read().await?;
    answer_of(&mut transaction, request).await
}

/// The answer kept for a key, inside a transaction.
pub(in crate::store) async fn answer_of(
    connection: &mut SqliteConnection,
    request: &KeyedRequest,
) -> Result<Option<SavedAnswer>, StoreError> {
    let sql = "SELECT request_hash, location, entity_tag, body FROM idempotency_keys \
               WHERE scope = ? AND key = ?";
    let row = sqlx::query(sql).bind(&*request.scope).bind(&*request.key);
    let row = row.fetch_optional(connection).await.map_err(StoreError::Read)?;
    let Some(row) = row else { return Ok(None) };
    let text = |column| row.try_get::<String, _>(column).map(Into::into).map_err(StoreError::Read);
    Ok(Some(SavedAnswer {
        request_hash: text("request_hash")?,
        location: text("location")?,
        entity_tag: text("entity_tag")?,
        body: text("body")?,
    }))
}

/// Creates inside a transaction that the caller commits. Refusals are found before anything is written.
pub(super) async fn create(
    connection: &mut SqliteConnection,
    new: &NewQuote,
) -> Result<Written, StoreError> {
    if let Some(answer) = answer_of(connection, &new.request).await? {
        let is_same = answer.request_hash == new.request.request_hash;
        return Ok(if is_same { Written::Replayed(answer) } else { Written::KeyReused });
    }
    let quote = match &new.predecessor {
        None => first(connection, new).await?,
        Some(predecessor) => match following(connection, new, predecessor).await? {
            Ok(quote) => quote,
            Err(refused) => return Ok(refused),
        },
    };
    save(connection, &quote).await?;
    keep_answer(connection, new, &quote).await.map(Written::Created)
}

fn draft(new: &NewQuote, number: QuoteNumber) -> Quote {
    Quote {
        number,
        revision: 1,
        predecessor: None,
        state: QuoteState::Draft,
        version: 1,
        created_at: new.now,
        valid_until: new.valid_until,
        expires_at: new.expires_at,
        issued_at: None,
        acceptance: None,
        withdrawal: None,
        changes: Vec::new(),
        content: new.content.clone(),
    }
}

async fn first(connection: &mut SqliteConnection, new: &NewQuote) -> Result<Quote, StoreError> {
    let market = &new.content.market;
    let ordinal: u32 = sqlx::query_scalar(
        "INSERT INTO quote_counters (market_code, year, last_ordinal) VALUES (?, ?, 1) \
         ON CONFLICT (market_code, year) DO UPDATE SET last_ordinal = last_ordinal + 1 \
         RETURNING last_ordinal",
    )
    .bind(&**market)
    .bind(new.year)
    .fetch_one(connection)
    .await
    .map_err(StoreError::Write)?;
    Ok(draft(new, QuoteNumber::new(market, new.year, ordinal)))
}

async fn following(
    connection: &mut SqliteConnection,
    new: &NewQuote,
    Predecessor { number, precondition }: &Predecessor,
) -> Result<Result<Quote, Written>, StoreError> {
    let found = match check(connection, number, (precondition, new.now)).await? {
        Ok(found) => found,
        Err(refused) => return Ok(Err(refused)),
    };
    let open: Option<u32> =
        sqlx::query_scalar("SELECT revision FROM quotes WHERE number = ? AND state = 'draft'")
            .bind(number.to_string())
            .fetch_optional(&mut *connection)
            .await
            .map_err(StoreError::Read)?;
    if let Some(revision) = open.filter(|revision| *revision != found.revision) {
        return Ok(Err(Written::Refused(Refusal::OpenDraft(revision))));
    }
    let last: u32 = sqlx::query_scalar("SELECT max(revision) FROM quotes WHERE number = ?")
        .bind(number.to_string())
        .fetch_one(&mut *connection)
        .await
        .map_err(StoreError::Read)?;
    let drafted = draft(new, number.clone()).following(&found, last.saturating_add(1));
    let quote = match drafted {
        Ok(quote) => quote,
        Err(refusal) => return Ok(Err(Written::Refused(refusal))),
    };
    if found.state == QuoteState::Draft
        && let Ok(replaced) = found.supersede()
    {
        save_state(connection, &replaced).await?;
        let note = format!("by revision {}", quote.revision);
        let event = (EventKind::Superseded, new.now, note.as_str());
        add_event(connection, (number, replaced.revision), event).await?;
    }
    Ok(Ok(quote))
}

async fn save(connection: &mut SqliteConnection, quote: &Quote) -> Result<(), StoreError> {
    let content = keep_content(&quote.content);
    let id: i64 = sqlx::query_scalar(
        "INSERT INTO quotes (number, revision, predecessor, state, state_version, market_code, customer_reference, \
         edition_number, price_list_code, currency, gross_minor, line_count, valid_until, created_ms, expires_ms, \
         changes, content, content_hash) \
         VALUES (?, ?, ?, 'draft', 1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
    )
    .bind(quote.number.to_string())
    .bind(quote.revision)
    .bind(quote.predecessor)
    .bind(&*quote.content.market)
    .bind(quote.content.customer.reference.as_deref())
    .bind(quote.content.edition)
    .bind(&*quote.content.price_list)
    .bind(quote.content.currency.code())
    .bind(quote.content.totals.gross.value())
    .bind(i64::try_from(quote.content.lines().count()).unwrap_or(i64::MAX))
    .bind(quote.valid_until.to_string())
    .bind(quote.created_at.as_millisecond())
    .bind(quote.expires_at.as_millisecond())
    .bind(keep_changes(&quote.changes))
    .bind(&content)
    .bind(hash_of(&content))
    .fetch_one(&mut *connection)
    .await
    .map_err(StoreError::Write)?;
    save_lines(connection, id, &quote.content).await?;
    let note =
        quote.predecessor.map_or_else(String::new, |revision| format!("after revision {revision}"));
    let event = (EventKind::Drafted, quote.created_at, note.as_str());
    add_event(connection, (&quote.number, quote.revision), event).await
}

async fn save_lines(
    connection: &mut SqliteConnection,
    id: i64,
    content: &QuoteContent,
) -> Result<(), StoreError> {
    let index = |position: usize| i64::try_from(position).unwrap_or(i64::MAX);
    let mut rooms =
        QueryBuilder::<Sqlite>::new("INSERT INTO quote_rooms (quote_id, position, name) ");
    rooms.push_values(content.rooms.iter().enumerate(), |mut values, (position, room)| {
        values.push_bind(id).push_bind(index(position)).push_bind(room.name.to_string());
    });
    rooms.build().execute(&mut *connection).await.map_err(StoreError::Write)?;
    let numbered = content.rooms.iter().enumerate();
    let lines = numbered.flat_map(|(room, of)| of.lines.iter().map(move |line| (room, line)));
    let mut statement = QueryBuilder::<Sqlite>::new(
        "INSERT INTO quote_lines (quote_id, position, room_position, sku, quantity, unit_net_e4, net_minor) ",
    );
    statement.push_values(lines.enumerate(), |mut values, (position, (room, line))| {
        values.push_bind(id).push_bind(index(position)).push_bind(index(room));
        values.push_bind(line.sku.to_string()).push_bind(line.quantity);
        values.push_bind(line.unit_net.value()).push_bind(line.net.value());
    });
    statement.build().execute(connection).await.map_err(StoreError::Write)?;
    Ok(())
}

/// Address of what was created: the quote, or the revision of one.
fn location(quote: &Quote) -> String {
    let Quote { number, revision, .. } = quote;
    match quote.predecessor {
        None => format!("/v1/quotes/{number}"),
        Some(_) => format!("/v1/quotes/{number}/revisions/{revision}"),
    }
}

async fn keep_answer(
    connection: &mut SqliteConnection,
    new: &NewQuote,
    quote: &Quote,
) -> Result<SavedAnswer, StoreError> {
    let answer = SavedAnswer {
        request_hash: new.request.request_hash.clone(),
        location: location(quote).into(),
        entity_tag: quote.tag(QuoteState::Draft).into(),
        body: (new.render)(quote).into(),
    };
    keep(connection, &new.request, (&answer, new.now)).await?;
    Ok(answer)
}

/// Keeps an answer under the key of its request, and clears some outdated ones away.
pub(in crate::store) async fn keep(
    connection: &mut SqliteConnection,
    request: &KeyedRequest,
    (answer, now): (&SavedAnswer, Timestamp),
) -> Result<(), StoreError> {
    let until = now.checked_add((KEY_KEPT_DAYS.saturating_mul(24)).hours());
    let until = until.unwrap_or(Timestamp::MAX).as_millisecond();
    sqlx::query(
        "DELETE FROM idempotency_keys WHERE (scope, key) IN (SELECT scope, key FROM idempotency_keys \
         WHERE kept_until_ms < ? ORDER BY kept_until_ms LIMIT ?)",
    )
    .bind(now.as_millisecond())
    .bind(KEYS_CLEARED_MAX)
    .execute(&mut *connection)
    .await
    .map_err(StoreError::Write)?;
    sqlx::query(
        "INSERT INTO idempotency_keys (scope, key, request_hash, location, entity_tag, body, created_ms, \
         kept_until_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(&*request.scope)
    .bind(&*request.key)
    .bind(&*answer.request_hash)
    .bind(&*answer.location)
    .bind(&*answer.entity_tag)
    .bind(&*answer.body)
    .bind(now.as_millisecond())
    .bind(until)
    .execute(connection)
    .await
    .map_err(StoreError::Write)?;
    Ok(())
}

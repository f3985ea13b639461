//! Creating drafts and revisions inside the writer's transaction: keys looked up, numbers given, rows saved.
//!
//! What waits together is done together: one look-up of keys and one statement a table for all of it.

use std::collections::BTreeMap;

use jiff::Timestamp;
use sqlx::QueryBuilder;
use sqlx::Row;
use sqlx::Sqlite;
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::quote::EventKind;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::domain::quote::Refusal;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::answer::KeyedRequest;
use super::answer::SavedAnswer;
use super::answer::Written;
use super::change::add_event;
use super::change::check;
use super::change::save_state;
use super::new_quote::Predecessor;
use super::new_quote::Prepared;
use super::new_quote::draft;
use super::save::NewRow;
use super::save::save;

/// The answer kept for a key at an instant, if there is one. One that is past its days counts as gone.
pub async fn saved_answer(
    database: &Database,
    request: &KeyedRequest,
    now: Timestamp,
) -> Result<Option<SavedAnswer>, StoreError> {
    let mut transaction = database.begin_read().await?;
    answer_of(&mut transaction, (request, now)).await
}

/// The same inside a transaction.
pub(in crate::store) async fn answer_of(
    connection: &mut SqliteConnection,
    (request, now): (&KeyedRequest, Timestamp),
) -> Result<Option<SavedAnswer>, StoreError> {
    let mut found = answers_of(connection, [(request, now)].into_iter()).await?;
    Ok(found.remove(&key_of(request)))
}

type Key = (Box<str>, Box<str>);

fn key_of(request: &KeyedRequest) -> Key {
    (request.scope.clone(), request.key.clone())
}

/// The answers kept for some keys.
async fn answers_of<'r, R>(
    connection: &mut SqliteConnection,
    requests: R,
) -> Result<BTreeMap<Key, SavedAnswer>, StoreError>
where
    R: Iterator<Item = (&'r KeyedRequest, Timestamp)>,
{
    let mut query = QueryBuilder::<Sqlite>::new(
        "SELECT scope, key, request_hash, location, entity_tag, body FROM idempotency_keys WHERE ",
    );
    let mut any = query.separated(" OR ");
    for (request, now) in requests {
        any.push("(scope = ").push_bind_unseparated(request.scope.to_string());
        any.push_unseparated(" AND key = ").push_bind_unseparated(request.key.to_string());
        any.push_unseparated(" AND kept_until_ms >= ").push_bind_unseparated(now.as_millisecond());
        any.push_unseparated(")");
    }
    let rows = query.build().fetch_all(connection).await.map_err(StoreError::Read)?;
    rows.iter().map(answer).collect()
}

fn answer(row: &SqliteRow) -> Result<(Key, SavedAnswer), StoreError> {
    let text = |column| row.try_get::<String, _>(column).map(Into::into).map_err(StoreError::Read);
    let answer = SavedAnswer {
        request_hash: text("request_hash")?,
        location: text("location")?,
        entity_tag: text("entity_tag")?,
        body: text("body")?,
    };
    Ok(((text("scope")?, text("key")?), answer))
}

/// Creates inside a transaction that the caller commits, one after the other as far as anybody can see. Refusals are
/// found before anything is written.
pub(super) async fn create(
    connection: &mut SqliteConnection,
    news: &[&Prepared],
) -> Result<Vec<Written>, StoreError> {
    let asked = news.iter().map(|prepared| (&prepared.new.request, prepared.new.now));
    let mut answered = answers_of(connection, asked).await?;
    let mut written = Vec::with_capacity(news.len());
    let mut rows: Vec<NewRow<'_>> = Vec::new();
    let mut ordinals = ordinals(connection, news, &answered).await?;
    for prepared in news {
        let request = &prepared.new.request;
        if let Some(answer) = answered.get(&key_of(request)) {
            let is_same = answer.request_hash == request.request_hash;
            written.push(if is_same {
                Written::Replayed(answer.clone())
            } else {
                Written::KeyReused
            });
            continue;
        }
        let row = match &prepared.new.predecessor {
            None => first(prepared, ordinals.take(prepared)),
            Some(predecessor) => {
                // A revision looks at what is stored, so all before it must be stored.
                save(connection, &std::mem::take(&mut rows)).await?;
                match following(connection, prepared, predecessor).await? {
                    Ok(row) => row,
                    Err(refused) => {
                        written.push(refused);
                        continue;
                    }
                }
            }
        };
        answered.insert(key_of(request), row.answer.clone());
        written.push(Written::Created(row.answer.clone()));
        rows.push(row);
    }
    save(connection, &rows).await?;
    Ok(written)
}

/// A figure for each market and year.
type ByYear = BTreeMap<(Box<str>, i16), u32>;

/// Ordinals set aside for a batch.
struct Ordinals(ByYear);

impl Ordinals {
    fn take(&mut self, Prepared { new, .. }: &Prepared) -> QuoteNumber {
        let next = self.0.entry((new.content.market.clone(), new.year)).or_default();
        let ordinal = *next;
        *next = next.saturating_add(1);
        QuoteNumber::new(&new.content.market, new.year, ordinal)
    }
}

/// Sets aside as many ordinals as the batch has first drafts. A key that stands in it twice leaves a gap, which is
/// allowed.
async fn ordinals(
    connection: &mut SqliteConnection,
    news: &[&Prepared],
    answered: &BTreeMap<Key, SavedAnswer>,
) -> Result<Ordinals, StoreError> {
    let mut counts = ByYear::new();
    for Prepared { new, .. } in news {
        if new.predecessor.is_none() && !answered.contains_key(&key_of(&new.request)) {
            let count = counts.entry((new.content.market.clone(), new.year)).or_default();
            *count = count.saturating_add(1);
        }
    }
    let mut first = BTreeMap::new();
    for ((market, year), count) in counts {
        let last: u32 = sqlx::query_scalar(
            "INSERT INTO quote_counters (market_code, year, last_ordinal) VALUES (?1, ?2, ?3) \
             ON CONFLICT (market_code, year) DO UPDATE SET last_ordinal = last_ordinal + ?3 \
             RETURNING last_ordinal",
        )
        .bind(&*market)
        .bind(year)
        .bind(count)
        .fetch_one(&mut *connection)
        .await
        .map_err(StoreError::Write)?;
        first.insert((market, year), last.saturating_sub(count).saturating_add(1));
    }
    Ok(Ordinals(first))
}

fn first(prepared: &Prepared, number: QuoteNumber) -> NewRow<'_> {
    let body = prepared.answer(&number);
    NewRow::new(prepared, (number, 1), body)
}

async fn following<'p>(
    connection: &mut SqliteConnection,
    prepared: &'p Prepared,
    Predecessor { number, precondition }: &Predecessor,
) -> Result<Result<NewRow<'p>, Written>, StoreError> {
    let new = &prepared.new;
    let owned = (&new.by.account, number);
    let found = match check(connection, owned, (precondition, new.now)).await? {
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
        add_event(connection, (number, replaced.revision), event, &new.by).await?;
    }
    Ok(Ok(revision_row(prepared, quote)))
}

fn revision_row(prepared: &Prepared, quote: Quote) -> NewRow<'_> {
    let body = (prepared.new.render)(&quote);
    let Quote { number, revision, predecessor, changes, .. } = quote;
    NewRow { predecessor, changes, ..NewRow::new(prepared, (number, revision), body) }
}

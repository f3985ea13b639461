//! The life of editions: drafted, checked, published, retired, published again, or deleted while nobody sells from them.
//!
//! Each step is one transaction; what it was based on is looked at inside it, so of two that race one wins. Absent here:
//! the rows of an edition (`catalogue`), how they are written in pieces (`unseen`) and what a check looks at.

use jiff::Timestamp;
use sqlx::Row as _;
use sqlx::SqliteConnection;

use crate::domain::access::Actor;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;

use super::audit;
use super::audit::Deed;
use super::catalogue::EditionRecord;
use super::catalogue::EditionState;
use super::catalogue::EditionTables;
use super::catalogue::record;
use super::catalogue::record_of;
use super::database::Database;
use super::error::StoreError;
use super::quotes::KeyedRequest;
use super::quotes::SavedAnswer;
use super::quotes::answer_of;
use super::quotes::keep;
use super::unseen;
use super::unseen::Origin;
use super::unseen::Unseen;
use super::unseen::whole_seconds;

/// A draft about to be saved.
#[derive(Debug, Clone)]
pub struct NewDraft {
    /// The request, where it may be repeated.
    pub request: Option<KeyedRequest>,
    /// The edition that changes made it from.
    pub base: Option<u32>,
    /// The time.
    pub now: Timestamp,
    /// Who loads it.
    pub actor: Actor,
    /// Makes the answer that is kept for the request.
    pub render: fn(&EditionRecord, &EditionCounts) -> String,
}

/// What saving a draft came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Drafted {
    /// Saved under a number, with this answer.
    Created(u32, SavedAnswer),
    /// Saved before; the answer of then.
    Replayed(SavedAnswer),
    /// The key was used for another body.
    KeyReused,
}

/// How much an edition holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct EditionCounts {
    /// Bodies.
    pub bodies: u64,
    /// Elements.
    pub elements: u64,
    /// Controls.
    pub controls: u64,
    /// Accessories.
    pub accessories: u64,
    /// Rules.
    pub rules: u64,
    /// Prices of all lists.
    pub prices: u64,
    /// Sample requests.
    pub sample_requests: u64,
}

/// Why an edition is not published, or not deleted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindrance {
    /// There is no such edition.
    Unknown,
    /// It is published already, or another one stands where it should be a draft.
    State(EditionState),
    /// Nobody checked it, or the check found errors.
    Unchecked,
    /// It was checked when another edition was published: 0 stands for none.
    CheckedAgainst(u32),
    /// It was made by changes from an edition that is no longer published.
    ChangesFrom(u32),
}

impl EditionCounts {
    /// How much an edition in memory holds.
    pub fn of(edition: &Edition) -> Self {
        let count = |number: usize| u64::try_from(number).unwrap_or(u64::MAX);
        let content = edition.content();
        let prices = content.price_lists.iter().map(|list| list.prices.len()).sum();
        Self {
            bodies: count(edition.count(PartKind::Body)),
            elements: count(edition.count(PartKind::Element)),
            controls: count(edition.count(PartKind::Control)),
            accessories: count(edition.count(PartKind::Accessory)),
            rules: count(content.rules.len()),
            prices: count(prices),
            sample_requests: count(content.samples.len()),
        }
    }
}

/// Saves an edition as a new draft: all of it or nothing. It is written in pieces, so that quotes need not wait for long.
pub async fn save_draft(
    database: &Database,
    edition: &Edition,
    new: &NewDraft,
) -> Result<Drafted, StoreError> {
    let tables = EditionTables::of(edition)?;
    if let Some(before) = answered(&mut *database.begin_read().await?, new).await? {
        return Ok(before);
    }
    let origin = Origin { at: new.now, by: &new.actor.name, base: new.base };
    let unseen = unseen::write(database, &tables, origin).await?;
    let shown = show(database, &unseen, (edition, new)).await;
    match &shown {
        Ok(Drafted::Created(..)) => {}
        // Where even this fails the rows stay unseen, and the next start takes them away.
        Ok(Drafted::Replayed(_) | Drafted::KeyReused) | Err(_) => {
            drop(unseen::take_away(database, unseen.number()).await);
        }
    }
    shown
}

/// What the same request came to before.
async fn answered(
    connection: &mut SqliteConnection,
    new: &NewDraft,
) -> Result<Option<Drafted>, StoreError> {
    let Some(request) = &new.request else { return Ok(None) };
    let Some(answer) = answer_of(connection, (request, new.now)).await? else { return Ok(None) };
    let is_same = answer.request_hash == request.request_hash;
    Ok(Some(if is_same { Drafted::Replayed(answer) } else { Drafted::KeyReused }))
}

/// Lets everybody see an edition that is written, tells of it and keeps the answer.
async fn show(
    database: &Database,
    unseen: &Unseen,
    (edition, new): (&Edition, &NewDraft),
) -> Result<Drafted, StoreError> {
    let number = unseen.number();
    let mut transaction = database.begin_write().await?;
    if let Some(before) = answered(&mut transaction, new).await? {
        return Ok(before);
    }
    unseen::show(&mut transaction, unseen).await?;
    let saved = record_of(&mut transaction, number).await?;
    let saved = saved.ok_or(StoreError::UnknownEdition(number))?;
    tell(&mut transaction, ("edition-drafted", &saved), (new.now, &new.actor)).await?;
    let answer = SavedAnswer {
        request_hash: new
            .request
            .as_ref()
            .map(|known| known.request_hash.clone())
            .unwrap_or_default(),
        location: format!("/v1/editions/{number}").into(),
        entity_tag: saved.content_hash.clone(),
        body: (new.render)(&saved, &EditionCounts::of(edition)).into(),
    };
    if let Some(request) = &new.request {
        keep(&mut transaction, request, (&answer, new.now)).await?;
    }
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(Drafted::Created(number, answer))
}

/// Editions, the newest first, below a number where one is given.
pub async fn list_editions(
    database: &Database,
    below: Option<u32>,
    count_max: u32,
) -> Result<Vec<EditionRecord>, StoreError> {
    let mut transaction = database.begin_read().await?;
    let sql =
        "SELECT * FROM editions WHERE number < ? AND is_whole = 1 ORDER BY number DESC LIMIT ?";
    let rows = sqlx::query(sql)
        .bind(below.map_or(i64::MAX, i64::from))
        .bind(count_max)
        .fetch_all(&mut *transaction)
        .await
        .map_err(StoreError::Read)?;
    rows.iter().map(record).collect()
}

/// How much a saved edition holds.
pub async fn count_edition(database: &Database, number: u32) -> Result<EditionCounts, StoreError> {
    let sql = "SELECT (SELECT count(*) FROM bodies WHERE edition = ?1), \
               (SELECT count(*) FROM elements WHERE edition = ?1), \
               (SELECT count(*) FROM controls WHERE edition = ?1), \
               (SELECT count(*) FROM accessories WHERE edition = ?1), \
               (SELECT count(*) FROM rules WHERE edition = ?1), \
               (SELECT count(*) FROM prices WHERE edition = ?1), \
               (SELECT count(*) FROM sample_requests WHERE edition = ?1)";
    let mut transaction = database.begin_read().await?;
    let row = sqlx::query(sql).bind(number).fetch_one(&mut *transaction).await;
    let row = row.map_err(StoreError::Read)?;
    let count = |index: usize| {
        row.try_get::<i64, _>(index).map(i64::unsigned_abs).map_err(StoreError::Read)
    };
    Ok(EditionCounts {
        bodies: count(0)?,
        elements: count(1)?,
        controls: count(2)?,
        accessories: count(3)?,
        rules: count(4)?,
        prices: count(5)?,
        sample_requests: count(6)?,
    })
}

/// Notes what the checks of a draft came to: without errors it is checked, with errors a draft again.
pub async fn note_checks(
    database: &Database,
    number: u32,
    (passed, against): (bool, u32),
    by: (Timestamp, &Actor),
) -> Result<Result<EditionRecord, Hindrance>, StoreError> {
    let mut transaction = database.begin_write().await?;
    let Some(found) = record_of(&mut transaction, number).await? else {
        return Ok(Err(Hindrance::Unknown));
    };
    match found.state {
        EditionState::Draft | EditionState::Checked => {}
        // A published edition may be looked through again; nothing of it changes.
        EditionState::Published | EditionState::Retired => return Ok(Ok(found)),
    }
    let state = if passed { EditionState::Checked } else { EditionState::Draft };
    sqlx::query("UPDATE editions SET state = ?, checked_against = ? WHERE number = ?")
        .bind(state.word())
        .bind(passed.then_some(against))
        .bind(number)
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    let Some(noted) = record_of(&mut transaction, number).await? else {
        return Ok(Err(Hindrance::Unknown));
    };
    let action = if passed { "edition-checked" } else { "edition-faulted" };
    tell(&mut transaction, (action, &noted), by).await?;
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(Ok(noted))
}

/// Publishes a checked draft, or a retired edition to roll back; the edition published until now is retired.
pub async fn publish(
    database: &Database,
    number: u32,
    (now, actor): (Timestamp, &Actor),
) -> Result<Result<EditionRecord, Hindrance>, StoreError> {
    let mut transaction = database.begin_write().await?;
    let found = record_of(&mut transaction, number).await?;
    let current = published(&mut transaction).await?;
    let found = match may_be_published(found, current) {
        Ok(found) => found,
        Err(hindrance) => return Ok(Err(hindrance)),
    };
    sqlx::query("UPDATE editions SET state = 'retired' WHERE state = 'published'")
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    let sql = "UPDATE editions SET state = 'published', published_at = ?, published_by = ? \
               WHERE number = ?";
    sqlx::query(sql)
        .bind(whole_seconds(now))
        .bind(&*actor.name)
        .bind(found.number)
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    let Some(noted) = record_of(&mut transaction, number).await? else {
        return Ok(Err(Hindrance::Unknown));
    };
    tell(&mut transaction, ("edition-published", &noted), (now, actor)).await?;
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(Ok(noted))
}

/// Whether an edition may be published over the one published now, if any.
pub fn may_be_published(
    found: Option<EditionRecord>,
    current: Option<u32>,
) -> Result<EditionRecord, Hindrance> {
    let found = found.ok_or(Hindrance::Unknown)?;
    match found.state {
        EditionState::Published => return Err(Hindrance::State(EditionState::Published)),
        EditionState::Retired => return Ok(found),
        EditionState::Draft => return Err(Hindrance::Unchecked),
        EditionState::Checked => {}
    }
    if let Some(base) = found.base.filter(|base| current != Some(*base)) {
        return Err(Hindrance::ChangesFrom(base));
    }
    match found.checked_against {
        None => Err(Hindrance::Unchecked),
        Some(against) if against != current.unwrap_or(0) => Err(Hindrance::CheckedAgainst(against)),
        Some(_) => Ok(found),
    }
}

/// Deletes an edition that was never published.
pub async fn delete_draft(
    database: &Database,
    number: u32,
    by: (Timestamp, &Actor),
) -> Result<Result<(), Hindrance>, StoreError> {
    let mut transaction = database.begin_write().await?;
    let Some(found) = record_of(&mut transaction, number).await? else {
        return Ok(Err(Hindrance::Unknown));
    };
    match found.state {
        EditionState::Draft | EditionState::Checked => {}
        state @ (EditionState::Published | EditionState::Retired) => {
            return Ok(Err(Hindrance::State(state)));
        }
    }
    tell(&mut transaction, ("edition-deleted", &found), by).await?;
    unseen::hide(&mut transaction, number).await?;
    transaction.commit().await.map_err(StoreError::Write)?;
    unseen::take_away(database, number).await?;
    Ok(Ok(()))
}

/// Writes on the audit trail what became of an edition, in the transaction that does it.
async fn tell(
    connection: &mut SqliteConnection,
    (action, record): (&'static str, &EditionRecord),
    (at, actor): (Timestamp, &Actor),
) -> Result<(), StoreError> {
    let detail = format!("{{\"content_hash\":\"{}\"}}", record.content_hash);
    let subject = &*record.number.to_string();
    audit::append(connection, &Deed { at, actor, action, subject, detail: &detail }).await
}

async fn published(connection: &mut SqliteConnection) -> Result<Option<u32>, StoreError> {
    sqlx::query_scalar("SELECT number FROM editions WHERE state = 'published'")
        .fetch_optional(connection)
        .await
        .map_err(StoreError::Read)
}

//! Changing the state of a revision: looked at and changed in one transaction, with its entry in the history.

use jiff::Timestamp;
use sqlx::Row;
use sqlx::SqliteConnection;

use crate::domain::access::Account;
use crate::domain::access::Actor;
use crate::domain::quote::EventKind;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteNumber;
use crate::domain::quote::QuoteState;
use crate::domain::quote::Refusal;
use crate::store::audit;
use crate::store::audit::Deed;
use crate::store::error::StoreError;

use super::answer::Written;
use super::rows::find;
use super::rows::latest;

/// Which state of which revision a change is based on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Precondition {
    /// The latest revision, whatever its state.
    Latest,
    /// The revision whose state carries one of these tags.
    Tags(Vec<String>),
}

/// What is to happen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// The draft becomes an offer.
    Issue,
    /// Somebody accepts.
    Accept {
        /// Who.
        by: Box<str>,
    },
    /// It is taken back.
    Withdraw {
        /// Why.
        reason: Box<str>,
    },
}

/// A change about to be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteChange {
    /// The quote.
    pub number: QuoteNumber,
    /// Which state of it is meant.
    pub precondition: Precondition,
    /// What is to happen.
    pub action: Action,
    /// The time.
    pub now: Timestamp,
    /// Who does it; a quote of another account is absent for them.
    pub by: Actor,
}

/// Changes inside a transaction that the caller commits. Refusals are found before anything is written.
pub(super) async fn change(
    connection: &mut SqliteConnection,
    change: &QuoteChange,
) -> Result<Written, StoreError> {
    let number = &change.number;
    let owned = (&change.by.account, number);
    let found = match check(connection, owned, (&change.precondition, change.now)).await? {
        Ok(found) => found,
        Err(refused) => return Ok(refused),
    };
    // History never runs backwards, even when the clock was moved back.
    let now = change.now.max(last_event(connection, number).await?.unwrap_or(change.now));
    let (moved, kind, note) = match &change.action {
        Action::Issue => (found.issue(now), EventKind::Issued, ""),
        Action::Accept { by } => (found.accept(by, now), EventKind::Accepted, &**by),
        Action::Withdraw { reason } => {
            (found.withdraw(reason, now), EventKind::Withdrawn, &**reason)
        }
    };
    let quote = match moved {
        Ok(quote) => quote,
        Err(refusal) => return Ok(Written::Refused(refusal)),
    };
    if change.action == Action::Issue
        && let Err(refusal) = replace_offer(connection, &quote, (now, &change.by)).await?
    {
        return Ok(Written::Refused(refusal));
    }
    save_state(connection, &quote).await?;
    add_event(connection, (number, quote.revision), (kind, now, note), &change.by).await?;
    Ok(Written::Changed(Box::new(quote)))
}

/// The offer that a new one replaces is superseded; one that was accepted meanwhile stays, and the new one is refused.
async fn replace_offer(
    connection: &mut SqliteConnection,
    quote: &Quote,
    (now, by): (Timestamp, &Actor),
) -> Result<Result<(), Refusal>, StoreError> {
    let sql = "SELECT revision FROM quotes WHERE number = ? AND state IN ('issued', 'accepted')";
    let standing: Option<u32> = sqlx::query_scalar(sql)
        .bind(quote.number.to_string())
        .fetch_optional(&mut *connection)
        .await
        .map_err(StoreError::Read)?;
    let Some(revision) = standing else { return Ok(Ok(())) };
    let owned = (&by.account, &quote.number);
    let Some(offer) = find(connection, owned, revision).await? else { return Ok(Ok(())) };
    match offer.supersede() {
        Ok(replaced) => {
            save_state(connection, &replaced).await?;
            let note = format!("by revision {}", quote.revision);
            let event = (EventKind::Superseded, now, note.as_str());
            add_event(connection, (&quote.number, revision), event, by).await.map(Ok)
        }
        Err(refusal) => Ok(Err(refusal)),
    }
}

/// The revision that a precondition means, or why there is none.
pub(super) async fn check(
    connection: &mut SqliteConnection,
    owned: (&Account, &QuoteNumber),
    (precondition, now): (&Precondition, Timestamp),
) -> Result<Result<Quote, Written>, StoreError> {
    let Some(last) = latest(connection, owned).await? else { return Ok(Err(Written::Absent)) };
    let tags = match precondition {
        Precondition::Latest => return Ok(Ok(last)),
        Precondition::Tags(tags) => tags,
    };
    let is_meant = |quote: &Quote| {
        // An offer that expired since it was read is still the one that was read; that it expired is said as such.
        tags.iter()
            .any(|tag| *tag == quote.tag(quote.state) || *tag == quote.tag(quote.state_at(now)))
    };
    for revision in (1..=last.revision).rev() {
        let quote = if revision == last.revision {
            Some(last.clone())
        } else {
            find(connection, owned, revision).await?
        };
        if let Some(quote) = quote.filter(is_meant) {
            return Ok(Ok(quote));
        }
    }
    Ok(Err(Written::Stale))
}

/// Writes the state of a revision, not its content.
pub(super) async fn save_state(
    connection: &mut SqliteConnection,
    quote: &Quote,
) -> Result<(), StoreError> {
    let ms = |at: Option<Timestamp>| at.map(Timestamp::as_millisecond);
    let accepted = quote.acceptance.as_ref();
    let withdrawn = quote.withdrawal.as_ref();
    sqlx::query(
        "UPDATE quotes SET state = ?, state_version = ?, issued_ms = ?, accepted_ms = ?, accepted_by = ?, \
         withdrawn_ms = ?, withdrawn_because = ? WHERE number = ? AND revision = ?",
    )
    .bind(quote.state.word())
    .bind(quote.version)
    .bind(ms(quote.issued_at))
    .bind(ms(accepted.map(|acceptance| acceptance.at)))
    .bind(accepted.map(|acceptance| &*acceptance.by))
    .bind(ms(withdrawn.map(|withdrawal| withdrawal.at)))
    .bind(withdrawn.map(|withdrawal| &*withdrawal.reason))
    .bind(quote.number.to_string())
    .bind(quote.revision)
    .execute(connection)
    .await
    .map_err(StoreError::Write)?;
    Ok(())
}

/// Adds an entry to the history, and to the audit trail: there with the hash of the content, so that a revision that is
/// written anew behind the program's back does not agree with it, and without the note, which may name people.
pub(super) async fn add_event(
    connection: &mut SqliteConnection,
    (number, revision): (&QuoteNumber, u32),
    (kind, at, note): (EventKind, Timestamp, &str),
    by: &Actor,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO quote_events (number, sequence, revision, kind, at_ms, note) VALUES (?1, \
         (SELECT coalesce(max(sequence), 0) + 1 FROM quote_events WHERE number = ?1), ?2, ?3, \
         max(?4, (SELECT coalesce(max(at_ms), ?4) FROM quote_events WHERE number = ?1)), ?5)",
    )
    .bind(number.to_string())
    .bind(revision)
    .bind(kind.word())
    .bind(at.as_millisecond())
    .bind(note)
    .execute(&mut *connection)
    .await
    .map_err(StoreError::Write)?;
    let sql = "SELECT content_hash FROM quotes WHERE number = ? AND revision = ?";
    let hash: String = sqlx::query_scalar(sql)
        .bind(number.to_string())
        .bind(revision)
        .fetch_one(&mut *connection)
        .await
        .map_err(StoreError::Read)?;
    seal_event(connection, (number, revision), (kind, at, &hash), by).await
}

/// An event of a revision whose content has this hash, on the audit trail.
pub(super) async fn seal_event(
    connection: &mut SqliteConnection,
    (number, revision): (&QuoteNumber, u32),
    (kind, at, hash): (EventKind, Timestamp, &str),
    by: &Actor,
) -> Result<(), StoreError> {
    let (subject, detail) =
        (format!("{number}/{revision}"), format!("{{\"content_hash\":\"{hash}\"}}"));
    let action = deed_of(kind);
    let deed = Deed { at, actor: by, action, subject: &subject, detail: &detail };
    audit::append(connection, &deed).await
}

const fn deed_of(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Drafted => "quote-drafted",
        EventKind::Issued => "quote-issued",
        EventKind::Accepted => "quote-accepted",
        EventKind::Withdrawn => "quote-withdrawn",
        EventKind::Superseded => "quote-superseded",
    }
}

async fn last_event(
    connection: &mut SqliteConnection,
    number: &QuoteNumber,
) -> Result<Option<Timestamp>, StoreError> {
    let row = sqlx::query("SELECT max(at_ms) AS at_ms FROM quote_events WHERE number = ?")
        .bind(number.to_string())
        .fetch_one(connection)
        .await
        .map_err(StoreError::Read)?;
    let at: Option<i64> = row.try_get("at_ms").map_err(StoreError::Read)?;
    // Out of range only in a damaged file; then the caller's time stands.
    Ok(at.and_then(|at| Timestamp::from_millisecond(at).ok()))
}

/// What a state means in SQL, with the instant that tells offers from expired ones.
pub(super) const fn state_filter(state: QuoteState) -> (&'static str, Option<bool>) {
    match state {
        QuoteState::Issued => ("issued", Some(false)),
        QuoteState::Expired => ("issued", Some(true)),
        QuoteState::Draft
        | QuoteState::Accepted
        | QuoteState::Withdrawn
        | QuoteState::Superseded => (state.word(), None),
    }
}

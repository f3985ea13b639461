//! The audit trail: who did what when, one row a deed, each sealed with the hash of the row before.
//!
//! A deed is written in the transaction of the change that it tells of ([`append`]), so that there is neither without the
//! other. Absent here: the clock, and which deeds there are.

mod chain;
mod read;

pub use chain::AuditEntry;
pub use chain::FIRST_PREVIOUS;
pub use chain::Head;
pub use chain::seal;
pub use read::AuditFault;
pub use read::AuditFilter;
pub use read::FAULTS_MAX;
pub use read::Verdict;
pub use read::audit_entries;
pub use read::audit_head;
pub use read::verify_audit;

use jiff::Timestamp;
use sqlx::SqliteConnection;

use crate::domain::access::Actor;
use crate::store::error::StoreError;

/// Something that was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deed<'a> {
    /// When.
    pub at: Timestamp,
    /// Who.
    pub actor: &'a Actor,
    /// What, in kebab case: `quote-issued`, `key-revoked`.
    pub action: &'static str,
    /// To what: a quote's number and revision, an edition's number, a key's id.
    pub subject: &'a str,
    /// More, as a JSON object whose fields stand in a fixed order. No secrets and no names of people.
    pub detail: &'a str,
}

/// Writes a deed at the end of the trail, in the transaction of the connection.
pub async fn append(connection: &mut SqliteConnection, deed: &Deed<'_>) -> Result<(), StoreError> {
    let last = read::last(connection).await?;
    let mut entry = AuditEntry {
        sequence: last.sequence.saturating_add(1),
        at_ms: deed.at.as_millisecond(),
        actor: (&*deed.actor.name).into(),
        account: deed.actor.account.name().into(),
        action: deed.action.into(),
        subject: deed.subject.into(),
        detail: deed.detail.into(),
        previous_hash: last.hash,
        hash: "".into(),
    };
    entry.hash = seal(&entry);
    sqlx::query(
        "INSERT INTO audit_entries (sequence, at_ms, actor, account, action, subject, detail, previous_hash, hash) \
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(entry.sequence)
    .bind(entry.at_ms)
    .bind(&*entry.actor)
    .bind(&*entry.account)
    .bind(&*entry.action)
    .bind(&*entry.subject)
    .bind(&*entry.detail)
    .bind(&*entry.previous_hash)
    .bind(&*entry.hash)
    .execute(connection)
    .await
    .map_err(StoreError::Write)?;
    Ok(())
}

//! Making, rotating and revoking keys, each with its entry on the audit trail, and noting when they were used.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use thiserror::Error;

use crate::domain::access::Actor;
use crate::domain::access::Grant;
use crate::domain::access::Markets;
use crate::domain::access::Scope;
use crate::store::audit;
use crate::store::audit::Deed;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::rows::KEYS_MAX;
use super::rows::KeyRecord;
use super::rows::find;
use super::secret::KeySecret;
use super::secret::SecretError;
use super::token::KeyId;
use super::token::Token;

/// A key about to be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewKey {
    /// What it is for, in words.
    pub label: Box<str>,
    /// What it grants.
    pub grant: Grant,
}

/// What is to happen to keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KeyChange {
    /// A new one.
    Make(NewKey),
    /// A new one with the same grant; the old one ends at an instant, so that both hold until then.
    Rotate(KeyId, Timestamp),
    /// It ends at once.
    Revoke(KeyId),
}

/// What a change came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KeyWrite {
    /// A key was made; its token is shown now and never again.
    Made(Box<KeyRecord>, Token),
    /// It is revoked, now or before.
    Revoked(Box<KeyRecord>),
    /// There is no key of this id.
    Absent,
    /// It has ended, so it has no successor.
    Ended,
    /// It was rotated already; its successor is named.
    Rotated(KeyId),
    /// There are as many keys as there may be.
    TooMany,
}

/// Why a key could not be changed.
#[derive(Debug, Error)]
pub enum KeyFailure {
    /// The database refused.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// No secret could be made.
    #[error(transparent)]
    Secret(#[from] SecretError),
}

/// Changes keys in one transaction.
pub async fn write_key(
    (database, secret): (&Database, &KeySecret),
    change: &KeyChange,
    (actor, now): (&Actor, Timestamp),
) -> Result<KeyWrite, KeyFailure> {
    let mut transaction = database.begin_write().await?;
    let by = By { secret, actor, now };
    let written = match change {
        KeyChange::Make(new) => by.make(&mut transaction, new).await?,
        KeyChange::Rotate(id, end) => by.rotate(&mut transaction, (id, *end)).await?,
        KeyChange::Revoke(id) => by.revoke(&mut transaction, id).await?,
    };
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(written)
}

/// Notes when keys were last used. Not a deed: nothing of it is on the trail.
pub async fn note_key_uses(
    database: &Database,
    uses: &[(KeyId, Timestamp)],
) -> Result<(), StoreError> {
    if uses.is_empty() {
        return Ok(());
    }
    let mut transaction = database.begin_write().await?;
    for (id, at) in uses {
        sqlx::query(
            "INSERT INTO access_key_uses (key_id, used_ms) VALUES (?, ?) \
             ON CONFLICT (key_id) DO UPDATE SET used_ms = max(used_ms, excluded.used_ms)",
        )
        .bind(id.text())
        .bind(at.as_millisecond())
        .execute(&mut *transaction)
        .await
        .map_err(StoreError::Write)?;
    }
    transaction.commit().await.map_err(StoreError::Write)
}

struct By<'a> {
    secret: &'a KeySecret,
    actor: &'a Actor,
    now: Timestamp,
}

impl By<'_> {
    async fn make(
        &self,
        connection: &mut SqliteConnection,
        new: &NewKey,
    ) -> Result<KeyWrite, KeyFailure> {
        let count: u32 = sqlx::query_scalar("SELECT count(*) FROM access_keys")
            .fetch_one(&mut *connection)
            .await
            .map_err(StoreError::Read)?;
        if KEYS_MAX <= count {
            return Ok(KeyWrite::TooMany);
        }
        let (record, token) = self.insert(connection, new).await?;
        self.tell(connection, ("key-made", &record.id), &detail(&record)).await?;
        Ok(KeyWrite::Made(Box::new(record), token))
    }

    async fn rotate(
        &self,
        connection: &mut SqliteConnection,
        (id, end): (&KeyId, Timestamp),
    ) -> Result<KeyWrite, KeyFailure> {
        let Some(old) = find(connection, id).await? else { return Ok(KeyWrite::Absent) };
        if !old.is_active(self.now) {
            return Ok(KeyWrite::Ended);
        }
        if let Some(successor) = old.successor {
            return Ok(KeyWrite::Rotated(successor));
        }
        let new = NewKey { label: old.label.clone(), grant: old.grant.clone() };
        let made = self.make(connection, &new).await?;
        let KeyWrite::Made(record, _) = &made else { return Ok(made) };
        let end = old.ends_at.map_or(end, |earlier| earlier.min(end));
        sqlx::query("UPDATE access_keys SET ends_ms = ?, successor = ? WHERE id = ?")
            .bind(end.as_millisecond())
            .bind(record.id.text())
            .bind(id.text())
            .execute(&mut *connection)
            .await
            .map_err(StoreError::Write)?;
        let told = format!("{{\"successor\":\"{}\",\"ends_at\":\"{end}\"}}", record.id);
        self.tell(connection, ("key-rotated", id), &told).await?;
        Ok(made)
    }

    async fn revoke(
        &self,
        connection: &mut SqliteConnection,
        id: &KeyId,
    ) -> Result<KeyWrite, KeyFailure> {
        let Some(mut record) = find(connection, id).await? else { return Ok(KeyWrite::Absent) };
        if record.revoked_at.is_none() {
            sqlx::query("UPDATE access_keys SET revoked_ms = ? WHERE id = ?")
                .bind(self.now.as_millisecond())
                .bind(id.text())
                .execute(&mut *connection)
                .await
                .map_err(StoreError::Write)?;
            self.tell(connection, ("key-revoked", id), "{}").await?;
            record.revoked_at = Some(self.now);
        }
        Ok(KeyWrite::Revoked(Box::new(record)))
    }

    async fn insert(
        &self,
        connection: &mut SqliteConnection,
        new: &NewKey,
    ) -> Result<(KeyRecord, Token), KeyFailure> {
        let token = Token::make(new.grant.scopes.are_publishable())?;
        let record = KeyRecord {
            id: token.id().clone(),
            hash: token.hash(self.secret),
            label: new.label.clone(),
            grant: new.grant.clone(),
            created_at: self.now,
            ends_at: None,
            revoked_at: None,
            successor: None,
            used_at: None,
        };
        let grant = &record.grant;
        sqlx::query(
            "INSERT INTO access_keys (id, hash, label, account, scopes, origins, markets, tier, tier_best, \
             discount_ceiling_bp, overrides, per_minute, created_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        )
        .bind(record.id.text())
        .bind(record.hash.to_hex().to_string())
        .bind(&*record.label)
        .bind(grant.account.name())
        .bind(words(grant.scopes.iter().map(|scope| scope.word().to_owned())))
        .bind(words(grant.origins.iter().map(ToString::to_string)))
        .bind(markets(&grant.markets))
        .bind(grant.tier.word())
        .bind(grant.tier_best.word())
        .bind(grant.discount_ceiling.basis_points())
        .bind(grant.overrides)
        .bind(grant.per_minute.count())
        .bind(self.now.as_millisecond())
        .execute(connection)
        .await
        .map_err(StoreError::Write)?;
        Ok((record, token))
    }

    async fn tell(
        &self,
        connection: &mut SqliteConnection,
        (action, id): (&'static str, &KeyId),
        detail: &str,
    ) -> Result<(), StoreError> {
        let (at, actor, subject) = (self.now, self.actor, id.text());
        audit::append(connection, &Deed { at, actor, action, subject, detail }).await
    }
}

fn words<W: Iterator<Item = String>>(words: W) -> String {
    words.collect::<Vec<_>>().join(" ")
}

fn markets(markets: &Markets) -> String {
    match markets {
        Markets::All => "*".to_owned(),
        Markets::Only(codes) => words(codes.iter().map(ToString::to_string)),
    }
}

/// What a key grants, for the trail.
fn detail(record: &KeyRecord) -> String {
    let grant = &record.grant;
    serde_json::json!({
        "account": grant.account.name(),
        "scopes": grant.scopes.iter().map(Scope::word).collect::<Vec<_>>(),
        "origins": grant.origins.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "markets": markets(&grant.markets),
        "price_tier": grant.tier.word(),
        "price_tier_best": grant.tier_best.word(),
        "discount_ceiling_basis_points": grant.discount_ceiling.basis_points(),
        "overrides": grant.overrides,
        "requests_per_minute": grant.per_minute.count(),
    })
    .to_string()
}

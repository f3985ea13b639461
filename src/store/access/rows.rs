//! A key as a row and back.

use std::collections::BTreeSet;

use jiff::Timestamp;
use sqlx::Row;
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::access::Account;
use crate::domain::access::Grant;
use crate::domain::access::Markets;
use crate::domain::access::Origin;
use crate::domain::access::PerMinute;
use crate::domain::access::Scope;
use crate::domain::access::Scopes;
use crate::domain::catalogue::Tier;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::store::database::Database;
use crate::store::error::StoreError;

use super::token::KeyId;

/// Most keys of a database, ended ones included.
pub const KEYS_MAX: u32 = 10_000;

/// What is kept of a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyRecord {
    /// Its id.
    pub id: KeyId,
    /// Keyed hash of the whole key.
    pub hash: blake3::Hash,
    /// What it is for, in words.
    pub label: Box<str>,
    /// What it grants.
    pub grant: Grant,
    /// When it was made.
    pub created_at: Timestamp,
    /// When it ends, if that is set.
    pub ends_at: Option<Timestamp>,
    /// When it was revoked, if it was.
    pub revoked_at: Option<Timestamp>,
    /// The key that follows it, if it was rotated.
    pub successor: Option<KeyId>,
    /// When it was last used, to the minute; unknown to a key that was never used.
    pub used_at: Option<Timestamp>,
}

impl KeyRecord {
    /// Whether it opens anything at a moment.
    pub fn is_active(&self, at: Timestamp) -> bool {
        self.revoked_at.is_none() && self.ends_at.is_none_or(|end| at < end)
    }
}

/// How many changes of keys there have been: when this stands still, so do the keys.
pub async fn key_change_count(database: &Database) -> Result<i64, StoreError> {
    let mut transaction = database.begin_read().await?;
    change_count(&mut transaction).await
}

async fn change_count(connection: &mut SqliteConnection) -> Result<i64, StoreError> {
    sqlx::query_scalar("SELECT count FROM access_key_changes")
        .fetch_one(connection)
        .await
        .map_err(StoreError::Read)
}

/// Every key in the order of the ids, and the number of changes that led to them.
pub async fn load_keys(database: &Database) -> Result<(i64, Vec<KeyRecord>), StoreError> {
    let mut transaction = database.begin_read().await?;
    let count = change_count(&mut transaction).await?;
    let sql = "SELECT k.*, u.used_ms FROM access_keys k LEFT JOIN access_key_uses u ON u.key_id = k.id ORDER BY k.id";
    let rows = sqlx::query(sql).fetch_all(&mut *transaction).await.map_err(StoreError::Read)?;
    let keys: Result<Vec<_>, _> = rows.iter().map(record).collect();
    Ok((count, keys?))
}

/// One key.
pub(super) async fn find(
    connection: &mut SqliteConnection,
    id: &KeyId,
) -> Result<Option<KeyRecord>, StoreError> {
    let sql = "SELECT k.*, u.used_ms FROM access_keys k LEFT JOIN access_key_uses u ON u.key_id = k.id WHERE k.id = ?";
    let row = sqlx::query(sql).bind(id.text()).fetch_optional(connection).await;
    row.map_err(StoreError::Read)?.as_ref().map(record).transpose()
}

fn record(row: &SqliteRow) -> Result<KeyRecord, StoreError> {
    let text: String = row.try_get("id").map_err(StoreError::Read)?;
    let read = Reader { row, key: &text };
    Ok(KeyRecord {
        id: read.word("id", KeyId::parse)?,
        hash: read.word("hash", |hex| blake3::Hash::from_hex(hex).ok())?,
        label: read.text("label")?.into(),
        grant: grant(&read)?,
        created_at: read.instant("created_ms")?.ok_or_else(|| read.wrong("created_ms"))?,
        ends_at: read.instant("ends_ms")?,
        revoked_at: read.instant("revoked_ms")?,
        successor: read.get::<Option<String>>("successor")?.as_deref().and_then(KeyId::parse),
        used_at: read.instant("used_ms")?,
    })
}

fn grant(read: &Reader<'_>) -> Result<Grant, StoreError> {
    let ceiling = DiscountCeiling::new(read.get("discount_ceiling_bp")?);
    let scopes: Vec<Scope> = read.list("scopes", Scope::parse)?;
    Ok(Grant {
        account: read.word("account", Account::parse)?,
        scopes: Scopes::new(scopes).map_err(|_none| read.wrong("scopes"))?,
        origins: read.list("origins", Origin::parse)?,
        markets: read.markets()?,
        tier: read.word("tier", Tier::parse)?,
        tier_best: read.word("tier_best", Tier::parse)?,
        discount_ceiling: ceiling.ok_or_else(|| read.wrong("discount_ceiling_bp"))?,
        overrides: read.get("overrides")?,
        per_minute: PerMinute::new(read.get("per_minute")?)
            .ok_or_else(|| read.wrong("per_minute"))?,
    })
}

/// Fields of a row, each checked again; an error names the key and the column.
struct Reader<'r> {
    row: &'r SqliteRow,
    key: &'r str,
}

impl Reader<'_> {
    fn get<'s, T>(&'s self, column: &'static str) -> Result<T, StoreError>
    where
        T: sqlx::Decode<'s, sqlx::Sqlite> + sqlx::Type<sqlx::Sqlite>,
    {
        self.row.try_get(column).map_err(StoreError::Read)
    }

    fn text(&self, column: &'static str) -> Result<&str, StoreError> {
        self.get(column)
    }

    fn word<T, P: FnOnce(&str) -> Option<T>>(
        &self,
        column: &'static str,
        parse: P,
    ) -> Result<T, StoreError> {
        parse(self.text(column)?).ok_or_else(|| self.wrong(column))
    }

    fn list<T, C, P>(&self, column: &'static str, parse: P) -> Result<C, StoreError>
    where
        C: FromIterator<T>,
        P: Fn(&str) -> Option<T>,
    {
        let words = self.text(column)?.split(' ').filter(|word| !word.is_empty());
        let read: Option<C> = words.map(parse).collect();
        read.ok_or_else(|| self.wrong(column))
    }

    fn markets(&self) -> Result<Markets, StoreError> {
        if self.text("markets")? == "*" {
            return Ok(Markets::All);
        }
        let codes: BTreeSet<Box<str>> = self.list("markets", |code| Some(code.into()))?;
        Ok(Markets::Only(codes))
    }

    fn instant(&self, column: &'static str) -> Result<Option<Timestamp>, StoreError> {
        let millisecond: Option<i64> = self.get(column)?;
        let instant = millisecond.map(Timestamp::from_millisecond).transpose();
        instant.map_err(|_range| self.wrong(column))
    }

    fn wrong(&self, column: &'static str) -> StoreError {
        let source = "the value is none of those allowed".into();
        StoreError::Row { table: "access_keys", key: self.key.into(), column, source }
    }
}

//! Who is calling: the keys of the database, held in memory, and the rights that come with each.
//!
//! A key is looked up and compared without touching the database; another process's change is seen within
//! [`REFRESH_INTERVAL`]. Absent here: header fields, routes, and how often somebody may call (`domain::access`).

mod ring;

pub use ring::Caller;
pub use ring::Denied;
pub use ring::HeldKey;

use std::sync::Arc;
use std::time::Duration;

use arc_swap::ArcSwap;
use jiff::Timestamp;

use crate::domain::access::Actor;
use crate::domain::access::Grant;
use crate::domain::access::Origin;
use crate::store::Database;
use crate::store::access::key_change_count;
use crate::store::access::load_keys;
use crate::store::access::note_key_uses;
use crate::store::access::write_key;

pub use crate::store::StoreError;
pub use crate::store::access::KEYS_MAX;
pub use crate::store::access::KeyChange;
pub use crate::store::access::KeyFailure;
pub use crate::store::access::KeyId;
pub use crate::store::access::KeyRecord;
pub use crate::store::access::KeySecret;
pub use crate::store::access::KeyWrite;
pub use crate::store::access::NewKey;
pub use crate::store::access::SecretError;
pub use crate::store::access::Token;

use ring::Ring;

/// How often a running service looks whether keys were changed by another process.
pub const REFRESH_INTERVAL: Duration = Duration::from_secs(1);
/// How many looks pass between two notes of when keys were used.
const LOOKS_BETWEEN_NOTES: u32 = 60;
/// Hours for which a rotated key still holds when nobody says: a week.
pub const OVERLAP_HOURS_USUAL: u32 = 168;
/// Most hours for which a rotated key may still hold: 90 days.
pub const OVERLAP_HOURS_MAX: u32 = 2_160;

/// The keys in force. Cloning it is cheap and shares them.
#[derive(Debug, Clone)]
pub struct Access {
    database: Option<Database>,
    secret: KeySecret,
    reading: Option<Caller>,
    ring: Arc<ArcSwap<Ring>>,
}

impl Access {
    /// No key at all, and no database where any could be kept.
    pub fn closed(secret: KeySecret) -> Self {
        Self { database: None, secret, reading: None, ring: Arc::default() }
    }

    /// The keys of a database.
    pub async fn open(database: Database, secret: KeySecret) -> Result<Self, StoreError> {
        let access = Self { database: Some(database), ..Self::closed(secret) };
        access.reload().await?;
        Ok(access)
    }

    /// Lets callers on this machine read without a key.
    #[must_use]
    pub fn open_to_this_machine(self) -> Self {
        let actor = Actor { name: "this-machine".into(), account: Grant::reading().account };
        Self { reading: Some(Caller::new(actor, Grant::reading())), ..self }
    }

    /// Who reads from this machine without a key, where that is open.
    pub const fn reader(&self) -> Option<&Caller> {
        self.reading.as_ref()
    }

    /// Takes a key for as long as the process lives; it is kept nowhere.
    pub fn lend(&self, token: &Token, grant: Grant) {
        let record = KeyRecord {
            id: token.id().clone(),
            hash: token.hash(&self.secret),
            label: "for this run only".into(),
            grant,
            created_at: Timestamp::UNIX_EPOCH,
            ends_at: None,
            revoked_at: None,
            successor: None,
            used_at: None,
        };
        self.ring.rcu(|ring| ring.with_lent(&record));
    }

    /// The key that a caller showed, if it is one and holds.
    pub fn recognise(&self, shown: &str, at: Timestamp) -> Result<Arc<HeldKey>, Denied> {
        let token = Token::parse(shown).ok_or(Denied::Unknown)?;
        let ring = self.ring.load();
        let key = ring.find(token.id()).ok_or(Denied::Unknown)?;
        // Hashes are compared in constant time.
        if token.hash(&self.secret) != key.record().hash {
            return Err(Denied::Unknown);
        }
        key.check(at)?;
        key.note_use(at);
        Ok(Arc::clone(key))
    }

    /// Whether a page of this origin may talk to the service at all: some key that holds is bound to it.
    pub fn is_origin_welcome(&self, origin: &Origin, at: Timestamp) -> bool {
        self.ring.load().is_origin_welcome(origin, at)
    }

    /// The database of the keys.
    pub const fn database(&self) -> Option<&Database> {
        self.database.as_ref()
    }

    /// Every key of the database, in the order of the ids.
    pub fn records(&self) -> Vec<KeyRecord> {
        self.ring.load().kept().map(|key| key.record_now()).collect()
    }

    /// Makes, rotates or revokes a key; from then on it counts here, and within [`REFRESH_INTERVAL`] elsewhere.
    /// Nothing without a database.
    pub async fn change(
        &self,
        change: &KeyChange,
        by: (&Actor, Timestamp),
    ) -> Result<Option<KeyWrite>, KeyFailure> {
        let Some(database) = &self.database else { return Ok(None) };
        let written = write_key((database, &self.secret), change, by).await?;
        self.reload().await?;
        Ok(Some(written))
    }

    async fn reload(&self) -> Result<(), StoreError> {
        let Some(database) = &self.database else { return Ok(()) };
        let (count, records) = load_keys(database).await?;
        self.ring.rcu(|ring| ring.replaced(count, &records));
        Ok(())
    }

    /// Follows what other processes change and notes when keys were used, until the process ends.
    #[expect(clippy::infinite_loop, reason = "the task ends with the runtime")]
    pub async fn keep_fresh(self) {
        let mut looks = tokio::time::interval(REFRESH_INTERVAL);
        loop {
            for _ in 0..LOOKS_BETWEEN_NOTES {
                looks.tick().await;
                self.look().await;
            }
            self.note_uses().await;
        }
    }

    async fn look(&self) {
        if let Err(error) = self.follow().await {
            tracing::warn!(%error, "the keys could not be looked at");
        }
    }

    async fn follow(&self) -> Result<(), StoreError> {
        let Some(database) = &self.database else { return Ok(()) };
        if key_change_count(database).await? != self.ring.load().change_count() {
            self.reload().await?;
        }
        Ok(())
    }

    /// Writes down when keys were last used; also done at the end of the program.
    pub async fn note_uses(&self) {
        let Some(database) = &self.database else { return };
        let uses = self.ring.load().news_of_use();
        if let Err(error) = note_key_uses(database, &uses).await {
            tracing::warn!(%error, "when keys were used could not be noted");
        }
    }
}

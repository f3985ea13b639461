//! The keys in memory, each with the bucket of its requests and the moment of its last use.
//!
//! Absent here: the database.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::AtomicI64;
use std::sync::atomic::Ordering;

use jiff::Timestamp;
use thiserror::Error;

use crate::domain::access::Actor;
use crate::domain::access::Bucket;
use crate::domain::access::Grant;
use crate::domain::access::Origin;
use crate::domain::access::Taken;
use crate::store::access::KeyId;
use crate::store::access::KeyRecord;

/// How coarsely a use is noted.
const USE_STEP_MS: i64 = 60_000;

/// Who is calling and what they may do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caller(Arc<Rights>);

#[derive(Debug, PartialEq, Eq)]
struct Rights {
    actor: Actor,
    grant: Grant,
}

/// Why a key opens nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum Denied {
    /// It is none of ours. Whether its id exists is not said.
    #[error("the key is none of this service's")]
    Unknown,
    /// It was taken back.
    #[error("the key was revoked")]
    Revoked,
    /// It was rotated, and its time is over.
    #[error("the key has ended; another has taken its place")]
    Ended,
}

/// A key in memory.
#[derive(Debug)]
pub struct HeldKey {
    record: KeyRecord,
    caller: Caller,
    meter: Arc<Meter>,
}

/// What a key counts, shared by all its copies, so that a reload forgets nothing.
#[derive(Debug, Default)]
struct Meter {
    bucket: Mutex<Bucket>,
    used_ms: AtomicI64,
    noted_ms: AtomicI64,
}

/// All keys.
#[derive(Debug, Clone, Default)]
pub(super) struct Ring {
    change_count: i64,
    kept: BTreeMap<KeyId, Arc<HeldKey>>,
    lent: BTreeMap<KeyId, Arc<HeldKey>>,
    origins: BTreeSet<Origin>,
}

impl Caller {
    /// A caller with these rights.
    pub fn new(actor: Actor, grant: Grant) -> Self {
        Self(Arc::new(Rights { actor, grant }))
    }

    /// Who.
    pub fn actor(&self) -> &Actor {
        &self.0.actor
    }

    /// What they may do.
    pub fn grant(&self) -> &Grant {
        &self.0.grant
    }
}

impl HeldKey {
    fn new(record: &KeyRecord) -> Self {
        let actor = Actor { name: record.id.text().into(), account: record.grant.account.clone() };
        let caller = Caller::new(actor, record.grant.clone());
        let meter = Arc::<Meter>::default();
        meter.take_over(record.used_at);
        Self { record: record.clone(), caller, meter }
    }

    /// The same key as the database has it now; what it has used up of its minute stays used up.
    fn renewed(&self, record: &KeyRecord) -> Self {
        self.meter.take_over(record.used_at);
        Self { meter: Arc::clone(&self.meter), ..Self::new(record) }
    }

    /// What the database has of it.
    pub const fn record(&self) -> &KeyRecord {
        &self.record
    }

    /// Who calls with it.
    pub const fn caller(&self) -> &Caller {
        &self.caller
    }

    /// Counts a request.
    pub fn take(&self, at_ns: u64) -> Taken {
        let mut bucket = self.meter.bucket.lock().unwrap_or_else(PoisonError::into_inner);
        bucket.take(self.record.grant.per_minute, at_ns)
    }

    pub(super) fn check(&self, at: Timestamp) -> Result<(), Denied> {
        if self.record.revoked_at.is_some() {
            return Err(Denied::Revoked);
        }
        if self.record.is_active(at) { Ok(()) } else { Err(Denied::Ended) }
    }

    pub(super) fn note_use(&self, at: Timestamp) {
        let at_ms = at.as_millisecond();
        let step = at_ms.saturating_sub(at_ms.rem_euclid(USE_STEP_MS));
        // Looked at first: nearly every request falls into a minute that is noted already.
        if self.meter.used_ms.load(Ordering::Relaxed) < step {
            self.meter.used_ms.fetch_max(step, Ordering::Relaxed);
        }
    }

    fn used_at(&self) -> Option<Timestamp> {
        let used_ms = Some(self.meter.used_ms.load(Ordering::Relaxed)).filter(|ms| 0 < *ms);
        used_ms.and_then(|ms| Timestamp::from_millisecond(ms).ok())
    }

    /// The record with the last use as it is known here.
    pub(super) fn record_now(&self) -> KeyRecord {
        KeyRecord { used_at: self.used_at(), ..self.record.clone() }
    }
}

impl Meter {
    /// Learns of a use that the database knows of.
    fn take_over(&self, used_at: Option<Timestamp>) {
        let used_ms = used_at.map_or(0, Timestamp::as_millisecond);
        self.used_ms.fetch_max(used_ms, Ordering::Relaxed);
        self.noted_ms.fetch_max(used_ms, Ordering::Relaxed);
    }
}

impl Ring {
    pub(super) const fn change_count(&self) -> i64 {
        self.change_count
    }

    pub(super) fn find(&self, id: &KeyId) -> Option<&Arc<HeldKey>> {
        self.kept.get(id).or_else(|| self.lent.get(id))
    }

    pub(super) fn kept(&self) -> impl Iterator<Item = &Arc<HeldKey>> {
        self.kept.values()
    }

    /// Only a key that may stand in a page has origins, so the look at all keys is for preflights and pages alone.
    pub(super) fn is_origin_welcome(&self, origin: &Origin, at: Timestamp) -> bool {
        let is_bound = |key: &Arc<HeldKey>| {
            key.record.is_active(at) && key.record.grant.origins.contains(origin)
        };
        self.origins.contains(origin) && self.kept.values().any(is_bound)
    }

    pub(super) fn with_lent(&self, record: &KeyRecord) -> Self {
        let mut ring = self.clone();
        ring.lent.insert(record.id.clone(), Arc::new(HeldKey::new(record)));
        ring
    }

    /// The same keys as the database had them after so many changes, unless a later state is here already.
    pub(super) fn replaced(&self, change_count: i64, records: &[KeyRecord]) -> Self {
        if change_count < self.change_count {
            return self.clone();
        }
        let held = |record: &KeyRecord| {
            let before = self.kept.get(&record.id);
            let key = before.map_or_else(|| HeldKey::new(record), |before| before.renewed(record));
            (record.id.clone(), Arc::new(key))
        };
        let origins = records.iter().flat_map(|record| record.grant.origins.iter().cloned());
        Self {
            change_count,
            kept: records.iter().map(held).collect(),
            lent: self.lent.clone(),
            origins: origins.collect(),
        }
    }

    /// Keys used since this was last asked.
    pub(super) fn news_of_use(&self) -> Vec<(KeyId, Timestamp)> {
        let news = |key: &Arc<HeldKey>| {
            let used_at = key.used_at()?;
            let noted_ms =
                key.meter.noted_ms.fetch_max(used_at.as_millisecond(), Ordering::Relaxed);
            (noted_ms < used_at.as_millisecond()).then(|| (key.record.id.clone(), used_at))
        };
        self.kept.values().filter_map(news).collect()
    }
}

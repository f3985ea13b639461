//! The desk at which quotes are written: database, writer, and the requests that are being answered.
//!
//! Absent here: what stands in a quote (`quote_parts`), and whose rights are whose (`access`).

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::domain::access::Grant;
use crate::domain::catalogue::Tier;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::store::Database;
use crate::store::SoleWriter;
use crate::store::StoreError;
use crate::store::quotes::KeyedRequest;
use crate::store::quotes::QuoteWriter;

/// What a caller may do to prices and clashes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rights {
    /// Whether clashing parts may be quoted with a written reason.
    pub overrides: bool,
    /// Most that may be taken off.
    pub discount_ceiling: DiscountCeiling,
    /// The price tier that is taken when nobody asks.
    pub tier: Tier,
}

impl Default for Rights {
    fn default() -> Self {
        Self { overrides: false, discount_ceiling: DiscountCeiling::USUAL, tier: Tier::Retail }
    }
}

impl From<&Grant> for Rights {
    fn from(grant: &Grant) -> Self {
        let Grant { overrides, discount_ceiling, tier, .. } = *grant;
        Self { overrides, discount_ceiling, tier }
    }
}

/// Where quotes are written and read. Cloning it is cheap and shares the writer.
#[derive(Debug, Clone)]
pub struct Desk {
    database: Database,
    writer: QuoteWriter,
    running: Arc<Mutex<Running>>,
    /// Held as long as the desk is.
    _mark: Option<Arc<SoleWriter>>,
}

type Running = BTreeSet<(Box<str>, Box<str>)>;

/// A key whose request is being answered; it is free again when this is dropped.
#[derive(Debug)]
pub struct HeldKey {
    running: Arc<Mutex<Running>>,
    key: (Box<str>, Box<str>),
}

impl Desk {
    /// A desk on the database of an address, its writer started, as the only one of all processes. Must be called inside
    /// the runtime.
    pub fn open_alone(database: Database, address: &str) -> Result<Self, StoreError> {
        let mark = SoleWriter::take(address)?;
        Ok(Self { _mark: Some(Arc::new(mark)), ..Self::open(database) })
    }

    /// A desk on a database, its writer started. Must be called inside the runtime.
    pub fn open(database: Database) -> Self {
        let (writer, work) = QuoteWriter::new(database.clone());
        // The writer ends by itself with the last clone of the desk.
        drop(tokio::spawn(work));
        Self { database, writer, running: Arc::default(), _mark: None }
    }

    /// The database.
    pub const fn database(&self) -> &Database {
        &self.database
    }

    /// The writer.
    pub const fn writer(&self) -> &QuoteWriter {
        &self.writer
    }

    /// Takes a key while its request is answered; nothing when another request holds it.
    pub fn hold_key(&self, request: &KeyedRequest) -> Option<HeldKey> {
        let key = (request.scope.clone(), request.key.clone());
        let mut running = self.running.lock().unwrap_or_else(PoisonError::into_inner);
        let is_free = running.insert(key.clone());
        drop(running);
        is_free.then(|| HeldKey { running: Arc::clone(&self.running), key })
    }
}

impl Drop for HeldKey {
    fn drop(&mut self) {
        self.running.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.key);
    }
}

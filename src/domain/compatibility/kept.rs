//! Findings that depend on parts alone, made once for a pair of parts and shared by all bills that hold it.
//!
//! What the rows say of two parts is the same in every room, and most of what a bill says. So it is kept beside the
//! compiled catalogue, which never changes; nothing that depends on a place, on users or on a day is in here. What is kept
//! is what would be made anew: whoever asks brings the one road to it along.

use std::any::Any;
use std::collections::BTreeMap;
use std::ops::Deref;
use std::sync::Arc;
use std::sync::OnceLock;
use std::sync::PoisonError;
use std::sync::RwLock;

use super::finding::Finding;
use super::judge::Sides;

/// The most pairs of parts whose findings are kept, some kilobytes each. Beyond it the keeping begins anew.
pub const PAIRS_KEPT_MAX: usize = 16_384;

/// A finding that bills share, with room for what an edge makes of it.
#[derive(Debug)]
pub struct KeptFinding {
    finding: Finding,
    written: OnceLock<Box<dyn Any + Send + Sync>>,
}

impl KeptFinding {
    /// What an edge writes for the finding, written the first time it is asked for; nothing when another edge has kept
    /// something of another kind there.
    pub fn written<T: Any + Send + Sync, F: FnOnce(&Finding) -> T>(&self, write: F) -> Option<&T> {
        self.written.get_or_init(|| Box::new(write(&self.finding))).downcast_ref()
    }
}

/// A finding of a bill: one of those that bills share, or made for this one.
#[derive(Debug, Clone)]
pub enum Check {
    /// It depends on where and for whom.
    Made(Box<Finding>),
    /// It depends on the parts alone.
    Kept(Arc<KeptFinding>),
}

impl Check {
    /// The finding, no longer shared.
    pub fn into_finding(self) -> Finding {
        match self {
            Self::Made(finding) => *finding,
            Self::Kept(kept) => kept.finding.clone(),
        }
    }
}

impl Deref for Check {
    type Target = Finding;

    fn deref(&self) -> &Finding {
        match self {
            Self::Made(finding) => finding,
            Self::Kept(kept) => &kept.finding,
        }
    }
}

/// Alike when they say the same, shared or not.
impl PartialEq for Check {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Kept(mine), Self::Kept(theirs)) if Arc::ptr_eq(mine, theirs) => true,
            _ => **self == **other,
        }
    }
}

impl From<Finding> for Check {
    fn from(finding: Finding) -> Self {
        Self::Made(Box::new(finding))
    }
}

/// The findings about one part or two.
type SharedChecks = Arc<[Check]>;

/// What parts say to each other, as far as it was asked for.
#[derive(Debug, Default)]
pub(super) struct KeptFindings {
    pairs: RwLock<BTreeMap<Sides, SharedChecks>>,
}

impl KeptFindings {
    /// What the rows and the laws of physics say of one part, or of two.
    pub(super) fn of<F>(&self, sides: Sides, make: F) -> SharedChecks
    where
        F: FnOnce() -> Vec<Finding>,
    {
        let known = self.pairs.read().unwrap_or_else(PoisonError::into_inner).get(&sides).cloned();
        known.unwrap_or_else(|| self.keep(sides, make()))
    }

    fn keep(&self, sides: Sides, findings: Vec<Finding>) -> SharedChecks {
        let shared =
            |finding| Check::Kept(Arc::new(KeptFinding { finding, written: OnceLock::new() }));
        let made: SharedChecks = findings.into_iter().map(shared).collect();
        let mut pairs = self.pairs.write().unwrap_or_else(PoisonError::into_inner);
        if PAIRS_KEPT_MAX <= pairs.len() {
            pairs.clear();
        }
        Arc::clone(pairs.entry(sides).or_insert(made))
    }
}

/// A copy begins with nothing kept.
impl Clone for KeptFindings {
    fn clone(&self) -> Self {
        Self::default()
    }
}

//! The edition that a keeper works on, held from its checks to its publication, so that it is read and compiled once.
//!
//! Rows of a saved edition never change and numbers are never used twice, so what is held stays true. Absent here:
//! reading it from the database (`editions`).

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use super::Held;

/// The edition last worked on; one at most, for each may be large.
#[derive(Debug, Default)]
pub struct AtHand(Mutex<Option<Arc<Held>>>);

impl AtHand {
    /// The edition of a number, if it is the one.
    pub fn find(&self, number: u32) -> Option<Arc<Held>> {
        let held = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        held.filter(|held| held.catalogue.edition().number() == number)
    }

    /// Holds an edition in place of the one before, which is given back: letting go of a large one takes time.
    #[must_use]
    pub fn keep(&self, held: Arc<Held>) -> Option<Arc<Held>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).replace(held)
    }

    /// Gives an edition back that is held elsewhere from now on, or that is gone.
    #[must_use]
    pub fn let_go(&self, number: u32) -> Option<Arc<Held>> {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.take_if(|held| held.catalogue.edition().number() == number)
    }
}

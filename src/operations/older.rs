//! Older editions, compiled and kept for those who ask for them by number: a few, the last used first.
//!
//! Absent here: reading them from the database (`editions`).

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use tokio::sync::MutexGuard;

use super::Held;

/// Older editions kept compiled. One more pushes out the one that nobody asked for the longest; it is compiled again when
/// it is asked for.
pub const OLDER_KEPT_MAX: usize = 3;

/// The older editions kept.
#[derive(Debug, Default)]
pub struct Older {
    kept: Mutex<Vec<Arc<Held>>>,
    /// Held while one is read and compiled, so that many who ask at once wait for one compilation.
    turn: tokio::sync::Mutex<()>,
}

impl Older {
    /// The edition of a number, if it is kept.
    pub fn find(&self, number: u32) -> Option<Arc<Held>> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let place = kept.iter().position(|held| held.catalogue.edition().number() == number)?;
        let held = kept.remove(place);
        kept.insert(0, Arc::clone(&held));
        drop(kept);
        Some(held)
    }

    /// The turn of the one that reads and compiles.
    pub async fn take_turn(&self) -> MutexGuard<'_, ()> {
        self.turn.lock().await
    }

    /// Keeps an edition, and gives back those that it pushes out: letting go of a large one takes time.
    #[must_use]
    pub fn keep(&self, held: Arc<Held>) -> Vec<Arc<Held>> {
        let number = held.catalogue.edition().number();
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let is_it = |other: &mut Arc<Held>| other.catalogue.edition().number() == number;
        let mut gone: Vec<Arc<Held>> = kept.extract_if(.., is_it).collect();
        kept.insert(0, held);
        let first_gone = kept.len().min(OLDER_KEPT_MAX);
        gone.extend(kept.drain(first_gone..));
        gone
    }
}

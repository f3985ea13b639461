//! What the program can be asked to do, and the state it does it with.
//!
//! Absent here: HTTP, the command line, SQL.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

/// The running program as its routes see it. Cloning it is cheap and shares the state.
#[derive(Debug, Clone, Default)]
pub struct App {
    readiness: Arc<Mutex<Readiness>>,
}

/// Whether requests should be sent to this process.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Readiness {
    /// Still loading.
    #[default]
    Starting,
    /// Everything that an answer needs is loaded.
    Ready,
    /// On its way out: requests in flight are answered, new ones should go elsewhere.
    Draining,
}

impl App {
    /// Whether requests should be sent here now.
    pub fn readiness(&self) -> Readiness {
        *self.readiness.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Moves on to a later state; never back, so that a late "ready" cannot undo draining.
    ///
    /// ```
    /// use rungwright::operations::{App, Readiness};
    /// let app = App::default();
    /// app.advance(Readiness::Draining);
    /// app.advance(Readiness::Ready);
    /// assert_eq!(app.readiness(), Readiness::Draining);
    /// ```
    pub fn advance(&self, to: Readiness) {
        let mut now = self.readiness.lock().unwrap_or_else(PoisonError::into_inner);
        *now = to.max(*now);
    }
}

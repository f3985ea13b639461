//! How a route gets its snapshot, and how work that takes longer than a few microseconds leaves the accepting threads.

use tokio::task::spawn_blocking;

use crate::http::Problem;
use crate::http::problem::Code;
use crate::operations::App;
use crate::operations::Snapshot;

/// What this request is answered from; 503 before a catalogue is loaded.
pub fn snapshot(app: &App) -> Result<Snapshot, Problem> {
    app.snapshot().ok_or_else(|| Problem::new(Code::NotReady, "no catalogue is loaded yet"))
}

/// Runs work on a thread of its own, so that a long search holds up no other connection.
pub async fn off_thread<T, F>(work: F) -> Result<T, Problem>
where
    T: Send + 'static,
    F: FnOnce() -> Result<T, Problem> + Send + 'static,
{
    match spawn_blocking(work).await {
        Ok(answer) => answer,
        Err(error) => Err(Problem::internal("answering on a thread of its own", &error)),
    }
}

//! How a route gets its snapshot, and how work that takes longer than a few microseconds leaves the accepting threads.

use tokio::task::spawn_blocking;

use crate::http::Problem;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::editions;
use crate::operations::editions::EditionError;

/// What this request is answered from; 503 before a catalogue is loaded.
pub fn snapshot(app: &App) -> Result<Snapshot, Problem> {
    app.snapshot().ok_or_else(|| Problem::new(Code::NotReady, "no catalogue is loaded yet"))
}

/// What a request is answered from that names an edition in its query; 400 for one that is not kept.
pub async fn snapshot_of(app: &App, edition: Option<u32>) -> Result<Snapshot, Problem> {
    named(app, edition).await?.ok_or_else(|| {
        let detail = not_kept(edition.unwrap_or_default());
        let error = FieldError::of_parameter("edition", FieldCode::Unknown, &detail);
        Problem::listing(Code::BadQuery, vec![error])
    })
}

/// The same for a request that names an edition in its body.
///
/// One that is not kept is answered for by the edition in force, and [`check_edition`] refuses it together with whatever else is wrong in the body.
pub async fn snapshot_for(app: &App, edition: Option<u32>) -> Result<Snapshot, Problem> {
    match named(app, edition).await {
        Ok(Some(found)) => Ok(found),
        Ok(None) => snapshot(app),
        Err(problem) => Err(problem),
    }
}

/// Refuses a body that names another edition than the one at hand: 422 at its field.
pub fn check_edition(asked: Option<u32>, snapshot: &Snapshot) -> Result<(), Problem> {
    let held = snapshot.catalogue().edition().number();
    match asked.filter(|asked| *asked != held) {
        None => Ok(()),
        Some(asked) => {
            let detail = not_kept(asked);
            Err(Problem::invalid(vec![FieldError::at("/edition", FieldCode::Unknown, detail)]))
        }
    }
}

fn not_kept(edition: u32) -> String {
    format!("edition {edition} is none that was published and is kept here")
}

/// The snapshot of an edition; nothing for one that is not kept.
async fn named(app: &App, edition: Option<u32>) -> Result<Option<Snapshot>, Problem> {
    match editions::snapshot_of(app, edition).await {
        Ok(Some(snapshot)) => Ok(Some(snapshot)),
        Ok(None) => snapshot(app).map(Some),
        Err(EditionError::Hindered(_) | EditionError::NoDatabase) => Ok(None),
        Err(
            error @ (EditionError::Store(_) | EditionError::Rules(_) | EditionError::Thread(_)),
        ) => Err(Problem::internal("reading an older edition", &error)),
    }
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

//! Editions as the keeper works with them: listed, checked, published, deleted, asked for by number.
//!
//! Whatever is heavy (reading, compiling, checking) runs on a thread that may be busy, never on one that accepts
//! requests. Who acts is an argument, for the record. Absent here: what an edition is made from (`load_edition`).

use std::sync::Arc;

use thiserror::Error;
use tokio::runtime::Handle;
use tokio::task::JoinError;
use tokio::task::spawn_blocking;

pub use crate::store::EditionRecord;
pub use crate::store::EditionState;
pub use crate::store::drafts::EditionCounts;
pub use crate::store::drafts::Hindrance;

use crate::domain::access::Actor;
use crate::domain::catalogue::Edition;
use crate::domain::review;
use crate::domain::review::Finding;
use crate::store::Database;
use crate::store::StoreError;
use crate::store::drafts;
use crate::store::edition_record;
use crate::store::load_edition;
use crate::store::published_edition;
use crate::store::rule_packs::PackError;

use super::App;
use super::Held;
use super::Snapshot;
use super::let_go;

/// Editions of one list at most.
pub const EDITIONS_LISTED_MAX: u32 = 200;

/// Why something about editions could not be done.
#[derive(Debug, Error)]
pub enum EditionError {
    /// No database is open.
    #[error("no database is open")]
    NoDatabase,
    /// The database refused.
    #[error("the database refused")]
    Store(#[from] StoreError),
    /// The wiring rules that come with the program cannot be read.
    #[error("could not read the wiring rules that come with the program")]
    Rules(#[from] PackError),
    /// The edition's state does not allow it.
    #[error("the edition's state does not allow it")]
    Hindered(Hindrance),
    /// The work on a thread of its own broke off.
    #[error("the work broke off")]
    Thread(#[from] JoinError),
}

/// An edition and how much it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditionSummary {
    /// What is known of it.
    pub record: EditionRecord,
    /// How much it holds.
    pub counts: EditionCounts,
}

/// What checking an edition came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckedEdition {
    /// The edition as it stands now.
    pub record: EditionRecord,
    /// Whether it may be published.
    pub passed: bool,
    /// What strikes the eye, the gravest first.
    pub findings: Vec<Finding>,
}

/// The database behind the desk.
pub(super) fn database(app: &App) -> Result<&Database, EditionError> {
    app.desk().map(super::desk::Desk::database).ok_or(EditionError::NoDatabase)
}

/// Editions, the newest first, below a number where one is given.
pub async fn list(
    app: &App,
    below: Option<u32>,
    count_max: u32,
) -> Result<Vec<EditionRecord>, EditionError> {
    let count_max = count_max.min(EDITIONS_LISTED_MAX);
    Ok(drafts::list_editions(database(app)?, below, count_max).await?)
}

/// One edition.
pub async fn summary(app: &App, number: u32) -> Result<EditionSummary, EditionError> {
    let database = database(app)?;
    let record = edition_record(database, number).await?;
    let record = record.ok_or(EditionError::Hindered(Hindrance::Unknown))?;
    Ok(EditionSummary { record, counts: drafts::count_edition(database, number).await? })
}

/// Looks an edition through; a draft without errors is then checked, against the edition published now.
pub async fn check(app: &App, number: u32, actor: &Actor) -> Result<CheckedEdition, EditionError> {
    let database = database(app)?;
    let against = published_number(app);
    let held = to_look_through(app, number).await?;
    let findings = spawn_blocking(move || {
        let known: Vec<&str> = held.wiring_rules.iter().map(|rules| &*rules.id).collect();
        review::review(&held.catalogue, &known)
    });
    let findings = findings.await?;
    let passed = review::passes(&findings);
    let noted =
        drafts::note_checks(database, number, (passed, against), (app.now(), actor)).await?;
    let record = noted.map_err(EditionError::Hindered)?;
    Ok(CheckedEdition { record, passed, findings })
}

/// Publishes a checked draft, or an edition of before to roll back.
///
/// The edition is compiled first; then one transaction and one swap. Requests under way finish on the edition that they
/// began with.
pub async fn publish(app: &App, number: u32, actor: &Actor) -> Result<EditionRecord, EditionError> {
    let database = database(app)?;
    let found = edition_record(database, number).await?;
    let current = published_edition(database).await?;
    drafts::may_be_published(found, current).map_err(EditionError::Hindered)?;
    let held = compiled(app, number).await?;
    let (app, actor) = (app.clone(), actor.clone());
    // A task of its own: a caller who hangs up must not leave the database one edition ahead of memory.
    tokio::spawn(async move { write_and_swap(&app, held, &actor).await }).await?
}

async fn write_and_swap(
    app: &App,
    held: Arc<Held>,
    actor: &Actor,
) -> Result<EditionRecord, EditionError> {
    let number = held.catalogue.edition().number();
    let turn = app.publishing.lock().await;
    let published = drafts::publish(database(app)?, number, (app.now(), actor)).await?;
    let record = published.map_err(EditionError::Hindered)?;
    app.hold_shared(held);
    drop(turn);
    Ok(record)
}

/// Deletes an edition that was never published.
pub async fn delete(app: &App, number: u32, actor: &Actor) -> Result<(), EditionError> {
    let deleted = drafts::delete_draft(database(app)?, number, (app.now(), actor)).await?;
    let_go(app.at_hand.let_go(number).into_iter().collect());
    deleted.map_err(EditionError::Hindered)
}

/// What a request is answered from that asks for an edition by number; without one, the edition in force.
///
/// Only what is or was published can be asked for: nobody sells from a draft.
pub async fn snapshot_of(app: &App, number: Option<u32>) -> Result<Option<Snapshot>, EditionError> {
    let current = app.snapshot();
    let Some(number) = number else { return Ok(current) };
    if current.as_ref().is_some_and(|held| held.catalogue().edition().number() == number) {
        return Ok(current);
    }
    if let Some(held) = app.older.find(number) {
        return Ok(Some(app.snapshot_from(held)));
    }
    let record = edition_record(database(app)?, number).await?;
    let is_kept = record.is_some_and(|record| match record.state {
        EditionState::Published | EditionState::Retired => true,
        EditionState::Draft | EditionState::Checked => false,
    });
    if !is_kept {
        return Err(EditionError::Hindered(Hindrance::Unknown));
    }
    let turn = app.older.take_turn().await;
    let held = if let Some(held) = app.older.find(number) {
        held
    } else {
        let edition = read(app, number).await?;
        Arc::new(spawn_blocking(move || Held::of(edition)).await??)
    };
    let_go(app.older.keep(Arc::clone(&held)));
    drop(turn);
    Ok(Some(app.snapshot_from(held)))
}

/// An edition compiled for the search: the one in force, one that is kept, or one read from the database.
pub(super) async fn compiled(app: &App, number: u32) -> Result<Arc<Held>, EditionError> {
    let held = to_look_through(app, number).await?;
    let compiling = spawn_blocking(move || {
        held.lists();
        held
    });
    Ok(compiling.await?)
}

/// An edition with its rules compiled. One read from the database is held at hand, for whoever checks it publishes it next.
async fn to_look_through(app: &App, number: u32) -> Result<Arc<Held>, EditionError> {
    if let Some(held) = in_memory(app, number) {
        return Ok(held);
    }
    let edition = read(app, number).await?;
    let compiling = spawn_blocking(move || Held::to_look_through(edition));
    let held = Arc::new(compiling.await??);
    let_go(app.at_hand.keep(Arc::clone(&held)).into_iter().collect());
    Ok(held)
}

/// An edition without its rules compiled.
pub(super) async fn read(app: &App, number: u32) -> Result<Edition, EditionError> {
    if let Some(held) = in_memory(app, number) {
        return Ok(held.catalogue.edition().clone());
    }
    let database = database(app)?.clone();
    let runtime = Handle::current();
    // Turning a hundred thousand rows into parts takes long enough to be felt by others on the same thread.
    let reading = spawn_blocking(move || runtime.block_on(load_edition(&database, number)));
    match reading.await? {
        Err(StoreError::UnknownEdition(_)) => Err(EditionError::Hindered(Hindrance::Unknown)),
        read => Ok(read?),
    }
}

fn in_memory(app: &App, number: u32) -> Option<Arc<Held>> {
    let current = app.held.load_full();
    let is_it = |held: &Arc<Held>| held.catalogue.edition().number() == number;
    current.filter(is_it).or_else(|| app.older.find(number)).or_else(|| app.at_hand.find(number))
}

/// Number of the edition in force, 0 for none.
fn published_number(app: &App) -> u32 {
    app.snapshot().map_or(0, |snapshot| snapshot.catalogue().edition().number())
}

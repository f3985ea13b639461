//! How the program comes by the catalogue that it answers from.

use thiserror::Error;
use tokio::task::JoinError;
use tokio::task::spawn_blocking;

use crate::domain::access::Actor;
use crate::domain::access::Grant;
use crate::domain::access::Scopes;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Fault;
use crate::domain::catalogue::Tier;
use crate::domain::review;
use crate::store::Database;
use crate::store::StoreError;
use crate::store::catalogue_files::Upload;
use crate::store::demo::demo_edition;
use crate::store::demo::demo_files;
use crate::store::drafts::Drafted;
use crate::store::drafts::Hindrance;
use crate::store::drafts::NewDraft;
use crate::store::drafts::note_checks;
use crate::store::drafts::publish;
use crate::store::drafts::save_draft;
use crate::store::load_edition;
use crate::store::published_edition;
use crate::store::rule_packs::PackError;
use crate::store::sweep;

use super::Held;
use super::clock::Clock;

/// The edition number that the demonstration catalogue has when no database numbers it.
const DEMO_EDITION: u32 = 1;

/// Why there is nothing to answer from.
#[derive(Debug, Error)]
pub enum StartError {
    /// The database refused.
    #[error("could not read the catalogue from the database")]
    Store(#[from] StoreError),
    /// No edition is published.
    #[error(
        "the database holds no published edition; start with --demo to load the demonstration catalogue"
    )]
    Empty,
    /// The wiring rules that come with the program cannot be read.
    #[error("could not read the wiring rules that come with the program")]
    Rules(#[from] PackError),
    /// The compiler ended early.
    #[error("could not compile the catalogue")]
    Compile(#[from] JoinError),
    /// The demonstration catalogue that comes with the program is at fault.
    #[error("the demonstration catalogue is at fault: {0}")]
    Demo(String),
}

/// The published edition of a database. With `demo`, an empty database is given the demonstration catalogue first.
pub async fn load(database: &Database, demo: bool) -> Result<Held, StartError> {
    sweep(database).await?;
    let mut published = published_edition(database).await?;
    if published.is_none() && demo {
        published = Some(publish_demo(database).await?);
    }
    let edition = load_edition(database, published.ok_or(StartError::Empty)?).await?;
    // Compiling takes as long as the catalogue is large, and other work goes on meanwhile.
    spawn_blocking(move || serve(edition)).await?
}

/// Takes the demonstration catalogue the way of any other: drafted, checked, published.
async fn publish_demo(database: &Database) -> Result<u32, StartError> {
    let edition = Upload::of_files(&demo_files()).edition(None);
    let edition = edition.map_err(|faults| StartError::Demo(first(&faults)))?;
    let now = Clock::System.now();
    let new = NewDraft {
        request: None,
        base: None,
        now,
        actor: Actor::program(),
        render: |_, _| String::new(),
    };
    let drafted = save_draft(database, &edition, &new).await?;
    let Drafted::Created(number, _) = drafted else {
        return Err(StartError::Demo("it was loaded under a key".to_owned()));
    };
    let held = Held::of(edition)?;
    let known: Vec<&str> = held.wiring_rules.iter().map(|rules| &*rules.id).collect();
    let findings = review::review(&held.catalogue, &known);
    let passed = review::passes(&findings);
    note_checks(database, number, (passed, 0), (now, &Actor::program()))
        .await?
        .map_err(hindered)?;
    publish(database, number, (now, &Actor::program())).await?.map_err(hindered)?;
    Ok(number)
}

fn hindered(hindrance: Hindrance) -> StartError {
    StartError::Demo(format!("it could not be published: {hindrance:?}"))
}

/// The demonstration catalogue without any database.
pub fn demo() -> Result<Held, StartError> {
    let content = demo_edition().map_err(|faults| StartError::Demo(first(&faults)))?;
    let edition = Edition::new(DEMO_EDITION, content);
    serve(edition.map_err(|faults: Vec<Fault>| StartError::Demo(first(&faults)))?)
}

/// What the key of a demonstration grants: everything, at retail prices unless others are asked for.
pub fn demo_grant() -> Grant {
    Grant {
        scopes: Scopes::all_secret(),
        tier_best: Tier::Merchant,
        overrides: true,
        ..Grant::reading()
    }
}

/// An edition with the wiring rules that it holds. One without any is served with those of the program, marked as
/// standing in, so that every answer from them says so.
pub fn serve(edition: Edition) -> Result<Held, StartError> {
    Ok(Held::of(edition)?)
}

fn first<F: ToString>(faults: &[F]) -> String {
    faults.first().map(ToString::to_string).unwrap_or_default()
}

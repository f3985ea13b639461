//! How the program comes by the catalogue that it answers from.

use thiserror::Error;
use tokio::task::JoinError;
use tokio::task::spawn_blocking;

use crate::domain::access::Grant;
use crate::domain::access::Scopes;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Fault;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Catalogue;
use crate::store::Database;
use crate::store::EditionState;
use crate::store::StoreError;
use crate::store::demo::demo_edition;
use crate::store::load_edition;
use crate::store::published_edition;
use crate::store::rule_packs;
use crate::store::rule_packs::PackError;
use crate::store::save_edition;

use super::Held;

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
    let mut published = published_edition(database).await?;
    if published.is_none() && demo {
        let content = demo_edition().map_err(|faults| StartError::Demo(first(&faults)))?;
        published = Some(save_edition(database, &content, EditionState::Published).await?);
    }
    let edition = load_edition(database, published.ok_or(StartError::Empty)?).await?;
    // Compiling takes as long as the catalogue is large, and other work goes on meanwhile.
    spawn_blocking(move || serve(edition)).await?
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
    let mut wiring_rules = edition.wiring_rules().to_vec();
    if wiring_rules.is_empty() {
        wiring_rules = rule_packs::load_all()?;
        for rules in &mut wiring_rules {
            rules.is_stand_in = true;
        }
    }
    Ok(Held::compile(Catalogue::compile(edition), wiring_rules))
}

fn first<F: ToString>(faults: &[F]) -> String {
    faults.first().map(ToString::to_string).unwrap_or_default()
}

//! Trying a rule on the catalogue before it is saved.

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Rule;
use crate::domain::compatibility::Trial;
use crate::store::catalogue_files::with_rule;

pub use crate::store::catalogue_files::FileFault;
pub use crate::store::catalogue_files::TriedRule;

use super::Snapshot;

/// What a rule does in the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedOut {
    /// The catalogue's parts with the rule's attributes declared.
    pub edition: Edition,
    /// The rule as it was read.
    pub rule: Rule,
    /// What it does.
    pub trial: Trial,
}

/// Reads a rule as a row of `rules.csv` and tries it on the catalogue; or every fault of the row.
pub fn try_rule(snapshot: &Snapshot, tried: &TriedRule) -> Result<TriedOut, Vec<FileFault>> {
    let (edition, rule) = with_rule(snapshot.catalogue().edition(), tried)?;
    let trial = Trial::of(&edition, &rule);
    Ok(TriedOut { edition, rule, trial })
}

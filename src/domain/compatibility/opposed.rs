//! Rules that leave each other nothing: each lets some pairs pass, the two together none.

use std::collections::BTreeSet;

use crate::domain::catalogue::PartKind;

use super::index::Classed;
use super::index::RuleIndex;

/// Two rules that nothing passes together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Opposed {
    /// Code of the one.
    pub first: Box<str>,
    /// Code of the other.
    pub second: Box<str>,
    /// The kinds that they compare.
    pub kinds: (PartKind, PartKind),
}

impl RuleIndex {
    /// Every two refusing rules that oppose each other in this catalogue.
    pub fn opposed(&self) -> Vec<Opposed> {
        let mut found = Vec::new();
        for (kinds, rows) in self.rows() {
            for (index, first) in rows.iter().enumerate() {
                let later = rows.iter().skip(index.saturating_add(1));
                let opposed = later.filter(|second| oppose(first, second));
                found.extend(opposed.map(|second| Opposed {
                    first: first.code().into(),
                    second: second.code().into(),
                    kinds: *kinds,
                }));
            }
        }
        found
    }
}

fn oppose(first: &Classed, second: &Classed) -> bool {
    let passes = |rule: &Classed| rule.sets().any(|set| !set.is_clear());
    if !passes(first) || !passes(second) {
        return false;
    }
    // Nearly always the first few parts say that the two get on: only then are all of them gone through.
    let mut seen = BTreeSet::new();
    let mut together = first.classes().zip(second.classes());
    !together.any(|(one, other)| match (first.set(one), second.set(other)) {
        (Some(some), Some(others)) => seen.insert((one, other)) && !some.is_disjoint(others),
        (None, _) | (_, None) => false,
    })
}

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
    let together: BTreeSet<(usize, usize)> = first.classes().zip(second.classes()).collect();
    !together.into_iter().any(|(one, other)| match (first.set(one), second.set(other)) {
        (Some(one), Some(other)) => !one.is_disjoint(other),
        (None, _) | (_, None) => false,
    })
}

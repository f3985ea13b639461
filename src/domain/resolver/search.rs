//! The search itself: pairs in order of price, each completed, the k best kept.
//!
//! Exact because a pair's own price bounds its bill from below: the search stops only when the next pair alone costs
//! more than the k-th best bill, and pairs of equal price are all looked at, so ties are broken by rule and not by luck.

use crate::domain::catalogue::PartRef;
use crate::domain::money::Minor;
use crate::domain::pricing::Total;
use crate::domain::units::Deciwatts;

use super::completion::Completion;
use super::completion::complete;
use super::controls::Remembered;
use super::pairs::pairs;
use super::query::Query;

/// The most pairs that one question may complete before the search gives up.
pub const SEARCH_NODES_MAX: usize = 2_000_000;

/// What a search came to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    /// The best completions, best first.
    pub best: Vec<Completion>,
    /// Whether the node limit cut the search short.
    pub is_cut_short: bool,
}

/// Rank of a bill: gross price, surplus, part numbers. One rail for all, so the number of rails decides nothing.
type Rank = (Minor, Deciwatts, Vec<PartRef>);

/// The `count` best completions.
pub(super) fn search(query: &Query<'_>, count: usize, nodes_max: usize) -> Found {
    let mut remembered = Remembered::default();
    let mut best: Vec<(Rank, Completion)> = Vec::new();
    for (nodes, pair) in pairs(query).into_iter().enumerate() {
        if nodes_max <= nodes {
            let best = best.into_iter().map(|(_, completion)| completion).collect();
            return Found { best, is_cut_short: true };
        }
        let worst = best.last().filter(|_| best.len() == count);
        if worst.is_some_and(|(_, kept)| kept.net < pair.net) || is_over_budget(query, pair.net) {
            break;
        }
        let completed = complete(query, &pair, &mut remembered);
        let Some(completion) = completed.filter(|done| !is_over_budget(query, done.net)) else {
            continue;
        };
        let rank = (completion.net, pair.surplus(query.demands), completion.parts());
        let position = best.partition_point(|(other, _)| *other < rank);
        if position < count {
            best.insert(position, (rank, completion));
            best.truncate(count);
        }
    }
    Found {
        best: best.into_iter().map(|(_, completion)| completion).collect(),
        is_cut_short: false,
    }
}

/// Whether a net price is beyond the budget once taxed. An amount too large to be held is.
pub(super) fn is_over_budget(query: &Query<'_>, net: Minor) -> bool {
    let Some(budget) = query.demands.preferences.budget else { return false };
    let rate = query.demands.surroundings.market.tax_rate;
    Total::of(net, rate, query.list.currency).map_or(true, |total| budget < total.gross)
}

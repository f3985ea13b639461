//! From demands to the k cheapest valid bills, or to why there is none.
//!
//! One function, [`resolve`]. The options differ in body, element or regulation; ties go to the smaller surplus, then
//! to the order of part numbers. Same catalogue and demands, same answer. Absent here: where a requirement comes
//! from, and which day it is.

mod demands;
mod query;
mod pairs;
mod needs;
mod controls;
mod completion;
mod search;
mod filling;
mod bill;
mod explain;
mod question;
mod best;
mod scan;
mod stairs;
mod frontier;
mod reach;
mod combine;
mod several;
mod ranked;
mod enumerated;

pub use bill::Bill;
pub use demands::Demands;
pub use demands::OPTIONS_MAX;
pub use demands::OPTIONS_USUAL;
pub use demands::Preferences;
pub use demands::RegulationWish;
pub use demands::WISHES_MAX;
pub use enumerated::enumerate;
pub use explain::COMBINATIONS_MAX;
pub use explain::CONFLICTS_MAX;
pub use explain::EXPLANATION_SEARCHES_MAX;
pub use explain::RELAXATIONS_TRIED_MAX;
pub use filling::BillFill;
pub use ranked::Choice;
pub use ranked::ChosenRail;
pub use ranked::Ranked;
pub use ranked::Scope;
pub use ranked::rank;
pub use search::SEARCH_NODES_MAX;

use super::catalogue::PriceList;
use super::compatibility::Catalogue;
use super::conflict::Explanation;

use query::Query;

/// The answer to a request that was well put.
#[derive(Debug, Clone, PartialEq)]
pub enum Resolution {
    /// The cheapest valid bills, best first.
    Resolved(Vec<Bill>),
    /// No bill meets all demands: why, and what would help.
    Impossible(Explanation),
    /// The search reached its limit before it was sure.
    Undecided {
        /// The limit's name.
        limit: &'static str,
        /// What it had found.
        best_so_far: Vec<Bill>,
    },
}

/// The k cheapest valid bills for these demands at the prices of a list.
pub fn resolve(catalogue: &Catalogue, list: &PriceList, demands: &Demands<'_>) -> Resolution {
    resolve_within(catalogue, list, demands, SEARCH_NODES_MAX)
}

/// [`resolve`] with another limit on the pairs looked at.
pub fn resolve_within(
    catalogue: &Catalogue,
    list: &PriceList,
    demands: &Demands<'_>,
    nodes_max: usize,
) -> Resolution {
    let query = Query { catalogue, list, demands };
    let count = demands.options_max.clamp(1, OPTIONS_MAX);
    let found = search::search(&query, count, nodes_max);
    let written = found.best.iter().filter_map(|completion| bill::bill(&query, completion));
    // A total too large to be held was no price in the search either, so nothing is lost here.
    let bills: Vec<Bill> = written.filter_map(Result::ok).collect();
    if found.is_cut_short {
        return Resolution::Undecided { limit: "search_nodes", best_so_far: bills };
    }
    if bills.is_empty() {
        return Resolution::Impossible(explain::explain(&query));
    }
    Resolution::Resolved(bills)
}

//! From demands to the k best valid bills of one to three rails, or to why there is none.
//!
//! [`resolve_from`] answers, and [`choices()`] says what can still be chosen. Options differ in body, element or regulation
//! unless any difference will do; ties go to the lower price, fewer rails, the smaller surplus, then to the order of part
//! numbers. Same catalogue and demands, same answer, whether it comes from the compiled catalogue or from the pairs one
//! by one. Absent here: where a requirement comes from, which day it is, and the clock.

mod sought;
mod allowance;
mod demands;
mod query;
mod shortlist;
mod pairs;
mod needs;
mod controls;
mod completion;
mod question;
mod narrowed;
mod best;
mod scan;
mod stairs;
mod frontier;
mod combine;
mod several;
mod measures;
mod reach;
mod ranked;
mod assemble;
mod search;
mod running;
mod plain;
mod gathered;
mod enumerated;
mod finding;
mod tradeoff;
mod looked_up;
mod filling;
mod rail;
mod bill;
mod variants;
mod explain;
mod choices;

pub use allowance::AT_ONCE_NODES_MAX;
pub use allowance::Allowance;
pub use allowance::Limit;
pub use allowance::RAILS_KEPT_MAX;
pub use allowance::SEARCH_NODES_MAX;
pub use bill::Bill;
pub use choices::AttributeChoices;
pub use choices::CHOSEN_MAX;
pub use choices::Choices;
pub use choices::ChosenValue;
pub use choices::NextValue;
pub use choices::VALUES_MAX;
pub use choices::Wish;
pub use choices::WishChoices;
pub use choices::WishValue;
pub use choices::choices;
pub use demands::Demands;
pub use demands::OPTIONS_MAX;
pub use demands::OPTIONS_USUAL;
pub use demands::Preferences;
pub use demands::RegulationWish;
pub use demands::WISHES_MAX;
pub use enumerated::enumerate;
pub use explain::COMBINATIONS_MAX;
pub use explain::CONFLICTS_MAX;
pub use explain::EXPLANATION_NODES_MAX;
pub use explain::EXPLANATION_SEARCHES_MAX;
pub use explain::RELAXATIONS_TRIED_MAX;
pub use filling::BillFill;
pub use rail::BillRail;
pub use ranked::Choice;
pub use ranked::ChosenRail;
pub use ranked::Ranked;
pub use ranked::Scope;
pub use ranked::rank;
pub use sought::Order;
pub use sought::RAILS_MAX;
pub use sought::Sought;
pub use sought::Variety;
pub use sought::WALLS_MAX;
pub use sought::WallSpace;
pub use tradeoff::FRONTIER_MAX;
pub use tradeoff::Frontier;

use super::catalogue::PriceList;
use super::compatibility::Catalogue;
use super::conflict::Explanation;
use super::money::Minor;
use super::snapshot::Snapshot;

use query::Query;

/// The answer to a request that was well put.
#[derive(Debug, Clone, PartialEq)]
pub enum Resolution {
    /// The best valid bills, best first.
    Resolved(Vec<Bill>),
    /// No bill meets all demands: why, and what would help.
    Impossible(Explanation),
    /// No bill meets all demands: proved, and why was not asked for.
    Unexplained,
    /// A limit was reached before the answer was sure.
    Undecided {
        /// The limit.
        limit: Limit,
        /// The least that any bill costs, tax included, as far as was proved.
        lower_bound: Option<Minor>,
        /// What was found by then.
        best_so_far: Vec<Bill>,
    },
}

/// What a question is put to: a catalogue, the prices of a list, and both compiled where that was done.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// The edition and its rules.
    pub catalogue: &'a Catalogue,
    /// The prices.
    pub list: &'a PriceList,
    /// Used when it serves the demands, see [`Snapshot::serves`].
    pub compiled: Option<&'a Snapshot>,
}

impl<'a> Source<'a> {
    fn query(&self, demands: &'a Demands<'a>, allowance: &'a Allowance<'a>) -> Query<'a> {
        let Self { catalogue, list, compiled } = *self;
        Query { catalogue, list, demands, compiled, allowance }
    }
}

/// The cheapest valid bills for these demands at the prices of a list, from the catalogue as it is.
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
    let source = Source { catalogue, list, compiled: None };
    resolve_from(&source, demands, &Allowance::nodes(nodes_max))
}

/// The best valid bills for these demands, within an allowance.
pub fn resolve_from(
    source: &Source<'_>,
    demands: &Demands<'_>,
    allowance: &Allowance<'_>,
) -> Resolution {
    let query = source.query(demands, allowance);
    let wanted = demands.options_max.clamp(1, OPTIONS_MAX);
    let found = finding::find(&query, wanted);
    let bills = variants::bills(&query, &found.choices, wanted);
    if let Some(cut) = found.cut {
        let best = bills.iter().map(|bill| bill.total.gross).min();
        let unseen = finding::gross(&query, cut.least);
        let lower_bound = unseen.map(|least| best.map_or(least, |best| best.min(least)));
        return Resolution::Undecided { limit: cut.limit, lower_bound, best_so_far: bills };
    }
    if !bills.is_empty() {
        return Resolution::Resolved(bills);
    }
    if !demands.sought.is_explained {
        return Resolution::Unexplained;
    }
    let patience = allowance.with_nodes(EXPLANATION_NODES_MAX);
    let explanation = explain::explain(&Query { allowance: &patience, ..query });
    if allowance.is_time_up() {
        // What a slower machine had no time to say must not look like an answer of its own.
        let limit = Limit::Time;
        return Resolution::Undecided { limit, lower_bound: None, best_so_far: Vec::new() };
    }
    Resolution::Impossible(explanation)
}

/// What [`resolve_from`] gives, where that takes next to no time.
///
/// That is, bills by price from the compiled catalogue, found within [`AT_ONCE_NODES_MAX`] combinations and before the caller
/// says that the time is up. Nothing everywhere else, also where there is no bill and that is to be explained.
pub fn resolve_at_once(
    source: &Source<'_>,
    demands: &Demands<'_>,
    is_time_up: &dyn Fn() -> bool,
) -> Option<Resolution> {
    let allowance = Allowance::new(AT_ONCE_NODES_MAX, is_time_up);
    let query = source.query(demands, &allowance);
    // Every other way to complete a rail is looked for among all accessories.
    let is_quick = finding::is_ranked(demands) && demands.sought.variety == Variety::Rails;
    let index = query.served().filter(|_| is_quick)?;
    let wanted = demands.options_max.clamp(1, OPTIONS_MAX);
    let found = ranked::search(&query, index, [demands.rails_allowed(), wanted]);
    if found.cut.is_some() {
        return None;
    }
    if found.choices.is_empty() {
        return (!demands.sought.is_explained).then_some(Resolution::Unexplained);
    }
    let bills = variants::bills(&query, &found.choices, wanted);
    (!bills.is_empty()).then_some(Resolution::Resolved(bills))
}

/// The bills that no other beats in price and heat: what is worth choosing from when both count.
///
/// All demands hold, budget and requirement too. Order and variety do not matter here.
pub fn frontier_from(
    source: &Source<'_>,
    demands: &Demands<'_>,
    allowance: &Allowance<'_>,
) -> Frontier {
    tradeoff::frontier(&source.query(demands, allowance))
}

/// Whether there is a bill, and the least that one costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cheapest {
    /// Gross price of the cheapest bill.
    At(Minor),
    /// No bill meets all demands: proved.
    Nothing,
    /// A limit was reached first.
    Undecided(Limit),
}

/// Whether any bill meets these demands, and what the cheapest costs: what explanations and next choices ask.
///
/// Price, rails and walls count as in [`resolve_from`]; the order, the variety and the number of options do not. Uses
/// the compiled catalogue when it serves the demands.
pub fn cheapest(source: &Source<'_>, demands: &Demands<'_>, allowance: &Allowance<'_>) -> Cheapest {
    let query = source.query(demands, allowance);
    match finding::by_price(&query, demands) {
        Ok(choice) => choice
            .and_then(|choice| finding::gross(&query, choice.net))
            .map_or(Cheapest::Nothing, Cheapest::At),
        Err(cut) => Cheapest::Undecided(cut.limit),
    }
}

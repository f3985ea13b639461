//! The best choices for a query, from the compiled catalogue where that serves and from the pairs one by one elsewhere.
//!
//! The answers are the same, which tests hold both to; only the time differs. [`by_price`] is what explanations and
//! next choices ask: is there any bill, and what is the least it costs.

use crate::domain::money::Minor;
use crate::domain::pricing::Total;

use super::allowance::Nodes;
use super::assemble::Finish;
use super::assemble::Kept;
use super::assemble::Terms;
use super::assemble::assemble;
use super::assemble::prune;
use super::demands::Demands;
use super::gathered::gather;
use super::pairs::floor;
use super::plain;
use super::plain::terms;
use super::query::Query;
use super::ranked;
use super::ranked::Choice;
use super::ranked::Cut;
use super::ranked::Found;
use super::search;
use super::sought::Order;

/// The best choices, no more than are wanted.
pub(super) fn find(query: &Query<'_>, wanted: usize) -> Found {
    let demands = query.demands;
    let rails_max = demands.rails_allowed();
    let is_by_price = is_ranked(demands);
    match query.served() {
        Some(index) if is_by_price => ranked::search(query, index, [rails_max, wanted]),
        None if is_by_price && rails_max == 1 => search::search(query, wanted),
        Some(_) | None => assembled(query, wanted),
    }
}

/// Whether the compiled catalogue ranks what is demanded by itself: by price, on one wall space.
pub(super) fn is_ranked(demands: &Demands<'_>) -> bool {
    demands.sought.order == Order::Price && demands.sought.walls.is_empty()
}

/// The best choices put together from the rails of each finish.
fn assembled(query: &Query<'_>, wanted: usize) -> Found {
    let terms = terms(query, wanted);
    let mut nodes = Nodes::new(query.allowance);
    let mut kept = Kept::new(wanted);
    for mut walls in pieces(query, &terms, &mut nodes) {
        for rails in &mut walls {
            prune(rails, &terms);
        }
        assemble(&walls, &terms, &mut kept, &mut nodes);
    }
    kept.found(nodes.limit().map(|limit| Cut { limit, least: floor(query) }))
}

/// The rails of every finish that can stand in a bill: from the compiled catalogue, unless it lacks what the order goes by.
pub(super) fn pieces(query: &Query<'_>, terms: &Terms, nodes: &mut Nodes<'_>) -> Vec<Finish> {
    let index = match query.demands.sought.order {
        Order::Price | Order::WarmestWithinBudget => query.served(),
        Order::FewestParts | Order::LowestRunningCost => None,
    };
    match index {
        Some(index) => gather(query, index, terms, nodes),
        None => plain::gather(query, terms, nodes),
    }
}

/// The cheapest choice for other demands, whatever their order; nothing when there is none, proved.
pub(super) fn by_price(query: &Query<'_>, demands: &Demands<'_>) -> Result<Option<Choice>, Cut> {
    let mut by_price = demands.clone();
    by_price.sought.order = Order::Price;
    let mut found = find(&Query { demands: &by_price, ..*query }, 1);
    match found.cut {
        Some(cut) => Err(cut),
        None => Ok(found.choices.pop()),
    }
}

/// Whether there is any bill for other demands, proved; in the compiled catalogue without looking for the cheapest.
pub(super) fn is_possible(query: &Query<'_>, demands: &Demands<'_>) -> Result<bool, Cut> {
    let other = Query { demands, ..*query };
    match other.served().filter(|_| demands.sought.walls.is_empty()) {
        Some(index) => ranked::is_possible(&other, index, demands.rails_allowed()),
        None => by_price(query, demands).map(|found| found.is_some()),
    }
}

/// A net price with its tax.
pub(super) fn gross(query: &Query<'_>, net: Minor) -> Option<Minor> {
    let rate = query.demands.surroundings.market.tax_rate;
    Total::of(net, rate, query.list.currency).ok().map(|total| total.gross)
}

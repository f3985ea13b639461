//! The best choices for a query, from the compiled catalogue where that serves and from the pairs one by one elsewhere.
//!
//! The answers are the same, which tests hold both to; only the time differs. [`by_price`] is what explanations and
//! next choices ask: is there any bill, and what is the least it costs.

use crate::domain::money::Minor;
use crate::domain::pricing::Total;
use crate::domain::snapshot::Index;

use super::allowance::Nodes;
use super::assemble::Finish;
use super::assemble::Kept;
use super::assemble::Terms;
use super::assemble::assemble;
use super::assemble::prune;
use super::demands::Demands;
use super::gathered::gather;
use super::measures::Measures;
use super::pairs::floor;
use super::plain;
use super::plain::terms;
use super::query::Query;
use super::ranked;
use super::ranked::Choice;
use super::ranked::Cut;
use super::ranked::Found;
use super::reach::Goal;
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
    by_price_within(query, demands, i64::MAX)
}

/// [`by_price`] among bills that cost net no more than this.
pub(super) fn by_price_within(
    query: &Query<'_>,
    demands: &Demands<'_>,
    known: i64,
) -> Result<Option<Choice>, Cut> {
    let mut found = if let Some(index) = compiled(query, demands) {
        let other = Query { demands, ..*query };
        ranked::cheapest(&other, index, (demands.rails_allowed(), known))
    } else {
        let mut by_price = demands.clone();
        by_price.sought.order = Order::Price;
        find(&Query { demands: &by_price, ..*query }, 1)
    };
    match found.cut {
        Some(cut) => Err(cut),
        None => Ok(found.choices.pop().filter(|choice| choice.net.value() <= known)),
    }
}

/// The compiled catalogue, where it answers other demands without putting walls together.
fn compiled<'a>(query: &Query<'a>, demands: &'a Demands<'_>) -> Option<&'a Index> {
    let other = Query { demands, ..*query };
    if demands.sought.walls.is_empty() { other.served() } else { None }
}

/// Whether other demands can be met, and by what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Met {
    /// By nothing.
    Not,
    /// By what nobody has measured.
    Somehow,
    /// By this among others.
    By(Measures),
}

impl Met {
    fn by(found: Option<Measures>) -> Self {
        found.map_or(Self::Not, Self::By)
    }
}

/// Whether there is any bill for other demands, proved; in the compiled catalogue without looking for the cheapest.
pub(super) fn met(query: &Query<'_>, demands: &Demands<'_>) -> Result<Met, Cut> {
    let other = Query { demands, ..*query };
    match compiled(query, demands) {
        Some(index) => ranked::any(&other, index, demands.rails_allowed()).map(Met::by),
        None => by_price(query, demands).map(|found| found.map_or(Met::Not, |_| Met::Somehow)),
    }
}

/// What meets other demands and comes nearest to a goal, the price of several rails left aside; nobody has measured it
/// where the compiled catalogue does not serve.
pub(super) fn nearest(query: &Query<'_>, demands: &Demands<'_>, goal: Goal) -> Result<Met, Cut> {
    let other = Query { demands, ..*query };
    match compiled(query, demands) {
        Some(index) => ranked::nearest(&other, index, (demands.rails_allowed(), goal)).map(Met::by),
        None => Ok(Met::Somehow),
    }
}

/// A net price with its tax.
pub(super) fn gross(query: &Query<'_>, net: Minor) -> Option<Minor> {
    let rate = query.demands.surroundings.market.tax_rate;
    Total::of(net, rate, query.list.currency).ok().map(|total| total.gross)
}

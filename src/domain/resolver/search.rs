//! One rail by going through the pairs in order of price, each completed, the best kept.
//!
//! Exact because a pair's own price bounds its bill from below: the search stops only when the next pair alone costs
//! more than the last bill kept, and pairs of equal price are all looked at, so ties are broken by rule and not by
//! luck. For drawn rooms, and for catalogues whose rule rows join controls with accessories.

use super::allowance::Nodes;
use super::assemble::Bundled;
use super::assemble::Kept;
use super::completion::Completion;
use super::completion::complete;
use super::controls::Remembered;
use super::pairs::floor;
use super::pairs::pairs_within;
use super::query::Query;
use super::query::is_over_budget;
use super::ranked::ChosenRail;
use super::ranked::Cut;
use super::ranked::Found;

/// The best bills of one rail on the wall of the place, cheapest first, and what cut the search short.
pub(super) fn search(query: &Query<'_>, wanted: usize) -> Found {
    let mut nodes = Nodes::new(query.allowance);
    let mut kept = Kept::new(wanted);
    let pairs = pairs_within(query, &mut nodes);
    if nodes.is_spent() {
        return kept.found(nodes.limit().map(|limit| Cut { limit, least: floor(query) }));
    }
    let mut remembered = Remembered::default();
    for pair in pairs {
        if nodes.is_spent() {
            let cut = nodes.limit().map(|limit| Cut { limit, least: pair.net });
            return kept.found(cut);
        }
        nodes.spend(1);
        if kept.bound() < [0, pair.net.value()] || is_over_budget(query, pair.net) {
            break;
        }
        let completed = complete(query, &pair, &mut remembered);
        if let Some(done) = completed.filter(|done| !is_over_budget(query, done.net)) {
            kept.offer(bundled(&done));
        }
    }
    kept.found(None)
}

fn bundled(done: &Completion) -> Bundled {
    let rail = ChosenRail { body: done.pair.body, element: done.pair.element, wall: None };
    let delivered = done.pair.delivered.value();
    Bundled { cost: 0, net: done.net.value(), count: 1, delivered, rails: vec![rail] }
}

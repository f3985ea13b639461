//! Finished rails by going through every pair: for any number of rails, any order, any catalogue.
//!
//! What a compiled catalogue does not answer is answered from here. Slow beside it and just as exact.

use std::collections::BTreeMap;

use crate::domain::units::Deciwatts;

use super::allowance::Nodes;
use super::assemble::Finish;
use super::assemble::Piece;
use super::assemble::Terms;
use super::completion::Completion;
use super::completion::completions;
use super::controls::Remembered;
use super::demands::Demands;
use super::pairs::pairs_within;
use super::query::Query;
use super::query::net_max;
use super::ranked::ChosenRail;
use super::running::energy_tenths;
use super::several::GAP_MM;
use super::sought::Order;

/// Rails by finish, then by wall space.
type Finishes<'a> = BTreeMap<&'a str, Finish>;

/// What bills of a query must keep to.
pub(super) fn terms(query: &Query<'_>, wanted: usize) -> Terms {
    let demands = query.demands;
    let wall = demands.surroundings.place.wall_width;
    let is_shared = demands.sought.walls.is_empty();
    Terms {
        rails_max: demands.rails_allowed(),
        wanted,
        required: demands.required.map_or(0, Deciwatts::value),
        net_max: net_max(query),
        wall: wall.filter(|_| is_shared).map(|wall| [wall.value(), GAP_MM]),
    }
}

/// The rails of every finish, by wall space, that meet all demands on one rail.
pub(super) fn gather(query: &Query<'_>, terms: &Terms, nodes: &mut Nodes<'_>) -> Vec<Finish> {
    let spots = query.demands.spots();
    let mut finishes = Finishes::new();
    for (wall, demands) in spots.iter().enumerate() {
        let spot = Spot { query: Query { demands, ..*query }, wall, count: spots.len() };
        spot.collect(terms, &mut finishes, nodes);
    }
    finishes.into_values().collect()
}

/// One wall space and what is asked of a rail there.
struct Spot<'a> {
    query: Query<'a>,
    wall: usize,
    count: usize,
}

impl<'a> Spot<'a> {
    fn collect(&self, terms: &Terms, finishes: &mut Finishes<'a>, nodes: &mut Nodes<'_>) {
        let query = &self.query;
        let bodies = query.catalogue.edition().bodies();
        let mut remembered = Remembered::default();
        let pairs = pairs_within(query, nodes);
        let mut held: usize = 0;
        for pair in pairs {
            nodes.spend(1);
            nodes.hold(held);
            if nodes.is_spent() {
                return;
            }
            let Some(body) = bodies.get(pair.body.index) else { continue };
            let mut completed = completions(query, &pair, &mut remembered, 1);
            completed.retain(|done| done.net.value() <= terms.net_max);
            if completed.is_empty() {
                continue;
            }
            let walls = finishes.entry(&*body.finish).or_default();
            walls.resize(self.count, Vec::new());
            if let Some(pieces) = walls.get_mut(self.wall) {
                held = held.saturating_add(completed.len());
                let width = body.size.width.value();
                pieces.extend(completed.iter().map(|done| self.piece(done, width)));
            }
        }
    }

    fn piece(&self, done: &Completion, width: i32) -> Piece {
        let demands = self.query.demands;
        let wall = (!demands.sought.walls.is_empty()).then_some(self.wall);
        let rail = ChosenRail { body: done.pair.body, element: done.pair.element, wall };
        Piece {
            rail,
            cost: cost(&self.query, demands, done),
            net: done.net.value(),
            delivered: done.pair.delivered.value(),
            width,
        }
    }
}

/// What a rail costs in the order that is asked for, beside its price.
fn cost(query: &Query<'_>, demands: &Demands<'_>, done: &Completion) -> i64 {
    match demands.sought.order {
        Order::Price => 0,
        Order::WarmestWithinBudget => done.pair.delivered.value().saturating_neg(),
        Order::FewestParts => done.pieces().into(),
        Order::LowestRunningCost => energy_tenths(query, &done.pair),
    }
}

//! Two and three rails of one finish, side by side: lower bounds per finish, then the rails that can matter, combined.
//!
//! A finish is skipped when the least that so many of its rails can cost exceeds what is still looked for: one rail of
//! a bill has at least its share of the requirement, as watts and as rated output, and the others cost at least the
//! cheapest. While no bill is known it is also skipped when its bodies together cannot deliver enough (`reach`). Of
//! the rails that are left a frontier is kept (`frontier`), and its combinations are gone through in order of price
//! (`combine`). Every bound is a lower bound and is compared strictly, so equal prices are all seen.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::integer_division,
    reason = "shares of a bounded requirement and of a bounded width; places within the snapshot"
)]

use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::Index;
use crate::domain::snapshot::Lanes;

use super::allowance::Nodes;
use super::best::Best;
use super::best::Bundle;
use super::combine::Several;
use super::combine::combine;
use super::frontier::Frontier;
use super::frontier::Partners;
use super::question::Question;
use super::question::RATED;
use super::reach::Reach;
use super::scan::Asked;
use super::scan::Firsts;
use super::scan::Offered;
use super::scan::Taker;
use super::scan::rails;
use super::stairs::ElementStairs;
use super::stairs::Leasts;
use super::stairs::Stairs;

/// Gap between two rails on one wall space, millimetres (common practice, no source).
pub(super) const GAP_MM: i32 = 100;

/// Looks for bills of so many rails.
pub(super) fn several(
    question: &Question<'_>,
    count: usize,
    best: &mut Best,
    nodes: &mut Nodes<'_>,
) {
    let stairs = ElementStairs::new(question);
    let coarse = finishes(question, count).filter(|(least, _)| *least <= best.bound());
    let mut bounded: Vec<(Leasts, Several<'_>)> = coarse
        .map(|(_, several)| several)
        .filter_map(|several| Some((several.leasts(best, &stairs)?, several)))
        .filter(|(leasts, _)| leasts.total <= best.bound() && leasts.total < i64::MAX)
        .collect();
    bounded.sort_by_key(|(leasts, several)| (leasts.total, several.finish));
    for (leasts, several) in bounded {
        if best.bound() < leasts.total {
            return;
        }
        several.search(&leasts, best, nodes);
        if nodes.is_spent() {
            nodes.leave(leasts.total);
            return;
        }
    }
}

/// The least net price of any bill of so many rails; nothing when there can be none.
pub(super) fn floor(question: &Question<'_>, count: usize) -> Option<i64> {
    finishes(question, count).map(|(least, _)| least).min()
}

/// Every finish in which so many rails may be found, with the least that they cost.
fn finishes<'a>(
    question: &'a Question<'a>,
    count: usize,
) -> impl Iterator<Item = (i64, Several<'a>)> {
    let index = question.index;
    let gaps = i32::try_from(count - 1).unwrap_or(i32::MAX).saturating_mul(GAP_MM);
    let wall = question.demands.surroundings.place.wall_width;
    let width = wall.map(|wall| wall.value().saturating_sub(gaps));
    let element = question.cheapest_element(0);
    let finishes = (0..index.finishes.len())
        .filter(|finish| question.finish.is_none_or(|asked| asked == *finish));
    finishes.filter_map(move |finish| {
        let least = index.finish_least(finish, 0)?.checked_add(question.added_least)?;
        let several = Several { question, count, finish, least, element: element?, width };
        Some((several.lower_bound(index)?, several))
    })
}

impl<'a> Several<'a> {
    /// The requirement divided by the rails, rounded up: the most heated rail has at least this.
    fn share(&self) -> i64 {
        let count = i64::try_from(self.count).unwrap_or(1);
        (self.question.required + count - 1) / count
    }

    /// The price of a rail of which nothing but the finish is known, times all rails but one.
    fn others(&self) -> i64 {
        self.least.saturating_mul(i64::try_from(self.count - 1).unwrap_or(i64::MAX))
    }

    /// How many gaps lie between the rails.
    fn gaps(&self) -> i32 {
        i32::try_from(self.count - 1).unwrap_or(i32::MAX)
    }

    /// The least that so many rails can cost; nothing when no rail of the finish can bear its share.
    fn lower_bound(&self, index: &Index) -> Option<i64> {
        let share = self.share();
        let by_watts = index.finish_least(self.finish, index.step_for(share)?)?;
        let by_rated = index.rated_least(self.finish, self.question.rated_limit(share))?;
        let strongest = by_watts.max(by_rated).checked_add(self.question.added_least)?;
        strongest.checked_add(self.others())
    }

    /// The least prices of the finish; nothing when its bodies cannot deliver enough together.
    fn leasts(&self, best: &Best, elements: &ElementStairs) -> Option<Leasts> {
        let index = self.question.index;
        let bound = best.bound().saturating_sub(self.others());
        let mut reach = Reach::new(&index.width_cuts);
        let mut stairs = Stairs::new(elements, self.question.extras_least);
        self.walk(&Walk { limits: self.wide_limits(), bound }, |slot, body, _| {
            let most = self.question.most_roughly(body);
            reach.add(body.width, most);
            stairs.add(index.bases[slot], most);
            bound
        });
        let is_enough = reach.allows(self.count, self.width, self.question.required);
        is_enough.then(|| stairs.finish(self.count, self.question.required))
    }

    fn search(&self, leasts: &Leasts, best: &mut Best, nodes: &mut Nodes<'_>) {
        let required = self.question.required;
        let bound = best.bound().min(self.seed(best, nodes));
        let room = (self.width, self.question.index.width_cuts.as_slice());
        let partners = Partners { leasts, required, bound };
        let mut frontier = Frontier::new(best.wanted(), room, partners);
        self.collect(&mut frontier, bound.saturating_sub(self.others()), nodes);
        combine(self, frontier.finish(), (best, bound), nodes);
    }

    /// Collects the rails that cost no more than a bound each.
    pub(super) fn collect(
        &self,
        frontier: &mut Frontier<'_>,
        bound_each: i64,
        nodes: &mut Nodes<'_>,
    ) {
        let walk = Walk { limits: self.wide_limits(), bound: bound_each };
        let mut firsts = Firsts::new(self.question, 0, 0);
        self.walk(&walk, |slot, body, least| {
            let roughly = self.question.most_roughly(body);
            nodes.hold(frontier.len());
            if nodes.is_spent()
                || !frontier.begin(least, (body.width, roughly))
                || !frontier.begin(least, (body.width, self.question.most_delivered(body)))
            {
                return bound_each;
            }
            let Some(first) = firsts.of(self.question, body.menu) else { return bound_each };
            let asked = Asked { slot, body, required: 0, first };
            let seen = rails(self.question, &asked, bound_each, frontier);
            nodes.spend(seen);
            bound_each
        });
    }

    /// Limits on bodies that leave room for the others.
    fn wide_limits(&self) -> [u8; 8] {
        let narrowest = self.question.index.extremes.width_least;
        self.limits(self.width.map(|width| width - self.gaps().saturating_mul(narrowest)))
    }

    /// A price that enough bills are known to keep to: each the same rail so many times.
    fn seed(&self, best: &Best, nodes: &mut Nodes<'_>) -> i64 {
        let index = self.question.index;
        let share = self.share();
        let width = self.width.map(|width| width / self.gaps().saturating_add(1));
        let Some(step) = index.step_for(share) else { return i64::MAX };
        let mut limits = self.limits(width);
        limits[RATED] = self.question.rated_limit(share);
        let mut firsts = Firsts::new(self.question, share, step);
        let mut equals = Equals { best: Best::new(best.wanted(), best.bound()), width };
        self.walk(&Walk { limits, bound: equals.best.bound() }, |slot, body, _| {
            let first = firsts.of(self.question, body.menu).filter(|_| !nodes.is_spent());
            if let Some(first) = first {
                let asked = Asked { slot, body, required: share, first };
                let bound = equals.best.bound();
                let seen = rails(self.question, &asked, bound, &mut equals);
                nodes.spend(seen);
            }
            equals.best.bound()
        });
        let last = equals.best.full_bound();
        last.map_or(i64::MAX, |last| last.saturating_mul(i64::from(self.gaps().saturating_add(1))))
    }

    /// Limits on bodies of the finish no wider than this.
    fn limits(&self, width: Option<i32>) -> [u8; 8] {
        let mut limits = self.question.limits_of_finish(self.finish);
        if let Some(width) = width {
            limits[0] = self.question.index.body_ranks.width.rank(i64::from(width)).min(limits[0]);
        }
        limits
    }

    /// Every body of the finish within limits, with the least that a rail with it costs, as long as that is within a
    /// bound, which the sink may lower.
    fn walk<F: FnMut(usize, &'a BodyRow, i64) -> i64>(&self, walk: &Walk, mut sink: F) {
        let index = self.question.index;
        let mut bound = walk.bound;
        let element = self.element.saturating_add(self.question.extras_least);
        let Some(order) = index.finish_orders.get(self.finish) else { return };
        let limit = Lanes::pack(walk.limits).guarded();
        for (place, (lanes, least)) in order.lanes.iter().zip(&order.least).enumerate() {
            let least = least.saturating_add(self.question.added_least);
            if bound < least {
                return;
            }
            if !limit.admits(*lanes) {
                continue;
            }
            let slot = order.body(place);
            // The order goes by the coarser least, so the finer one skips a body and does not end the walk.
            if bound < index.bases[slot].saturating_add(element) {
                continue;
            }
            bound = sink(slot, &index.bodies[slot], least);
        }
    }
}

/// Which bodies to walk through.
#[derive(Debug, Clone, Copy)]
struct Walk {
    limits: [u8; 8],
    bound: i64,
}

/// Rails that each bear their share within their share of the wall.
struct Equals {
    best: Best,
    width: Option<i32>,
}

impl Taker for Equals {
    fn wants(&self, _least: i64, _most: i64) -> bool {
        true
    }

    fn take(&mut self, offered: Offered) -> i64 {
        if self.width.is_none_or(|width| offered.width <= width) {
            self.best.offer(Bundle::single(&offered));
        }
        self.best.bound()
    }
}

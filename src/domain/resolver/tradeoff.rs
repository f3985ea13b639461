//! Price against heat: the bills that no other beats in both.
//!
//! Rails are added one at a time. What other rails of the same walls beat in price, heat and width together is dropped on
//! the way: put in its place, they make a better bill. Of equal price and heat fewer rails stand for the others, then
//! part numbers. Absent here: lines and checks of the bills.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "sums of three bounded prices, outputs and widths; places within lists that were just made"
)]

use std::cmp::Reverse;

use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;

use super::allowance::Limit;
use super::allowance::Nodes;
use super::assemble::Finish;
use super::assemble::Piece;
use super::assemble::Terms;
use super::assemble::prune;
use super::demands::Demands;
use super::finding::pieces;
use super::plain::terms;
use super::query::Query;
use super::ranked::Choice;
use super::ranked::ChosenRail;
use super::sought::Order;

/// The most bills on a frontier; the cheapest are kept.
pub const FRONTIER_MAX: usize = 200;

/// Bills by rising price and rising heat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frontier {
    /// No other valid bill costs no more and delivers no less than any of them.
    pub choices: Vec<Choice>,
    /// Whether there are more than [`FRONTIER_MAX`].
    pub has_more: bool,
    /// The limit that was reached, if one was: then the bills prove nothing.
    pub limit: Option<Limit>,
}

/// The frontier of a query.
pub(super) fn frontier(query: &Query<'_>) -> Frontier {
    let mut demands = query.demands.clone();
    // Rails by heat first: then whatever is beaten in price and heat is beaten.
    demands.sought.order = Order::WarmestWithinBudget;
    let query = Query { demands: &demands, ..*query };
    let terms = terms(&query, 1);
    let mut nodes = Nodes::new(query.allowance);
    let finishes = pieces(&query, &terms, &mut nodes);
    let mut all = Vec::new();
    for finish in finishes {
        all.extend(bundles(finish, &terms, &mut nodes));
    }
    let (choices, has_more) = rising(all, &demands);
    Frontier { choices, has_more, limit: nodes.limit() }
}

/// Some rails of one finish.
#[derive(Debug, Clone)]
struct Bundle {
    net: i64,
    delivered: i64,
    /// With the gaps.
    width: i32,
    rails: Vec<ChosenRail>,
    /// The last wall and the last rail's place on it.
    last: [usize; 2],
}

/// Every bundle of a finish that no other of as many rails on the same walls beats.
fn bundles(mut walls: Finish, terms: &Terms, nodes: &mut Nodes<'_>) -> Vec<Bundle> {
    for pieces in &mut walls {
        prune(pieces, terms);
    }
    let mut groups = vec![vec![Bundle::EMPTY]];
    let mut all = Vec::new();
    for _ in 0..terms.rails_max {
        let mut next = Vec::new();
        for group in &groups {
            next.extend(grown(group, &walls, terms, nodes));
        }
        all.extend(next.iter().flatten().cloned());
        groups = next;
    }
    all
}

/// Bundles of the same walls with one rail more, by the wall that it hangs on.
fn grown(
    group: &[Bundle],
    walls: &[Vec<Piece>],
    terms: &Terms,
    nodes: &mut Nodes<'_>,
) -> Vec<Vec<Bundle>> {
    let is_own = 1 < walls.len();
    let Some(first) = group.first() else { return Vec::new() };
    let from = if is_own && !first.rails.is_empty() { first.last[0] + 1 } else { 0 };
    (from..walls.len())
        .map(|wall| {
            let mut found = Vec::new();
            for bundle in group {
                let begin = if is_own { 0 } else { bundle.last[1] };
                let pieces = walls[wall].iter().enumerate().skip(begin);
                if nodes.is_spent() {
                    return found;
                }
                nodes.spend(pieces.len());
                found.extend(
                    pieces.filter_map(|(place, piece)| bundle.with(piece, [wall, place], terms)),
                );
                nodes.hold(found.len());
            }
            unbeaten(found, terms)
        })
        .collect()
}

impl Bundle {
    const EMPTY: Self = Self { net: 0, delivered: 0, width: 0, rails: Vec::new(), last: [0; 2] };

    fn with(&self, piece: &Piece, last: [usize; 2], terms: &Terms) -> Option<Self> {
        let net = self.net + piece.net;
        let [wall, gap] = terms.wall.unwrap_or([i32::MAX, 0_i32]);
        let gap = if self.rails.is_empty() { 0_i32 } else { gap };
        let width = self.width.saturating_add(gap).saturating_add(piece.width);
        if terms.net_max < net || (terms.wall.is_some() && wall < width) {
            return None;
        }
        let mut rails = self.rails.clone();
        rails.push(piece.rail);
        rails.sort_unstable();
        Some(Self { net, delivered: self.delivered + piece.delivered, width, rails, last })
    }
}

/// Those that no other beats: none costs less and delivers no less, or costs no more and delivers more, in no more width.
fn unbeaten(mut found: Vec<Bundle>, terms: &Terms) -> Vec<Bundle> {
    found.sort_by(|one, other| {
        (one.net, Reverse(one.delivered), &one.rails).cmp(&(
            other.net,
            Reverse(other.delivered),
            &other.rails,
        ))
    });
    let mut kept: Vec<Bundle> = Vec::new();
    for bundle in found {
        let beats = |other: &Bundle| {
            let is_better = other.net < bundle.net || bundle.delivered < other.delivered;
            is_better
                && bundle.delivered <= other.delivered
                && (terms.wall.is_none() || other.width <= bundle.width)
        };
        if !kept.iter().any(beats) {
            kept.push(bundle);
        }
    }
    kept
}

/// The bills that meet the requirement and that none beats, by price.
fn rising(all: Vec<Bundle>, demands: &Demands<'_>) -> (Vec<Choice>, bool) {
    let required = demands.required.map_or(0, Deciwatts::value);
    let mut enough: Vec<Bundle> =
        all.into_iter().filter(|bundle| required <= bundle.delivered).collect();
    enough.sort_by(|one, other| {
        let rank = |bundle: &Bundle| (bundle.net, Reverse(bundle.delivered), bundle.rails.len());
        (rank(one), &one.rails).cmp(&(rank(other), &other.rails))
    });
    let mut choices: Vec<Choice> = Vec::new();
    for bundle in enough {
        let delivered = Deciwatts::new(bundle.delivered);
        if choices.last().is_none_or(|last| last.delivered < delivered) {
            choices.push(Choice { net: Minor::new(bundle.net), delivered, rails: bundle.rails });
        }
    }
    let has_more = FRONTIER_MAX < choices.len();
    choices.truncate(FRONTIER_MAX);
    (choices, has_more)
}

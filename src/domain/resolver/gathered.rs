//! Finished rails from the compiled catalogue, for walls of the rails' own, for the warmest, and for price against heat.
//!
//! Of each finish and wall those are kept that not enough others beat, see [`super::frontier`]: a rail that costs less,
//! delivers no less and is no wider makes a better bill in each of these orders.
#![expect(clippy::indexing_slicing, reason = "places of bodies within the snapshot")]

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::snapshot::Index;

use super::allowance::Nodes;
use super::assemble::Finish;
use super::assemble::Piece;
use super::assemble::Terms;
use super::frontier::Frontier;
use super::frontier::Partners;
use super::narrowed::Narrowed;
use super::query::Query;
use super::question::Question;
use super::ranked::ChosenRail;
use super::scan::Offered;
use super::several::collect;
use super::sought::Order;

/// The rails of every finish, by wall space, that can stand in a bill.
pub(super) fn gather(
    query: &Query<'_>,
    index: &Index,
    terms: &Terms,
    nodes: &mut Nodes<'_>,
) -> Vec<Finish> {
    let spots = query.demands.spots();
    let queries: Vec<Query<'_>> = spots.iter().map(|demands| Query { demands, ..*query }).collect();
    let questions: Vec<Option<Question<'_>>> =
        queries.iter().map(|spot| Question::new(spot, (index, terms.wanted))).collect();
    (0..index.finishes.len())
        .map(|finish| {
            let walls = questions.iter().enumerate();
            walls
                .map(|(wall, question)| {
                    let question = question.as_ref();
                    let offered = question.map(|asked| offered(asked, finish, terms, nodes));
                    let rails = offered.into_iter().flatten();
                    rails.map(|rail| piece(query, index, (wall, &rail))).collect()
                })
                .collect()
        })
        .collect()
}

fn offered(
    question: &Question<'_>,
    finish: usize,
    terms: &Terms,
    nodes: &mut Nodes<'_>,
) -> Vec<Offered> {
    let is_asked = question.finish.is_none_or(|asked| asked == finish);
    let narrowed = Narrowed::new(question, finish).filter(|_| is_asked);
    let Some(narrowed) = narrowed else { return Vec::new() };
    let mut limits = narrowed.limits(0);
    let ranks = &question.index.body_ranks;
    let cuts = terms.wall.map(|[width, _]| {
        limits[0] = ranks.width.rank(i64::from(width)).min(limits[0]);
        question.index.width_cuts.as_slice()
    });
    let partners = Partners { bounds: None, bound: terms.net_max };
    let mut frontier = Frontier::new(terms.wanted, cuts, partners);
    collect(&narrowed, limits, &mut frontier, nodes);
    frontier.finish().rails
}

fn piece(query: &Query<'_>, index: &Index, (wall, offered): (usize, &Offered)) -> Piece {
    let sought = &query.demands.sought;
    let part = |kind, place| PartRef { kind, index: place };
    Piece {
        rail: ChosenRail {
            body: part(PartKind::Body, index.bodies[offered.rail.body].index),
            element: part(PartKind::Element, offered.rail.element),
            wall: (!sought.walls.is_empty()).then_some(wall),
        },
        cost: if sought.order == Order::WarmestWithinBudget {
            offered.delivered.saturating_neg()
        } else {
            0
        },
        net: offered.net,
        delivered: offered.delivered,
        width: offered.width,
    }
}

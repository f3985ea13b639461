//! Why nothing fits, and the smallest changes that would help.
//!
//! All smallest conflicts and all smallest corrections come from one enumeration ([`minimal`]); each correction is then
//! made as small as it can be ([`nearest`]) and proved by resolving again. Absent here: the words ([`words`]).

mod minimal;
mod offers;
mod words;
mod measured;
mod nearest;

use std::cmp::Reverse;

use crate::domain::conflict::Conflict;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Explanation;
use crate::domain::conflict::Fact;
use crate::domain::conflict::Relaxation;

use super::demands::Demands;
use super::finding::Met;
use super::query::Query;

use minimal::Limits;
use minimal::Sets;
use minimal::bits;
use minimal::minimal_sets;
use nearest::Wanted;
use offers::Exhausted;
use offers::Offers;

pub use nearest::RELAXATIONS_TRIED_MAX;
pub use offers::EXPLANATION_NODES_MAX;
pub use offers::EXPLANATION_SEARCHES_MAX;

/// The most smallest conflicts that one answer names.
pub const CONFLICTS_MAX: usize = 10;

/// The most sets of several changes that one answer offers.
pub const COMBINATIONS_MAX: usize = 10;

/// How far the enumeration of conflicts and corrections goes.
const LIMITS: Limits = Limits { conflicts: CONFLICTS_MAX, corrections: 200 };

/// The conflicts of an impossible request, and what would help.
pub(super) fn explain(query: &Query<'_>) -> Explanation {
    let mut offers = Offers::new(query);
    let active = query.demands.active();
    let sets = minimal_sets(active.len(), LIMITS, |set| {
        let kept = query.demands.keeping(&members(&active, set));
        offers.met(&kept).ok().map(|met| met != Met::Not)
    });
    let relaxations = relaxations(&mut offers, &active, &sets);
    let way_out = relaxations.first();
    let mut conflicts = Vec::new();
    for set in smallest_first(&sets) {
        let demands = members(&active, set);
        let facts = facts(&mut offers, &demands);
        let way_out = way_out.filter(|_| conflicts.is_empty());
        let sentence = words::sentence(query, &demands, way_out);
        conflicts.push(Conflict { demands, facts, sentence });
    }
    Explanation { conflicts, relaxations, is_complete: sets.is_complete }
}

/// The conflicts, smallest first; the one that was being made smaller where none was finished.
fn smallest_first(sets: &Sets) -> Vec<u64> {
    let mut conflicts = sets.conflicts.clone();
    conflicts.extend(sets.unfinished);
    // Of two of one size the one with the earlier demands comes first; an earlier demand is a lower bit.
    conflicts.sort_by_key(|set| (set.count_ones(), Reverse(set.reverse_bits())));
    conflicts
}

fn members(active: &[Demand], set: u64) -> Vec<Demand> {
    let places = bits(set).filter_map(|bit| usize::try_from(bit.trailing_zeros()).ok());
    places.filter_map(|place| active.get(place).copied()).collect()
}

/// Single changes first, then sets of them, each cheapest first. A correction that nobody may offer is left out, and so
/// is what could not be proved before the searches ran out.
fn relaxations(offers: &mut Offers<'_>, active: &[Demand], sets: &Sets) -> Vec<Relaxation> {
    let corrections = sets.corrections.iter().map(|set| members(active, *set));
    // More rails are no demand taken back, and the first thing a seller thinks of.
    let corrections = corrections.chain([vec![Demand::Rails]]);
    let (single, several): (Vec<_>, Vec<_>) = corrections.partition(|demands| demands.len() == 1);
    let mut relaxations = Vec::new();
    for demand in single.into_iter().flatten() {
        let without = without(offers.demands(), &[demand]);
        relaxations.extend(nearest::single(offers, &without, demand).unwrap_or_default());
    }
    let mut several: Vec<_> = several
        .into_iter()
        .filter(|demands| demands.iter().all(|one| nearest::is_offered(*one)))
        .collect();
    several.sort_by_key(Vec::len);
    for demands in several.into_iter().take(COMBINATIONS_MAX) {
        let without = without(offers.demands(), &demands);
        relaxations.extend(nearest::several(offers, without, demands).unwrap_or_default());
    }
    relaxations.sort_by(|left, right| {
        (left.changes.len(), left.cheapest_gross, &left.changes).cmp(&(
            right.changes.len(),
            right.cheapest_gross,
            &right.changes,
        ))
    });
    relaxations
}

fn without<'a>(demands: &Demands<'a>, dropped: &[Demand]) -> Demands<'a> {
    let kept: Vec<Demand> =
        demands.active().into_iter().filter(|demand| !dropped.contains(demand)).collect();
    demands.keeping(&kept)
}

/// How near the catalogue comes to each demand of a conflict beside its others.
fn facts(offers: &mut Offers<'_>, demands: &[Demand]) -> Vec<Fact> {
    let fact = |demand: &Demand| {
        let others: Vec<Demand> = demands.iter().copied().filter(|other| other != demand).collect();
        let beside = offers.demands().keeping(&others);
        let steps = nearest::steps(offers, &beside, *demand, Wanted::Cheapest);
        let nearest = match steps {
            Ok(steps) => steps.into_iter().min_by_key(|step| step.offer.gross),
            Err(Exhausted) => None,
        };
        words::fact(offers.query(), *demand, nearest.as_ref())
    };
    demands.iter().map(fact).collect()
}

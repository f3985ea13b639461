//! Two and three rails of one finish, side by side: lower bounds per finish, then the rails that can matter, combined.
//!
//! A finish is skipped when the least that so many of its rails can cost exceeds what is still looked for: first by
//! tables, one rail of a bill having at least its share of the requirement as watts and as rated output and the others
//! costing at least the cheapest; then by staircases of its bodies (`stairs`), which also show whether they can deliver
//! enough on the wall at all. Of the rails that are left a frontier is kept (`frontier`), and its combinations are gone
//! through in order of price (`combine`): at first only those little dearer than the bound, and what costs more only if
//! they do not fill the answer. Every bound is a lower bound and is compared strictly, so equal prices are all seen.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::integer_division,
    reason = "shares of a bounded requirement and of a bounded width; places within the snapshot"
)]

use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::Stand;

use super::allowance::Nodes;
use super::best::Best;
use super::combine::combine;
use super::frontier::Frontier;
use super::frontier::Partners;
use super::narrowed::Narrowed;
use super::question::Question;
use super::scan::Asked;
use super::scan::Firsts;
use super::scan::rails;
use super::stairs::Begun;
use super::stairs::Bounds;
use super::stairs::Stairs;
use super::stairs::Together;

/// Gap between two rails on one wall space, millimetres (common practice, no source).
pub(super) const GAP_MM: i32 = 100;

/// A finish not yet searched.
struct Waiting<'a> {
    /// No bill of it costs less.
    least: i64,
    finish: usize,
    stage: Stage<'a>,
}

/// What is known of a finish, in the order in which it is worked out.
enum Stage<'a> {
    /// Nothing but tables.
    Begun,
    /// Bounds as if the wall had no end; here is what those for its end follow from.
    Free(Several<'a>, Box<Stairs<'a>>),
    Bounded(Several<'a>, Bounds),
}

/// Looks for bills of so many rails, in the finish first where the least that they cost is lowest.
///
/// The bounds of a finish take longer than many a search, so they wait until no other finish can be cheaper.
pub(super) fn several(
    question: &Question<'_>,
    count: usize,
    best: &mut Best,
    nodes: &mut Nodes<'_>,
) {
    let together = together(question, count);
    let begun = |(least, finish)| Waiting { least, finish, stage: Stage::Begun };
    let mut waiting: Vec<Waiting<'_>> = finishes(question, together).map(begun).collect();
    let order = |(_, next): &(usize, &Waiting<'_>)| (next.least, next.finish);
    while let Some((place, _)) = waiting.iter().enumerate().min_by_key(order) {
        let Waiting { least, finish, stage } = waiting.swap_remove(place);
        if best.bound() < least {
            return;
        }
        let known = match stage {
            Stage::Begun => Several::free(question, finish, together, best.bound()),
            Stage::Free(several, stairs) => {
                let bounds = stairs.walled(together, best.bound());
                bounds.map(|bounds| (bounds.total(), Stage::Bounded(several, bounds)))
            }
            Stage::Bounded(several, bounds) => {
                several.search(&bounds, best, nodes);
                if nodes.is_spent() {
                    nodes.leave(least);
                    return;
                }
                None
            }
        };
        waiting.extend(known.map(|(total, next)| {
            let least = total.max(least);
            Waiting { least, finish, stage: next }
        }));
    }
}

/// The least net price of any bill of so many rails; nothing when there can be none.
pub(super) fn floor(question: &Question<'_>, count: usize) -> Option<i64> {
    finishes(question, together(question, count)).map(|(least, _)| least).min()
}

fn together(question: &Question<'_>, count: usize) -> Together {
    let gaps = i32::try_from(count - 1).unwrap_or(i32::MAX).saturating_mul(GAP_MM);
    let wall = question.demands.surroundings.place.wall_width;
    let width = wall.map(|wall| wall.value().saturating_sub(gaps));
    Together { count, width, required: question.required }
}

/// Every finish in which so many rails may be found, with the least that they cost.
fn finishes<'a>(
    question: &'a Question<'a>,
    together: Together,
) -> impl Iterator<Item = (i64, usize)> {
    let count = i64::try_from(together.count).unwrap_or(1);
    // The most heated rail has at least its share.
    let share = (together.required + count - 1) / count;
    let rated = question.rated_limit(share, question.shed_most);
    let step = question.index.step_for(share);
    let leasts = &question.index.finish_leasts;
    let with_watts = step.map_or(&[][..], |step| leasts.of_step(step));
    let both = with_watts.iter().zip(leasts.of_rated(rated)).zip(leasts.of_step(0));
    let finishes = question.finishes();
    both.enumerate().skip(finishes.start).take(finishes.len()).filter_map(
        move |(finish, ((strong, warm), other))| {
            let strongest = *strong.max(warm);
            if strongest == i64::MAX {
                return None;
            }
            let least = strongest.saturating_add(question.added_least);
            let other = other.saturating_add(question.added_least);
            Some((least.saturating_add(other.saturating_mul(count - 1)), finish))
        },
    )
}

/// Bills of so many rails of one finish.
#[derive(Debug, Clone, Copy)]
struct Several<'a> {
    narrowed: Narrowed<'a>,
    together: Together,
}

/// By which parts of the lowest bound bills may exceed it at first; what is dearer is looked at only when the answer is
/// not full by then.
const SLACKS: [i64; 2] = [16, 4];

impl<'a> Several<'a> {
    /// The cuts of widths, where the wall has an end.
    fn cuts(&self) -> Option<&'a [i32]> {
        self.together.width.map(|_| self.narrowed.question.index.width_cuts.as_slice())
    }

    /// The least that bills of the finish cost and what follows from its bodies; nothing when they cannot deliver enough
    /// together within a price.
    fn free(
        question: &'a Question<'a>,
        finish: usize,
        together: Together,
        bound: i64,
    ) -> Option<(i64, Stage<'a>)> {
        let several = Self { narrowed: Narrowed::new(question, finish)?, together };
        let narrowed = &several.narrowed;
        let cuts = question.index.width_cuts.as_slice();
        let mut stairs = Stairs::new(narrowed, cuts, together);
        let limit = Lanes::pack(several.limits(0)).guarded();
        let most = bound.saturating_sub(question.added_least);
        narrowed.shelf.order(0)?.walk((limit, most), |stand| {
            stairs.add(&Begun::of(stand, narrowed.most_roughly(stand)));
            most
        });
        let (bounds, is_walled) = stairs.free(together, bound)?;
        let total = bounds.total();
        let stage = if is_walled {
            Stage::Free(several, Box::new(stairs))
        } else {
            Stage::Bounded(several, bounds)
        };
        Some((total, stage))
    }

    /// Limits on bodies that deliver so much and leave room for the others.
    fn limits(&self, required: i64) -> [u8; 8] {
        let index = self.narrowed.question.index;
        let others = i32::try_from(self.together.count - 1).unwrap_or(i32::MAX);
        let mut limits = self.narrowed.limits(required);
        if let Some(width) = self.together.width {
            let width = width.saturating_sub(others.saturating_mul(index.extremes.width_least));
            limits[0] = index.body_ranks.width.rank(i64::from(width)).min(limits[0]);
        }
        limits
    }

    /// Looks through bills from the cheapest that there may be upwards, until they are too dear or the answer is full.
    fn search(&self, bounds: &Bounds, best: &mut Best, nodes: &mut Nodes<'_>) {
        let limits = self.limits(bounds.share_least());
        let slacks = SLACKS.into_iter().map(|part| bounds.total() / part).chain([i64::MAX]);
        for slack in slacks {
            let bound = bounds.total().saturating_add(slack).min(best.bound());
            let partners = Partners { bounds: Some(bounds), bound };
            let mut frontier = Frontier::new(best.wanted(), self.cuts(), partners);
            collect(&self.narrowed, limits, &mut frontier, nodes);
            // Where no rail was left out for its price, every bill is put together now, whatever it costs.
            let is_whole = !frontier.is_short();
            let bound = if is_whole { best.bound() } else { bound };
            combine(frontier.finish(), self.together, (best, bound), nodes);
            if is_whole || nodes.is_spent() || best.bound() <= bound {
                return;
            }
        }
    }
}

/// Collects the rails of a finish within limits that may stand in a bill.
pub(super) fn collect(
    narrowed: &Narrowed<'_>,
    limits: [u8; 8],
    frontier: &mut Frontier<'_>,
    nodes: &mut Nodes<'_>,
) {
    let question = narrowed.question;
    let Some(order) = narrowed.shelf.order(0) else { return };
    let elements = narrowed.element_limits(0);
    let mut firsts = Firsts::default();
    order.walk((Lanes::pack(limits).guarded(), i64::MAX), |stand| {
        let least = stand.least.saturating_add(question.added_least);
        if !frontier.reaches(least) {
            return i64::MIN;
        }
        nodes.hold(frontier.len());
        if nodes.is_spent() {
            return i64::MIN;
        }
        if let Some(body) = begin(narrowed, stand, least, frontier) {
            let required = frontier.share(body.width);
            let elements = elements[usize::from(stand.is_guarded)];
            let asked = Asked { stand, required, step: 0, elements };
            let bound = frontier.bound_beside(&body);
            nodes.spend(rails((question, &mut firsts), &asked, bound, frontier));
        }
        if nodes.is_spent() { i64::MIN } else { i64::MAX }
    });
}

/// Begins a body, by what it delivers at most, first roughly and then finely; nothing when its rails do not matter.
fn begin(
    narrowed: &Narrowed<'_>,
    stand: &Stand,
    least: i64,
    frontier: &mut Frontier<'_>,
) -> Option<Begun> {
    let most = narrowed.most_roughly(stand);
    let roughly = Begun::of(stand, most);
    if !frontier.begin(least, roughly) {
        return None;
    }
    let body = &narrowed.question.index.bodies[stand.body()];
    let finely = Begun { most: narrowed.most_delivered(body, stand.strongest), ..roughly };
    frontier.begin(least, finely).then_some(finely)
}

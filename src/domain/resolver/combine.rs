//! Pairs and triples from a frontier, in order of price.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::integer_division,
    reason = "sums of three bounded prices, outputs and widths; places within the frontier"
)]

use std::cell::OnceCell;

use super::allowance::Nodes;
use super::best::Best;
use super::best::Bundle;
use super::frontier::Collected;
use super::scan::Offered;
use super::stairs::Together;

/// Steps of the requirement by which pairs are bounded before they are looked at.
const GRID: i64 = 64;

/// Those steps and nought.
const STEPS: usize = 65;

/// Looks through all combinations that can cost no more than the bound.
pub(super) fn combine(
    collected: Collected<'_>,
    together: Together,
    (best, bound): (&mut Best, i64),
    nodes: &mut Nodes<'_>,
) {
    let Together { count, width, required } = together;
    let unit = (required / GRID).max(1);
    let table = Table::new(collected, width);
    let mut search = Search { table: &table, best, bound, nodes };
    let rails = i64::try_from(count).unwrap_or(1);
    for first in 0..table.rails.len() {
        let rail = table.rails[first];
        if search.bound() < rail.net.saturating_mul(rails) || search.nodes.is_spent() {
            return;
        }
        let open =
            Open { chosen: [Some(rail), None], from: first, need: required - rail.delivered };
        if count == 2 {
            search.close(&open);
        } else {
            search.second(&open, unit);
        }
    }
}

/// A frontier with what finds partners quickly.
struct Table<'a> {
    rails: Vec<Offered>,
    cuts: &'a [i32],
    /// By cut: the most delivered by any rail up to a place that is no wider. Few cuts are ever asked for.
    most: Vec<OnceCell<Vec<i64>>>,
    width: Option<i32>,
    /// The least that two rails cost, by steps of what they must deliver.
    pair_bounds: OnceCell<Vec<i64>>,
}

impl<'a> Table<'a> {
    fn new(collected: Collected<'a>, width: Option<i32>) -> Self {
        let Collected { rails, cuts } = collected;
        let most = vec![OnceCell::new(); cuts.len()];
        Self { rails, cuts, most, width, pair_bounds: OnceCell::new() }
    }

    fn most_up_to(&self, cut: i32) -> Vec<i64> {
        let mut top = i64::MIN;
        let up_to = self.rails.iter().map(|rail| {
            top = top.max(if rail.width <= cut { rail.delivered } else { i64::MIN });
            top
        });
        up_to.collect()
    }

    /// The first place from which a partner may deliver the need within a width; nothing when none does.
    fn first_partner(&self, need: i64, width: i32) -> Option<usize> {
        let cut =
            self.cuts.partition_point(|cut| *cut < width).min(self.cuts.len().checked_sub(1)?);
        let most = self.most[cut].get_or_init(|| self.most_up_to(self.cuts[cut]));
        let place = most.partition_point(|most| *most < need);
        (place < most.len()).then_some(place)
    }

    /// The least that a pair costs that delivers at least each step of the requirement.
    fn bound_pairs(&self, unit: i64) -> Vec<i64> {
        let singles = self.singles(unit);
        let pair = |need: usize| {
            // Who stands on a step delivers less than the next one: the other must make up for all but that. Which of
            // the two delivers more does not matter.
            let splits = singles[..need.div_ceil(2)].iter().zip(singles[..need].iter().rev());
            let both = |(one, other): (&i64, &i64)| one.saturating_add(*other);
            splits.map(both).min().unwrap_or_else(|| singles[0].saturating_mul(2))
        };
        (0..singles.len()).map(pair).collect()
    }

    /// The cheapest rail that delivers at least each step of the requirement.
    fn singles(&self, unit: i64) -> Vec<i64> {
        let mut singles = Vec::with_capacity(STEPS);
        let mut need = 0;
        for rail in &self.rails {
            while singles.len() < STEPS && need <= rail.delivered {
                singles.push(rail.net);
                need += unit;
            }
        }
        singles.resize(STEPS, i64::MAX);
        singles
    }
}

/// A bill that lacks its last rail or two.
struct Open {
    chosen: [Option<Offered>; 2],
    /// Later rails are not before this place.
    from: usize,
    /// What the rest must deliver.
    need: i64,
}

impl Open {
    fn net(&self) -> i64 {
        self.chosen.iter().flatten().map(|rail| rail.net).sum()
    }

    fn width(&self) -> i32 {
        self.chosen.iter().flatten().map(|rail| rail.width).sum()
    }
}

struct Search<'a, 'n> {
    table: &'a Table<'a>,
    best: &'a mut Best,
    bound: i64,
    nodes: &'a mut Nodes<'n>,
}

impl Search<'_, '_> {
    fn bound(&self) -> i64 {
        self.bound.min(self.best.bound())
    }

    /// Tries every second rail of three.
    fn second(&mut self, open: &Open, unit: i64) {
        let table = self.table;
        let bounds = table.pair_bounds.get_or_init(|| table.bound_pairs(unit));
        let step = usize::try_from(open.need.clamp(0, unit * GRID) / unit).unwrap_or_default();
        if self.bound() < open.net().saturating_add(bounds[step]) {
            return;
        }
        for place in open.from..table.rails.len() {
            let rail = table.rails[place];
            if self.bound() < open.net() + rail.net * 2 || self.nodes.is_spent() {
                return;
            }
            self.nodes.spend(1);
            let need = open.need - rail.delivered;
            self.close(&Open { chosen: [open.chosen[0], Some(rail)], from: place, need });
        }
    }

    /// Tries every last rail.
    fn close(&mut self, open: &Open) {
        let table = self.table;
        let (net, taken) = (open.net(), open.width());
        let left = table.width.map_or(i32::MAX, |width| width.saturating_sub(taken));
        let Some(first) = table.first_partner(open.need, left) else { return };
        for rail in &table.rails[first.max(open.from)..] {
            if self.bound() < net + rail.net || self.nodes.is_spent() {
                return;
            }
            self.nodes.spend(1);
            if open.need <= rail.delivered && rail.width <= left {
                self.best.offer(bundle(open, rail));
            }
        }
    }
}

fn bundle(open: &Open, last: &Offered) -> Bundle {
    let mut bundle = Bundle::single(last);
    for rail in open.chosen.iter().flatten() {
        bundle.net += rail.net;
        bundle.delivered += rail.delivered;
        bundle.rails[bundle.count] = rail.rail;
        bundle.count += 1;
    }
    bundle.rails[..bundle.count].sort_unstable();
    bundle
}

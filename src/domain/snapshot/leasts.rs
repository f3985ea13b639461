//! Least prices: of bodies for each step of wattage, of finishes, of rated outputs; and the steps and cuts themselves.
#![expect(clippy::arithmetic_side_effects, clippy::indexing_slicing, reason = "places made here")]

use super::Index;
use super::RANKS;
use super::lanes::Lanes;
use super::menus::STEPS_MAX;
use super::orders::Order;
use super::rows::BodyRow;
use super::rows::ElementRow;

/// Ratings at which an order begins: all of them, or evenly chosen ones from the smallest on.
pub(super) fn steps(elements: &[ElementRow]) -> (Vec<i64>, bool) {
    let mut ratings: Vec<i64> = elements.iter().map(|row| row.rating).collect();
    ratings.sort_unstable();
    ratings.dedup();
    let stride = ratings.len().div_ceil(STEPS_MAX).max(1);
    (ratings.into_iter().step_by(stride).collect(), stride == 1)
}

pub(super) fn orders(index: &Index) -> Vec<Order> {
    let lanes: Vec<Lanes> = index.bodies.iter().map(|row| index.body_ranks.lanes(row)).collect();
    let of_step = |step: usize| {
        let least = index.bodies.iter().enumerate().filter_map(|(body, row)| {
            // The cheapest with the watts is on the menus of every band.
            let [menus, ..] = &index.menus;
            let element = &index.elements[menus.slot(menus.entries(row.menu, step).next()?)];
            let least = index.bases[body].saturating_add(element.net);
            (least < i64::MAX).then_some((least, body))
        });
        Order::of(least.collect(), &lanes)
    };
    (0..index.steps.len()).map(of_step).collect()
}

/// Net price of each body with the least that its own needs cost.
pub(super) fn bases(
    bodies: &[BodyRow],
    own_needs: &[[i64; 2]],
    element_classes: usize,
) -> Vec<i64> {
    let own = own_needs.chunks(element_classes.max(1));
    let least = |needs: &[[i64; 2]]| needs.iter().map(|[least, _]| *least).min();
    let both = bodies.iter().zip(own);
    both.map(|(row, needs)| row.net.saturating_add(least(needs).unwrap_or(i64::MAX))).collect()
}

/// The most cuts of widths.
const WIDTH_CUTS_MAX: usize = 16;

pub(super) fn width_cuts(bodies: &[BodyRow]) -> Vec<i32> {
    let mut widths: Vec<i32> = bodies.iter().map(|row| row.width).collect();
    widths.sort_unstable();
    widths.dedup();
    let stride = widths.len().div_ceil(WIDTH_CUTS_MAX).max(1);
    // From the widest down, so that the widest is always a cut.
    let mut cuts: Vec<i32> = widths.into_iter().rev().step_by(stride).collect();
    cuts.reverse();
    cuts
}

/// The least that bodies cost, with their places.
type Leasts = Vec<(i64, usize)>;

pub(super) fn finish_orders(index: &Index) -> Vec<Order> {
    let mut leasts: Vec<Leasts> = vec![Vec::new(); index.finishes.len()];
    let Some(order) = index.orders.first() else { return Vec::new() };
    for (place, least) in order.least.iter().enumerate() {
        let body = order.body(place);
        leasts[index.bodies[body].finish].push((*least, body));
    }
    let lanes: Vec<Lanes> = index.bodies.iter().map(|row| index.body_ranks.lanes(row)).collect();
    leasts.into_iter().map(|least| Order::of(least, &lanes)).collect()
}

pub(super) fn finish_leasts(index: &Index) -> Vec<i64> {
    let mut leasts = vec![i64::MAX; index.finishes.len() * index.steps.len()];
    for (step, order) in index.orders.iter().enumerate() {
        for (place, least) in order.least.iter().enumerate() {
            let finish = index.bodies[order.body(place)].finish;
            let known = &mut leasts[finish * index.steps.len() + step];
            *known = *least.min(known);
        }
    }
    leasts
}

pub(super) fn rated_leasts(index: &Index) -> Vec<i64> {
    let mut leasts = vec![i64::MAX; index.finishes.len() * RANKS];
    let Some(order) = index.orders.first() else { return leasts };
    for (place, least) in order.least.iter().enumerate() {
        let body = &index.bodies[order.body(place)];
        let rank = usize::from(index.body_ranks.rated_rank(body));
        for known in &mut leasts[body.finish * RANKS..][rank..RANKS] {
            *known = *least.min(known);
        }
    }
    leasts
}

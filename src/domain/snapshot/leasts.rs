//! The steps of wattage, the cuts of widths, and the least that each body costs by itself.

use super::menus::STEPS_MAX;
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

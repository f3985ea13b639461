//! The steps of wattage, the cuts of widths, and the least that each body costs by itself.

use super::RANKS;
use super::menus::STEPS_MAX;
use super::rows::BodyRow;
use super::rows::ElementRow;
use super::shelves::Shelf;

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

/// What a rail of each finish costs at least, side by side: most questions go no further than this in most finishes.
#[derive(Debug, Clone, Default)]
pub(crate) struct FinishLeasts {
    finishes: usize,
    /// By step of wattage, then finish; the most that a number holds where there is none.
    by_step: Vec<i64>,
    /// By the highest rank of the rated output, then finish.
    by_rated: Vec<i64>,
}

impl FinishLeasts {
    /// The leasts of shelves with so many steps.
    pub(super) fn of(shelves: &[Shelf], steps: usize) -> Self {
        let by_step =
            (0..steps).flat_map(|step| shelves.iter().map(move |shelf| shelf.least(step)));
        let by_rated =
            (0..RANKS).flat_map(|rank| shelves.iter().map(move |shelf| shelf.rated_least(rank)));
        let price = |least: Option<i64>| least.unwrap_or(i64::MAX);
        Self {
            finishes: shelves.len(),
            by_step: by_step.map(price).collect(),
            by_rated: by_rated.map(price).collect(),
        }
    }

    /// The least price of any rail of each finish that has the watts of a step; the most that a number holds where there
    /// is none.
    pub(crate) fn of_step(&self, step: usize) -> &[i64] {
        row(&self.by_step, step, self.finishes)
    }

    /// The least price of any rail of each finish with a body whose rated output ranks no further than a limit.
    pub(crate) fn of_rated(&self, limit: u8) -> &[i64] {
        row(&self.by_rated, usize::from(limit), self.finishes)
    }

    /// Memory they take.
    pub(super) fn heap_bytes(&self) -> usize {
        let both = size_of_val(self.by_step.as_slice());
        both.saturating_add(size_of_val(self.by_rated.as_slice()))
    }
}

fn row(table: &[i64], place: usize, length: usize) -> &[i64] {
    let start = place.saturating_mul(length);
    table.get(start..start.saturating_add(length)).unwrap_or(&[])
}

//! The least that rails of one finish can cost by what they must deliver: two staircases from rows alone.
//!
//! One stair is a step of output: the cheapest body that can deliver it with any element, and the cheapest element
//! that has the watts and meets the demands on it. No pair is worked out, so the sum is a lower bound of every pair.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::integer_division,
    reason = "steps of a bounded requirement; stairs as long as the grid"
)]

use super::question::Question;

/// Steps of the requirement.
const GRID: usize = 32;

/// Least prices by step.
type Stair = [i64; GRID + 1];

/// What elements cost at least, with their controls, for each step of a requirement.
#[derive(Debug, Clone, Copy)]
pub(super) struct ElementStairs {
    unit: i64,
    least: Stair,
}

impl ElementStairs {
    /// The stairs of a question.
    pub(super) fn new(question: &Question<'_>) -> Self {
        let unit = whole_unit(question.required);
        let mut least = [i64::MAX; GRID + 1];
        question.each_element(|rating, net, next| {
            let reached = step_of(unit, rating);
            for stair in &mut least[..=reached] {
                *stair = net.min(*stair);
            }
            // The highest stair is the dearest: below what is still to come, all are settled.
            next < least[GRID]
        });
        Self { unit, least }
    }
}

/// Least prices of a finish while its bodies are counted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stairs {
    elements: ElementStairs,
    extras: i64,
    bodies: Stair,
}

/// Least prices of a finish.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leasts {
    /// Output of one step.
    pub unit: i64,
    /// What the other rails cost at least, by what they must deliver.
    pub rest: Stair,
    /// The least that a whole bill costs.
    pub total: i64,
}

impl Stairs {
    /// No body counted yet.
    pub(super) const fn new(elements: &ElementStairs, extras: i64) -> Self {
        Self { elements: *elements, extras, bodies: [i64::MAX; GRID + 1] }
    }

    /// Counts a body that costs so much with its own needs and delivers at most so much.
    pub(super) fn add(&mut self, base: i64, most: i64) {
        let reached = step_of(self.elements.unit, most);
        self.bodies[reached] = base.min(self.bodies[reached]);
    }

    /// The least prices of bills of so many rails that deliver a requirement together.
    pub(super) fn finish(mut self, count: usize, required: i64) -> Leasts {
        for step in (0..GRID).rev() {
            self.bodies[step] = self.bodies[step].min(self.bodies[step + 1]);
        }
        let mut single = self.bodies;
        for (stair, element) in single.iter_mut().zip(&self.elements.least) {
            *stair = stair.saturating_add(*element).saturating_add(self.extras);
        }
        let unit = self.elements.unit;
        let mut rest = single;
        for _ in 2..count {
            rest = joined(&single, &rest);
        }
        let total = joined(&single, &rest)[step_of(unit, required)];
        Leasts { unit, rest, total }
    }
}

impl Leasts {
    /// Nothing is known of other rails.
    pub(super) const NONE: Self = Self { unit: 1, rest: [0; GRID + 1], total: 0 };

    /// The least that the other rails cost when one delivers at most so much of a requirement.
    pub(super) fn rest_least(&self, required: i64, most: i64) -> i64 {
        self.rest[step_of(self.unit, required - most)]
    }
}

/// The least of two staircases for each step of what both deliver together.
fn joined(one: &Stair, other: &Stair) -> Stair {
    let mut sums = [i64::MAX; GRID + 1];
    for (need, sum) in sums.iter_mut().enumerate() {
        // Who stands on a step delivers less than the next one: the other must make up for all but that.
        let splits =
            (0..=need).map(|mine| one[mine].saturating_add(other[need.saturating_sub(mine + 1)]));
        *sum = splits.min().unwrap_or(i64::MAX);
    }
    sums
}

fn whole_unit(required: i64) -> i64 {
    let grid = i64::try_from(GRID).unwrap_or(i64::MAX);
    ((required + grid - 1) / grid).max(1)
}

fn step_of(unit: i64, output: i64) -> usize {
    usize::try_from((output / unit).max(0)).unwrap_or(GRID).min(GRID)
}

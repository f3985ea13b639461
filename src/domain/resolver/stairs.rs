//! What bills of several rails of one finish cost at least and what they deliver at most, by the width of one of them.
//!
//! A staircase holds the least price for each step of output: the cheapest body no wider than its class that can deliver
//! it with any element, and the cheapest element that has the watts and meets the demands on it. No pair is worked out,
//! so the sum is a lower bound of every rail. What the other rails of a bill cost at least follows from the staircases of
//! the classes that fit beside each other on the wall: their narrowest bodies count for the wall and their best ones for
//! price and heat, so every bill is bounded from below.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::integer_division,
    reason = "steps of a bounded requirement; prices no higher than an eighth of what a number holds"
)]

use crate::domain::snapshot::Stand;

use super::narrowed::Narrowed;

/// Steps of the requirement.
const GRID: usize = 24;

/// Least prices by step.
type Stair = [i64; GRID + 1];

/// A price that nothing has, low enough that four of them can be added.
const NEVER: i64 = i64::MAX / 8;

/// No rail at all.
const NONE: Stair = [NEVER; GRID + 1];

/// A wall without end: one class of width.
const ENDLESS: &[i32] = &[i32::MAX];

/// How many rails stand side by side, how wide they may be together, gaps taken off, and what they must deliver.
#[derive(Debug, Clone, Copy)]
pub(super) struct Together {
    pub count: usize,
    pub width: Option<i32>,
    pub required: i64,
}

/// The bodies of one class of width.
#[derive(Debug, Clone, Copy)]
struct Class {
    narrowest: i32,
    widest: i32,
    /// The most that one of this class or a narrower one delivers.
    most: i64,
    /// What bodies without and with a guard cost at least, by what they deliver at most.
    bodies: [Stair; 2],
    /// What finished rails cost at least, by what they deliver.
    least: Stair,
}

/// Without a body.
const NO_BODY: Class =
    Class { narrowest: i32::MAX, widest: 0, most: 0, bodies: [NONE; 2], least: NONE };

impl Class {
    /// Counts the bodies of another class, too.
    fn take_in(&mut self, other: &Self, guards: usize) {
        self.most = self.most.max(other.most);
        for (mine, theirs) in self.bodies.iter_mut().zip(&other.bodies).take(guards) {
            lower(mine, theirs);
        }
    }
}

/// A body whose rails are asked for.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Begun {
    /// Its price with its own needs.
    pub base: i64,
    pub width: i32,
    pub is_guarded: bool,
    /// The most that it can deliver.
    pub most: i64,
}

impl Begun {
    /// A body that delivers at most so much.
    pub(super) const fn of(stand: &Stand, most: i64) -> Self {
        Self { base: stand.base, width: stand.width, is_guarded: stand.is_guarded, most }
    }
}

/// Pairs of classes.
type Pairs = Vec<(usize, usize)>;

/// Staircases of a finish while its bodies are counted.
#[derive(Debug, Clone)]
pub(super) struct Stairs<'a> {
    cuts: &'a [i32],
    unit: i64,
    /// For bodies without and with a guard.
    elements: [Stair; 2],
    extras: i64,
    /// How many of the two there are: a finish without a guard has the first only.
    guards: usize,
    classes: Vec<Class>,
}

impl<'a> Stairs<'a> {
    /// No body counted yet.
    pub(super) fn new(narrowed: &Narrowed<'_>, cuts: &'a [i32], together: Together) -> Self {
        let cuts = if together.width.is_some() { cuts } else { ENDLESS };
        let unit = whole_unit(together.required);
        let elements = [false, true].map(|is_guarded| element_stair(narrowed, unit, is_guarded));
        let extras = narrowed.question.extras_least.min(NEVER);
        let guards = 1 + usize::from(narrowed.shelf.has_guard());
        Self { cuts, unit, elements, extras, guards, classes: vec![NO_BODY; cuts.len()] }
    }

    /// Counts a body.
    pub(super) fn add(&mut self, body: &Begun) {
        let class = self.cuts.partition_point(|cut| *cut < body.width);
        let Some(class) = self.classes.get_mut(class) else { return };
        class.narrowest = body.width.min(class.narrowest);
        class.widest = body.width.max(class.widest);
        class.most = body.most.max(class.most);
        let bodies = &mut class.bodies[usize::from(body.is_guarded)];
        let step = &mut bodies[step_of(self.unit, body.most)];
        *step = body.base.min(NEVER).min(*step);
    }

    /// The bounds of bills as if the wall had no end, which are quickly told, and whether an end may matter; nothing when
    /// there can be no bill that costs no more than so much.
    pub(super) fn free(&self, together: Together, bound: i64) -> Option<(Bounds, bool)> {
        let mut whole = NO_BODY;
        for class in self.classes.iter().filter(|class| class.narrowest < i32::MAX) {
            whole.narrowest = class.narrowest.min(whole.narrowest);
            whole.widest = class.widest.max(whole.widest);
            whole.take_in(class, self.guards);
        }
        let mut endless = Stairs { cuts: ENDLESS, classes: vec![whole], ..*self };
        endless.settle();
        let free = Together { width: None, ..together };
        let bounds = Bounds::new(&endless, free).filter(|bounds| bounds.total <= bound)?;
        let widest = i64::from(whole.widest) * i64::try_from(together.count).unwrap_or(1);
        Some((bounds, together.width.is_some_and(|width| i64::from(width) < widest)))
    }

    /// The bounds of bills on the wall; nothing when there can be none that cost no more than so much.
    pub(super) fn walled(mut self, together: Together, bound: i64) -> Option<Bounds> {
        self.settle();
        Bounds::new(&self, together).filter(|bounds| bounds.total <= bound)
    }

    /// Works out what every class costs at least, narrower bodies counted.
    fn settle(&mut self) {
        let guards = self.guards;
        self.classes.retain(|class| class.narrowest < i32::MAX);
        for class in 0..self.classes.len() {
            let (before, rest) = self.classes.split_at_mut(class);
            let this = &mut rest[0];
            this.bodies.iter_mut().take(guards).for_each(reach_down);
            if let Some(before) = before.last() {
                this.take_in(before, guards);
            }
            for (bodies, elements) in this.bodies.iter().zip(&self.elements).take(guards) {
                lower(&mut this.least, &sums(bodies, elements, self.extras));
            }
        }
    }

    /// Pairs of classes that fit into a width together, without those that another pair makes superfluous.
    fn pairs(&self, width: i32) -> Pairs {
        let mut pairs = Pairs::new();
        for (one, class) in self.classes.iter().enumerate() {
            let Some(other) = self.widest(width.saturating_sub(class.narrowest)) else { break };
            if other < one {
                break;
            }
            if pairs.last().is_some_and(|(_, last)| *last == other) {
                pairs.pop();
            }
            pairs.push((one, other));
        }
        pairs
    }

    /// The widest class of which a body fits into a width.
    fn widest(&self, width: i32) -> Option<usize> {
        self.classes.partition_point(|class| class.narrowest <= width).checked_sub(1)
    }
}

/// What elements cost at least, with their controls, by the step that their rating reaches.
fn element_stair(narrowed: &Narrowed<'_>, unit: i64, is_guarded: bool) -> Stair {
    let mut stair = NONE;
    if is_guarded && !narrowed.shelf.has_guard() {
        return stair;
    }
    let highest = step_of(unit, narrowed.shelf.strongest());
    let limit = narrowed.question.any_element_limit(0, is_guarded);
    narrowed.each_element((0, is_guarded), limit, |element, next| {
        let net = narrowed.question.element_least(element);
        for least in &mut stair[..=step_of(unit, element.rating)] {
            *least = net.min(*least);
        }
        // The highest stair that any reaches is the dearest: below what is still to come, all are settled.
        next < stair[highest]
    });
    stair
}

/// What the other rails of a bill can do beside one of a class of width.
#[derive(Debug, Clone, Copy)]
struct Others {
    /// Width from which the class begins.
    narrowest: i32,
    /// The most that they deliver.
    most: i64,
    /// The least that they cost, by what they must deliver.
    least: Stair,
    /// The least that they and the element of this rail cost, by the most that its body delivers, without and with a
    /// guard.
    with_element: [Stair; 2],
}

/// Bounds of the bills of a finish.
#[derive(Debug, Clone)]
pub(super) struct Bounds {
    unit: i64,
    required: i64,
    extras: i64,
    others: Vec<Others>,
    /// The least that a whole bill costs.
    total: i64,
    /// The least that a rail of any bill must deliver.
    share_least: i64,
    /// The least that the other rails of any bill cost.
    rest_least: i64,
}

impl Bounds {
    fn new(stairs: &Stairs<'_>, together: Together) -> Option<Self> {
        let mut bounds = Self {
            unit: stairs.unit,
            required: together.required,
            extras: stairs.extras,
            others: Vec::with_capacity(stairs.classes.len()),
            total: NEVER,
            share_least: i64::MAX,
            rest_least: NEVER,
        };
        let mut known: Option<(Pairs, Others)> = None;
        for class in &stairs.classes {
            let left = together.width.map_or(i32::MAX, |width| width - class.narrowest);
            let pairs = match together.count {
                2 => stairs.widest(left).map(|widest| (widest, widest)).into_iter().collect(),
                _ => stairs.pairs(left),
            };
            let same = known.take().filter(|(fits, _)| *fits == pairs);
            let others = same.map_or_else(
                || bounds.beside(stairs, &pairs, together.count),
                |(_, others)| others,
            );
            known = Some((pairs, others));
            if class.most + others.most < together.required {
                // Whether this rail or another is the one counted: wider ones may still do.
                bounds.others.push(Others { narrowest: class.narrowest, ..NOBODY });
                continue;
            }
            bounds.others.push(Others { narrowest: class.narrowest, ..others });
            bounds.share_least = bounds.share_least.min(together.required - others.most);
            bounds.rest_least = bounds.rest_least.min(others.least[0]);
            let with_element = others.with_element.iter().take(stairs.guards).flatten();
            for (body, rest) in class.bodies.iter().flatten().zip(with_element) {
                bounds.total = bounds.total.min(*body + *rest + stairs.extras);
            }
        }
        (bounds.total < NEVER).then_some(bounds)
    }

    /// What one or two other rails can do that fit like these pairs of classes.
    fn beside(&self, stairs: &Stairs<'_>, pairs: &[(usize, usize)], count: usize) -> Others {
        let mut others = NOBODY;
        for (one, other) in pairs {
            let (one, other) = (&stairs.classes[*one], &stairs.classes[*other]);
            if count == 2 {
                others.most = other.most;
                others.least = other.least;
            } else {
                others.most = others.most.max(one.most + other.most);
                join(&mut others.least, &one.least, &other.least);
            }
        }
        let both = others.with_element.iter_mut().zip(&stairs.elements);
        for (with_element, elements) in both.take(stairs.guards) {
            let mut least = NEVER;
            for step in 0..=GRID {
                let need = step_of(self.unit, self.need_beside(step));
                least = least.min(elements[step] + others.least[need]);
                with_element[step] = least;
            }
        }
        others
    }

    /// What the others must deliver at least beside a rail on a step.
    fn need_beside(&self, step: usize) -> i64 {
        if step == GRID {
            return 0;
        }
        // Who stands on a step delivers less than the next one: the others must make up for all but that.
        self.required - self.unit * i64::try_from(step + 1).unwrap_or(i64::MAX) + 1
    }

    /// The least that a whole bill costs.
    pub(super) const fn total(&self) -> i64 {
        self.total
    }

    /// The least that a rail of any bill must deliver.
    pub(super) const fn share_least(&self) -> i64 {
        self.share_least
    }

    /// The least that the other rails of any bill cost.
    pub(super) const fn rest_least(&self) -> i64 {
        self.rest_least
    }

    /// What others can do beside a rail of a width.
    fn beside_width(&self, width: i32) -> &Others {
        let class = self.others.partition_point(|others| others.narrowest <= width);
        class.checked_sub(1).and_then(|class| self.others.get(class)).unwrap_or(&NOBODY)
    }

    /// The least that a bill costs with a body; the most that a number holds where there can be none.
    pub(super) fn with_body(&self, body: &Begun) -> i64 {
        let others = self.beside_width(body.width);
        if body.most + others.most < self.required {
            return i64::MAX;
        }
        let with_element = &others.with_element[usize::from(body.is_guarded)];
        let rest = with_element[step_of(self.unit, body.most)];
        if rest < NEVER { body.base.saturating_add(self.extras + rest) } else { i64::MAX }
    }

    /// The least that the others cost beside a rail of this width that delivers at most so much.
    pub(super) fn rest(&self, width: i32, most: i64) -> i64 {
        let others = self.beside_width(width);
        if most + others.most < self.required {
            return i64::MAX;
        }
        let rest = others.least[step_of(self.unit, self.required - most)];
        if rest < NEVER { rest } else { i64::MAX }
    }

    /// The least that a rail of this width must deliver.
    pub(super) fn share(&self, width: i32) -> i64 {
        self.required - self.beside_width(width).most
    }
}

/// Nobody fits.
const NOBODY: Others =
    Others { narrowest: i32::MIN, most: i64::MIN / 8, least: NONE, with_element: [NONE; 2] };

/// Lowers a staircase to the least of two for each step of what both deliver together.
fn join(sums: &mut Stair, one: &Stair, other: &Stair) {
    for (need, sum) in sums.iter_mut().enumerate() {
        // Who stands on a step delivers less than the next one: the other must make up for all but that.
        let mut least = one[need] + other[0];
        for (mine, theirs) in one[..need].iter().zip(other[..need].iter().rev()) {
            least = least.min(mine + theirs);
        }
        *sum = least.min(*sum);
    }
}

/// Bodies with the elements of the same step and what is added to any rail.
fn sums(bodies: &Stair, elements: &Stair, extras: i64) -> Stair {
    std::array::from_fn(|step| bodies[step] + elements[step] + extras)
}

/// Who reaches a step reaches those below it.
fn reach_down(stair: &mut Stair) {
    for step in (0..GRID).rev() {
        stair[step] = stair[step].min(stair[step + 1]);
    }
}

fn lower(stair: &mut Stair, other: &Stair) {
    for (mine, theirs) in stair.iter_mut().zip(other) {
        *mine = (*theirs).min(*mine);
    }
}

fn whole_unit(required: i64) -> i64 {
    let grid = i64::try_from(GRID).unwrap_or(i64::MAX);
    ((required + grid - 1) / grid).max(1)
}

fn step_of(unit: i64, output: i64) -> usize {
    usize::try_from((output / unit).max(0)).unwrap_or(GRID).min(GRID)
}

//! How far rails reach whatever they cost: whether any do what is asked, the most heat they give, the least wall they take.
//!
//! Price left aside, only width and output join the rails of a bill. So of one finish those are enough that deliver more
//! than every one that is no wider ([`treads`]), and no bill is put together. What a body delivers at most is known before
//! its rails are worked out: a finish whose bodies cannot do it even so is passed over, and of the others only bodies that
//! could still add to what is known are looked at. One rail may also have a price that it must not exceed.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "places within lists that were just made; outputs and widths are bounded"
)]

mod treads;

use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::Stand;
use crate::domain::units::Millimetres;

use super::allowance::Nodes;
use super::best::Bundle;
use super::measures::Measures;
use super::narrowed::Narrowed;
use super::question::Question;
use super::scan::Asked;
use super::scan::Firsts;
use super::scan::Offered;
use super::scan::Taker;
use super::scan::rails;

use treads::Abreast;
use treads::Tread;
use treads::Treads;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Goal {
    /// Rails that deliver the requirement, the first that are found.
    Any,
    /// Those that deliver most, no less than the requirement.
    Warmest,
    /// Those that deliver the requirement on the least wall.
    Narrowest,
}

/// What is looked for, and what has been found of it.
#[derive(Debug, Clone, Copy)]
struct Search<'a> {
    question: &'a Question<'a>,
    rails_max: usize,
    goal: Goal,
    /// The least that must be delivered to be better than what is known.
    required: i64,
    /// The most wall that may be taken to be better than what is known.
    wall: Option<i32>,
}

/// No more than so many rails that come nearest to a goal; nothing when there are none, or the time was up.
///
/// With more than one rail prices are not looked at.
pub(super) fn reach(
    question: &Question<'_>,
    (rails_max, goal): (usize, Goal),
    nodes: &mut Nodes<'_>,
) -> Option<Bundle> {
    if question.added_least == i64::MAX {
        return None;
    }
    // Without a requirement one rail does whatever several do.
    let rails_max = if question.required <= 0 && goal != Goal::Warmest { 1 } else { rails_max };
    let wall = question.demands.surroundings.place.wall_width.map(Millimetres::value);
    let mut search = Search { question, rails_max, goal, required: question.required, wall };
    let mut best = None;
    let finishes = question.finishes().filter_map(|finish| Bodies::new(&search, finish));
    if goal == Goal::Any {
        for (_, mut bodies) in finishes {
            nodes.watch(bodies.begun.len());
            let found = bodies.refine(&search);
            if found.is_some() || nodes.is_spent() {
                return found;
            }
        }
        return None;
    }
    let mut finishes: Vec<(Abreast, Bodies<'_>)> = finishes.collect();
    // The most promising finish leaves least to look for in the others.
    finishes.sort_by_key(|(most, _)| match goal {
        Goal::Narrowest => i64::from(most.width),
        Goal::Any | Goal::Warmest => -most.delivered,
    });
    for (most, mut bodies) in finishes {
        nodes.watch(bodies.begun.len());
        if nodes.is_spent() {
            return None;
        }
        if !search.wants(&most) {
            break;
        }
        if let Some(found) = bodies.refine(&search) {
            search.note(&found);
            best = Some(found);
        }
    }
    best
}

impl Search<'_> {
    /// The best of some rails, if it is better than what is known.
    fn best(&self, treads: &Treads) -> Option<Abreast> {
        let found = (1..=self.rails_max).filter_map(|count| match self.goal {
            Goal::Any | Goal::Warmest => treads.warmest(count, self.wall),
            Goal::Narrowest => treads.narrowest(count, self.required),
        });
        let mut found = found.filter(|abreast| self.wants(abreast));
        match self.goal {
            Goal::Any => found.next(),
            Goal::Warmest => found.max_by_key(|abreast| abreast.delivered),
            Goal::Narrowest => found.min_by_key(|abreast| abreast.width),
        }
    }

    fn wants(&self, abreast: &Abreast) -> bool {
        self.required <= abreast.delivered && self.wall.is_none_or(|wall| abreast.width <= wall)
    }

    /// From now on only what is better counts.
    fn note(&mut self, found: &Bundle) {
        match self.goal {
            Goal::Any => {}
            Goal::Warmest => self.required = found.delivered + 1,
            Goal::Narrowest => {
                self.wall = Some(Measures::of(self.question, found).width.saturating_sub(1));
            }
        }
    }

    /// The most that a rail may cost.
    const fn bound(&self) -> i64 {
        if self.rails_max == 1 { self.question.net_max } else { i64::MAX }
    }
}

/// The bodies of a finish, and of their rails those that are known.
#[derive(Debug)]
struct Bodies<'a> {
    narrowed: Narrowed<'a>,
    elements: [Guarded; 2],
    firsts: Firsts,
    /// Every body within the limits, with the most that it can deliver.
    begun: Vec<(&'a Stand, i64)>,
    /// The most that bodies can be.
    roughly: Treads,
    rails: Vec<Offered>,
    exactly: Treads,
}

impl<'a> Bodies<'a> {
    /// The bodies of a finish, and what comes nearest to the goal if they can be what they can be at most; nothing when not
    /// even that is enough.
    fn new(search: &Search<'a>, finish: usize) -> Option<(Abreast, Self)> {
        let question = search.question;
        let narrowed = Narrowed::new(question, finish)?;
        let alone = if search.rails_max == 1 { question.required } else { 0 };
        let limit = Lanes::pack(narrowed.limits(alone)).guarded();
        let elements = narrowed.element_limits(alone);
        let order = narrowed.shelf.order(question.index.step_for(alone)?)?;
        // Where no element is to be had with its controls, no body need be asked for one.
        let is_had = [false, true].map(|is_guarded| {
            let of_these = elements[usize::from(is_guarded)];
            narrowed.cheapest_element((alone, is_guarded), of_these) < i64::MAX
        });
        let bound = search.bound();
        let price =
            if bound == i64::MAX { bound } else { bound.saturating_sub(question.added_least) };
        let (mut begun, mut roughly) = (Vec::new(), Treads::default());
        order.walk((limit, price), |stand| {
            if !is_had[usize::from(stand.is_guarded)] {
                return price;
            }
            let most = narrowed.most_roughly(stand);
            roughly.add(Tread { width: stand.width, delivered: most, place: begun.len() });
            begun.push((stand, most));
            price
        });
        let most = search.best(&roughly)?;
        let (rails, exactly) = (Vec::new(), Treads::default());
        let firsts = Firsts::default();
        Some((most, Self { narrowed, elements, firsts, begun, roughly, rails, exactly }))
    }

    /// Works out rails until the best of them are sure.
    fn refine(&mut self, search: &Search<'_>) -> Option<Bundle> {
        let most = search.best(&self.roughly)?;
        for place in most.places.into_iter().take(most.count) {
            self.work_out(search, place);
        }
        if search.goal == Goal::Any
            && let Some(found) = search.best(&self.exactly)
        {
            return Some(self.bundle(&found));
        }
        // What is known by now leaves less to look for in all others.
        let mut rest = *search;
        let promising: Vec<usize> = self.roughly.places().collect();
        for place in promising.into_iter().chain(0..self.begun.len()) {
            if !self.work_out(&rest, place) {
                continue;
            }
            let found = rest.best(&self.exactly).map(|found| self.bundle(&found));
            if search.goal == Goal::Any && found.is_some() {
                return found;
            }
            if let Some(found) = found {
                rest.note(&found);
            }
        }
        search.best(&self.exactly).map(|found| self.bundle(&found))
    }

    /// Finds the warmest rail with a body, if that may deliver more than those known that are no wider. Says whether it does.
    fn work_out(&mut self, search: &Search<'_>, place: usize) -> bool {
        let (stand, roughly) = self.begun[place];
        let others = i64::try_from(search.rails_max - 1).unwrap_or(0);
        let others = others * self.roughly.highest().unwrap_or(0);
        let beaten = self.exactly.most(stand.width).max(-1);
        let least = (search.required - others).max(beaten + 1);
        if roughly < least || search.wall.is_some_and(|wall| wall < stand.width) {
            return false;
        }
        let question = self.narrowed.question;
        let body = &question.index.bodies[stand.body()];
        let most = self.narrowed.most_delivered(body, stand.strongest);
        if most < least {
            return false;
        }
        let is_any_enough = search.goal == Goal::Any && search.rails_max == 1;
        let enough = if is_any_enough { least } else { most };
        let elements = self.elements[usize::from(stand.is_guarded)];
        let asked = Asked { stand, required: least, step: 0, elements };
        let mut warmest = Warmest { bound: search.bound(), enough, found: None };
        rails((question, &mut self.firsts), &asked, search.bound(), &mut warmest);
        let Some(rail) = warmest.found else { return false };
        let known = self.rails.len();
        self.exactly.add(Tread { width: rail.width, delivered: rail.delivered, place: known });
        self.rails.push(rail);
        true
    }

    fn bundle(&self, abreast: &Abreast) -> Bundle {
        let mut bundle = Bundle::single(&self.rails[abreast.places[0]]);
        for place in &abreast.places[1..abreast.count] {
            let rail = &self.rails[*place];
            bundle.net = bundle.net.saturating_add(rail.net);
            bundle.delivered += rail.delivered;
            bundle.rails[bundle.count] = rail.rail;
            bundle.count += 1;
        }
        bundle.rails[..bundle.count].sort_unstable();
        bundle
    }
}

/// The warmest rail of a body.
struct Warmest {
    bound: i64,
    /// Nothing more is looked for above this.
    enough: i64,
    found: Option<Offered>,
}

impl Taker for Warmest {
    fn wants(&mut self, least: i64, most: i64) -> bool {
        // The highest price is that of what is not to be had.
        let is_to_be_had = least <= self.bound && least < i64::MAX;
        is_to_be_had && self.found.is_none_or(|found| found.delivered < most)
    }

    fn leave_out(&mut self) {}

    fn take(&mut self, offered: Offered) -> i64 {
        if self.found.is_none_or(|found| found.delivered < offered.delivered) {
            self.found = Some(offered);
        }
        if self.enough <= offered.delivered { i64::MIN } else { self.bound }
    }
}

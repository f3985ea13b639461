//! A request as a snapshot sees it: limits on lanes for the scan, exact values for the check, what is added to a rail.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "bounded lengths and prices; kinds of accessory index tables of kinds"
)]

mod rough;
mod limits;
mod shed;
mod wishes;

pub(super) use shed::Shed;

use std::cell::Cell;
use std::ops::Range;

use rough::ROUGHLY;
use rough::rough_power;
use wishes::Covered;
use wishes::Extras;

use crate::domain::compatibility::CHILD_HEIGHT;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::FLEX_SLACK;
use crate::domain::compatibility::fluid_passes;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::RATED_EXCESS;
use crate::domain::emission::delivered_output;
use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ControlWish;
use crate::domain::snapshot::ElementKind;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Index;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::Menus;
use crate::domain::snapshot::Protection;
use crate::domain::snapshot::ordered;
use crate::domain::snapshot::zone_bit;
use crate::domain::units::Deciwatts;
use crate::domain::units::Watts;

use super::demands::Demands;
use super::demands::RegulationWish;
use super::query::Query;
use super::query::net_max;

/// A request put to a snapshot.
#[derive(Debug)]
pub(super) struct Question<'a> {
    pub index: &'a Index,
    /// The menus for as many options as are wanted.
    pub menus: &'a Menus,
    pub catalogue: &'a Catalogue,
    pub demands: &'a Demands<'a>,
    /// Least that must be delivered, tenths of a watt; nothing asked is nought.
    pub required: i64,
    pub protection: Protection,
    /// Number of the finish.
    pub finish: Option<usize>,
    /// Highest hang under which children are safe.
    pub hang_max: Option<i32>,
    /// Bit of the zone; nought when none is asked.
    pub zone: u16,
    /// How elements may be regulated.
    pub kind: ElementKind,
    /// The shortest flex that reaches.
    pub flex_least: i32,
    /// Limits on the lanes of a body, before it is known what it must deliver.
    pub body_limits: [u8; 8],
    /// Limits on the lanes of an element, before a body is known.
    pub element_limits: [u8; 8],
    /// Where the controls table answers the wish.
    pub wish: usize,
    pub extras: Extras,
    /// Least that wishes add to any rail.
    pub extras_least: i64,
    /// Least that controls add to any rail.
    pub controls_least: i64,
    /// Least that wishes and controls add to any rail.
    pub added_least: i64,
    /// Least that controls cost, by class of elements.
    pub control_leasts: &'a [i64],
    /// Most that may be spent, net.
    pub net_max: i64,
    /// The hottest set point that any element has for these users; infinite where nothing switches off.
    pub hottest: f64,
    /// The share of its rated output that the best body of any finish sheds at that.
    pub shed_most: f64,
    /// The last other set point asked for and the share shed at it: finishes have few different ones.
    pub shed_last: Cell<[f64; 2]>,
    /// The last cover priced.
    pub covered: Cell<Option<Covered>>,
}

/// The lane of a body's rated output.
pub(super) const RATED: usize = 3;
/// The lane of the highest rating on a body's menu.
pub(super) const STRONGEST: usize = 6;
/// Relative rounding that never hides an answer.
pub(super) const NOISE: f64 = 1e-9;
/// Watts below the requirement that the filters let through, so that rounding never costs an answer.
const SLACK: f64 = 1e-3;
/// Kelvins below the needed set point that the filter lets through.
const SLACK_K: f64 = 1e-2;

/// What demands ask of controls.
pub(super) fn control_wish(demands: &Demands<'_>) -> ControlWish {
    ControlWish {
        regime: demands.regime().regime,
        time_control: demands.preferences.time_control,
        wall_control: demands.preferences.wall_control,
    }
}

impl<'a> Question<'a> {
    /// The question of a request; nothing when the snapshot holds no part that could answer it.
    pub(super) fn new(query: &Query<'a>, (index, wanted): (&'a Index, usize)) -> Option<Self> {
        let demands = query.demands;
        let surroundings = &demands.surroundings;
        let place = &surroundings.place;
        let wished_finish = demands.preferences.finish.as_ref();
        let finish = match wished_finish {
            Some(finish) => Some(index.finishes.binary_search(finish).ok()?),
            None => None,
        };
        let wish = index.controls.place_of(control_wish(demands))?;
        let top = place.wall_bottom.zip(place.wall_height);
        let top = top.filter(|_| surroundings.users.children);
        let hang_max = top.map(|(bottom, height)| {
            bottom.value().saturating_add(height.value()).saturating_sub(CHILD_HEIGHT.value())
        });
        let mut question = Question {
            index,
            menus: index.menus_for(wanted),
            catalogue: query.catalogue,
            demands,
            required: demands.required.map_or(0, Deciwatts::value).max(0),
            protection: Protection::of(surroundings.users),
            finish,
            hang_max,
            zone: place.zone.map_or(0, |zone| zone_bit(zone, place.water_jets)),
            kind: match demands.preferences.regulation {
                RegulationWish::Either => None,
                RegulationWish::Fixed => Some(true),
                RegulationWish::Adjustable => Some(false),
            },
            flex_least: place
                .connection_distance
                .map_or(i32::MIN, |route| route.value().saturating_add(FLEX_SLACK.value())),
            body_limits: Lanes::OPEN,
            element_limits: Lanes::OPEN,
            wish,
            extras: Extras::new(demands),
            extras_least: 0,
            controls_least: index.controls.least(wish),
            added_least: 0,
            control_leasts: index.controls.element_leasts(wish),
            net_max: net_max(query),
            hottest: 0.0,
            shed_most: 0.0,
            shed_last: Cell::new([f64::NAN; 2]),
            covered: Cell::new(None),
        };
        question.hottest = question.find_hottest();
        question.shed_most = question.find_shed_most(question.hottest);
        question.body_limits = question.limit_bodies();
        question.element_limits = question.limit_elements();
        question.extras_least = question.find_extras_least(query.catalogue.edition())?;
        question.added_least = question.extras_least.saturating_add(question.controls_least);
        Some(question)
    }

    /// The finishes that are asked for.
    pub(super) fn finishes(&self) -> Range<usize> {
        match self.finish {
            Some(finish) => finish..finish.saturating_add(1),
            None => 0..self.index.finishes.len(),
        }
    }

    /// The limits on elements in any body with a guard, or without one.
    pub(super) fn any_element_limit(&self, required: i64, is_guarded: bool) -> Guarded {
        let mut limits = self.element_limits;
        let ranks = &self.index.element_ranks;
        limits[0] = ranks.rating.rank(-required);
        if !is_guarded {
            limits[1 + self.protection.place()] = ranks.working;
        }
        Lanes::pack(limits).guarded()
    }

    /// The least that an element and its controls cost.
    pub(super) fn element_least(&self, element: &ElementRow) -> i64 {
        element.net.saturating_add(self.control_leasts[element.control_class])
    }

    /// Which users count for a body.
    pub(super) const fn protection_of(&self, body: &BodyRow) -> Protection {
        if body.is_guarded { Protection::Ordinary } else { self.protection }
    }

    /// The body as a giver of heat here.
    pub(super) const fn emitter(&self, body: &BodyRow) -> Emitter {
        Emitter { towels_factor: self.demands.surroundings.towels_factor, ..body.emitter }
    }

    /// The limits on elements in a body that must deliver so much.
    pub(super) fn element_limit(&self, body: &BodyRow, required: i64) -> Guarded {
        let ranks = &self.index.element_ranks;
        let surroundings = &self.demands.surroundings;
        let mut limits = self.element_limits;
        limits[0] = ranks.rating.rank(-required);
        if let Some(wall) = surroundings.place.wall_height {
            let head = wall.value().saturating_sub(body.height);
            if head < self.index.extremes.head_most {
                limits[5] = ranks.head.rank(i64::from(head));
            }
        }
        let protection = self.protection_of(body);
        limits[1 + protection.place()] = if required <= 0 {
            ranks.working
        } else {
            let excess = excess_least(&self.emitter(body), Deciwatts::new(required));
            let least = surroundings.room.value() + excess - SLACK_K;
            ranks.set_points.rank(ordered(-least))
        };
        Lanes::pack(limits).guarded()
    }

    /// Whether a body meets every demand on it alone.
    pub(super) fn body_meets(&self, body: &BodyRow) -> bool {
        let place = &self.demands.surroundings.place;
        self.finish.is_none_or(|finish| finish == body.finish)
            && place.wall_width.is_none_or(|wall| body.width <= wall.value())
            && self.hang_max.is_none_or(|hang| body.hang <= hang)
            && body.side.serves(place.side)
    }

    /// Whether an element meets every demand on it alone.
    pub(super) fn element_meets(&self, element: &ElementRow) -> bool {
        let regulation = self.kind.is_none_or(|is_fixed| element.is_fixed == is_fixed);
        regulation && self.flex_least <= element.flex && element.zones & self.zone == self.zone
    }

    /// What a pair delivers, tenths of a watt; nothing when the two do not work here. The fluid is not looked at.
    ///
    /// What the body sheds at a set point is remembered, because many elements share one.
    pub(super) fn delivered(
        &self,
        body: &BodyRow,
        element: &ElementRow,
        shed: &mut Shed,
    ) -> Option<i64> {
        let surroundings = &self.demands.surroundings;
        let set_point = element.set_points[self.protection_of(body).place()];
        let wall = surroundings.place.wall_height;
        if set_point == f64::NEG_INFINITY
            || wall.is_some_and(|wall| wall.value() < body.height.saturating_add(element.head))
        {
            return None;
        }
        let full = Watts::new(f64::MAX);
        let given = shed.at(set_point, || {
            let drive = ElementDrive { watts: full, ..element.drive(set_point) };
            delivered_output(&self.emitter(body), drive, surroundings.room)
        });
        // The lower of the watts and what is shed, as the law of delivered output has it.
        let given = if given < element.watts { given } else { element.watts };
        Some(given.delivered().value())
    }

    /// Whether the fluid of a pair stays within its limits.
    pub(super) fn fluid_passes(&self, body: &BodyRow, element: &ElementRow) -> bool {
        if element.has_cut_out {
            return true;
        }
        let edition = self.catalogue.edition();
        let pair = edition.bodies().get(body.index).zip(edition.elements().get(element.index));
        let surroundings = &self.demands.surroundings;
        pair.is_some_and(|(rail, heater)| {
            fluid_passes(rail, heater, surroundings.room, surroundings.towels_factor)
        })
    }

    /// Net price of the controls of a pair; nothing when no set will do.
    pub(super) fn controls_net(&self, body: &BodyRow, element: &ElementRow) -> Option<i64> {
        let set = self.index.controls.set(self.wish, body.control_class, element.control_class)?;
        Some(set.net)
    }
}

/// The least excess at which a body can shed so much; roughly, and never too much.
fn excess_least(emitter: &Emitter, shed: Deciwatts) -> f64 {
    let ratio = (shed.watts() - SLACK) / (emitter.towels_factor * emitter.rated.value());
    if ratio <= 0.0_f64 {
        return 0.0;
    }
    RATED_EXCESS.value() * rough_power(ratio, emitter.exponent.recip()) * (1.0_f64 - ROUGHLY)
}

/// The most that a body sheds at an excess; roughly, and never too little.
pub(super) fn shed_at_most(emitter: &Emitter, excess: f64) -> Watts {
    let ratio = excess / RATED_EXCESS.value();
    if ratio <= 0.0_f64 {
        return Watts::new(0.0);
    }
    let rated = emitter.towels_factor * emitter.rated.value();
    Watts::new(rated * rough_power(ratio, emitter.exponent) * (1.0_f64 + ROUGHLY))
}

//! An edition compiled for one price list, so that the best bills are looked up and not enumerated.
//!
//! Parts that cannot be sold are gone. Bodies are grouped by the elements, accessories and controls that fit them, so
//! rule rows stay data: another row makes other groups and no other code. Each group has a [`menus`] page of elements
//! by price; [`shelves`] holds what there is of each finish, its bodies in [`orders`] of the least that a rail with them
//! costs; [`controls`] and [`accessories`] hold the cheapest additions of every group.
//!
//! Nothing here depends on the room's temperature, the users' set point or the towels: the bodies' rated output,
//! exponent and the elements' set points are kept apart. A question turns its requirement into a rated output that
//! every body must at least have, scans for that, and works out the delivered output of the few that are left by the
//! same law as everybody else. The filter lets too much through and never too little, so the answer is exact.
//! Absent here: the search (`resolver`).

mod lanes;
mod accessories;
mod rows;
mod classes;
mod controls;
mod menus;
mod orders;
mod shelves;
mod leasts;
mod compile;

pub(crate) use accessories::AccessoryTable;
pub(crate) use accessories::kind_place;
pub(crate) use controls::ControlTable;
pub(crate) use controls::ControlWish;
pub(crate) use lanes::Guarded;
pub(crate) use lanes::Lanes;
pub(crate) use lanes::ordered;
pub(crate) use leasts::FinishLeasts;
pub(crate) use menus::BANDS;
pub(crate) use menus::ElementRanks;
pub(crate) use menus::Menus;
pub(crate) use orders::BodyRanks;
pub(crate) use orders::Stand;
pub(crate) use rows::BodyRow;
pub(crate) use rows::ElementRow;
pub(crate) use rows::Protection;
pub(crate) use rows::zone_bit;
pub(crate) use shelves::ElementKind;
pub(crate) use shelves::Listed;
pub(crate) use shelves::Shelf;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Carton;
use crate::domain::catalogue::Connection;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PriceList;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Surroundings;
use crate::domain::zones::rules::WiringRules;

/// An edition at the prices of a list, compiled for look-up. Immutable.
#[derive(Debug, Clone)]
pub struct Snapshot {
    market: Box<str>,
    connection: Connection,
    list: Box<str>,
    /// Name and edition of the wiring rules that zones were judged by.
    wiring: Option<[String; 2]>,
    index: Index,
}

/// What a search reads.
#[derive(Debug, Clone)]
pub(crate) struct Index {
    pub bodies: Vec<BodyRow>,
    /// Least and most that each body's own needs cost, by class of elements as accessories see it.
    pub own_needs: Vec<[i64; 2]>,
    /// Net price of each body with the least that its own needs cost.
    pub bases: Vec<i64>,
    pub element_classes: usize,
    /// In order of price and part number.
    pub elements: Vec<ElementRow>,
    /// Where each body of the edition stands among the bodies here; nothing for one that is not sold.
    pub body_slots: Vec<Option<usize>>,
    /// The same of elements.
    pub element_slots: Vec<Option<usize>>,
    pub element_lanes: Vec<Lanes>,
    pub finishes: Vec<Box<str>>,
    pub body_ranks: BodyRanks,
    pub element_ranks: ElementRanks,
    /// By band.
    pub menus: [Menus; BANDS.len()],
    /// Ratings at which orders begin, tenths of a watt.
    pub steps: Vec<i64>,
    /// Whether every rating is a step.
    pub is_every_step: bool,
    /// By finish.
    pub shelves: Vec<Shelf>,
    pub finish_leasts: FinishLeasts,
    /// Cuts of the widths of bodies, ascending; the last is the widest.
    pub width_cuts: Vec<i32>,
    pub controls: ControlTable,
    pub accessories: AccessoryTable,
    pub extremes: Extremes,
}

/// Extremes over all rows: what a filter may assume of any part.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extremes {
    pub head_least: i32,
    pub head_most: i32,
    pub width_least: i32,
    pub exponent_least: f64,
    pub exponent_most: f64,
    /// The hottest set point by protection.
    pub set_points: [f64; 3],
    /// Whether any body has a guard, behind which set points are as made.
    pub has_guard: bool,
    /// The most that any carton brings, by kind of accessory.
    pub cartons: [Carton; AccessoryKind::ALL.len()],
}

/// How large a snapshot is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SnapshotSize {
    /// Bodies for sale.
    pub bodies: usize,
    /// Elements for sale.
    pub elements: usize,
    /// Groups of bodies that the same elements fit.
    pub menus: usize,
    /// Elements on all menus of all bands together.
    pub menu_entries: usize,
    /// Memory of the rows, menus and shelves; the tables of additions are small beside them.
    pub heap_bytes: usize,
}

impl Snapshot {
    /// Compiles a catalogue for a price list and the wiring rules of its market.
    ///
    /// Nothing when the list's market is not in the edition, or when rule rows compare controls with accessories: the
    /// cheapest controls and the cheapest accessories are found apart here, and such rows would join them.
    pub fn compile(
        catalogue: &Catalogue,
        list: &PriceList,
        rules: Option<&WiringRules>,
    ) -> Option<Self> {
        let market = catalogue.edition().market(&list.market)?;
        if catalogue.index().joins(PartKind::Control, PartKind::Accessory) {
            return None;
        }
        Some(Self {
            market: market.code.clone(),
            connection: market.connection,
            list: list.code.clone(),
            wiring: rules.map(named),
            index: compile::index(catalogue, list, market, rules),
        })
    }

    /// Whether questions from these surroundings at this list's prices can be answered from here.
    ///
    /// Wiring rules are told apart by their name and edition. A drawn room is never served: there zone and route depend on
    /// body and element together, and nothing here is laid out for that.
    pub fn serves(&self, list: &PriceList, surroundings: &Surroundings<'_>) -> bool {
        let wiring = match (&self.wiring, surroundings.rules) {
            (Some([id, edition]), Some(rules)) => *id == rules.id && *edition == rules.edition,
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => surroundings.place.zone.is_none(),
        };
        wiring
            && surroundings.plan.is_none()
            && self.list == list.code
            && self.market == surroundings.market.code
            && self.connection == surroundings.market.connection
    }

    /// How large it is.
    pub fn size(&self) -> SnapshotSize {
        SnapshotSize {
            bodies: self.index.bodies.len(),
            elements: self.index.elements.len(),
            menus: self.index.menus_for(1).count(),
            menu_entries: self.index.menus.iter().map(Menus::len).sum(),
            heap_bytes: self.index.heap_bytes(),
        }
    }

    pub(crate) const fn index(&self) -> &Index {
        &self.index
    }
}

/// How many ranks a lane tells apart.
pub(crate) const RANKS: usize = 128;

impl Index {
    /// The menus for answers of up to so many options.
    pub(crate) fn menus_for(&self, options: usize) -> &Menus {
        let [.., all] = &self.menus;
        let fitting = BANDS.iter().zip(&self.menus).find(|(band, _)| options <= **band);
        fitting.map_or(all, |(_, menus)| menus)
    }

    /// The row of a body of the edition, if it is sold.
    pub(crate) fn body_row(&self, place: usize) -> Option<&BodyRow> {
        self.bodies.get((*self.body_slots.get(place)?)?)
    }

    /// The row of an element of the edition, if it is sold.
    pub(crate) fn element_row(&self, place: usize) -> Option<&ElementRow> {
        self.elements.get((*self.element_slots.get(place)?)?)
    }

    fn heap_bytes(&self) -> usize {
        [
            size_of_val(self.bodies.as_slice()),
            size_of_val(self.own_needs.as_slice()),
            size_of_val(self.elements.as_slice()),
            size_of_val(self.body_slots.as_slice()),
            size_of_val(self.element_slots.as_slice()),
            size_of_val(self.bases.as_slice()),
            size_of_val(self.element_lanes.as_slice()),
            self.finish_leasts.heap_bytes(),
            self.menus.iter().map(Menus::heap_bytes).fold(0, usize::saturating_add),
            self.shelves.iter().map(Shelf::heap_bytes).fold(0, usize::saturating_add),
        ]
        .into_iter()
        .fold(0, usize::saturating_add)
    }

    /// The step whose order holds every body that can have an element of these tenths of a watt; nothing when no
    /// element has them.
    pub(crate) fn step_for(&self, rating: i64) -> Option<usize> {
        let place = self.steps.partition_point(|step| *step < rating);
        if self.is_every_step {
            return (place < self.steps.len()).then_some(place);
        }
        let meets = self.steps.get(place).is_some_and(|step| *step == rating);
        Some(if meets { place } else { place.saturating_sub(1) })
    }
}

fn named(rules: &WiringRules) -> [String; 2] {
    [rules.id.clone(), rules.edition.clone()]
}

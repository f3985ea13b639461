//! What the installation and care sheets of a room say, put together while the quote is drafted.
//!
//! Every figure comes from the edition and the rules that answered; from then on it is kept with the quote. Absent
//! here: prices, and how the sheets look.

mod place;
mod fitting;
mod supply;
mod duty;
mod filling;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Control;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Surroundings;
use crate::domain::quote::sheet::HeatFigures;
use crate::domain::quote::sheet::RailSheet;
use crate::domain::quote::sheet::RoomSheet;
use crate::domain::supply::Feed;
use crate::domain::supply::notification::Work;
use crate::domain::supply::voltage_drop::Run;
use crate::domain::units::Deciwatts;

use super::resolve_room::Requirement;

/// The fixed wiring as the caller stated it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wiring {
    /// Pieces of fixed cable from the origin to the connection point, with the words for each.
    pub cables: Vec<(Run, String)>,
    /// Rating of the circuit's own device, ampere.
    pub device_a: Option<i64>,
    /// What is done to the circuit.
    pub work: Work,
}

impl Default for Wiring {
    fn default() -> Self {
        Self { cables: Vec::new(), device_a: None, work: Work::Addition }
    }
}

/// A room whose parts are chosen, or one rail of several in it with the parts and the wall of its own.
#[derive(Debug, Clone, Copy)]
pub struct Furnished<'a> {
    /// The catalogue.
    pub catalogue: &'a Catalogue,
    /// Where the parts are to live.
    pub around: &'a Surroundings<'a>,
    /// The parts, bodies and elements in the order of their pairs.
    pub parts: &'a [PartRef],
    /// Every rule that spoke.
    pub checks: &'a [Finding],
    /// The fixed wiring.
    pub wiring: &'a Wiring,
}

/// One body with its element among the furnishing of a room.
#[derive(Debug, Clone, Copy)]
struct Rail<'a> {
    room: Furnished<'a>,
    body: &'a Body,
    element: &'a Element,
}

/// The sheets of a room, rail by rail; without a body and its element there is nothing to fit.
pub fn sheet(furnished: &[Furnished<'_>], description: String) -> RoomSheet {
    let rails: Vec<Rail<'_>> = furnished.iter().flat_map(Furnished::rails).collect();
    let feeds: Vec<Feed> = rails.iter().map(supply::fed).collect();
    let sheets = rails.iter().enumerate().map(|(index, rail)| rail.sheet((&feeds, index)));
    RoomSheet { description, heat: None, rails: sheets.collect() }
}

/// The heat of a room, where it was summed.
pub fn heat_figures(requirement: &Requirement, delivered: Deciwatts) -> Option<HeatFigures> {
    let printed = requirement.sum.as_ref()?.printed();
    Some(HeatFigures {
        transmission: printed.transmission,
        bridges: printed.bridges,
        ventilation: printed.ventilation,
        reheat: printed.reheat,
        required: requirement.rail,
        delivered,
        quick_rule: printed.quick_rule,
    })
}

impl<'a> Furnished<'a> {
    fn rails(&self) -> impl Iterator<Item = Rail<'a>> + use<'a> {
        let room = *self;
        let edition = room.catalogue.edition();
        let of = move |kind: PartKind| room.parts.iter().filter(move |part| part.kind == kind);
        let bodies = of(PartKind::Body).filter_map(|part| edition.bodies().get(part.index));
        let elements = of(PartKind::Element).filter_map(|part| edition.elements().get(part.index));
        bodies.zip(elements).map(move |(body, element)| Rail { room, body, element })
    }
}

impl<'a> Rail<'a> {
    fn sheet(&self, circuit: (&[Feed], usize)) -> RailSheet {
        RailSheet {
            name: format!("{} with {}", self.body.card.name, self.element.card.name),
            place: place::place(self),
            fitting: fitting::fitting(self),
            supply: supply::supply(self, circuit),
            fill: filling::fill(self),
            duties: vec![duty::duty(self)],
            care: fitting::care(self),
            lines: None,
        }
    }

    /// The controls of the room.
    fn controls(&self) -> impl Iterator<Item = &'a Control> {
        let edition = self.room.catalogue.edition();
        let of_kind = self.room.parts.iter().filter(|part| part.kind == PartKind::Control);
        of_kind.filter_map(move |part| edition.controls().get(part.index))
    }
}

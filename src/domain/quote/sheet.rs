//! What the sheets of a room say to fitter and household: finished words and figures, put together when the quote is
//! drafted and kept with it, so that no later rule, price or part can change them.
//!
//! What nobody stated is absent, never taken for allowed. Absent here: how it is put together, and layout.

use crate::domain::evidence::Source;
use crate::domain::fill::commissioning::CommissioningStep;
use crate::domain::units::Deciwatts;
use crate::domain::zones::verdict::Outcome;

/// The sheets of a room.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RoomSheet {
    /// Size and temperatures of the room and what the rail is for, in a sentence.
    pub description: String,
    /// Where the heat goes, where the room was reckoned through.
    pub heat: Option<HeatFigures>,
    /// Each body with its element.
    pub rails: Vec<RailSheet>,
}

/// The heat of a room, step by step, in tenths of a watt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HeatFigures {
    /// Through surfaces.
    pub transmission: Deciwatts,
    /// Along thermal bridges.
    pub bridges: Deciwatts,
    /// With the air.
    pub ventilation: Deciwatts,
    /// For warming up.
    pub reheat: Deciwatts,
    /// What the rail must give.
    pub required: Deciwatts,
    /// What body and element give.
    pub delivered: Deciwatts,
    /// The rule of thumb, beside the sum and never mixed with it.
    pub quick_rule: Deciwatts,
}

/// One rail: a body with its element.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RailSheet {
    /// Body and element by name.
    pub name: String,
    /// Where it hangs.
    pub place: PlaceFigures,
    /// How the element is fitted.
    pub fitting: Fitting,
    /// How it is fed.
    pub supply: SupplyFigures,
    /// How it is filled.
    pub fill: FillFigures,
    /// Who must be told.
    pub duties: Vec<Sourced>,
    /// What the household should know.
    pub care: CareFigures,
    /// Its own among the lines of the room, from the first to before the last; all of them when absent.
    pub lines: Option<[i32; 2]>,
}

/// A sentence and where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sourced {
    /// The sentence.
    pub text: String,
    /// Where it comes from and how it is known.
    pub source: Source,
}

/// Where things hang, and what the wiring rules say.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlaceFigures {
    /// Plan and elevation.
    pub views: Vec<View>,
    /// The zone as it was stated, where no room was drawn.
    pub stated_zone: Option<String>,
    /// The wiring rules asked.
    pub rules: Option<String>,
    /// What they say of each piece.
    pub verdicts: Vec<PlacedItem>,
    /// Wall, fixings, mass when filled, load on each fixing, in words.
    pub mounting: Option<String>,
}

/// What the wiring rules say of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlacedItem {
    /// The piece.
    pub name: String,
    /// The zone it is in: `2`, `outside`, `not established`.
    pub zone: String,
    /// What the rules say.
    pub outcome: Outcome,
    /// Why, and what is still to be met.
    pub reasons: Vec<String>,
    /// The clause that decided.
    pub source: Source,
}

/// A view of the room, in millimetres from its upper left corner.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct View {
    /// What it shows: `Plan`, `Wall 2, seen from the room`.
    pub title: String,
    /// Width and height.
    pub size_mm: [i32; 2],
    /// Zones, below everything else.
    pub zones: Vec<ZonePatch>,
    /// What is in it; later parts lie over earlier ones.
    pub parts: Vec<ViewPart>,
}

/// A zone in a view, as boxes that touch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZonePatch {
    /// What the key says: `zone 2`.
    pub name: String,
    /// How it looks.
    pub look: Look,
    /// Where its number stands.
    pub label_mm: [i32; 2],
    /// Its boxes: upper left corner, width and height.
    pub boxes_mm: Vec<[i32; 4]>,
}

/// Something in a view.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ViewPart {
    /// What the key says: `rail, lower edge 600 mm above the floor`; empty for what goes on with the part before.
    pub name: String,
    /// Upper left corner.
    pub corner_mm: [i32; 2],
    /// Width and height.
    pub size_mm: [i32; 2],
    /// How it looks.
    pub look: Look,
}

/// How a part of a view looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Zone 0 or 1: crossed lines.
    InnerZone,
    /// Zone 2 or 3: rising lines.
    OuterZone,
    /// Bath, tray, basin, window, door.
    Fitting,
    /// The rail.
    Rail,
    /// Connection unit or switch.
    Unit,
    /// The route of the flex, or a partition.
    Route,
    /// Beyond the walls of a room that is no rectangle: falling lines.
    Beyond,
}

/// How the element is fitted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fitting {
    /// Side and port: `lower left port`.
    pub port: Option<String>,
    /// Thread of port and element, and how they mate.
    pub thread: Option<String>,
    /// What seals it.
    pub seal: Option<String>,
    /// Length of the flex.
    pub flex_length_mm: Option<i32>,
    /// Where the flex runs and how long its route is, slack included.
    pub flex_route: Option<String>,
    /// IP code of the element.
    pub ip: Option<String>,
    /// Protection class of the element.
    pub class: Option<String>,
}

/// How it is fed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SupplyFigures {
    /// Power and current at 230 V.
    pub load: Option<String>,
    /// The connection unit and where it stands.
    pub connection_unit: Option<String>,
    /// The fuse in it, or the breaker.
    pub fuse: Option<String>,
    /// The residual current device.
    pub residual: Option<String>,
    /// The flex: cores and cross-section.
    pub flex: Option<String>,
    /// The fixed cable.
    pub cable: Option<String>,
    /// The voltage drop against its limit.
    pub voltage_drop: Option<String>,
    /// What else the installer must see to.
    pub advice: Vec<Sourced>,
}

/// How it is filled.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FillFigures {
    /// The fluid with its doses.
    pub fluid: Option<String>,
    /// Millilitres to pour in.
    pub volume_ml: Option<u32>,
    /// Air left when cold, tenths of a percent.
    pub headspace_permille: Option<u32>,
    /// Pressure when hot against what the body bears, in words.
    pub pressure: Option<String>,
    /// What to do, in order.
    pub steps: Vec<WorkStep>,
}

/// A step of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkStep {
    /// What to do.
    pub text: String,
    /// What to beware of.
    pub caution: Option<String>,
}

/// What the household should know.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CareFigures {
    /// How its temperature is set.
    pub regulation: Option<SetPoint>,
    /// Hottest surface in use, in whole °C, rounded up.
    pub surface_max_c: Option<i32>,
    /// Whether people who cannot draw away from heat, or children, use the room.
    pub is_for_vulnerable: bool,
    /// What to order when the element has failed.
    pub replacement: Replacement,
}

/// How the temperature is set: from the lowest to the highest, in whole °C; equal where the maker has set it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetPoint {
    /// Lowest.
    pub low_c: i32,
    /// Highest.
    pub high_c: i32,
}

/// What identifies the element that replaces a failed one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Replacement {
    /// Part number of the element.
    pub sku: Option<String>,
    /// Thread.
    pub thread: Option<String>,
    /// Power, W.
    pub power_w: Option<u32>,
    /// Length in the tube, mm.
    pub length_mm: Option<i32>,
    /// Finish of its head.
    pub finish: Option<String>,
    /// The flex: length and cross-section.
    pub flex: Option<String>,
    /// IP code.
    pub ip: Option<String>,
}

impl From<&CommissioningStep> for WorkStep {
    fn from(step: &CommissioningStep) -> Self {
        Self { text: step.text.clone(), caution: step.caution.map(str::to_owned) }
    }
}

//! The empty rail: tubes, ports, volume, rated output.

use crate::domain::thread::Thread;
use crate::domain::units::Celsius;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;
use crate::domain::units::Millimetres;
use crate::domain::units::Watts;

use super::part::Card;
use super::sku::Sku;
use super::value::Thousandths;
use super::value::Value;

/// What heats a body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatSource {
    /// An electric element alone: what this service is for.
    Electric,
    /// Hot water from the heating system. Refused with a reason.
    CentralHeating,
    /// Both at once. Refused with a reason.
    DualFuel,
}

impl HeatSource {
    /// The three sources.
    pub const ALL: [Self; 3] = [Self::Electric, Self::CentralHeating, Self::DualFuel];

    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Electric => "electric",
            Self::CentralHeating => "central_heating",
            Self::DualFuel => "dual_fuel",
        }
    }

    /// The source of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|source| source.word() == word)
    }
}

/// Which bottom port takes the element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The left one only.
    Left,
    /// The right one only.
    Right,
    /// Either.
    Either,
}

impl Side {
    /// The three answers.
    pub const ALL: [Self; 3] = [Self::Left, Self::Right, Self::Either];

    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Either => "either",
        }
    }

    /// The side of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|side| side.word() == word)
    }

    /// Whether a body that offers `self` serves a place that asks for `wanted`.
    pub fn serves(self, wanted: Self) -> bool {
        self == Self::Either || wanted == Self::Either || self == wanted
    }
}

/// The space a body takes on the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BodySize {
    /// Across.
    pub width: Millimetres,
    /// From lowest to highest point, without the element's head.
    pub height: Millimetres,
    /// From the wall to the front.
    pub depth: Millimetres,
    /// From the body's lowest point up to its lowest heated tube.
    pub lowest_tube: Millimetres,
}

/// What a body gives off and how much power it is made for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyHeat {
    /// Output of this finish at 50 K (EN 442).
    pub rated_output: Watts,
    /// Exponent of the emission law.
    pub exponent: f64,
    /// Smallest element the maker allows.
    pub watts_min: Watts,
    /// Largest element the maker allows.
    pub watts_max: Watts,
    /// Hottest fluid the body may hold.
    pub fluid_limit: Celsius,
}

/// What is inside a body, and what it weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyContent {
    /// Inner volume.
    pub volume: Litres,
    /// Mass of the empty body.
    pub dry_mass: Kilograms,
    /// Highest permitted gauge pressure in kilopascals, where the maker states it.
    pub permitted_gauge_kpa: Option<f64>,
    /// Whether it leaves the maker filled and sealed.
    pub is_filled: bool,
}

/// The openings of a body and the room behind them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BodyPorts {
    /// Thread of every port.
    pub thread: Thread,
    /// Ports that stay open once the element is in.
    pub open_count: u8,
    /// Which bottom port takes the element.
    pub element_side: Side,
    /// Longest immersed length that fits the tube, the fitting already taken off.
    pub immersed_length_max: Millimetres,
    /// Inner diameter of the tube that takes the element.
    pub bore: Millimetres,
}

/// A part that comes in the body's carton.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Included {
    /// Which accessory.
    pub sku: Sku,
    /// How many.
    pub quantity: u32,
}

/// The empty rail.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// What every part carries.
    pub card: Card,
    /// Its finish.
    pub finish: Box<str>,
    /// Cross-section of its tubes: what hooks and brackets grip.
    pub tube: Box<str>,
    /// What heats it.
    pub heat_source: HeatSource,
    /// The space it takes.
    pub size: BodySize,
    /// What it gives off.
    pub heat: BodyHeat,
    /// What is inside.
    pub content: BodyContent,
    /// Its openings.
    pub ports: BodyPorts,
    /// How many wall brackets it hangs on.
    pub bracket_count: u32,
    /// Whether a guard keeps hands off the hot surface.
    pub is_guarded: bool,
    /// What comes in its carton.
    pub included: Vec<Included>,
}

impl Body {
    /// The typed attributes that a rule row may name, besides the keeper's own.
    pub const ATTRIBUTES: &'static [&'static str] = &[
        "sku",
        "finish",
        "tube",
        "heat_source",
        "width_mm",
        "height_mm",
        "depth_mm",
        "lowest_tube_mm",
        "rated_output_w",
        "exponent",
        "watts_min",
        "watts_max",
        "fluid_limit_c",
        "fluid_volume_ml",
        "dry_mass_g",
        "permitted_gauge_kpa",
        "filled",
        "thread",
        "open_port_count",
        "element_side",
        "immersed_length_mm_max",
        "bore_mm",
        "bracket_count",
        "guarded",
        "lead_days",
        "stock",
    ];

    /// The value of an attribute; absent when the part does not state it.
    pub fn attribute(&self, name: &str) -> Option<Value> {
        let millilitres = self.content.volume.value() * THOUSAND;
        let grams = self.content.dry_mass.value() * THOUSAND;
        Some(match name {
            "finish" => Value::Text(self.finish.clone()),
            "tube" => Value::Text(self.tube.clone()),
            "heat_source" => Value::text(self.heat_source.word()),
            "width_mm" => Value::whole(self.size.width.value()),
            "height_mm" => Value::whole(self.size.height.value()),
            "depth_mm" => Value::whole(self.size.depth.value()),
            "lowest_tube_mm" => Value::whole(self.size.lowest_tube.value()),
            "rated_output_w" => number(self.heat.rated_output.value()),
            "exponent" => number(self.heat.exponent),
            "watts_min" => number(self.heat.watts_min.value()),
            "watts_max" => number(self.heat.watts_max.value()),
            "fluid_limit_c" => number(self.heat.fluid_limit.value()),
            "fluid_volume_ml" => number(millilitres),
            "dry_mass_g" => number(grams),
            "permitted_gauge_kpa" => number(self.content.permitted_gauge_kpa?),
            "filled" => Value::Flag(self.content.is_filled),
            "thread" => Value::text(&self.ports.thread.to_string()),
            "open_port_count" => Value::whole(i32::from(self.ports.open_count)),
            "element_side" => Value::text(self.ports.element_side.word()),
            "immersed_length_mm_max" => Value::whole(self.ports.immersed_length_max.value()),
            "bore_mm" => Value::whole(self.ports.bore.value()),
            "bracket_count" => Value::whole(i32::try_from(self.bracket_count).ok()?),
            "guarded" => Value::Flag(self.is_guarded),
            _ => return self.card.attribute(name),
        })
    }
}

/// Millilitres in a litre, grams in a kilogram.
const THOUSAND: f64 = 1_000.0;

fn number(number: f64) -> Value {
    Value::Number(Thousandths::nearest(number))
}

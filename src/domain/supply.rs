//! How a rail is fed: current, protective device, flex, voltage drop, residual current device, isolation, duties.
//!
//! Comparisons that decide are made on whole numbers; figures for reading are floating point. Elements are taken as
//! plain resistances; self-regulating ones do not follow the square of the voltage. Absent here: where things hang.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::notice::Notice;
use crate::domain::units::Deciwatts;
use crate::domain::zones::rules::ProtectiveDevice;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::verdict;

pub mod ampere;
pub mod flex;
pub mod fuse;
pub mod notification;
pub mod voltage_drop;

use flex::FlexSize;
use fuse::Fuse;
use fuse::FuseChoice;
use voltage_drop::Run;
use voltage_drop::VoltageDrop;

/// Nominal voltage, to which ratings refer.
pub const NOMINAL_V: f64 = 230.0;
/// Lowest voltage by statute in Great Britain: 230 V less 6 % (read).
pub const STATUTORY_LOW_V: f64 = 216.2;
/// Highest voltage by statute in Great Britain: 230 V and 10 % (read); also the upper end of EN 50160.
pub const STATUTORY_HIGH_V: f64 = 253.0;
/// Lowest voltage of EN 50160 for 95 % of the time (read).
pub const CHARACTERISTIC_LOW_V: f64 = 207.0;
/// Most rails on one circuit that are reckoned together.
pub const RAILS_MAX: usize = 12;
/// Ratings of circuit breakers from which the smallest is chosen, in ampere (common practice, no source).
const BREAKERS_A: [i64; 5] = [6, 10, 16, 20, 25];

/// What an element draws at a voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// The voltage.
    pub volts: f64,
    /// Power there, in watts.
    pub power_w: f64,
    /// Current there, in ampere.
    pub current_a: f64,
}

/// What a rating at 230 V draws at another voltage.
///
/// ```
/// use rungwright::domain::supply::{self, draw};
/// use rungwright::domain::units::Deciwatts;
/// // At the upper end of the statutory range a 600 W element takes 726 W: a fifth more.
/// let worst = draw(Deciwatts::new(6_000), supply::STATUTORY_HIGH_V);
/// assert!((worst.power_w - 726.0).abs() < 1e-9);
/// ```
pub fn draw(rating: Deciwatts, volts: f64) -> Draw {
    let share = volts / NOMINAL_V;
    let power_w = rating.watts() * share * share;
    Draw { volts, power_w, current_a: power_w / volts }
}

/// The rails of one circuit and what feeds them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circuit {
    /// The rails.
    pub rails: Vec<Feed>,
    /// The pieces of fixed cable from the origin to the connection point.
    pub cables: Vec<Run>,
    /// Rating of the circuit's own device, where it is known, in ampere.
    pub device_a: Option<i64>,
}

/// One rail and its flex.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feed {
    /// Rating of its element at 230 V.
    pub rating: Deciwatts,
    /// Size of its flex, where it is known.
    pub flex: Option<FlexSize>,
    /// Length of its flex in millimetres.
    pub flex_length_mm: i64,
    /// The fuse its maker states, which overrides the choice.
    pub maker_fuse: Option<Fuse>,
    /// The largest fuse its maker permits.
    pub maker_fuse_max: Option<Fuse>,
}

/// The answer for one rail.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedAnswer {
    /// At nominal voltage.
    pub nominal: Draw,
    /// At the lowest and highest statutory voltage.
    pub range: [Draw; 2],
    /// The cartridge fuse, where the country has one in the connection unit.
    pub fuse: Option<FuseChoice>,
    /// The smallest flex the product standard permits for this current and length.
    pub flex_least: Option<FlexSize>,
    /// Whether the flex it has is at least that; none when it is not known.
    pub is_flex_enough: Option<bool>,
    /// Voltage drop from the origin to the rail with every rail of the circuit on.
    pub drop: VoltageDrop,
}

/// The answer for a circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitAnswer {
    /// Each rail, in the order asked.
    pub feeds: Vec<FeedAnswer>,
    /// All rails together at nominal voltage.
    pub total: Draw,
    /// The smallest circuit breaker that carries them, in ampere; none when none does.
    pub breaker_least_a: Option<i64>,
    /// Whether the circuit's own device carries them; none when it is not known.
    pub is_device_enough: Option<bool>,
    /// What the installer must see to.
    pub advice: Vec<Advice>,
    /// Cautions; the one that defers to the local code and an electrician is always among them.
    pub notices: Vec<Notice>,
}

/// One thing the installer must see to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// Kebab-case, stable.
    pub code: &'static str,
    /// A sentence.
    pub text: String,
    /// Where it comes from.
    pub source: Source,
}

/// How a circuit with these rails is to be fed in a country.
pub fn feed(circuit: &Circuit, rules: &WiringRules) -> CircuitAnswer {
    let total = Deciwatts::new(circuit.rails.iter().map(|rail| rail.rating.value()).sum());
    CircuitAnswer {
        feeds: circuit.rails.iter().map(|rail| feed_one(rail, circuit, total, rules)).collect(),
        total: draw(total, NOMINAL_V),
        breaker_least_a: BREAKERS_A.into_iter().find(|ampere| ampere::carries(*ampere, total)),
        is_device_enough: circuit.device_a.map(|ampere| ampere::carries(ampere, total)),
        advice: advice(rules),
        notices: verdict::standing_notices(rules),
    }
}

fn feed_one(rail: &Feed, circuit: &Circuit, total: Deciwatts, rules: &WiringRules) -> FeedAnswer {
    let fuse = match rules.circuit.device {
        ProtectiveDevice::CartridgeFuse => Some(fuse::choose(rail)),
        ProtectiveDevice::CircuitBreaker => None,
    };
    let flex_least = flex::least(rail.rating, rail.flex_length_mm);
    let size = rail.flex.or(flex_least);
    let own =
        size.map(|size| Run { millivolts: size.millivolts(), length_mm: rail.flex_length_mm });
    FeedAnswer {
        nominal: draw(rail.rating, NOMINAL_V),
        range: [draw(rail.rating, STATUTORY_LOW_V), draw(rail.rating, STATUTORY_HIGH_V)],
        fuse,
        flex_least,
        is_flex_enough: rail.flex.and_then(|flex| Some(flex_least? <= flex)),
        drop: voltage_drop::drop_of(&[(&circuit.cables, total), (own.as_slice(), rail.rating)]),
    }
}

fn advice(rules: &WiringRules) -> Vec<Advice> {
    let circuit = &rules.circuit;
    vec![
        Advice {
            code: "rcd-30ma",
            text: "The circuit is protected by a residual current device of at most 30 mA.".to_owned(),
            source: circuit.residual_source.clone(),
        },
        Advice {
            code: "bonding",
            text: circuit.bonding.clone(),
            source: circuit.bonding_source.clone(),
        },
        Advice {
            code: "isolation",
            text: "The fixed wiring has a means of disconnection in every pole with full separation; a double-pole \
                   switched connection unit is one."
                .to_owned(),
            source: Source::new("IEC 60335-1 clause 7.12.2, quoted [S57]", Evidence::ReadSecondary),
        },
        Advice {
            code: "protective-device",
            text: match circuit.device {
                ProtectiveDevice::CartridgeFuse => {
                    "A cartridge fuse to BS 1362 in the connection unit protects the flex.".to_owned()
                }
                ProtectiveDevice::CircuitBreaker => {
                    "The circuit breaker of the final circuit protects the flex.".to_owned()
                }
            },
            source: circuit.device_source.clone(),
        },
    ]
}

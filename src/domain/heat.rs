//! What a room needs: its steady-state loss, summed step by step so that every watt can be checked by hand.
//!
//! `Q = sum U A (Ti - Tx) + bridges + ventilation + reheat`. A warmer neighbour gives a negative step. The quick rule
//! (100 W per m2 of floor, common practice, no source) stands beside the sum and is never mixed into it.
//! Absent here: heat from people, lamps and the sun, the loss of a whole home (which is not the sum of its rooms'),
//! and the choice of a rail.

mod bridges;
mod printed;
mod sum;

pub use bridges::Bridges;
pub use bridges::LinearBridge;
pub use printed::PrintedHeat;

use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::notice::Notice;
use crate::domain::room::Room;
use crate::domain::units::Kelvins;
use crate::domain::units::REHEAT_W_M2;
use crate::domain::units::Watts;

/// Watts per square metre of floor by the quick rule: common practice, no source.
pub const QUICK_RULE_W_M2: f64 = 100.0;

/// What is added to the plain loss.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Allowances {
    /// Thermal bridges.
    pub bridges: Bridges,
    /// Extra output for warming up after a set-back, W per m2 of floor; 0 for none.
    pub reheat_w_m2: f64,
}

/// Which part of the sum a step belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StepPart {
    /// Through a surface.
    Transmission,
    /// Along edges and fixings.
    Bridges,
    /// With the air.
    Ventilation,
    /// For warming up.
    Reheat,
}

impl StepPart {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Transmission => "transmission",
            Self::Bridges => "bridges",
            Self::Ventilation => "ventilation",
            Self::Reheat => "reheat",
        }
    }
}

/// A number with its unit, as a step prints it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// The number.
    pub value: f64,
    /// Its unit: `m2`, `W/m2K`.
    pub unit: &'static str,
}

/// One line of the sum: `amount * rate * factor * difference = watts`.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Part of the sum.
    pub part: StepPart,
    /// What loses the heat, in words.
    pub what: String,
    /// Area, length or air flow.
    pub amount: Measure,
    /// Watts per unit of amount and kelvin; for reheat per unit of amount alone.
    pub rate: Measure,
    /// A bare factor: 1, or the ground's 1.45.
    pub factor: f64,
    /// Temperature difference, negative towards a warmer space; `None` for reheat, which has none.
    pub difference: Option<Kelvins>,
    /// The product.
    pub watts: Watts,
    /// Where the rate comes from.
    pub source: Source,
}

/// The heat that a room needs, with every step of the sum.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatRequirement {
    /// The sum, never below zero: what a rail must give when nothing else heats the room.
    pub required: Watts,
    /// The bare sum of all steps; below zero when neighbours give more than the room loses.
    pub balance: Watts,
    /// Steps through surfaces.
    pub transmission: Watts,
    /// Steps with the air.
    pub ventilation: Watts,
    /// Steps of bridges.
    pub bridges: Watts,
    /// Allowance for warming up.
    pub reheat: Watts,
    /// The quick rule, beside the sum.
    pub quick_rule: Watts,
    /// Every line; they add up to the balance.
    pub steps: Vec<Step>,
    /// Cautions: defaults taken, weak sources, what governs.
    pub notices: Vec<Notice>,
}

/// The heat requirement of a room, or everything that is wrong with the question.
///
/// ```
/// use rungwright::domain::evidence::{Evidence, Source};
/// use rungwright::domain::heat::{Allowances, heat_requirement};
/// use rungwright::domain::room::boundary::{Beyond, Boundary, BoundaryKind, Transmittance};
/// use rungwright::domain::room::ventilation::{AirExchange, AirHeat, Ventilation};
/// use rungwright::domain::room::{Room, RoomUse};
/// use rungwright::domain::units::{Celsius, Millimetres, Watts};
/// let wall = |area_m2, temperature| Boundary {
///     kind: BoundaryKind::InternalWall,
///     area_m2,
///     transmittance: Transmittance {
///         w_m2k: 2.0,
///         source: Source::new("made up for this example", Evidence::Invented),
///     },
///     beyond: Some(Beyond::At(Celsius::new(temperature))),
/// };
/// let exchange = AirExchange::ChangesPerHour(0.0);
/// let room = Room {
///     room_use: RoomUse::Bathroom,
///     length: Millimetres::new(2_600),
///     width: Millimetres::new(1_900),
///     height: Millimetres::new(2_400),
///     indoor: Celsius::new(22.0),
///     outdoor: Celsius::new(-3.0),
///     annual_mean: None,
///     ventilation: Ventilation { exchange, recovery: 0.0, air_heat: AirHeat::BRITISH },
///     boundaries: vec![wall(10.0, 18.0), wall(5.0, 30.0)],
/// };
/// let answer = heat_requirement(&room, &Allowances::default()).unwrap();
/// // The sauna next door gives as much as the hall takes: nothing is needed, and nothing is hidden.
/// assert_eq!(answer.required, Watts::new(0.0));
/// assert_eq!(answer.steps.iter().map(|step| step.watts.value()).collect::<Vec<_>>(), [80.0, -80.0, 0.0]);
/// ```
pub fn heat_requirement(
    room: &Room,
    allowances: &Allowances,
) -> Result<HeatRequirement, Vec<Fault>> {
    let mut faults = room.faults();
    faults.extend(allowances.faults());
    if !faults.is_empty() {
        return Err(faults);
    }
    let (steps, mut notices) = sum::steps(room, allowances);
    let part = |part: StepPart| -> Watts {
        let of_part = steps.iter().filter(|step| step.part == part);
        Watts::new(of_part.map(|step| step.watts.value()).sum())
    };
    let balance = Watts::new(steps.iter().map(|step| step.watts.value()).sum());
    let quick_rule = quick_rule(room.floor_m2());
    notices.extend(sum::notices(room, balance, quick_rule));
    Ok(HeatRequirement {
        required: Watts::new(balance.value().max(0.0)),
        balance,
        transmission: part(StepPart::Transmission),
        ventilation: part(StepPart::Ventilation),
        bridges: part(StepPart::Bridges),
        reheat: part(StepPart::Reheat),
        quick_rule,
        steps,
        notices,
    })
}

/// Watts by the quick rule for a floor area in m2.
pub fn quick_rule(floor_m2: f64) -> Watts {
    Watts::new(QUICK_RULE_W_M2 * floor_m2)
}

impl Allowances {
    /// Figures that cannot be.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = self.bridges.faults();
        faults.extend(Fault::of_range("", &REHEAT_W_M2, self.reheat_w_m2));
        faults
    }
}

//! How fast a body warms and cools: heat capacity, warm-up time in closed form, cool-down, stored heat.
//!
//! `C dT/dt = P - f phi50 (dT/50)^n`, one temperature for fluid and metal. "Steady" is never reached in finite time,
//! so an answer names the time to the set point, or to 90 % of the way to the steady state.
//! Absent here: schedules and cost (`energy`).

use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::excess_over;
use crate::domain::emission::integral::fraction_of_integral;
use crate::domain::emission::integral::warm_up_integral;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Celsius;
use crate::domain::units::Kelvins;
use crate::domain::units::Kilograms;
use crate::domain::units::Seconds;
use crate::domain::units::Watts;

/// Joules in a kilowatt-hour.
pub const JOULES_PER_KWH: f64 = 3.6e6;

/// Share of the steady excess at which a body counts as warm when no set point ends the warm-up.
pub const WARM_SHARE: f64 = 0.9;

/// Specific heat of water, J/kgK: 4184 at 20 °C, 4181 at 50 °C, 4190 at 70 °C (computed with IAPWS-95), here the round figure.
pub const WATER_SPECIFIC_HEAT: f64 = 4_180.0;

/// A metal that bodies are made of. Handbooks differ by 8 %; the fluid outweighs the metal anyway.
#[derive(Debug, Clone, PartialEq)]
pub struct Metal {
    /// Stable code.
    pub code: &'static str,
    /// Specific heat, J/kgK.
    pub specific_heat: f64,
    /// Where the figure comes from.
    pub source: Source,
}

const fn metal(code: &'static str, specific_heat: f64) -> Metal {
    let text = "EN 12524 / ISO 10456, read in the tables of the Python package ht 1.2.0";
    Metal { code, specific_heat, source: Source::new(text, Evidence::ReadSecondary) }
}

/// The metals we know.
pub static METALS: &[Metal] = &[
    metal("steel", 450.0),
    metal("stainless-steel", 460.0),
    metal("aluminium", 880.0),
    metal("brass", 380.0),
    metal("copper", 380.0),
    metal("cast-iron", 450.0),
];

/// A mass that is warmed, with its specific heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WarmedMass {
    /// How much.
    pub mass: Kilograms,
    /// Specific heat, J/kgK.
    pub specific_heat: f64,
}

/// Heat capacity in J/K, above zero.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct HeatCapacity(f64);

impl HeatCapacity {
    /// A capacity of so many joules per kelvin.
    pub const fn new(joules_per_kelvin: f64) -> Self {
        Self(joules_per_kelvin)
    }

    /// The capacity of metal and fluid together.
    pub fn of(masses: &[WarmedMass]) -> Self {
        Self(masses.iter().map(|part| part.mass.value() * part.specific_heat).sum())
    }

    /// Joules per kelvin.
    pub const fn value(self) -> f64 {
        self.0
    }
}

/// A filled body hanging in a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HungBody {
    /// What it gives.
    pub emitter: Emitter,
    /// What it stores.
    pub capacity: HeatCapacity,
    /// Temperature of the room, taken as steady.
    pub room: Celsius,
}

/// How long a warm-up takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WarmUp {
    /// The set point is reached after this time; zero when the fluid starts at or above it.
    SetPoint {
        /// Time to the set point.
        after: Seconds,
    },
    /// The watts do not reach the set point: time to 90 % of the way from room to steady state.
    NotReached {
        /// Time to the warm mark.
        after: Seconds,
        /// The warm mark itself.
        warm: Celsius,
        /// Where the fluid would end.
        steady: Celsius,
    },
    /// There is no set point: time to 90 % of the way from room to steady state.
    NoSetPoint {
        /// Time to the warm mark.
        after: Seconds,
        /// The warm mark itself.
        warm: Celsius,
    },
    /// The set point is no warmer than the room: the element never switches on.
    StaysOff,
}

/// The warm-up of a body from a starting temperature of its fluid.
///
/// ```
/// use rungwright::domain::emission::warming::{HeatCapacity, HungBody, WarmUp, warm_up};
/// use rungwright::domain::emission::{ElementDrive, Emitter};
/// use rungwright::domain::units::{Celsius, Watts};
/// let emitter = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
/// let room = Celsius::new(20.0);
/// let body = HungBody { emitter, capacity: HeatCapacity::new(24_462.5), room };
/// let drive = ElementDrive { watts: Watts::new(300.0), set_point: Some(Celsius::new(60.0)) };
/// // 300 W end at 56.1 °C: a set point of 60 °C is not late, it is out of reach.
/// assert!(matches!(warm_up(&body, drive, room), WarmUp::NotReached { .. }));
/// ```
pub fn warm_up(body: &HungBody, drive: ElementDrive, start: Celsius) -> WarmUp {
    let steady_excess = body.emitter.excess(drive.watts);
    let steady = Celsius::new(body.room.value() + steady_excess.value());
    let warm = Celsius::new(body.room.value() + WARM_SHARE * steady_excess.value());
    let to_warm = || time_to_reach(body, drive.watts, [start, warm]).unwrap_or_default();
    match drive.set_point {
        Some(set_point) if set_point <= body.room => WarmUp::StaysOff,
        Some(set_point) => time_to_reach(body, drive.watts, [start, set_point]).map_or_else(
            || WarmUp::NotReached { after: to_warm(), warm, steady },
            |after| WarmUp::SetPoint { after },
        ),
        None => WarmUp::NoSetPoint { after: to_warm(), warm },
    }
}

/// Time from one fluid temperature to another with the element on; `None` when the watts do not reach it.
///
/// Zero when the fluid is there already. Below the room's temperature the body counts as losing nothing, which makes
/// the answer a little late.
pub fn time_to_reach(body: &HungBody, watts: Watts, [start, end]: [Celsius; 2]) -> Option<Seconds> {
    if end <= start {
        return Some(Seconds::new(0.0));
    }
    let steady = body.emitter.excess(watts).value();
    let goal = excess_over(end, body.room).value();
    if watts.value() <= 0.0_f64 || steady <= goal {
        return None;
    }
    let begin = excess_over(start, body.room).value();
    let exponent = body.emitter.exponent;
    let span =
        warm_up_integral(goal / steady, exponent) - warm_up_integral(begin / steady, exponent);
    // The climb to the room's temperature, if any, is without loss.
    let climb = goal.min(0.0) - begin.min(0.0);
    Some(Seconds::new(body.capacity.value() / watts.value() * (steady * span + climb)))
}

/// The shortest time that physics allows: all watts stored, none given to the room.
pub fn time_without_loss(body: &HungBody, watts: Watts, rise: Kelvins) -> Seconds {
    Seconds::new(body.capacity.value() * rise.value() / watts.value())
}

/// Fluid temperature after a time with the element on, held at the set point once reached.
///
/// A fluid that starts above its end temperature is given back at that end temperature: the element cannot cool it.
pub fn fluid_when_on(
    body: &HungBody,
    drive: ElementDrive,
    start: Celsius,
    after: Seconds,
) -> Celsius {
    let free = rising_fluid(body, drive.watts, start, after);
    match drive.set_point {
        Some(set_point) if set_point <= free => {
            Celsius::new(set_point.value().max(body.room.value()))
        }
        Some(_) | None => free,
    }
}

fn rising_fluid(body: &HungBody, watts: Watts, start: Celsius, after: Seconds) -> Celsius {
    let steady = body.emitter.excess(watts).value();
    let room = body.room.value();
    let begin = excess_over(start, body.room).value();
    if watts.value() <= 0.0_f64 || steady <= begin {
        return Celsius::new(room + steady);
    }
    // Everything in kelvins of lossless rise; what lies below the room's temperature is climbed first.
    let rise = watts.value() * after.value() / body.capacity.value();
    let climb = -begin.min(0.0);
    if rise <= climb {
        return Celsius::new(start.value() + rise);
    }
    let exponent = body.emitter.exponent;
    let passed = warm_up_integral(begin / steady, exponent) + (rise - climb) / steady;
    Celsius::new(room + steady * fraction_of_integral(passed, exponent))
}

/// Fluid temperature after a time with the element off.
///
/// Written so that an exponent of 1 is no special case. A fluid at or below the room's temperature stays as it is.
pub fn fluid_when_off(body: &HungBody, start: Celsius, after: Seconds) -> Celsius {
    let begin = excess_over(start, body.room);
    if begin.value() <= 0.0_f64 {
        return start;
    }
    let bend: f64 = body.emitter.exponent - 1.0_f64;
    let lost = body.emitter.output(begin).value() * after.value();
    let pace = lost / (body.capacity.value() * begin.value());
    let decay = if bend == 0.0_f64 { pace } else { libm::log1p(bend * pace) / bend };
    Celsius::new(body.room.value() + begin.value() * libm::exp(-decay))
}

/// Time to cool from one fluid temperature to another; `None` when the end is not above the room's temperature.
pub fn time_to_cool(body: &HungBody, [start, end]: [Celsius; 2]) -> Option<Seconds> {
    if start <= end {
        return Some(Seconds::new(0.0));
    }
    let begin = excess_over(start, body.room);
    let goal = excess_over(end, body.room);
    if goal.value() <= 0.0_f64 {
        return None;
    }
    let bend: f64 = body.emitter.exponent - 1.0_f64;
    let decay = libm::log(begin.value() / goal.value());
    let pace = if bend == 0.0_f64 { decay } else { libm::expm1(bend * decay) / bend };
    let shed = body.emitter.output(begin).value();
    Some(Seconds::new(pace * body.capacity.value() * begin.value() / shed))
}

/// Heat stored above the room's temperature, in kWh.
pub fn stored_heat_kwh(body: &HungBody, fluid: Celsius) -> f64 {
    body.capacity.value() * excess_over(fluid, body.room).value() / JOULES_PER_KWH
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    fn worked_rail(exponent: f64) -> HungBody {
        HungBody {
            emitter: Emitter { rated: Watts::new(450.0), exponent, towels_factor: 1.0 },
            capacity: HeatCapacity::new(24_462.5),
            room: Celsius::new(20.0),
        }
    }

    #[test]
    fn the_worked_rail_takes_its_published_minutes() {
        for (end, minutes) in [(40.0, 35.73), (50.0, 75.22)] {
            let path = [Celsius::new(20.0), Celsius::new(end)];
            let time = time_to_reach(&worked_rail(1.25), Watts::new(300.0), path).unwrap();
            assert!((time.value() / 60.0 - minutes).abs() < 0.01, "{end} °C: {time}");
        }
    }

    #[test]
    fn temperature_after_the_warm_up_time_is_the_goal() {
        let body = worked_rail(1.3);
        let drive = ElementDrive { watts: Watts::new(300.0), set_point: None };
        for start in [5.0, 20.0, 31.0] {
            let path = [Celsius::new(start), Celsius::new(47.0)];
            let time = time_to_reach(&body, drive.watts, path).unwrap();
            let fluid = fluid_when_on(&body, drive, path[0], time);
            assert!((fluid.value() - 47.0).abs() < 1e-8, "from {start}: {fluid}");
        }
    }

    #[test]
    fn cooling_for_the_cooling_time_ends_where_it_should() {
        for exponent in [1.0, 1.25, 1.5] {
            let body = worked_rail(exponent);
            let path = [Celsius::new(60.0), Celsius::new(25.0)];
            let time = time_to_cool(&body, path).unwrap();
            let fluid = fluid_when_off(&body, path[0], time);
            assert!((fluid.value() - 25.0).abs() < 1e-9, "n {exponent}: {fluid}");
            assert_eq!(time_to_cool(&body, [path[0], body.room]), None, "never quite cold");
        }
    }

    #[test]
    fn a_fluid_colder_than_the_room_is_climbed_without_loss() {
        let path = [Celsius::new(10.0), Celsius::new(20.0)];
        let time = time_to_reach(&worked_rail(1.25), Watts::new(300.0), path).unwrap();
        assert!((time.value() - 815.4166).abs() < 0.001, "{time}");
    }
}

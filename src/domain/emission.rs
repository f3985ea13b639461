//! What a body gives: the emission law, the steady fluid temperature, and the output that a pair really delivers.
//!
//! The law is `phi(dT) = phi50 * (dT / 50)^n`, dT being the fluid's excess over the room. EN 442 measures a body
//! that is fed with hot water, so its figure says nothing of the element: what counts in a room is the lower of the
//! element's watts and what the body sheds at its set point. The surface is taken as warm as the fluid, which is on
//! the safe side. Absent here: which parts fit together (`compatibility`), and how full the body is (`fill`).

pub mod mean_excess;
mod integral;
pub mod warming;
pub mod energy;
pub mod surface;
pub mod question;
pub mod in_use;

use crate::domain::units::Celsius;
use crate::domain::units::Kelvins;
use crate::domain::units::Watts;

/// The excess temperature at which EN 442 rates a body (75/65 °C in a room of 20 °C).
pub const RATED_EXCESS: Kelvins = Kelvins::new(50.0);

/// A body as a giver of heat. Ranges are those of `RATED_OUTPUT_W`, `EXPONENT` and `TOWELS_FACTOR`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Emitter {
    /// Output at an excess of 50 K, bare (EN 442).
    pub rated: Watts,
    /// Exponent of the emission law; towel bodies lie at 1.2 to 1.3 (read in a consultants' help page).
    pub exponent: f64,
    /// Share of the output left with towels on; 1 is a bare body. Half is one planning page's flat figure.
    pub towels_factor: f64,
}

/// What drives the body: the element's watts, and the fluid temperature at which it switches off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElementDrive {
    /// Rating of the element.
    pub watts: Watts,
    /// Set point of the fluid; `None` is an element that never switches off by itself.
    pub set_point: Option<Celsius>,
}

/// How a pair lives in its steady state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operation {
    /// The room is as warm as the set point: the element stays off.
    Idle,
    /// The set point is reached and held by switching.
    Held,
    /// The element never switches off: no set point, or one that the watts do not reach.
    Continuous,
}

impl Operation {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::Held => "held",
            Self::Continuous => "continuous",
        }
    }
}

/// The steady state of a pair in a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteadyState {
    /// Who wins: set point, watts or room.
    pub operation: Operation,
    /// Heat given to the room.
    pub delivered: Watts,
    /// Share of the time that the element is on, 0 to 1.
    pub duty: f64,
    /// Temperature of the fluid in the mean.
    pub fluid: Celsius,
    /// Temperature that the fluid would take without any set point.
    pub uncapped_fluid: Celsius,
}

/// Above this temperature the fluid boils in a vented body or is about to: the law of emission holds no longer.
pub const BOILING_FROM: Celsius = Celsius::new(99.0);

impl SteadyState {
    /// Whether the fluid would boil before it is steady, so that the figures of this state mean nothing.
    pub fn is_boiling(&self) -> bool {
        BOILING_FROM < self.fluid
    }
}

impl Emitter {
    /// Heat given at an excess temperature; nothing at or below zero.
    ///
    /// ```
    /// use rungwright::domain::emission::Emitter;
    /// use rungwright::domain::units::{Kelvins, Watts};
    /// let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
    /// assert_eq!(body.output(Kelvins::new(50.0)), Watts::new(450.0));
    /// // A body colder than the room would take heat from it; the law does not cover that, so it counts as nothing.
    /// assert_eq!(body.output(Kelvins::new(-5.0)), Watts::new(0.0));
    /// ```
    pub fn output(&self, excess: Kelvins) -> Watts {
        let ratio = excess.value() / RATED_EXCESS.value();
        if ratio <= 0.0_f64 {
            return Watts::new(0.0);
        }
        Watts::new(self.towels_factor * self.rated.value() * libm::pow(ratio, self.exponent))
    }

    /// The excess temperature at which the body sheds these watts: the inverse of [`Emitter::output`].
    pub fn excess(&self, shed: Watts) -> Kelvins {
        let ratio = shed.value() / (self.towels_factor * self.rated.value());
        if ratio <= 0.0_f64 {
            return Kelvins::new(0.0);
        }
        Kelvins::new(RATED_EXCESS.value() * libm::pow(ratio, self.exponent.recip()))
    }
}

/// Heat that the pair gives a room at this temperature: the watts, or what the body sheds at its set point if less.
///
/// ```
/// use rungwright::domain::emission::{ElementDrive, Emitter, delivered_output};
/// use rungwright::domain::units::{Celsius, Watts};
/// let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
/// let drive = |watts, set_point| ElementDrive { watts: Watts::new(watts), set_point };
/// // At 43 °C a third of the rated output is left, however many watts are screwed in.
/// let low_surface = Some(Celsius::new(43.0));
/// let gentle = delivered_output(&body, drive(300.0, low_surface), Celsius::new(22.0));
/// let strong = delivered_output(&body, drive(900.0, low_surface), Celsius::new(22.0));
/// assert_eq!(gentle, strong);
/// assert!(gentle < Watts::new(153.0));
/// // A set point below the room's temperature is no mistake: the element stays off.
/// let off = delivered_output(&body, drive(300.0, Some(Celsius::new(20.0))), Celsius::new(22.0));
/// assert_eq!(off, Watts::new(0.0));
/// ```
pub fn delivered_output(emitter: &Emitter, drive: ElementDrive, room: Celsius) -> Watts {
    let Some(set_point) = drive.set_point else {
        return drive.watts;
    };
    let shed = emitter.output(excess_over(set_point, room));
    if shed < drive.watts { shed } else { drive.watts }
}

/// The fluid temperature at which the body sheds all of the watts, were nothing to switch them off.
///
/// ```
/// use rungwright::domain::emission::{Emitter, uncapped_fluid};
/// use rungwright::domain::units::{Celsius, Watts};
/// let towels_on = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 0.5 };
/// // With towels on, an element of just the rated output would drive the fluid beyond boiling.
/// let fluid = uncapped_fluid(&towels_on, Watts::new(450.0), Celsius::new(20.0));
/// assert!(Celsius::new(107.0) < fluid && fluid < Celsius::new(107.1));
/// ```
pub fn uncapped_fluid(emitter: &Emitter, watts: Watts, room: Celsius) -> Celsius {
    Celsius::new(room.value() + emitter.excess(watts).value())
}

/// The most watts that keep the fluid at or below a limit without any set point.
///
/// ```
/// use rungwright::domain::emission::{Emitter, element_watts_max};
/// use rungwright::domain::units::{Celsius, Watts};
/// let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
/// // At 70 °C in a room of 20 °C the bound is the rated output itself, whatever the exponent.
/// assert_eq!(element_watts_max(&body, Celsius::new(70.0), Celsius::new(20.0)), Watts::new(450.0));
/// ```
pub fn element_watts_max(emitter: &Emitter, fluid_limit: Celsius, room: Celsius) -> Watts {
    emitter.output(excess_over(fluid_limit, room))
}

/// The steady state of a pair in a room.
pub fn steady_state(emitter: &Emitter, drive: ElementDrive, room: Celsius) -> SteadyState {
    let delivered = delivered_output(emitter, drive, room);
    let uncapped = uncapped_fluid(emitter, drive.watts, room);
    let (operation, fluid) = match drive.set_point {
        Some(set_point) if set_point <= room => (Operation::Idle, room),
        Some(set_point) if set_point < uncapped => (Operation::Held, set_point),
        Some(_) | None => (Operation::Continuous, uncapped),
    };
    let duty = match operation {
        Operation::Idle => 0.0_f64,
        Operation::Held => delivered.value() / drive.watts.value(),
        Operation::Continuous => 1.0_f64,
    };
    SteadyState { operation, delivered, duty, fluid, uncapped_fluid: uncapped }
}

/// How much warmer the fluid is than the room.
pub fn excess_over(fluid: Celsius, room: Celsius) -> Kelvins {
    Kelvins::new(fluid.value() - room.value())
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    fn body(rated: f64, exponent: f64) -> Emitter {
        Emitter { rated: Watts::new(rated), exponent, towels_factor: 1.0 }
    }

    fn steady(watts: f64, set_point: Option<f64>) -> SteadyState {
        let drive =
            ElementDrive { watts: Watts::new(watts), set_point: set_point.map(Celsius::new) };
        steady_state(&body(450.0, 1.3), drive, Celsius::new(22.0))
    }

    #[test]
    fn a_strong_element_is_held_at_its_set_point_and_gives_what_the_body_sheds() {
        let held = steady(600.0, Some(60.0));
        assert_eq!(held.operation, Operation::Held);
        assert_eq!(held.fluid, Celsius::new(60.0));
        assert!((held.delivered.value() - 314.97).abs() < 0.01, "{held:?}");
        assert!((held.duty - 0.525).abs() < 0.001, "{held:?}");
        assert!((held.uncapped_fluid.value() - 84.38).abs() < 0.01, "{held:?}");
    }

    #[test]
    fn a_set_point_out_of_reach_is_as_good_as_none() {
        let (capped, bare) = (steady(300.0, Some(70.0)), steady(300.0, None));
        assert_eq!(capped, bare);
        assert_eq!(capped.operation, Operation::Continuous);
    }

    #[test]
    fn a_room_as_warm_as_the_set_point_gets_nothing() {
        let idle = steady(300.0, Some(22.0));
        assert_eq!((idle.operation, idle.delivered), (Operation::Idle, Watts::new(0.0)));
        assert_eq!(idle.fluid, Celsius::new(22.0));
    }
}

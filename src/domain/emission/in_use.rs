//! A pair in daily use: bare and with towels on, and how hot it feels.
//!
//! Absent here: warm-up and energy, which need to know what the body stores.

use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::SteadyState;
use crate::domain::emission::steady_state;
use crate::domain::emission::surface::SurfaceAnswer;
use crate::domain::emission::surface::check_surface;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Celsius;

/// Share of the output left with towels on when nobody says otherwise. No measured study was found.
pub const TOWELS_FACTOR_USUAL: f64 = 0.5;

/// Where [`TOWELS_FACTOR_USUAL`] comes from.
pub const TOWELS_SOURCE: Source = Source::new(
    "a flat half off the rated output for hung towels, from one planning help page",
    Evidence::ReadSecondary,
);

/// Where a factor that the asker states comes from.
pub const TOWELS_STATED: Source = Source::new("towels_factor as stated", Evidence::Read);

/// A pair in a room, as asked and with towels on.
#[derive(Debug, Clone, PartialEq)]
pub struct InUse {
    /// The steady state as asked.
    pub steady: SteadyState,
    /// The share of the output left with towels on.
    pub towels_factor: f64,
    /// Where that share comes from.
    pub towels_source: Source,
    /// The steady state with towels on: less output, and a hotter fluid where nothing caps it.
    pub towels_on: SteadyState,
    /// The surface against the limit for vulnerable people.
    pub surface: SurfaceAnswer,
}

/// Describes a pair in a room. An emitter that has towels on already is its own towels-on case.
///
/// ```
/// use rungwright::domain::emission::in_use::in_use;
/// use rungwright::domain::emission::{ElementDrive, Emitter};
/// use rungwright::domain::units::{Celsius, Watts};
/// let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
/// let uncapped = ElementDrive { watts: Watts::new(300.0), set_point: None };
/// let found = in_use(&body, uncapped, Celsius::new(20.0));
/// // Nothing switches the element off, so towels do not take from the output: they drive up the fluid.
/// assert_eq!(found.steady.delivered, found.towels_on.delivered);
/// assert!(Celsius::new(80.0) < found.towels_on.fluid);
/// ```
pub fn in_use(emitter: &Emitter, drive: ElementDrive, room: Celsius) -> InUse {
    let (towels_factor, towels_source) = if emitter.towels_factor < 1.0_f64 {
        (emitter.towels_factor, TOWELS_STATED)
    } else {
        (TOWELS_FACTOR_USUAL, TOWELS_SOURCE)
    };
    let covered = Emitter { towels_factor, ..*emitter };
    InUse {
        steady: steady_state(emitter, drive, room),
        towels_factor,
        towels_source,
        towels_on: steady_state(&covered, drive, room),
        surface: check_surface(emitter, drive, room),
    }
}

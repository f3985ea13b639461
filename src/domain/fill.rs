//! How a body is filled: litres, kilograms, doses, the room that swelling fluid needs, and the pressure once sealed.
//!
//! Where the model does not hold (a dry body, a locked one, a boiling one) the outcome says what would happen and gives
//! no pressure. When to close the vent is the maker's datum: without it every case is shown and none is judged.
//! Absent here: stretching of the body, dissolved air, gas from corrosion; the true pressure can be higher.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

pub mod water;
pub mod fluid;
mod pressure;
mod question;
pub mod dose;
pub mod verdict;
pub mod commissioning;

pub use dose::Doses;
pub use pressure::ATMOSPHERE_KPA;
pub use question::DoseProducts;
pub use question::FillAmount;
pub use question::FillQuestion;
pub use question::VentClosing;

use crate::domain::fault::Fault;
use crate::domain::fill::commissioning::CommissioningStep;
use crate::domain::fill::commissioning::commissioning_steps;
use crate::domain::fill::dose::doses;
use crate::domain::fill::pressure::Sealed;
use crate::domain::fill::verdict::PressureVerdict;
use crate::domain::fill::verdict::judge;
use crate::domain::fill::verdict::notices;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;

/// Share of the free volume left to air when nobody says otherwise: the trade fills to about nine tenths (common
/// practice, no source), which at 80 °C comes to about 1 bar.
pub const HEADSPACE_USUAL: f64 = 0.1;

/// A pressure, held absolute.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Pressure(f64);

impl Pressure {
    /// An absolute pressure.
    pub const fn new(absolute_kpa: f64) -> Self {
        Self(absolute_kpa)
    }

    /// kPa absolute.
    pub const fn absolute_kpa(self) -> f64 {
        self.0
    }

    /// Bar above the surrounding air, below zero for a vacuum.
    pub fn gauge_bar(self) -> f64 {
        (self.0 - ATMOSPHERE_KPA) / 100.0
    }
}

/// The three ways a vent can have been handled, each computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealedCases {
    /// `sealed_cold`: vented while filling, closed cold. Pressure when hot.
    pub sealed_cold: Pressure,
    /// `sealed_hot`: left open for the first heating, closed hot at the pressure of the air around.
    pub sealed_hot: SealedHot,
    /// `never_vented`: closed all along, so that the air pushed aside by the element stays in too. Pressure when hot.
    pub never_vented: Pressure,
}

/// A body closed hot: no pressure when hot, a vacuum when cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealedHot {
    /// Pressure when hot: that of the surrounding air.
    pub hot: Pressure,
    /// Lowest pressure, when cooled down to the fill temperature.
    pub cooled: Pressure,
}

/// A fill with all its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Fluid to fill in, at the fill temperature.
    pub volume: Litres,
    /// Its mass.
    pub mass: Kilograms,
    /// What goes into it, from product data.
    pub doses: Doses,
    /// How much the fluid swells, percent of its cold volume.
    pub expansion_percent: f64,
    /// Air left when cold, as a share of the body's free volume.
    pub headspace_fraction: f64,
    /// Smallest share of air that still leaves some when hot.
    pub headspace_min_fraction: f64,
    /// Share of air that keeps a body closed cold within its permitted pressure and margin, where there is one.
    pub headspace_advised_fraction: Option<f64>,
    /// The three cases.
    pub pressures: SealedCases,
    /// The case that applies, judged.
    pub verdict: PressureVerdict,
    /// What to do, in order.
    pub steps: Vec<CommissioningStep>,
    /// Cautions.
    pub notices: Vec<Notice>,
}

/// A state that the model does not cover; it says what happens and gives no figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FillRefusal {
    /// No fluid: the element would burn.
    Dry,
    /// The fluid fills the body before it is hot.
    Locked {
        /// Air left when cold.
        headspace_fraction: f64,
        /// Air that the swelling needs.
        headspace_min_fraction: f64,
    },
    /// The fluid boils at the surrounding pressure before it is as hot as asked.
    Boiling {
        /// The temperature asked.
        hot: Celsius,
        /// The last temperature that the figures hold for.
        limit: Celsius,
    },
}

impl FillRefusal {
    /// Stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Dry => "dry",
            Self::Locked { .. } => "locked",
            Self::Boiling { .. } => "boiling",
        }
    }

    /// What happens, in a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::Dry => "The body holds no fluid: an element switched on dry overheats within moments and is \
                          spoilt. It must never be switched on, not even for a test."
                .to_owned(),
            Self::Locked { headspace_fraction, headspace_min_fraction } => format!(
                "The fluid swells by more than the {:.2} % of air that was left (it needs {:.2} %), fills the body solid \
                 and then raises the pressure by several bar for each further kelvin. No figure is given: something leaks or bursts.",
                headspace_fraction * 100.0,
                headspace_min_fraction * 100.0
            ),
            Self::Boiling { hot, limit } => format!(
                "At {hot} the fluid boils in a vented body or is about to; the figures hold to {limit} only. No figure is given: \
                 steam leaves an open vent, or drives up the pressure behind a closed one."
            ),
        }
    }
}

/// The answer to a right question about a fill.
#[derive(Debug, Clone, PartialEq)]
pub enum FillOutcome {
    /// All figures.
    Filled(Box<Fill>),
    /// No figure, but what happens.
    Refused(FillRefusal),
}

/// Works out a fill, or names everything that is wrong with the question.
///
/// ```
/// use rungwright::domain::fill::fluid::Fluid;
/// use rungwright::domain::fill::{FillAmount, FillOutcome, FillQuestion, FillRefusal, work_out_fill};
/// use rungwright::domain::units::{Celsius, Litres};
/// let question = |headspace| FillQuestion {
///     hot: Celsius::new(70.0),
///     ..FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(headspace))
/// };
/// let FillOutcome::Filled(fill) = work_out_fill(&question(0.1)).unwrap() else { panic!() };
/// assert!((fill.pressures.sealed_cold.absolute_kpa() - 173.93).abs() < 0.05);
/// // Two percent of air is less than the water swells by: no pressure is given, the body locks solid.
/// let locked = work_out_fill(&question(0.02)).unwrap();
/// assert!(matches!(locked, FillOutcome::Refused(FillRefusal::Locked { .. })));
/// ```
pub fn work_out_fill(question: &FillQuestion) -> Result<FillOutcome, Vec<Fault>> {
    let faults = question.faults();
    if !faults.is_empty() {
        return Err(faults);
    }
    let boiling = FillRefusal::Boiling { hot: question.hot, limit: question.fluid.range()[1] };
    let densities = question.fluid.density(question.cold).zip(question.fluid.density(question.hot));
    let Some((dense, light)) = densities else {
        return Ok(FillOutcome::Refused(boiling));
    };
    let sealed = Sealed {
        headspace: question.headspace_fraction(),
        swelling: dense / light,
        cold: question.cold,
        hot: question.hot,
    };
    if 1.0 <= sealed.headspace {
        return Ok(FillOutcome::Refused(FillRefusal::Dry));
    }
    if sealed.headspace <= sealed.headspace_min() {
        return Ok(FillOutcome::Refused(FillRefusal::Locked {
            headspace_fraction: sealed.headspace,
            headspace_min_fraction: sealed.headspace_min(),
        }));
    }
    Ok(FillOutcome::Filled(Box::new(filled(question, sealed, dense))))
}

fn filled(question: &FillQuestion, sealed: Sealed, density: f64) -> Fill {
    let volume = Litres::new(question.free_volume().value() * (1.0 - sealed.headspace));
    let pressures = sealed_cases(question, sealed);
    let advised = question.permitted_gauge_kpa.and_then(|permitted| {
        sealed.headspace_for(verdict::pressure_max(permitted).absolute_kpa())
    });
    let doses = doses(question, volume);
    let verdict = judge(question, &pressures);
    Fill {
        volume,
        mass: Kilograms::new(volume.value() * density / 1_000.0),
        expansion_percent: (sealed.swelling - 1.0) * 100.0,
        headspace_fraction: sealed.headspace,
        headspace_min_fraction: sealed.headspace_min(),
        headspace_advised_fraction: advised,
        steps: commissioning_steps(question, volume),
        notices: notices(question, &pressures, &doses),
        pressures,
        doses,
        verdict,
    }
}

fn sealed_cases(question: &FillQuestion, sealed: Sealed) -> SealedCases {
    let element_share = question.element_displacement.value() / question.free_volume().value();
    SealedCases {
        sealed_cold: Pressure(sealed.closed_cold_kpa()),
        sealed_hot: SealedHot {
            hot: Pressure(ATMOSPHERE_KPA),
            cooled: Pressure(sealed.closed_hot_cooled_kpa()),
        },
        never_vented: Pressure(sealed.never_vented_kpa(element_share)),
    }
}

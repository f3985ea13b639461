//! Views of a pair in daily use: bare and with towels on, and how hot it feels.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::emission::SteadyState;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::surface::SurfaceAnswer;
use crate::domain::emission::surface::VULNERABLE_SURFACE;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;

/// How a pair lives in a room.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct InUseView {
    /// `held` at the set point, `continuous` because there is none or the watts do not reach it, `idle` in a room as warm
    /// as it, or `boiling`, for which no figure is given.
    pub operation: &'static str,
    /// Share of the time that the element is on; null where the fluid would boil.
    #[schema(minimum = 0, maximum = 1)]
    pub duty: Option<f64>,
    /// Temperature of the fluid in the mean; null where it would boil.
    pub steady_fluid_c: Option<f64>,
    /// What happens where no figure can be given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sentence: Option<&'static str>,
    /// Temperature that the fluid would take were nothing to switch the element off.
    pub uncapped_fluid_c: f64,
    /// The same pair with towels on.
    pub towels_on: TowelsOnView,
    /// The surface against the limit for vulnerable people.
    pub surface: SurfaceView,
}

/// A pair with towels on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TowelsOnView {
    /// Share of the output that is left.
    #[schema(minimum = 0.1, maximum = 1)]
    pub towels_factor: f64,
    /// `held`, `continuous`, `idle` or `boiling`.
    pub operation: &'static str,
    /// Heat given to the room; null where the fluid would boil.
    pub delivered_w: Option<f64>,
    /// Share of the time that the element is on.
    #[schema(minimum = 0, maximum = 1)]
    pub duty: Option<f64>,
    /// Temperature of the fluid in the mean.
    pub steady_fluid_c: Option<f64>,
    /// Where the share comes from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

/// The surface of a pair at work. It counts as warm as the fluid.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SurfaceView {
    /// Hottest surface in the steady state; null where the fluid would boil.
    pub surface_c: Option<f64>,
    /// Most that guidance allows where vulnerable people may touch it (HSE HSG220, quoted second-hand).
    pub limit_c: f64,
    /// `within` or `above`; a notice says what an `above` means.
    pub verdict: &'static str,
    /// Output that the pair has left with its fluid held at that limit.
    pub output_at_limit_w: f64,
    /// That output as a share of the rated output.
    pub share_of_rated: f64,
}

impl From<&InUse> for InUseView {
    fn from(found: &InUse) -> Self {
        let towels = &found.towels_on;
        Self {
            operation: operation(&found.steady),
            duty: figure(&found.steady, |steady| thousandths(steady.duty)),
            steady_fluid_c: figure(&found.steady, |steady| hundredths(steady.fluid.value())),
            sentence: found.steady.is_boiling().then_some(BOILING),
            uncapped_fluid_c: hundredths(found.steady.uncapped_fluid.value()),
            towels_on: TowelsOnView {
                towels_factor: found.towels_factor,
                operation: operation(towels),
                delivered_w: figure(towels, |steady| steady.delivered.delivered().watts()),
                duty: figure(towels, |steady| thousandths(steady.duty)),
                steady_fluid_c: figure(towels, |steady| hundredths(steady.fluid.value())),
                source: found.towels_source.text.to_string(),
                evidence: found.towels_source.evidence.code(),
            },
            surface: SurfaceView::new(&found.surface, &found.steady),
        }
    }
}

/// What the fluid does where no figure is given.
const BOILING: &str = "Nothing keeps the fluid below boiling: it steams out of an open vent or drives up the pressure behind a \
                       closed one, until a thermal cut-out, where there is one, switches off. No figure is given.";

/// A figure of a steady state; none where the fluid would boil.
pub fn figure<F: FnOnce(&SteadyState) -> f64>(steady: &SteadyState, read: F) -> Option<f64> {
    (!steady.is_boiling()).then(|| read(steady))
}

fn operation(steady: &SteadyState) -> &'static str {
    if steady.is_boiling() { "boiling" } else { steady.operation.code() }
}

impl SurfaceView {
    fn new(answer: &SurfaceAnswer, steady: &SteadyState) -> Self {
        let is_within = answer.surface <= VULNERABLE_SURFACE;
        Self {
            surface_c: figure(steady, |_| hundredths(answer.surface.value())),
            limit_c: VULNERABLE_SURFACE.value(),
            verdict: if is_within { "within" } else { "above" },
            output_at_limit_w: answer.output_at_limit.delivered().watts(),
            share_of_rated: thousandths(answer.share_of_rated),
        }
    }
}

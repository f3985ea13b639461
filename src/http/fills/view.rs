//! The answer about a fill.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::fill::Fill;
use crate::domain::fill::FillOutcome;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::FillRefusal;
use crate::domain::fill::commissioning::CommissioningStep;
use crate::domain::fill::fluid::Fluid;
use crate::domain::fill::verdict::PressureVerdict;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::http::bills::NoticeView;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;
use crate::http::filling::CasesView;
use crate::http::filling::DosesView;
use crate::http::filling::PressureView;
use crate::http::filling::allowed_bar;
use crate::http::filling::case;
use crate::http::filling::headspace_min;
use crate::http::filling::permitted_bar;
use crate::http::filling::pressure;

use super::question::AnsweredFill;

/// A fill, or what happens instead.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(untagged)]
pub enum FillView {
    /// All figures.
    Filled(Box<FilledView>),
    /// No figure.
    Refused(RefusedFillView),
}

/// A fill with all its figures.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FilledView {
    /// `filled`.
    #[schema(value_type = String, pattern = "^filled$", example = "filled")]
    pub outcome: &'static str,
    /// `within`, `exceeds`, or `not_established` where the maker's vent datum or permitted pressure is not known.
    #[schema(value_type = String, example = "not_established")]
    pub verdict: &'static str,
    /// The verdict in a sentence.
    pub sentence: String,
    /// Fluid to fill in, at the fill temperature.
    pub fill_l: f64,
    /// Its mass.
    pub fill_kg: f64,
    /// How much the fluid swells, of its cold volume.
    pub expansion_percent: f64,
    /// Share of the free volume left to air when cold.
    pub headspace_fraction: f64,
    /// Smallest share that still leaves air when hot, rounded up.
    pub headspace_min_fraction: f64,
    /// Share that keeps a body closed cold within its permitted pressure and margin; null where none is stated or none does.
    pub headspace_advised_fraction: Option<f64>,
    /// The case that the two pressures below are of: the maker's, or `sealed_cold` where the maker's word is not known.
    #[schema(value_type = String, example = "sealed_cold")]
    pub case: &'static str,
    /// Pressure when hot.
    pub absolute_kpa: f64,
    /// The same above the air around.
    pub gauge_bar: f64,
    /// The maker's permitted pressure; null when not stated.
    pub permitted_gauge_bar: Option<f64>,
    /// What it allows once the margin is taken off.
    pub allowed_gauge_bar: Option<f64>,
    /// The three cases.
    pub cases: CasesView,
    /// What to measure out.
    pub doses: DosesView,
    /// The inhibitor, where one was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inhibitor: Option<String>,
    /// Temperature at filling.
    pub fill_c: f64,
    /// Hottest fluid.
    pub hot_c: f64,
    /// The fluid and where its figures come from.
    pub fluid: FluidView,
    /// What to do, in order.
    pub steps: Vec<CommissioningStepView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// A state that no figure is given for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RefusedFillView {
    /// `refused`.
    #[schema(value_type = String, pattern = "^refused$", example = "refused")]
    pub outcome: &'static str,
    /// `dry`, `locked` or `boiling`.
    #[schema(value_type = String, example = "locked")]
    pub verdict: &'static str,
    /// What happens.
    pub sentence: String,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// A fluid.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FluidView {
    /// `water`, `propylene_glycol` or `ethylene_glycol`.
    pub kind: &'static str,
    /// Share of glycol in the volume.
    pub volume_fraction: f64,
    /// Where it freezes.
    pub freezes_c: Option<f64>,
    /// Where its density is from.
    pub source: String,
    /// How that is known.
    pub evidence: &'static str,
}

/// A step of the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CommissioningStepView {
    /// Stable code.
    pub code: &'static str,
    /// What to do.
    pub text: String,
    /// What to beware of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<&'static str>,
}

impl FillView {
    /// The view of an outcome.
    pub(super) fn new(answered: &AnsweredFill<'_>) -> Self {
        match &answered.outcome {
            FillOutcome::Filled(fill) => Self::Filled(Box::new(FilledView::new(fill, answered))),
            FillOutcome::Refused(refusal) => {
                Self::Refused(RefusedFillView::new(*refusal, &answered.notices))
            }
        }
    }
}

impl RefusedFillView {
    fn new(refusal: FillRefusal, notices: &[Notice]) -> Self {
        Self {
            outcome: "refused",
            verdict: refusal.code(),
            sentence: refusal.sentence(),
            notices: notices.iter().map(NoticeView::from).collect(),
        }
    }
}

impl FilledView {
    fn new(fill: &Fill, answered: &AnsweredFill<'_>) -> Self {
        let question = &answered.question;
        let named = PressureView::from(pressure(question, fill));
        let notices = answered.notices.iter().chain(&fill.notices);
        Self {
            outcome: "filled",
            verdict: fill.verdict.code(),
            sentence: sentence(fill, question),
            fill_l: thousandths(fill.volume.value()),
            fill_kg: thousandths(fill.mass.value()),
            expansion_percent: thousandths(fill.expansion_percent),
            headspace_fraction: thousandths(fill.headspace_fraction),
            headspace_min_fraction: headspace_min(fill.headspace_min_fraction),
            headspace_advised_fraction: fill.headspace_advised_fraction.map(headspace_min),
            case: case(question).code(),
            absolute_kpa: named.absolute_kpa,
            gauge_bar: named.gauge_bar,
            permitted_gauge_bar: permitted_bar(question),
            allowed_gauge_bar: allowed_bar(question),
            cases: CasesView::from(fill),
            doses: DosesView::from(&fill.doses),
            inhibitor: answered.inhibitor.map(|accessory| accessory.card.sku.to_string()),
            fill_c: hundredths(question.cold.value()),
            hot_c: hundredths(question.hot.value()),
            fluid: FluidView::from(&question.fluid),
            steps: fill.steps.iter().map(CommissioningStepView::from).collect(),
            notices: notices.map(NoticeView::from).collect(),
        }
    }
}

fn sentence(fill: &Fill, question: &FillQuestion) -> String {
    let closed = case(question).code();
    match fill.verdict {
        PressureVerdict::Within { pressure } => format!(
            "Closed as the maker wants ({closed}) the body reaches {:.2} bar when hot, within what it bears.",
            pressure.gauge_bar()
        ),
        PressureVerdict::Exceeds { pressure, pressure_max } => format!(
            "Closed as the maker wants ({closed}) the body reaches {:.2} bar when hot; with its margin it bears {:.2} bar. Do not \
             fill it so: leave more room to air.",
            pressure.gauge_bar(),
            pressure_max.gauge_bar()
        ),
        PressureVerdict::NotEstablished => {
            "When to close the vent, or what the body bears, is not known, so no pressure is judged. The figures are of a body \
             closed cold."
                .to_owned()
        }
    }
}

impl From<&Fluid> for FluidView {
    fn from(fluid: &Fluid) -> Self {
        let source = fluid.source();
        Self {
            kind: fluid.code(),
            volume_fraction: fluid.volume_fraction(),
            freezes_c: fluid.freezes().map(Celsius::value).map(hundredths),
            source: source.text.to_string(),
            evidence: source.evidence.code(),
        }
    }
}

impl From<&CommissioningStep> for CommissioningStepView {
    fn from(step: &CommissioningStep) -> Self {
        Self { code: step.code, text: step.text.clone(), caution: step.caution }
    }
}

//! Views of a fill: pressures, doses, and the short form that stands on a bill.
//!
//! Absent here: the full answer with its commissioning steps (`fills`).

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::fill::Doses;
use crate::domain::fill::Fill;
use crate::domain::fill::FillOutcome;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::FillRefusal;
use crate::domain::fill::Pressure;
use crate::domain::fill::VentClosing;
use crate::domain::fill::verdict::pressure_max;
use crate::domain::resolver::BillFill;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;

/// Kilopascals in a bar.
pub const KPA_PER_BAR: f64 = 100.0;

/// A pressure, absolute and against the air around.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct PressureView {
    /// Absolute.
    pub absolute_kpa: f64,
    /// Above the air around; below zero for a vacuum.
    pub gauge_bar: f64,
}

/// The three ways a vent can have been handled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct CasesView {
    /// Vented while filling, closed cold: the pressure when hot.
    pub sealed_cold: PressureView,
    /// Left open for the first heating, closed hot.
    pub sealed_hot: SealedHotView,
    /// Closed all along, with the air that the element pushes aside still in: the pressure when hot.
    pub never_vented: PressureView,
}

/// A body closed hot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct SealedHotView {
    /// The pressure when hot.
    pub hot: PressureView,
    /// The lowest pressure, cooled down to the fill temperature.
    pub lowest: PressureView,
}

/// What to measure out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct DosesView {
    /// Water.
    pub water_l: f64,
    /// Its mass.
    pub water_kg: f64,
    /// Undiluted glycol.
    pub glycol_l: f64,
    /// Its mass, where the product's density is stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub glycol_kg: Option<f64>,
    /// Inhibitor by its maker's dose; null when no product is stated, which is not the same as none needed.
    pub inhibitor_ml: Option<f64>,
}

/// The fill on a bill, in short.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BillFillView {
    /// `filled`, or `refused` where the figures would not hold.
    pub outcome: &'static str,
    /// `within`, `exceeds` or `not_established`; of a refused fill `dry`, `locked` or `boiling`.
    pub verdict: &'static str,
    /// What happens, where no figure is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sentence: Option<String>,
    /// Fluid to fill in, at the fill temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill_l: Option<f64>,
    /// Inhibitor by its maker's dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inhibitor_ml: Option<f64>,
    /// Share of the body left to air when cold.
    pub headspace_fraction: f64,
    /// Smallest share that still leaves air when hot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub headspace_min_fraction: Option<f64>,
    /// Hottest fluid that the figures are for.
    pub hot_c: f64,
    /// The case that the pressure is of: the maker's, or `sealed_cold` where the maker's word is not known.
    pub case: &'static str,
    /// Pressure when hot, above the air around.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gauge_bar: Option<f64>,
    /// The maker's permitted pressure; null when not stated.
    pub permitted_gauge_bar: Option<f64>,
    /// Where the doses and the steps of the work are.
    pub commissioning: CommissioningLink,
}

/// A request whose answer holds the steps of filling and first heating.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CommissioningLink {
    /// Where to post it.
    #[schema(value_type = String, example = "/v1/fills")]
    pub path: &'static str,
    /// The body of the request.
    pub request: CommissioningRequest,
}

/// What to post to `/v1/fills`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CommissioningRequest {
    /// The body.
    pub body: String,
    /// The element.
    pub element: String,
    /// The inhibitor on the bill.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inhibitor: Option<String>,
}

impl BillFillView {
    /// The fill of a bill of this body and element.
    pub fn new(fill: &BillFill, [body, element]: [&str; 2]) -> Self {
        let question = &fill.question;
        let request = CommissioningRequest {
            body: body.to_owned(),
            element: element.to_owned(),
            inhibitor: fill.inhibitor.as_ref().map(ToString::to_string),
        };
        let outcome = match &fill.outcome {
            FillOutcome::Filled(found) => Ok(found),
            FillOutcome::Refused(refusal) => Err(refusal),
        };
        let figures = outcome.ok();
        let inhibitor = figures.and_then(|filled| DosesView::from(&filled.doses).inhibitor_ml);
        Self {
            outcome: if figures.is_some() { "filled" } else { "refused" },
            verdict: outcome.map_or_else(FillRefusal::code, |filled| filled.verdict.code()),
            sentence: outcome.err().map(FillRefusal::sentence),
            fill_l: figures.map(|filled| thousandths(filled.volume.value())),
            inhibitor_ml: inhibitor,
            headspace_fraction: thousandths(question.headspace_fraction()),
            headspace_min_fraction: figures
                .map(|filled| headspace_min(filled.headspace_min_fraction)),
            hot_c: hundredths(question.hot.value()),
            case: case(question).code(),
            gauge_bar: figures
                .map(|filled| PressureView::from(pressure(question, filled)).gauge_bar),
            permitted_gauge_bar: permitted_bar(question),
            commissioning: CommissioningLink { path: "/v1/fills", request },
        }
    }
}

/// A least share is rounded up: rounded down it would lock the body.
pub fn headspace_min(fraction: f64) -> f64 {
    libm::ceil(fraction * HEADSPACE_PARTS) / HEADSPACE_PARTS
}

/// Parts of the body's volume that a share of air is printed in.
const HEADSPACE_PARTS: f64 = 100_000.0;

/// The case whose pressure is named first: the maker's, or closing cold where the maker's word is not known.
pub fn case(question: &FillQuestion) -> VentClosing {
    question.vent_closing.unwrap_or(VentClosing::Cold)
}

/// Pressure when hot in the case that is named first.
pub fn pressure(question: &FillQuestion, fill: &Fill) -> Pressure {
    match case(question) {
        VentClosing::Cold => fill.pressures.sealed_cold,
        VentClosing::Hot => fill.pressures.sealed_hot.hot,
        VentClosing::Never => fill.pressures.never_vented,
    }
}

/// The maker's permitted pressure in bar.
pub fn permitted_bar(question: &FillQuestion) -> Option<f64> {
    question.permitted_gauge_kpa.map(|permitted| thousandths(permitted / KPA_PER_BAR))
}

/// What the permitted pressure allows once the margin is taken off, in bar.
pub fn allowed_bar(question: &FillQuestion) -> Option<f64> {
    question.permitted_gauge_kpa.map(|permitted| thousandths(pressure_max(permitted).gauge_bar()))
}

impl From<Pressure> for PressureView {
    fn from(pressure: Pressure) -> Self {
        Self {
            absolute_kpa: hundredths(pressure.absolute_kpa()),
            gauge_bar: thousandths(pressure.gauge_bar()),
        }
    }
}

impl From<&Fill> for CasesView {
    fn from(fill: &Fill) -> Self {
        let cases = &fill.pressures;
        Self {
            sealed_cold: cases.sealed_cold.into(),
            sealed_hot: SealedHotView {
                hot: cases.sealed_hot.hot.into(),
                lowest: cases.sealed_hot.cooled.into(),
            },
            never_vented: cases.never_vented.into(),
        }
    }
}

impl From<&Doses> for DosesView {
    fn from(doses: &Doses) -> Self {
        Self {
            water_l: thousandths(doses.water.value()),
            water_kg: thousandths(doses.water_mass.value()),
            glycol_l: thousandths(doses.glycol.value()),
            glycol_kg: doses.glycol_mass.map(|mass| thousandths(mass.value())),
            inhibitor_ml: doses.inhibitor.map(|dose| hundredths(dose.value() * 1_000.0_f64)),
        }
    }
}

//! The answer about a room's heat.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::heat::HeatRequirement;
use crate::domain::heat::Step;
use crate::domain::heat::StepPart;
use crate::domain::notice::Notice;
use crate::domain::units::Deciwatts;
use crate::domain::units::Kelvins;
use crate::http::bills::NoticeView;
use crate::http::figures::millionths;

/// What a room needs, in watts with one decimal that add up.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatRequirementView {
    /// What governs the choice of a rail: never below nought.
    pub required_w: f64,
    /// Which of the two figures governs: always the sum where there is one.
    #[schema(value_type = String, example = "steady_state")]
    pub governs: &'static str,
    /// Sum of all steps; below nought where warmer neighbours give more than the room loses.
    pub balance_w: f64,
    /// Through surfaces.
    pub transmission_w: f64,
    /// With the air.
    pub ventilation_w: f64,
    /// Along thermal bridges.
    pub bridges_w: f64,
    /// For warming up.
    pub reheat_w: f64,
    /// 100 W per m2 of floor (common practice, no source), beside the sum and never mixed in.
    pub quick_rule_w: f64,
    /// Every line of the sum; their watts add up to `balance_w`.
    pub steps: Vec<StepView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// One line of the sum: amount times rate times factor times difference is the watts.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct StepView {
    /// `transmission`, `bridges`, `ventilation` or `reheat`.
    pub part: &'static str,
    /// What loses the heat.
    pub what: String,
    /// Area of a surface; of anything else see `amount`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Thermal transmittance of a surface; of anything else see `rate`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub u_w_m2k: Option<f64>,
    /// Area, length or air flow.
    pub amount: f64,
    /// Its unit.
    pub amount_unit: &'static str,
    /// Watts a kelvin and unit of amount; for reheat a unit of amount.
    pub rate: f64,
    /// Its unit.
    pub rate_unit: &'static str,
    /// A bare factor: 1, the ground's 1.45, the share of an unheated space.
    pub factor: f64,
    /// Temperature difference, below nought towards a warmer space; null for reheat, which has none.
    pub dk: Option<f64>,
    /// The product.
    pub watts: f64,
    /// Where the rate comes from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

impl HeatRequirementView {
    /// The view of a requirement with its cautions.
    pub fn new(requirement: &HeatRequirement, notices: &[Notice]) -> Self {
        let printed = requirement.printed();
        let steps = requirement.steps.iter().zip(&printed.steps);
        Self {
            required_w: printed.required.watts(),
            governs: "steady_state",
            balance_w: printed.balance.watts(),
            transmission_w: printed.transmission.watts(),
            ventilation_w: printed.ventilation.watts(),
            bridges_w: printed.bridges.watts(),
            reheat_w: printed.reheat.watts(),
            quick_rule_w: printed.quick_rule.watts(),
            steps: steps.map(|(step, watts)| StepView::new(step, *watts)).collect(),
            notices: notices.iter().map(NoticeView::from).collect(),
        }
    }
}

impl StepView {
    fn new(step: &Step, watts: Deciwatts) -> Self {
        let amount = millionths(step.amount.value);
        let rate = millionths(step.rate.value);
        let is_surface = step.part == StepPart::Transmission;
        Self {
            part: step.part.code(),
            what: step.what.clone(),
            area_m2: is_surface.then_some(amount),
            u_w_m2k: is_surface.then_some(rate),
            amount,
            amount_unit: step.amount.unit,
            rate,
            rate_unit: step.rate.unit,
            factor: millionths(step.factor),
            dk: step.difference.map(Kelvins::value).map(millionths),
            watts: watts.watts(),
            source: step.source.text.to_string(),
            evidence: step.source.evidence.code(),
        }
    }
}

//! The answer about a pair's output.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::ecodesign::Completion;
use crate::domain::ecodesign::ControlFunction;
use crate::domain::ecodesign::Demand;
use crate::domain::ecodesign::WORKING_TIME_HOURS_MAX;
use crate::domain::emission::energy::DailyEnergy;
use crate::domain::emission::warming::WarmUp;
use crate::domain::units::Celsius;
use crate::domain::units::Seconds;
use crate::http::bills::NoticeView;
use crate::http::figures::hundredths;
use crate::http::figures::thousandths;
use crate::http::in_use::InUseView;
use crate::http::in_use::figure;
use crate::operations::describe_output::CoolDown;
use crate::operations::describe_output::Ecodesign;
use crate::operations::describe_output::OutputAnswer;
use crate::operations::describe_output::OutputOrder;

use super::question::NewHeatOutput;

/// What a pair gives a room.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatOutputView {
    /// The body, where one was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body: Option<String>,
    /// The element, where one was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub element: Option<String>,
    /// Heat given to the room; null where the fluid would boil.
    pub delivered_w: Option<f64>,
    /// Duty, fluid, towels on, surface.
    #[serde(flatten)]
    pub in_use: InUseView,
    /// Most watts that keep the fluid below its limit with nothing to switch them off.
    pub element_max_w: f64,
    /// The limit of the fluid that was taken.
    pub fluid_limit_c: f64,
    /// What keeps the fluid below its limit: `within` the watts alone, `by_cut_out`, or `refused` because nothing stated does.
    #[schema(value_type = String, example = "within")]
    pub overheating: &'static str,
    /// Time to the set point, or to 90 % of the steady excess where there is no set point; null where it is not reached, where
    /// the element stays off or nothing is known of the heat capacity. `warm_up` says which.
    pub warm_up_s: Option<f64>,
    /// The warm-up in full.
    pub warm_up: Option<WarmUpView>,
    /// The cool-down once switched off.
    pub cool_down: Option<CoolDownView>,
    /// Heat stored above the room's temperature in the steady state.
    pub stored_kwh: Option<f64>,
    /// Energy of a settled day on the schedule, standby not counted.
    pub energy_kwh_day: Option<f64>,
    /// The energy in full.
    pub energy: Option<EnergyView>,
    /// Estimated cost of a settled day; null without a tariff.
    pub cost_day: Option<f64>,
    /// Currency of the cost, as stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost_currency: Option<String>,
    /// Control codes against the law.
    pub ecodesign: EcodesignView,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
}

/// How long the warm-up takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WarmUpView {
    /// `set_point`, `not_reached`, `no_set_point` or `stays_off`.
    #[schema(value_type = String, example = "set_point")]
    pub outcome: &'static str,
    /// Temperature that the time is to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_c: Option<f64>,
    /// Time to it; of `not_reached` the time to 90 % of the way from the room's temperature to the steady state.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_s: Option<f64>,
}

/// How a body cools.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct CoolDownView {
    /// Temperature at switching off.
    pub from_c: f64,
    /// Half of the excess over the room.
    pub half_c: f64,
    /// Time to it.
    pub half_s: f64,
    /// A tenth of the excess over the room.
    pub tenth_c: f64,
    /// Time to it.
    pub tenth_s: f64,
}

/// Energy of a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct EnergyView {
    /// Hours on in a day.
    pub on_hours: f64,
    /// The first day, from the start temperature.
    pub first_day_kwh: f64,
    /// Any later day.
    pub settled_day_kwh: f64,
    /// What watts times hours would have said.
    pub linear_kwh: f64,
}

/// Control codes against the law.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EcodesignView {
    /// `eu-2024`, `gb-2015` or `none`.
    pub regime: &'static str,
    /// Code of all controls together, where stated.
    pub control_code: Option<String>,
    /// `met`, `not_met` or `nothing_demanded`.
    pub verdict: &'static str,
    /// Seasonal efficiency of the code.
    pub efficiency_percent: f64,
    /// Least that is demanded of these watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_percent: Option<f64>,
    /// Longest working time that is demanded of these watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub working_time_hours_max: Option<f64>,
    /// Controls that would complete the pair, one row a base; none where the demand is met.
    pub completions: Vec<CompletionView>,
    /// Where the judgement is from.
    pub source: String,
    /// How it is known.
    pub evidence: &'static str,
}

/// A control that would complete the pair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CompletionView {
    /// Base of its code: `TW`.
    pub base: &'static str,
    /// How many functions it must bring.
    pub functions_count: usize,
    /// Numbers of the functions that count: 2 for an open window.
    pub of: Vec<u8>,
}

impl HeatOutputView {
    /// The view of an answer to a question.
    pub(super) fn new(asked: &NewHeatOutput, order: &OutputOrder, answer: &OutputAnswer) -> Self {
        let warm_up = answer.warm_up.map(|warming| WarmUpView::new(warming, order));
        let cost = asked.tariff.as_ref().zip(answer.energy_kwh_day);
        Self {
            body: asked.body.clone(),
            element: asked.element.clone(),
            delivered_w: figure(&answer.in_use.steady, |steady| {
                steady.delivered.delivered().watts()
            }),
            in_use: InUseView::from(&answer.in_use),
            element_max_w: answer.element_max.delivered().watts(),
            fluid_limit_c: hundredths(answer.fluid_limit.value()),
            overheating: answer.overheating.code(),
            warm_up_s: warm_up
                .filter(|found| found.outcome != NOT_REACHED)
                .and_then(|found| found.after_s),
            warm_up,
            cool_down: answer.cool_down.map(CoolDownView::from),
            stored_kwh: answer.stored_kwh.map(thousandths),
            energy_kwh_day: answer.energy_kwh_day.map(thousandths),
            energy: answer.energy.map(|energy| EnergyView::new(energy, order)),
            cost_day: cost.map(|(tariff, kwh)| hundredths(tariff.price_per_kwh * kwh)),
            cost_currency: asked.tariff.as_ref().and_then(|tariff| tariff.currency.clone()),
            ecodesign: EcodesignView::new(&answer.ecodesign, order),
            notices: answer.notices.iter().map(NoticeView::from).collect(),
        }
    }
}

/// The outcome of a set point that the watts do not reach.
const NOT_REACHED: &str = "not_reached";

impl WarmUpView {
    fn new(warming: WarmUp, order: &OutputOrder) -> Self {
        let set_point = order.question.drive.set_point;
        let (outcome, to, after) = match warming {
            WarmUp::SetPoint { after } => ("set_point", set_point, Some(after)),
            WarmUp::NotReached { after, warm, .. } => (NOT_REACHED, Some(warm), Some(after)),
            WarmUp::NoSetPoint { after, warm } => ("no_set_point", Some(warm), Some(after)),
            WarmUp::StaysOff => ("stays_off", None, None),
        };
        Self {
            outcome,
            to_c: to.map(Celsius::value).map(hundredths),
            after_s: after.map(Seconds::value).map(hundredths),
        }
    }
}

impl From<CoolDown> for CoolDownView {
    fn from(cooling: CoolDown) -> Self {
        let CoolDown { from, half, tenth } = cooling;
        Self {
            from_c: hundredths(from.value()),
            half_c: hundredths(half.0.value()),
            half_s: hundredths(half.1.value()),
            tenth_c: hundredths(tenth.0.value()),
            tenth_s: hundredths(tenth.1.value()),
        }
    }
}

/// Seconds in an hour.
const HOUR_S: f64 = 3_600.0;

impl EnergyView {
    fn new(energy: DailyEnergy, order: &OutputOrder) -> Self {
        Self {
            on_hours: thousandths(order.schedule.on_time().value() / HOUR_S),
            first_day_kwh: thousandths(energy.first_day_kwh),
            settled_day_kwh: thousandths(energy.settled_day_kwh),
            linear_kwh: thousandths(energy.linear_kwh),
        }
    }
}

impl EcodesignView {
    fn new(found: &Ecodesign, order: &OutputOrder) -> Self {
        let verdict = &found.verdict;
        let (minimum, hours) = match verdict.demand {
            Demand::Efficiency(minimum) => (Some(minimum.percent()), None),
            Demand::WorkingTimeLimit => (None, Some(WORKING_TIME_HOURS_MAX)),
            Demand::Nothing => (None, None),
        };
        let word = match (verdict.demand, verdict.is_met) {
            (Demand::Nothing, _) => "nothing_demanded",
            (Demand::Efficiency(_) | Demand::WorkingTimeLimit, true) => "met",
            (Demand::Efficiency(_) | Demand::WorkingTimeLimit, false) => "not_met",
        };
        Self {
            regime: verdict.regime.code(),
            control_code: order.control_code.map(|code| code.to_string()),
            verdict: word,
            efficiency_percent: verdict.efficiency.percent(),
            minimum_percent: minimum,
            working_time_hours_max: hours,
            completions: found.completions.iter().map(CompletionView::from).collect(),
            source: verdict.source.text.to_string(),
            evidence: verdict.source.evidence.code(),
        }
    }
}

impl From<&Completion> for CompletionView {
    fn from(row: &Completion) -> Self {
        Self {
            base: row.base.code(),
            functions_count: row.functions_count,
            of: row.of.iter().map(ControlFunction::number).collect(),
        }
    }
}

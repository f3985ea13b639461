//! What one body with one element gives in one room, and what it costs to run.
//!
//! The figures are the domain's; here they are put together, with the cautions that go with them.

use crate::domain::catalogue::Stated;
use crate::domain::ecodesign::Completion;
use crate::domain::ecodesign::ControlCode;
use crate::domain::ecodesign::ControlledRail;
use crate::domain::ecodesign::EcodesignVerdict;
use crate::domain::ecodesign::RegimeChoice;
use crate::domain::ecodesign::check_control;
use crate::domain::ecodesign::complete_with;
use crate::domain::emission::Operation;
use crate::domain::emission::element_watts_max;
use crate::domain::emission::energy::DailyEnergy;
use crate::domain::emission::energy::Schedule;
use crate::domain::emission::energy::daily_energy;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::in_use::in_use;
use crate::domain::emission::question::OutputQuestion;
use crate::domain::emission::warming::HungBody;
use crate::domain::emission::warming::JOULES_PER_KWH;
use crate::domain::emission::warming::WarmUp;
use crate::domain::emission::warming::stored_heat_kwh;
use crate::domain::emission::warming::time_to_cool;
use crate::domain::emission::warming::warm_up;
use crate::domain::fault::Fault;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Seconds;
use crate::domain::units::Watts;
use crate::domain::zones::verdict::caution;

/// Limit of the fluid when nobody states one: what bodies and elements commonly stand (a stand-in).
pub const FLUID_LIMIT_USUAL: Celsius = Celsius::new(95.0);

/// A pair in a room, and what is to be told about it.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputOrder {
    /// The pair and the room.
    pub question: OutputQuestion,
    /// When it is on; always when nobody says.
    pub schedule: Schedule,
    /// Lowest limit of fluid, body and element, where one is stated.
    pub fluid_limit: Option<Celsius>,
    /// Whether the element has an independent thermal cut-out.
    pub thermal_cut_out: Stated,
    /// Code of the controls, where stated.
    pub control_code: Option<ControlCode>,
    /// The ecodesign law.
    pub regime: RegimeChoice,
    /// Cautions that came up while the question was put together.
    pub notices: Vec<Notice>,
}

/// What keeps the fluid below its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overheating {
    /// The watts alone cannot bring it there.
    Within,
    /// The element's independent thermal cut-out.
    ByCutOut,
    /// Nothing that is stated: the pair is refused.
    Refused,
}

impl Overheating {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::ByCutOut => "by_cut_out",
            Self::Refused => "refused",
        }
    }
}

/// How a body cools once switched off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoolDown {
    /// Temperature at switching off.
    pub from: Celsius,
    /// Half of the excess over the room, and the time to it.
    pub half: (Celsius, Seconds),
    /// A tenth of the excess, and the time to it.
    pub tenth: (Celsius, Seconds),
}

/// Control codes against the law.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ecodesign {
    /// The judgement.
    pub verdict: EcodesignVerdict,
    /// Controls that would complete the pair; none where it is complete.
    pub completions: Vec<Completion>,
}

/// Everything about a pair in a room.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputAnswer {
    /// Steady state, towels, surface.
    pub in_use: InUse,
    /// The limit of the fluid that was taken.
    pub fluid_limit: Celsius,
    /// Most watts that keep the fluid below the limit with nothing to switch them off.
    pub element_max: Watts,
    /// What keeps it there.
    pub overheating: Overheating,
    /// Warm-up, where the heat capacity is known and the fluid does not boil.
    pub warm_up: Option<WarmUp>,
    /// Cool-down, likewise.
    pub cool_down: Option<CoolDown>,
    /// Heat stored above the room's temperature in the steady state, kWh, likewise.
    pub stored_kwh: Option<f64>,
    /// Energy of a day, likewise.
    pub energy: Option<DailyEnergy>,
    /// Energy of a settled day, kWh; of a rail that is always on also without a heat capacity.
    pub energy_kwh_day: Option<f64>,
    /// Ecodesign.
    pub ecodesign: Ecodesign,
    /// Cautions to show.
    pub notices: Vec<Notice>,
}

/// Describes a pair, or names everything that is wrong with the question.
pub fn describe_output(order: &OutputOrder) -> Result<OutputAnswer, Vec<Fault>> {
    let question = &order.question;
    let faults = question.faults();
    if !faults.is_empty() {
        return Err(faults);
    }
    let found = in_use(&question.emitter, question.drive, question.room);
    let hung = question.hung_body().filter(|_| !found.steady.is_boiling());
    let fluid_limit = order.fluid_limit.unwrap_or(FLUID_LIMIT_USUAL);
    let overheating = overheating(order, &found, fluid_limit);
    let energy =
        hung.map(|body| daily_energy(&body, question.drive, &order.schedule, question.start()));
    let warming = hung.map(|body| warm_up(&body, question.drive, question.start()));
    Ok(OutputAnswer {
        fluid_limit,
        element_max: element_watts_max(&question.emitter, fluid_limit, question.room),
        overheating,
        warm_up: warming,
        cool_down: hung.and_then(|body| cool_down(&body, found.steady.fluid)),
        stored_kwh: hung.map(|body| stored_heat_kwh(&body, found.steady.fluid)),
        energy,
        energy_kwh_day: energy.map(|day| day.settled_day_kwh).or_else(|| always_on(order, &found)),
        ecodesign: ecodesign(order),
        notices: notices(order, &found, overheating, warming),
        in_use: found,
    })
}

fn overheating(order: &OutputOrder, found: &InUse, limit: Celsius) -> Overheating {
    if found.steady.uncapped_fluid <= limit {
        return Overheating::Within;
    }
    match order.thermal_cut_out {
        Stated::Yes => Overheating::ByCutOut,
        Stated::No | Stated::NotStated => Overheating::Refused,
    }
}

fn cool_down(body: &HungBody, from: Celsius) -> Option<CoolDown> {
    let excess = from.value() - body.room.value();
    if excess <= 0.0_f64 {
        return None;
    }
    let mark = |share: f64| {
        let to = Celsius::new(body.room.value() + share * excess);
        Some((to, time_to_cool(body, [from, to])?))
    };
    Some(CoolDown { from, half: mark(0.5)?, tenth: mark(0.1)? })
}

/// A rail that is always on gives what it takes, whatever it stores.
fn always_on(order: &OutputOrder, found: &InUse) -> Option<f64> {
    let is_always = order.schedule == Schedule::always() && !found.steady.is_boiling();
    let joules = found.steady.delivered.value() * order.schedule.on_time().value();
    is_always.then_some(joules / JOULES_PER_KWH)
}

fn ecodesign(order: &OutputOrder) -> Ecodesign {
    let code = order.control_code.unwrap_or(ControlCode::UNCONTROLLED);
    let watts = order.question.drive.watts;
    let rail = ControlledRail { watts, code, working_time_hours: None };
    let verdict = check_control(order.regime.regime, rail);
    let completions = if verdict.is_met { Vec::new() } else { complete_with(watts, code) };
    Ecodesign { verdict, completions }
}

fn notices(
    order: &OutputOrder,
    found: &InUse,
    overheating: Overheating,
    warming: Option<WarmUp>,
) -> Vec<Notice> {
    let mut notices = vec![caution(), Notice::new("rated-output-of-the-body", RATED)];
    notices.extend(order.notices.iter().cloned());
    if !found.steady.is_boiling() {
        notices.extend(found.surface.notice.clone());
    }
    notices.extend(beyond_the_body(order, found));
    notices.extend(not_reached(warming));
    let said = [
        (found.steady.operation == Operation::Idle, "room-as-warm-as-set-point", IDLE),
        (overheating == Overheating::ByCutOut, "cut-out-needed", CUT_OUT),
        (overheating == Overheating::Refused, "fluid-above-limit", REFUSED),
        (order.fluid_limit.is_none(), "fluid-limit-not-stated", LIMIT),
        (order.question.capacity.is_none(), "heat-capacity-not-stated", CAPACITY),
        (order.control_code.is_none(), "control-code-not-stated", UNCONTROLLED),
    ];
    let said = said.into_iter().filter(|row| row.0);
    notices.extend(said.map(|(_, code, text)| Notice::new(code, text)));
    notices.extend(order.regime.notice.clone());
    notices
}

fn beyond_the_body(order: &OutputOrder, found: &InUse) -> Option<Notice> {
    let rating = order.question.drive.watts;
    let delivered = found.steady.delivered;
    (found.steady.operation == Operation::Held).then(|| {
        let text = format!(
            "The element is rated {:.0} W, the body sheds {:.1} W at the set point: that is what the room gets.",
            rating.value(),
            delivered.delivered().watts()
        );
        Notice::new("watts-beyond-the-body", text)
    })
}

fn not_reached(warming: Option<WarmUp>) -> Option<Notice> {
    let Some(WarmUp::NotReached { steady, .. }) = warming else { return None };
    let text = format!(
        "The set point is not reached: these watts end at {:.1} °C. The time is to 90 % of the way from the room's \
         temperature.",
        steady.value()
    );
    Some(Notice::new("set-point-not-reached", text))
}

const RATED: &str = "The rated output is measured on a body fed with hot water (EN 442) and says nothing of an element; using it for \
                     an electric rail is engineering use.";
const IDLE: &str = "The room is as warm as the set point, so the element stays off and gives 0 W.";
const CUT_OUT: &str = "Left on without regulation, the element would bring the fluid above the limit; its independent thermal cut-out \
                       is what keeps it below.";
const REFUSED: &str = "Left on without regulation, the element would bring the fluid above the limit, and no independent thermal \
                       cut-out is stated: this pair is refused.";
const LIMIT: &str =
    "No limit of the fluid is stated, so 95 °C is taken as a stand-in; ask the makers.";
const CAPACITY: &str = "What the filled body stores is not stated, so warm-up, cool-down and the energy of a schedule are not given.";
const UNCONTROLLED: &str = "No control code is stated, so the pair counts as having no control.";

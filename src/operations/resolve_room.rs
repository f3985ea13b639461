//! From a room and wishes to bills of materials.
//!
//! Decides where the heat requirement comes from and which price list holds; the arithmetic is the domain's.

use std::time::Duration;

use jiff::civil::Date;

use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Tier;
use crate::domain::fault::Fault;
use crate::domain::heat::Allowances;
use crate::domain::heat::HeatRequirement;
use crate::domain::heat::heat_requirement;
use crate::domain::heat::quick_rule;
use crate::domain::notice::Notice;
use crate::domain::pricing::Total;
use crate::domain::resolver::Allowance;
use crate::domain::resolver::Choice;
use crate::domain::resolver::Demands;
use crate::domain::resolver::Order;
use crate::domain::resolver::Resolution;
use crate::domain::resolver::Source;
use crate::domain::resolver::frontier_from;
use crate::domain::resolver::resolve_at_once;
use crate::domain::resolver::resolve_from;
use crate::domain::room::Room;
use crate::domain::units::Deciwatts;
use crate::domain::units::Watts;

use super::Snapshot;

/// What the rail is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Purpose {
    /// It heats the room by itself.
    #[default]
    SoleHeating,
    /// It heats the room together with something else.
    SharedHeating,
    /// It warms towels; the room's heat is somebody else's business.
    TowelWarming,
}

/// Where the heat requirement comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum HeatQuestion {
    /// The caller states it.
    Given(Watts),
    /// From the room's boundaries.
    Room(Box<Room>, Allowances),
    /// From the floor area alone, by the quick rule.
    Floor(f64),
    /// There is none.
    Nothing,
}

/// How a requirement was arrived at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Stated by the caller.
    Given,
    /// Summed over the room's boundaries.
    SteadyState,
    /// Floor area times the quick rule.
    QuickRule,
}

impl Basis {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::SteadyState => "steady_state",
            Self::QuickRule => "quick_rule",
        }
    }
}

/// The longest that the searches for one answer may take together; then the answer is undecided.
///
/// Well within the time in which a request must be answered. An answer that is decided is the same on every machine.
pub const SEARCH_TIME_MAX: Duration = Duration::from_secs(8);

/// Share of the requirement that the rail bears when it heats together with something else, percent, if nobody says.
pub const HEAT_SHARE_PERCENT_USUAL: f64 = 50.0;

/// A room and wishes.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// Where the requirement comes from.
    pub heat: HeatQuestion,
    /// What the rail is for.
    pub purpose: Purpose,
    /// Share of the requirement that the rail bears, percent; for shared heating only.
    pub share_percent: Option<f64>,
    /// What a kilowatt-hour costs, for the running cost.
    pub price_per_kwh: Option<f64>,
    /// Whether price against heat is wanted as well.
    pub is_frontier_wanted: bool,
    /// Whose prices count.
    pub tier: Tier,
    /// Everything else. Its `required` is filled in here.
    pub demands: Demands<'a>,
}

/// The heat requirement of an answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirement {
    /// What the room needs.
    pub room: Deciwatts,
    /// What the rail must deliver.
    pub rail: Deciwatts,
    /// How it was arrived at.
    pub basis: Basis,
    /// The quick rule beside it, where a floor area is known.
    pub quick_rule: Option<Deciwatts>,
    /// The sum, where there is one.
    pub sum: Option<HeatRequirement>,
}

/// The answer, with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The edition that answered.
    pub edition: u32,
    /// The price list that held.
    pub price_list: Box<str>,
    /// The requirement, unless the rail only warms towels.
    pub requirement: Option<Requirement>,
    /// What a kilowatt-hour costs, as stated.
    pub price_per_kwh: Option<f64>,
    /// Bills, or why there are none.
    pub resolution: Resolution,
    /// Price against heat, where it was asked for and there are bills.
    pub frontier: Option<PricedFrontier>,
    /// Cautions about the question as a whole.
    pub notices: Vec<Notice>,
}

/// Price against heat, at the prices that people pay.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PricedFrontier {
    /// By rising price and heat.
    pub choices: Vec<PricedChoice>,
    /// Whether there are more than fit an answer.
    pub has_more: bool,
}

/// A bill without its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PricedChoice {
    /// What is owed.
    pub total: Total,
    /// What its rails give the room.
    pub delivered: Deciwatts,
    /// Body and element of each, and its wall space where it has one of its own.
    pub rails: Vec<PricedRail>,
}

/// Body and element of a rail, and its wall space where it has one of its own.
pub type PricedRail = ([Sku; 2], Option<usize>);

/// Why a well-put question cannot be answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The room cannot be so.
    Room(Vec<Fault>),
    /// No price list of the tier holds in the market on the day.
    NoPriceList(Tier, Date),
}

/// What the answer to a question rests on.
#[derive(Debug)]
pub(super) struct Footing<'a> {
    /// The catalogue at the prices that hold.
    pub source: Source<'a>,
    /// The requirement, unless the rail only warms towels.
    pub requirement: Option<Requirement>,
    /// Cautions about the question as a whole.
    pub notices: Vec<Notice>,
}

/// Finds what the answer to a question rests on, and fills in what the rail must deliver.
pub(super) fn footing<'a>(
    snapshot: &'a Snapshot,
    question: &mut Question<'_>,
) -> Result<Footing<'a>, Refusal> {
    let catalogue = snapshot.catalogue();
    let around = &question.demands.surroundings;
    let day = question.demands.day;
    let list = catalogue.edition().price_list_of(question.tier, &around.market.code, day);
    let list = list.ok_or(Refusal::NoPriceList(question.tier, day))?;
    let mut notices = around.notices(day);
    let requirement = requirement(question, &mut notices)?;
    let compiled = snapshot.compiled_lists().serving(list, around);
    question.demands.required = requirement.as_ref().map(|found| found.rail);
    Ok(Footing { source: Source { catalogue, list, compiled }, requirement, notices })
}

/// The longest that a search may take on a thread that also answers others.
pub const AT_ONCE_TIME_MAX: Duration = Duration::from_micros(300);

/// Answers a question whose bills are found at once: the same answer as [`resolve_room`]'s, or nothing where that takes
/// longer, has something to explain or to refuse.
pub fn answer_at_once(snapshot: &Snapshot, mut question: Question<'_>) -> Option<Answer> {
    if question.is_frontier_wanted {
        return None;
    }
    let footing = footing(snapshot, &mut question).ok()?;
    let stopwatch = snapshot.stopwatch();
    let is_time_up = || AT_ONCE_TIME_MAX < stopwatch.elapsed();
    let resolution = resolve_at_once(&footing.source, &question.demands, &is_time_up)?;
    Some(answer(footing, question.price_per_kwh, (resolution, None)))
}

/// Answers a question from one snapshot, within [`SEARCH_TIME_MAX`].
pub fn resolve_room(snapshot: &Snapshot, mut question: Question<'_>) -> Result<Answer, Refusal> {
    let footing = footing(snapshot, &mut question)?;
    let source = footing.source;
    let stopwatch = snapshot.stopwatch();
    let is_time_up = || SEARCH_TIME_MAX < stopwatch.elapsed();
    let allowance = Allowance::until(&is_time_up);
    let resolution = resolve_from(&source, &question.demands, &allowance);
    let found = if question.is_frontier_wanted {
        with_frontier(&source, &question.demands, &allowance, resolution)
    } else {
        (resolution, None)
    };
    Ok(answer(footing, question.price_per_kwh, found))
}

/// What was found, with what it rests on.
fn answer(
    footing: Footing<'_>,
    price_per_kwh: Option<f64>,
    (resolution, frontier): (Resolution, Option<PricedFrontier>),
) -> Answer {
    Answer {
        edition: footing.source.catalogue.edition().number(),
        price_list: footing.source.list.code.clone(),
        requirement: footing.requirement,
        price_per_kwh,
        resolution,
        frontier,
        notices: footing.notices,
    }
}

/// The frontier beside the bills. Where a limit cuts it short the whole answer is undecided: half of it proves nothing.
fn with_frontier(
    source: &Source<'_>,
    demands: &Demands<'_>,
    allowance: &Allowance<'_>,
    resolution: Resolution,
) -> (Resolution, Option<PricedFrontier>) {
    let Resolution::Resolved(bills) = resolution else { return (resolution, None) };
    let found = frontier_from(source, demands, allowance);
    if let Some(limit) = found.limit {
        let cheapest = bills.iter().map(|bill| bill.total.gross).min();
        let lower_bound = cheapest.filter(|_| demands.sought.order == Order::Price);
        return (Resolution::Undecided { limit, lower_bound, best_so_far: bills }, None);
    }
    let priced = found.choices.iter().filter_map(|choice| priced(source, demands, choice));
    let frontier = PricedFrontier { choices: priced.collect(), has_more: found.has_more };
    (Resolution::Resolved(bills), Some(frontier))
}

fn priced(source: &Source<'_>, demands: &Demands<'_>, choice: &Choice) -> Option<PricedChoice> {
    let edition = source.catalogue.edition();
    let sku = |part| edition.card(part).map(|card| card.sku.clone());
    let rails = choice.rails.iter();
    let rails = rails.map(|rail| Some(([sku(rail.body)?, sku(rail.element)?], rail.wall)));
    let rate = demands.surroundings.market.tax_rate;
    Some(PricedChoice {
        total: Total::of(choice.net, rate, source.list.currency).ok()?,
        delivered: choice.delivered,
        rails: rails.collect::<Option<_>>()?,
    })
}

fn requirement(
    question: &Question<'_>,
    notices: &mut Vec<Notice>,
) -> Result<Option<Requirement>, Refusal> {
    let (needed, basis, quick, sum) = match &question.heat {
        HeatQuestion::Nothing => return Ok(None),
        HeatQuestion::Given(watts) => (watts.required(), Basis::Given, None, None),
        HeatQuestion::Floor(floor_m2) => {
            let quick = quick_rule(*floor_m2).required();
            notices.push(Notice::new(
                "quick-rule-only",
                "The room came without boundaries, so its need is the quick rule of 100 W per m2 (common practice, \
                 no source), which can be far off either way. Give the boundaries for a sum that can be checked.",
            ));
            (quick, Basis::QuickRule, Some(quick), None)
        }
        HeatQuestion::Room(room, allowances) => {
            let sum = heat_requirement(room, allowances).map_err(Refusal::Room)?;
            let printed = sum.printed();
            notices.extend(sum.notices.iter().cloned());
            (printed.required, Basis::SteadyState, Some(printed.quick_rule), Some(sum))
        }
    };
    Ok(match question.purpose {
        Purpose::TowelWarming => None,
        Purpose::SoleHeating => {
            Some(Requirement { room: needed, rail: needed, basis, quick_rule: quick, sum })
        }
        Purpose::SharedHeating => {
            let rail = shared(question.share_percent, needed, notices);
            Some(Requirement { room: needed, rail, basis, quick_rule: quick, sum })
        }
    })
}

fn shared(share_percent: Option<f64>, needed: Deciwatts, notices: &mut Vec<Notice>) -> Deciwatts {
    if share_percent.is_none() {
        notices.push(Notice::new(
            "share-assumed",
            "The rail heats together with something else and nobody said how much it bears: half is taken, which \
             is an assumption. State heat_share_percent.",
        ));
    }
    let share = share_percent.unwrap_or(HEAT_SHARE_PERCENT_USUAL);
    Watts::new(needed.watts() * share / 100.0_f64).required()
}

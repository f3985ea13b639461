//! The answer to a resolution request.

use std::fmt;

use serde::Serialize;
use utoipa::ToSchema;
use utoipa::openapi::schema::Object;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::SchemaType;
use utoipa::openapi::schema::Type;

use crate::domain::catalogue::Market;
use crate::domain::conflict::Conflict;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Relaxation;
use crate::domain::resolver::Bill;
use crate::domain::resolver::Resolution;
use crate::domain::units::Deciwatts;
use crate::http::bills::NoticeView;
use crate::http::bills::OptionView;
use crate::operations::resolve_room::Answer;
use crate::operations::resolve_room::Basis;
use crate::operations::resolve_room::Requirement;

/// What a resolution came to. 200 in all three cases: the question was fine.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(untagged)]
pub enum ResolutionView {
    /// The cheapest valid bills.
    Resolved(ResolvedView),
    /// Nothing meets all demands.
    Impossible(ImpossibleView),
    /// A limit was reached first.
    Undecided(UndecidedView),
}

/// The cheapest valid bills.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ResolvedView {
    /// `resolved`.
    #[schema(value_type = String, pattern = "^resolved$", example = "resolved")]
    pub outcome: &'static str,
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// The price list that held.
    pub price_list: String,
    /// The requirement, unless the rail only warms towels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_requirement: Option<RequirementView>,
    /// Bills, best first.
    pub options: Vec<OptionView>,
    /// Cautions about the question as a whole.
    pub notices: Vec<NoticeView>,
}

/// Why nothing meets all demands, and what would help.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ImpossibleView {
    /// `impossible`.
    #[schema(value_type = String, pattern = "^impossible$", example = "impossible")]
    pub outcome: &'static str,
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// The price list that held.
    pub price_list: String,
    /// The requirement, unless the rail only warms towels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_requirement: Option<RequirementView>,
    /// A smallest set of demands that cannot hold together.
    pub conflict: ConflictView,
    /// Smallest changes that would help, cheapest first; each was proved by resolving again.
    pub relaxations: Vec<RelaxationView>,
    /// Cautions about the question as a whole.
    pub notices: Vec<NoticeView>,
}

/// A limit was reached before the search was sure.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UndecidedView {
    /// `undecided`.
    #[schema(value_type = String, pattern = "^undecided$", example = "undecided")]
    pub outcome: &'static str,
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// The price list that held.
    pub price_list: String,
    /// The requirement, unless the rail only warms towels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_requirement: Option<RequirementView>,
    /// The limit.
    pub limit: &'static str,
    /// The best bills found by then, without a promise that there are no better ones.
    pub best_so_far: Vec<OptionView>,
    /// Cautions about the question as a whole.
    pub notices: Vec<NoticeView>,
}

/// The heat requirement that was used.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RequirementView {
    /// What the rail must deliver.
    pub required_w: f64,
    /// `given`, `steady_state` or `quick_rule`.
    pub basis: &'static str,
    /// What the room needs, where the rail bears only a share of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room_w: Option<f64>,
    /// 100 W per m2 of floor (common practice, no source), beside it and never mixed in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quick_rule_w: Option<f64>,
}

/// A smallest set of demands that cannot hold together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ConflictView {
    /// The demands, as JSON pointers into the request.
    pub demands: Vec<String>,
    /// How near the catalogue comes to each.
    pub facts: Vec<FactView>,
    /// One sentence to read out.
    pub sentence: String,
}

/// How near the catalogue comes to a demand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FactView {
    /// The demand.
    pub demand: String,
    /// A sentence or two.
    pub text: String,
}

/// The smallest change of one demand.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RelaxationView {
    /// What is changed.
    pub demand: String,
    /// The value asked for, in the type and unit of its field; watts for a room.
    #[schema(schema_with = demanded)]
    pub from: DemandedView,
    /// The nearest value that can be met; null when the demand has to go.
    #[schema(schema_with = demanded_or_none)]
    pub to: Option<DemandedView>,
    /// Gross price of the cheapest bill it leads to.
    pub cheapest_gross: String,
}

/// A value of a demand, as its field takes it.
///
/// Its schema is one list of types and not a choice among schemas: 1000.0 watts are a whole number as well, and a choice
/// of one would refuse what fits two.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum DemandedView {
    /// Asked for or not.
    Flag(bool),
    /// Whole millimetres.
    Length(i64),
    /// Watts.
    Power(f64),
    /// A word, or an amount of money.
    Text(String),
}

fn demanded() -> Object {
    one_of_types(
        vec![Type::Boolean, Type::Number, Type::String],
        "The value asked for, in the type and unit of its field; watts for a room.",
    )
}

fn demanded_or_none() -> Object {
    one_of_types(
        vec![Type::Boolean, Type::Number, Type::String, Type::Null],
        "The nearest value that can be met; null when the demand has to go.",
    )
}

fn one_of_types(types: Vec<Type>, description: &str) -> Object {
    let builder = ObjectBuilder::new().schema_type(SchemaType::Array(types));
    builder.description(Some(description)).build()
}

impl ResolutionView {
    /// The view of an answer in a market.
    pub fn new(answer: &Answer, market: &Market) -> Self {
        let edition = answer.edition;
        let price_list = answer.price_list.to_string();
        let heat_requirement = answer.requirement.as_ref().map(RequirementView::from);
        let notices = answer.notices.iter().map(NoticeView::from).collect();
        let code = market.code.to_string();
        match &answer.resolution {
            Resolution::Resolved(bills) => Self::Resolved(ResolvedView {
                outcome: "resolved",
                edition,
                market: code,
                price_list,
                heat_requirement,
                options: options(bills),
                notices,
            }),
            Resolution::Impossible { conflict, relaxations } => Self::Impossible(ImpossibleView {
                outcome: "impossible",
                edition,
                market: code,
                price_list,
                heat_requirement,
                conflict: conflict_view(conflict, answer),
                relaxations: relaxations
                    .iter()
                    .map(|relaxation| relaxation_view(relaxation, answer, market))
                    .collect(),
                notices,
            }),
            Resolution::Undecided { limit, best_so_far } => Self::Undecided(UndecidedView {
                outcome: "undecided",
                edition,
                market: code,
                price_list,
                heat_requirement,
                limit,
                best_so_far: options(best_so_far),
                notices,
            }),
        }
    }
}

fn options(bills: &[Bill]) -> Vec<OptionView> {
    bills.iter().enumerate().map(|(index, bill)| OptionView::new(index, bill)).collect()
}

impl From<&Requirement> for RequirementView {
    fn from(requirement: &Requirement) -> Self {
        let room_w = requirement.room.watts();
        Self {
            required_w: requirement.rail.watts(),
            basis: requirement.basis.word(),
            room_w: (requirement.room != requirement.rail).then_some(room_w),
            quick_rule_w: requirement.quick_rule.map(Deciwatts::watts),
        }
    }
}

fn conflict_view(conflict: &Conflict, answer: &Answer) -> ConflictView {
    let facts = conflict.facts.iter();
    ConflictView {
        demands: conflict.demands.iter().map(|demand| pointer(*demand, answer)).collect(),
        facts: facts
            .map(|fact| FactView { demand: pointer(fact.demand, answer), text: fact.text.clone() })
            .collect(),
        sentence: conflict.sentence.clone(),
    }
}

fn relaxation_view(relaxation: &Relaxation, answer: &Answer, market: &Market) -> RelaxationView {
    let demand = relaxation.demand;
    let to = relaxation.to.as_deref();
    RelaxationView {
        demand: pointer(demand, answer),
        from: DemandedView::new(demand, &relaxation.from),
        to: to.map(|to| DemandedView::new(demand, to)).or_else(|| DemandedView::absent(demand)),
        cheapest_gross: market.currency.format(relaxation.cheapest_gross),
    }
}

impl fmt::Display for DemandedView {
    fn fmt(&self, form: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Flag(flag) => flag.fmt(form),
            Self::Length(millimetres) => millimetres.fmt(form),
            Self::Power(watts) => watts.fmt(form),
            Self::Text(text) => text.fmt(form),
        }
    }
}

impl DemandedView {
    /// The value in the type of the demand's field.
    fn new(demand: Demand, text: &str) -> Self {
        let typed = match demand {
            Demand::Output => text.parse().map(Self::Power).ok(),
            Demand::WallWidth | Demand::WallHeight | Demand::ConnectionDistance => {
                text.parse().map(Self::Length).ok()
            }
            Demand::WaterJets
            | Demand::WallControl
            | Demand::TimeControl
            | Demand::FlexCover
            | Demand::Children
            | Demand::Vulnerable
            | Demand::PublicBuilding => text.parse().map(Self::Flag).ok(),
            Demand::Plan
            | Demand::Zone
            | Demand::Side
            | Demand::Finish
            | Demand::Regulation
            | Demand::Budget
            | Demand::Accessory(_) => None,
        };
        typed.unwrap_or_else(|| Self::Text(text.to_owned()))
    }

    /// What stands in the field when the demand is dropped; nothing where the field or entry goes with it.
    const fn absent(demand: Demand) -> Option<Self> {
        match demand {
            Demand::WaterJets
            | Demand::WallControl
            | Demand::TimeControl
            | Demand::FlexCover
            | Demand::Children
            | Demand::Vulnerable
            | Demand::PublicBuilding => Some(Self::Flag(false)),
            Demand::Output
            | Demand::WallWidth
            | Demand::WallHeight
            | Demand::ConnectionDistance
            | Demand::Plan
            | Demand::Zone
            | Demand::Side
            | Demand::Finish
            | Demand::Regulation
            | Demand::Budget
            | Demand::Accessory(_) => None,
        }
    }
}

/// The field that states a demand: a computed requirement is stated by the room.
fn pointer(demand: Demand, answer: &Answer) -> String {
    let given = answer.requirement.as_ref().is_some_and(|found| found.basis == Basis::Given);
    if demand == Demand::Output && !given { "/room".to_owned() } else { demand.pointer() }
}

//! Why a request cannot be met, and what would help, as JSON.

use std::fmt;

use serde::Serialize;
use utoipa::ToSchema;
use utoipa::openapi::schema::Object;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::SchemaType;
use utoipa::openapi::schema::Type;

use crate::domain::catalogue::Market;
use crate::domain::conflict::Change;
use crate::domain::conflict::Conflict;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Explanation;
use crate::domain::conflict::Fact;
use crate::domain::conflict::Relaxation;
use crate::operations::resolve_room::Answer;
use crate::operations::resolve_room::Basis;

/// A smallest set of demands that cannot hold together.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct ConflictView {
    /// The demands, as JSON pointers into the request.
    pub demands: Vec<String>,
    /// How near the catalogue comes to each.
    pub facts: Vec<FactView>,
    /// One sentence to read out.
    pub sentence: String,
}

/// How near the catalogue comes to a demand.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FactView {
    /// The demand.
    pub demand: String,
    /// The code of the rule by which it excludes parts, where a rule does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule: Option<&'static str>,
    /// The nearest value that can be had beside the conflict's other demands, in the type and unit of the field.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = demanded, required = false)]
    pub nearest: Option<DemandedView>,
    /// By how much it misses what is asked, in the same unit, where there is a measure between.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(schema_with = demanded, required = false)]
    pub misses_by: Option<DemandedView>,
    /// The part that offers the nearest value, in the cheapest bill that does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sku: Option<String>,
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

/// Smallest changes that help only together: none of them can be spared.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CombinationView {
    /// The changes, each of another demand.
    pub changes: Vec<ChangeView>,
    /// Gross price of the cheapest bill they lead to.
    pub cheapest_gross: String,
}

/// A demand with another value.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ChangeView {
    /// What is changed.
    pub demand: String,
    /// The value asked for, in the type and unit of its field; watts for a room.
    #[schema(schema_with = demanded)]
    pub from: DemandedView,
    /// The nearest value that can be met once the other changes are made; null when the demand has to go.
    #[schema(schema_with = demanded_or_none)]
    pub to: Option<DemandedView>,
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

/// The parts of an explanation as an answer holds them.
pub(super) struct Explained {
    pub conflict: ConflictView,
    pub others: Vec<ConflictView>,
    pub single: Vec<RelaxationView>,
    pub combined: Vec<CombinationView>,
}

impl Explained {
    pub(super) fn new(explanation: &Explanation, answer: &Answer, market: &Market) -> Self {
        let mut conflicts =
            explanation.conflicts.iter().map(|conflict| ConflictView::new(conflict, answer));
        let mut explained = Self {
            conflict: conflicts.next().unwrap_or_default(),
            others: conflicts.collect(),
            single: Vec::new(),
            combined: Vec::new(),
        };
        for relaxation in &explanation.relaxations {
            let price = market.currency.format(relaxation.cheapest_gross);
            explained.add(relaxation, price, answer);
        }
        explained
    }

    fn add(&mut self, relaxation: &Relaxation, cheapest_gross: String, answer: &Answer) {
        let changes = relaxation.changes.iter().map(|change| ChangeView::new(change, answer));
        let mut changes: Vec<ChangeView> = changes.collect();
        if changes.len() == 1
            && let Some(ChangeView { demand, from, to }) = changes.pop()
        {
            self.single.push(RelaxationView { demand, from, to, cheapest_gross });
        } else {
            self.combined.push(CombinationView { changes, cheapest_gross });
        }
    }
}

impl ConflictView {
    fn new(conflict: &Conflict, answer: &Answer) -> Self {
        Self {
            demands: conflict.demands.iter().map(|demand| pointer(*demand, answer)).collect(),
            facts: conflict.facts.iter().map(|fact| FactView::new(fact, answer)).collect(),
            sentence: conflict.sentence.clone(),
        }
    }
}

impl FactView {
    fn new(fact: &Fact, answer: &Answer) -> Self {
        let typed = |text: &str| DemandedView::new(fact.demand, text);
        let nearest = fact.nearest.as_ref();
        Self {
            demand: pointer(fact.demand, answer),
            rule: fact.rule,
            nearest: nearest.map(|found| typed(&found.value)),
            misses_by: nearest.and_then(|found| found.misses_by.as_deref()).map(typed),
            sku: nearest.map(|found| found.part.to_string()),
            text: fact.text.clone(),
        }
    }
}

impl ChangeView {
    fn new(change: &Change, answer: &Answer) -> Self {
        let demand = change.demand;
        let to = change.to.as_deref();
        Self {
            demand: pointer(demand, answer),
            from: DemandedView::new(demand, &change.from),
            to: to.map(|to| DemandedView::new(demand, to)).or_else(|| DemandedView::absent(demand)),
        }
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
            Demand::WallWidth | Demand::WallHeight | Demand::ConnectionDistance | Demand::Rails => {
                text.parse().map(Self::Length).ok()
            }
            Demand::WaterJets
            | Demand::WallControl
            | Demand::TimeControl
            | Demand::FlexCover
            | Demand::Children
            | Demand::Vulnerable
            | Demand::PublicBuilding => text.parse().map(Self::Flag).ok(),
            Demand::Walls
            | Demand::Plan
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
            | Demand::Walls
            | Demand::Rails
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

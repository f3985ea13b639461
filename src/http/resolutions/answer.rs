//! The answer to a resolution request.

use std::mem;

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Market;
use crate::domain::resolver::Bill;
use crate::domain::resolver::Resolution;
use crate::domain::units::Deciwatts;
use crate::http::bills::NoticeView;
use crate::http::bills::OptionView;
use crate::http::resolutions::explanation::CombinationView;
use crate::http::resolutions::explanation::ConflictView;
use crate::http::resolutions::explanation::Explained;
use crate::http::resolutions::explanation::RelaxationView;
use crate::http::resolutions::frontier::FrontierView;
use crate::operations::resolve_room::Answer;
use crate::operations::resolve_room::Requirement;

/// What a resolution came to. 200 in all cases: the question was fine.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(untagged)]
pub enum ResolutionView {
    /// The cheapest valid bills.
    Resolved(ResolvedView),
    /// Nothing meets all demands.
    Impossible(ImpossibleView),
    /// Nothing meets all demands, and why was not asked for.
    Unexplained(UnexplainedView),
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
    /// Price against heat, where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frontier: Option<FrontierView>,
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
    /// Other such sets, each independent reason for the refusal; at most 9.
    pub other_conflicts: Vec<ConflictView>,
    /// Whether these are all conflicts there are, each proved to be smallest.
    pub conflicts_complete: bool,
    /// Smallest changes of one demand that help by themselves, cheapest first; each was proved by resolving again.
    pub relaxations: Vec<RelaxationView>,
    /// Smallest sets of changes that help only together, fewest first, then cheapest; proved alike; at most 10.
    pub combined_relaxations: Vec<CombinationView>,
    /// Cautions about the question as a whole.
    pub notices: Vec<NoticeView>,
}

/// Nothing meets all demands: proved, and no more than that, as `explain` was false.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UnexplainedView {
    /// `impossible`.
    #[schema(value_type = String, pattern = "^impossible$", example = "impossible")]
    pub outcome: &'static str,
    /// Always false: the same request without `explain` is told why.
    #[schema(example = false)]
    pub explained: bool,
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: String,
    /// The price list that held.
    pub price_list: String,
    /// The requirement, unless the rail only warms towels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_requirement: Option<RequirementView>,
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
    /// The limit: `search_nodes`, `search_time` or `search_memory`.
    pub limit: &'static str,
    /// No valid bill costs less, tax included: proved. Left out where nothing was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lower_bound_gross: Option<String>,
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

impl ResolutionView {
    /// The view of an answer in a market.
    pub fn new(mut answer: Answer, market: &Market) -> Self {
        let edition = answer.edition;
        let price_list = answer.price_list.to_string();
        let heat_requirement = answer.requirement.as_ref().map(RequirementView::from);
        let notices = answer.notices.iter().map(NoticeView::from).collect();
        let code = market.code.to_string();
        // The bills' sentences are moved and not copied: they are most of an answer.
        let resolution = mem::replace(&mut answer.resolution, Resolution::Resolved(Vec::new()));
        match resolution {
            Resolution::Resolved(bills) => Self::Resolved(ResolvedView {
                outcome: "resolved",
                edition,
                market: code,
                price_list,
                heat_requirement,
                options: options(bills, &answer),
                frontier: answer.frontier.as_ref().map(|found| FrontierView::new(found, market)),
                notices,
            }),
            Resolution::Impossible(explanation) => {
                let explained = Explained::new(&explanation, &answer, market);
                Self::Impossible(ImpossibleView {
                    outcome: "impossible",
                    edition,
                    market: code,
                    price_list,
                    heat_requirement,
                    conflict: explained.conflict,
                    other_conflicts: explained.others,
                    conflicts_complete: explanation.is_complete,
                    relaxations: explained.single,
                    combined_relaxations: explained.combined,
                    notices,
                })
            }
            Resolution::Unexplained => Self::Unexplained(UnexplainedView {
                outcome: "impossible",
                explained: false,
                edition,
                market: code,
                price_list,
                heat_requirement,
                notices,
            }),
            Resolution::Undecided { limit, lower_bound, best_so_far } => {
                Self::Undecided(UndecidedView {
                    outcome: "undecided",
                    edition,
                    market: code,
                    price_list,
                    heat_requirement,
                    limit: limit.word(),
                    lower_bound_gross: lower_bound.map(|least| market.currency.format(least)),
                    best_so_far: options(best_so_far, &answer),
                    notices,
                })
            }
        }
    }
}

fn options(bills: Vec<Bill>, answer: &Answer) -> Vec<OptionView> {
    let view = |(index, bill)| OptionView::new(index, bill, answer.price_per_kwh);
    bills.into_iter().enumerate().map(view).collect()
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

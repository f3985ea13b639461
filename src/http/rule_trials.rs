//! `POST /v1/rules/trials`: what a rule would do in the catalogue, before it is saved.

use axum::extract::State;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Rule;
use crate::domain::compatibility::Trial;
use crate::domain::compatibility::TrialExample;
use crate::http::Json;
use crate::http::Problem;
use crate::http::json::Draft;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::query::NoQuery;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::try_rule::FileFault;
use crate::operations::try_rule::TriedOut;
use crate::operations::try_rule::TriedRule;
use crate::operations::try_rule::try_rule;

/// A rule, and attributes that the catalogue does not declare yet.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewTrial {
    /// The rule, as a row of `rules.csv`. One of a known code is tried in place of the rule that there is.
    pub rule: NewRule,
    /// Attributes that it needs, as rows of `attributes.csv`. No part states them yet.
    #[serde(default)]
    #[schema(max_items = 20, required = false)]
    pub attributes: Vec<NewAttribute>,
}

/// A row of `rules.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRule {
    /// Its code.
    #[schema(max_length = 40, example = "element-within-watts")]
    pub code: String,
    /// The attribute on the left.
    #[schema(max_length = 80, example = "element.watts")]
    pub left: String,
    /// `equal`, `at_most`, `at_least`, `within`, `listed_pair` or `covers`.
    #[schema(max_length = 40, example = "within")]
    pub relation: String,
    /// The attribute on the right; for `within` the lower and the upper one with a blank between; the bare kind of part
    /// beside a constant.
    #[schema(max_length = 160, example = "body.watts_min body.watts_max")]
    pub right: String,
    /// A fixed value to compare with, as text.
    #[serde(default)]
    #[schema(max_length = 400, required = false)]
    pub constant: Option<String>,
    /// The pair table, for `listed_pair`.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub table: Option<String>,
    /// Conditions, such as `control.time_switch=yes; element.regulation=adjustable`.
    #[serde(default)]
    #[schema(max_length = 400, required = false)]
    pub when: Option<String>,
    /// `refuse` or `warn`.
    #[schema(max_length = 40, example = "refuse")]
    pub severity: String,
    /// What a customer reads.
    #[schema(max_length = 400)]
    pub sentence: String,
    /// Where it is from.
    #[schema(max_length = 400)]
    pub source: String,
    /// How it is known.
    #[schema(max_length = 40, example = "invented")]
    pub evidence: String,
}

/// A row of `attributes.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewAttribute {
    /// A kind of part, a dot and a name.
    #[schema(max_length = 80, example = "body.coating_class")]
    pub attribute: String,
    /// `flag`, `number`, `text` or `words`.
    #[schema(max_length = 40, example = "number")]
    pub value_type: String,
    /// Unit of a number.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub unit: Option<String>,
}

/// What a rule does in the catalogue. A rule about one kind of part counts parts, any other counts pairs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TrialView {
    /// The edition that it was tried on.
    pub edition: u32,
    /// The rule.
    pub rule: String,
    /// `never_asked`, `stops_nothing`, `stops_some` or `stops_all`.
    pub effect: &'static str,
    /// All pairs of the two kinds.
    pub candidates: u64,
    /// Those that meet the rule's conditions.
    pub asked: u64,
    /// Those asked that the rule refuses or warns of.
    pub stopped: u64,
    /// Of these, those where a value is not stated.
    pub not_stated: u64,
    /// Ten of them at most.
    pub examples: Vec<TrialExampleView>,
}

/// Parts that the rule does not let pass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TrialExampleView {
    /// The part of the rule's left kind.
    pub left: TriedPartView,
    /// The other part; absent for a rule about one kind.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub right: Option<TriedPartView>,
    /// `fails`, or `not_stated` when a value is missing.
    pub outcome: &'static str,
}

/// A part with what the rule reads of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TriedPartView {
    /// Its number.
    pub sku: String,
    /// Attributes and their values; what is not stated is not there.
    pub values: std::collections::BTreeMap<String, String>,
}

/// Tries a rule on the catalogue in force.
///
/// Says how many pairs it would stop, with ten examples, and whether it is never asked or stops everything. Nothing is
/// saved.
#[utoipa::path(
    post,
    path = "/v1/rules/trials",
    tag = "editions",
    request_body = NewTrial,
    responses((status = 200, description = "What the rule does", body = TrialView))
)]
pub async fn post_trial(
    _: NoQuery,
    State(app): State<App>,
    trial: Draft<NewTrial>,
) -> Result<Json<TrialView>, Problem> {
    let snapshot = work::snapshot(&app)?;
    work::off_thread(move || answer(&snapshot, trial)).await.map(Json)
}

fn answer(snapshot: &Snapshot, trial: Draft<NewTrial>) -> Result<TrialView, Problem> {
    // A rule without one of its columns is another rule: what is wrong with that one is nobody's news.
    let is_sound = trial.is_sound();
    let tried = trial.read(|trial| {
        if !is_sound {
            return Err(Problem::invalid(Vec::new()));
        }
        try_rule(snapshot, &trial.tried())
            .map_err(|faults| Problem::invalid(faults.iter().map(field_error).collect()))
    })?;
    Ok(TrialView::new(&tried))
}

/// The fault of a row as the fault of a field.
fn field_error(fault: &FileFault) -> FieldError {
    let column = fault.column.as_deref().unwrap_or_default();
    let place = match (&*fault.file, fault.row) {
        ("attributes.csv", Some(row)) => format!("/attributes/{}", row.saturating_sub(1)),
        ("attributes.csv", None) => "/attributes".to_owned(),
        (_, _) => "/rule".to_owned(),
    };
    let pointer = if column.is_empty() { place } else { format!("{place}/{column}") };
    FieldError::at(pointer, FieldCode::BadForm, fault.allowed.clone())
}

impl NewTrial {
    fn tried(&self) -> TriedRule {
        let NewRule { code, left, relation, right, severity, sentence, source, evidence, .. } =
            &self.rule;
        let mut rule = vec![
            cell("code", code),
            cell("left", left),
            cell("relation", relation),
            cell("right", right),
            cell("severity", severity),
            cell("sentence", sentence),
            cell("source", source),
            cell("evidence", evidence),
        ];
        // Given one by one, so that a rule of a known code keeps nothing of the one that it stands in for.
        for (column, text) in [
            ("constant", &self.rule.constant),
            ("table", &self.rule.table),
            ("when", &self.rule.when),
        ] {
            rule.push(cell(column, text.as_deref().unwrap_or_default()));
        }
        let attributes = self.attributes.iter().map(|row| {
            vec![
                cell("attribute", &row.attribute),
                cell("value_type", &row.value_type),
                cell("unit", row.unit.as_deref().unwrap_or_default()),
            ]
        });
        TriedRule { rule, attributes: attributes.collect() }
    }
}

fn cell(column: &str, text: &str) -> (String, String) {
    (column.to_owned(), text.to_owned())
}

impl TrialView {
    fn new(tried: &TriedOut) -> Self {
        let TriedOut { edition, rule, trial } = tried;
        let examples = trial.examples.iter();
        Self {
            edition: edition.number(),
            rule: rule.code.to_string(),
            effect: effect(trial),
            candidates: trial.candidates,
            asked: trial.asked,
            stopped: trial.stopped,
            not_stated: trial.not_stated,
            examples: examples
                .map(|example| TrialExampleView::new(edition, rule, *example))
                .collect(),
        }
    }
}

const fn effect(trial: &Trial) -> &'static str {
    if trial.is_never_asked() {
        "never_asked"
    } else if trial.stops_all() {
        "stops_all"
    } else if trial.stopped == 0 {
        "stops_nothing"
    } else {
        "stops_some"
    }
}

impl TrialExampleView {
    fn new(edition: &Edition, rule: &Rule, example: TrialExample) -> Self {
        Self {
            left: TriedPartView::new(edition, rule, example.left),
            right: example.right.map(|part| TriedPartView::new(edition, rule, part)),
            outcome: if example.not_stated { "not_stated" } else { "fails" },
        }
    }
}

impl TriedPartView {
    fn new(edition: &Edition, rule: &Rule, part: PartRef) -> Self {
        let value = |name: &AttributeName| {
            let value = edition.attribute(part, name.name())?;
            Some((name.to_string(), value.to_string()))
        };
        let read = rule.attributes().into_iter().filter(|name| name.kind == part.kind);
        let sku = edition.card(part).map(|card| card.sku.to_string()).unwrap_or_default();
        Self { sku, values: read.filter_map(value).collect() }
    }
}

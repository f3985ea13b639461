//! A country's wiring rules: named in a question, shown in an answer with their edition, conflicts and sources.
//!
//! Absent here: verdicts.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::verdict;
use crate::http::bills::NoticeView;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::operations::Snapshot;
use crate::operations::cite::Cited;
use crate::operations::cite::cited_in;

/// The rules that answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RulesView {
    /// Stable name.
    #[schema(value_type = String, example = "gb-bs7671")]
    pub id: String,
    /// What a person calls them.
    pub title: String,
    /// The edition the figures are of.
    pub edition: String,
    /// First day, when it is known.
    pub valid_from: Option<String>,
    /// Last day; null while it stands or is not known.
    pub valid_until: Option<String>,
    /// Where the pack as a whole comes from.
    pub source: String,
    /// How well the pack as a whole is known; `fallback` is a strict stand-in for a text that was not found.
    pub evidence: &'static str,
    /// Points on which the sources disagree.
    pub conflicts: Vec<String>,
}

/// A source that a mark such as `[S57]` refers to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SourceView {
    /// The mark without its brackets.
    #[schema(value_type = String, example = "S57")]
    pub mark: &'static str,
    /// Page, standard or file.
    pub text: String,
}

impl From<&WiringRules> for RulesView {
    fn from(rules: &WiringRules) -> Self {
        Self {
            id: rules.id.clone(),
            title: rules.title.clone(),
            edition: rules.edition.clone(),
            valid_from: rules.valid_from.clone(),
            valid_until: rules.valid_until.clone(),
            source: rules.source.text.to_string(),
            evidence: rules.source.evidence.code(),
            conflicts: rules.conflicts.iter().chain(&rules.drawing_conflicts).cloned().collect(),
        }
    }
}

impl From<Cited> for SourceView {
    fn from(cited: Cited) -> Self {
        Self { mark: cited.mark, text: cited.text }
    }
}

/// The sources whose marks stand anywhere in an answer.
pub(super) fn cited<T: Serialize>(answer: &T) -> Vec<SourceView> {
    let text = serde_json::to_string(answer).unwrap_or_default();
    cited_in(&text).into_iter().map(SourceView::from).collect()
}

/// The notice that these rules are not those in force today, if they are not.
pub(super) fn not_in_force(rules: &WiringRules, snapshot: &Snapshot) -> Option<NoticeView> {
    verdict::not_in_force(rules, &snapshot.today().to_string()).as_ref().map(NoticeView::from)
}

/// The rules named by their own name or by a market; exactly one of the two is given.
pub(super) fn find_rules<'a>(
    snapshot: &'a Snapshot,
    (wiring_rules, market): (Option<&str>, Option<&str>),
    fields: &mut Fields,
) -> Option<&'a WiringRules> {
    let packs = snapshot.wiring_rules();
    let of = |id: &str| packs.iter().find(|rules| rules.id == id);
    match (wiring_rules, market) {
        (Some(id), None) => of(id).or_else(|| {
            let known: Vec<&str> = packs.iter().map(|rules| rules.id.as_str()).collect();
            let detail =
                format!("there are no wiring rules {id:?}; known are {}", known.join(", "));
            fields.push("wiring_rules", FieldCode::Unknown, detail);
            None
        }),
        (None, Some(code)) => {
            let found = snapshot.catalogue().edition().market(code);
            found.and_then(|found| of(&found.wiring_rules)).or_else(|| {
                let detail =
                    format!("there is no market {code:?} with wiring rules in this catalogue");
                fields.push("market", FieldCode::Unknown, detail);
                None
            })
        }
        (None, None) => {
            let detail = "give wiring_rules, such as gb-bs7671, or a market";
            fields.push("wiring_rules", FieldCode::Missing, detail);
            None
        }
        (Some(_), Some(_)) => {
            let detail = "give wiring_rules or a market, not both";
            fields.push("market", FieldCode::Contradiction, detail);
            None
        }
    }
}

//! What checking an edition came to, as it goes out.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::review::Finding;
use crate::operations::editions::CheckedEdition;

use super::view::EditionView;

/// The checks of an edition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ChecksOfEditionView {
    /// The edition as it stands now.
    pub edition: EditionView,
    /// Whether it may be published: nothing is an error.
    pub passed: bool,
    /// What strikes the eye, the gravest first.
    pub findings: Vec<FindingView>,
}

/// Something that strikes the eye.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FindingView {
    /// Stable code.
    #[schema(value_type = String, example = "body-without-element")]
    pub code: &'static str,
    /// `error`, `warning` or `note`.
    #[schema(value_type = String)]
    pub severity: &'static str,
    /// What it is.
    #[schema(value_type = String)]
    pub sentence: &'static str,
    /// What to do about it.
    #[schema(value_type = String)]
    pub suggestion: &'static str,
    /// Cases in all.
    pub count: u64,
    /// The first cases.
    pub examples: Vec<ExampleView>,
}

/// One case.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ExampleView {
    /// Part number, rule, market or list.
    pub subject: String,
    /// What is the matter with it.
    pub detail: String,
}

impl From<&CheckedEdition> for ChecksOfEditionView {
    fn from(checked: &CheckedEdition) -> Self {
        Self {
            edition: EditionView::from(&checked.record),
            passed: checked.passed,
            findings: checked.findings.iter().map(FindingView::from).collect(),
        }
    }
}

impl From<&Finding> for FindingView {
    fn from(finding: &Finding) -> Self {
        let examples = finding.examples.iter().map(|example| ExampleView {
            subject: example.subject.to_string(),
            detail: example.detail.clone(),
        });
        Self {
            code: finding.code,
            severity: finding.severity.word(),
            sentence: finding.sentence,
            suggestion: finding.suggestion,
            count: u64::try_from(finding.count).unwrap_or(u64::MAX),
            examples: examples.collect(),
        }
    }
}

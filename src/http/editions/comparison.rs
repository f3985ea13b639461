//! What differs between two editions, as it goes out.

use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::consequence::BodyChange;
use crate::domain::consequence::Pair;
use crate::domain::consequence::PairChanges;
use crate::operations::compare_editions::EditionComparison;
use crate::operations::compare_editions::FileChanges;
use crate::operations::compare_editions::RowChange;
use crate::operations::compare_editions::RowFate;
use crate::operations::compare_editions::SampleAnswer;
use crate::operations::compare_editions::SampleChange;

/// What to compare with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewComparison {
    /// The edition that is taken for the older one; the one in force when left out.
    #[serde(default)]
    #[schema(format = Int64, minimum = 1, maximum = 4_294_967_295_u32, required = false)]
    pub with: Option<u32>,
}

/// What differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ComparisonView {
    /// The older edition.
    pub from: u32,
    /// The newer edition.
    pub to: u32,
    /// Files whose rows differ.
    pub files: Vec<FileChangesView>,
    /// Pairs of body and element.
    pub pairs: PairChangesView,
    /// Every sample request, in both editions.
    pub samples: Vec<SampleChangeView>,
}

/// What happened to the rows of one file. Counts are of all rows; the first 1,000 are listed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FileChangesView {
    /// Name of the file without `.csv`.
    pub file: String,
    /// Rows added.
    pub added: u64,
    /// Rows removed.
    pub removed: u64,
    /// Rows changed.
    pub changed: u64,
    /// The first of them.
    pub rows: Vec<RowChangeView>,
}

/// A row that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RowChangeView {
    /// `added`, `removed` or `changed`.
    pub fate: &'static str,
    /// What tells the row apart.
    pub key: String,
    /// What differs in a changed row.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cells: Vec<CellChangeView>,
}

/// A cell that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CellChangeView {
    /// Name of the column.
    pub column: String,
    /// What stood there; empty for nothing.
    pub from: String,
    /// What stands there now.
    pub to: String,
}

/// Pairs of body and element that newly fit or no longer do. Counts are of all; the first 1,000 are listed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PairChangesView {
    /// Pairs that newly fit.
    pub gained: u64,
    /// Pairs that no longer fit.
    pub lost: u64,
    /// Bodies with at least one such pair.
    pub bodies_changed: u64,
    /// The first of them, with their counts.
    pub bodies: Vec<BodyChangeView>,
    /// The first pairs that newly fit.
    pub gained_pairs: Vec<PairView>,
    /// The first pairs that no longer fit.
    pub lost_pairs: Vec<PairView>,
}

/// How many pairs of one body changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BodyChangeView {
    /// The body.
    pub body: String,
    /// Elements that newly fit.
    pub gained: u64,
    /// Elements that no longer fit.
    pub lost: u64,
}

/// A body and an element.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PairView {
    /// The body.
    pub body: String,
    /// The element.
    pub element: String,
}

/// A sample request in both editions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SampleChangeView {
    /// Its name.
    pub name: String,
    /// `impossible_now`, `possible_now`, `other_parts`, `other_price`, `other_answer` or `same`.
    pub fate: &'static str,
    /// The answer of the older edition.
    pub before: SampleAnswerView,
    /// The answer of the newer one.
    pub after: SampleAnswerView,
}

/// How a sample request was answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SampleAnswerView {
    /// `resolved`, `impossible`, `undecided`, or `refused` for a request that is wrong in this edition.
    pub outcome: &'static str,
    /// Gross price of the best bill, with its currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross: Option<String>,
    /// The parts of the best bill with their quantities.
    pub parts: Vec<String>,
    /// Why the request was refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
}

impl ComparisonView {
    pub(super) fn new((from, to): (u32, u32), compared: &EditionComparison) -> Self {
        Self {
            from,
            to,
            files: compared.files.iter().map(FileChangesView::from).collect(),
            pairs: PairChangesView::from(&compared.pairs),
            samples: compared.samples.iter().map(SampleChangeView::from).collect(),
        }
    }
}

impl From<&FileChanges> for FileChangesView {
    fn from(changes: &FileChanges) -> Self {
        Self {
            file: changes.file.to_owned(),
            added: changes.added,
            removed: changes.removed,
            changed: changes.changed,
            rows: changes.rows.iter().map(RowChangeView::from).collect(),
        }
    }
}

impl From<&RowChange> for RowChangeView {
    fn from(row: &RowChange) -> Self {
        let cells = row.cells.iter().map(|cell| CellChangeView {
            column: cell.column.to_string(),
            from: cell.from.to_string(),
            to: cell.to.to_string(),
        });
        let fate = match row.fate {
            RowFate::Added => "added",
            RowFate::Removed => "removed",
            RowFate::Changed => "changed",
        };
        Self { fate, key: row.key.to_string(), cells: cells.collect() }
    }
}

impl From<&PairChanges> for PairChangesView {
    fn from(changes: &PairChanges) -> Self {
        let body = |change: &BodyChange| BodyChangeView {
            body: change.body.to_string(),
            gained: change.gained,
            lost: change.lost,
        };
        Self {
            gained: changes.gained,
            lost: changes.lost,
            bodies_changed: changes.bodies_changed,
            bodies: changes.bodies.iter().map(body).collect(),
            gained_pairs: changes.gained_pairs.iter().map(PairView::from).collect(),
            lost_pairs: changes.lost_pairs.iter().map(PairView::from).collect(),
        }
    }
}

impl From<&Pair> for PairView {
    fn from(pair: &Pair) -> Self {
        Self { body: pair.body.to_string(), element: pair.element.to_string() }
    }
}

impl From<&SampleChange> for SampleChangeView {
    fn from(change: &SampleChange) -> Self {
        Self {
            name: change.name.to_string(),
            fate: change.fate.word(),
            before: SampleAnswerView::from(&change.before),
            after: SampleAnswerView::from(&change.after),
        }
    }
}

impl From<&SampleAnswer> for SampleAnswerView {
    fn from(answer: &SampleAnswer) -> Self {
        Self {
            outcome: answer.outcome,
            gross: answer.gross.clone(),
            parts: answer.parts.clone(),
            detail: answer.detail.clone(),
        }
    }
}

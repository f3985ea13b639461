//! Two editions side by side: rows that differ, pairs that newly fit or no longer do, and sample requests whose answer
//! changes.
//!
//! Absent here: how a sample request is answered; that is handed in.

use tokio::task::spawn_blocking;

pub use crate::store::catalogue_files::CellChange;
pub use crate::store::catalogue_files::FileChanges;
pub use crate::store::catalogue_files::RowChange;
pub use crate::store::catalogue_files::RowFate;

use crate::domain::catalogue::SampleRequest;
use crate::domain::consequence::PairChanges;
use crate::domain::consequence::compare_pairs;
use crate::store::catalogue_files::compare_rows;

use super::App;
use super::Snapshot;
use super::editions::EditionError;
use super::editions::compiled;

/// How a sample request was answered, as far as a comparison looks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SampleAnswer {
    /// `resolved`, `impossible`, `undecided`, or `refused` for a request that is wrong in this edition.
    pub outcome: &'static str,
    /// Gross price of the best bill, with its currency.
    pub gross: Option<String>,
    /// The parts of the best bill with their quantities.
    pub parts: Vec<String>,
    /// Hash of the whole answer, the edition's number left out.
    pub hash: String,
    /// Why the request was refused.
    pub detail: Option<String>,
}

/// What became of a sample request.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SampleFate {
    /// It had an answer and is impossible now, or is refused.
    Impossible,
    /// It was impossible and has an answer now.
    Possible,
    /// Other parts are best.
    Parts,
    /// The same parts at another price.
    Price,
    /// Something else in the answer.
    Answer,
    /// Nothing.
    Same,
}

/// A sample request in both editions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SampleChange {
    /// Its name.
    pub name: Box<str>,
    /// What became of it.
    pub fate: SampleFate,
    /// The answer of the older edition.
    pub before: SampleAnswer,
    /// The answer of the newer one.
    pub after: SampleAnswer,
}

/// Everything that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditionComparison {
    /// Files whose rows differ.
    pub files: Vec<FileChanges>,
    /// Pairs of body and element.
    pub pairs: PairChanges,
    /// Sample requests of the newer edition, then those that only the older one keeps.
    pub samples: Vec<SampleChange>,
}

/// Answers a sample request from an edition.
pub type AnswerSample = fn(&Snapshot, &str) -> SampleAnswer;

/// Compares an edition with an older one.
pub async fn compare(
    app: &App,
    (old, new): (u32, u32),
    answer: AnswerSample,
) -> Result<EditionComparison, EditionError> {
    let old = app.snapshot_from(compiled(app, old).await?);
    let new = app.snapshot_from(compiled(app, new).await?);
    Ok(spawn_blocking(move || between(&old, &new, answer)).await?)
}

/// Compares two snapshots, the older one first.
pub fn between(old: &Snapshot, new: &Snapshot, answer: AnswerSample) -> EditionComparison {
    let before = old.catalogue().edition().content();
    let after = new.catalogue().edition().content();
    let is_new =
        |sample: &&SampleRequest| after.samples.iter().any(|other| other.name == sample.name);
    let gone = before.samples.iter().filter(|sample| !is_new(sample));
    let samples = after.samples.iter().chain(gone).map(|sample| {
        let answers = [old, new].map(|snapshot| answer(snapshot, &sample.request));
        let [first, second] = answers;
        let fate = fate(&first, &second);
        SampleChange { name: sample.name.clone(), fate, before: first, after: second }
    });
    EditionComparison {
        samples: samples.collect(),
        files: compare_rows(before, after),
        pairs: compare_pairs(old.catalogue(), new.catalogue()),
    }
}

fn fate(before: &SampleAnswer, after: &SampleAnswer) -> SampleFate {
    const RESOLVED: &str = "resolved";
    match (before.outcome == RESOLVED, after.outcome == RESOLVED) {
        (true, false) => SampleFate::Impossible,
        (false, true) => SampleFate::Possible,
        (true, true) if before.parts != after.parts => SampleFate::Parts,
        (true, true) if before.gross != after.gross => SampleFate::Price,
        (true, true) | (false, false) if before.hash != after.hash => SampleFate::Answer,
        (true, true) | (false, false) => SampleFate::Same,
    }
}

impl SampleFate {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Impossible => "impossible_now",
            Self::Possible => "possible_now",
            Self::Parts => "other_parts",
            Self::Price => "other_price",
            Self::Answer => "other_answer",
            Self::Same => "same",
        }
    }
}

//! Editions as they go out.

use serde::Serialize;
use utoipa::ToSchema;

use crate::operations::editions::EditionCounts;
use crate::operations::editions::EditionRecord;

/// A page of editions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct EditionsView {
    /// The newest first.
    pub items: Vec<EditionView>,
}

/// One edition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct EditionView {
    /// Its number.
    pub number: u32,
    /// `draft`, `checked`, `published` or `retired`.
    pub state: &'static str,
    /// When it was loaded.
    pub created_at: String,
    /// Who loaded it.
    pub created_by: String,
    /// When it was last published.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub published_at: Option<String>,
    /// The edition that changes made it from; absent when it came as a whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<u32>,
    /// The edition that was in force when this one was checked, 0 for none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub checked_against: Option<u32>,
    /// Two editions of one hash hold the same.
    pub content_hash: String,
    /// How much it holds; left out of lists.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counts: Option<CountsView>,
}

/// How much an edition holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct CountsView {
    /// Bodies.
    pub bodies: u64,
    /// Elements.
    pub elements: u64,
    /// Controls.
    pub controls: u64,
    /// Accessories.
    pub accessories: u64,
    /// Rules.
    pub rules: u64,
    /// Prices of all lists.
    pub prices: u64,
    /// Sample requests.
    pub sample_requests: u64,
}

impl From<&EditionRecord> for EditionView {
    fn from(record: &EditionRecord) -> Self {
        Self {
            number: record.number,
            state: record.state.word(),
            created_at: record.created_at.to_string(),
            created_by: record.created_by.to_string(),
            published_at: record.published_at.as_deref().map(ToOwned::to_owned),
            base: record.base,
            checked_against: record.checked_against,
            content_hash: record.content_hash.to_string(),
            counts: None,
        }
    }
}

impl EditionView {
    /// An edition with how much it holds.
    pub fn with_counts(record: &EditionRecord, counts: &EditionCounts) -> Self {
        let counts = CountsView {
            bodies: counts.bodies,
            elements: counts.elements,
            controls: counts.controls,
            accessories: counts.accessories,
            rules: counts.rules,
            prices: counts.prices,
            sample_requests: counts.sample_requests,
        };
        Self { counts: Some(counts), ..Self::from(record) }
    }
}

/// The answer that is kept for a request that loads.
pub fn rendered(record: &EditionRecord, counts: &EditionCounts) -> String {
    // Texts and whole numbers only, which always can be written.
    serde_json::to_string(&EditionView::with_counts(record, counts)).unwrap_or_default()
}

//! The audit trail, page by page.
//!
//! Absent here: writing it, and verifying it, which the command line does.

use axum::extract::State;
use jiff::Timestamp;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::http::Json;
use crate::http::Problem;
use crate::http::Query;
use crate::http::cursor::Listing;
use crate::http::problem::Code;
use crate::operations::App;
use crate::operations::access::Access;
use crate::operations::audit::AuditEntry;
use crate::operations::audit::AuditFilter;
use crate::operations::audit::audit_entries;

/// Entries on a page when nobody says.
const PAGE_USUAL: u32 = 50;

/// Filters and page of the audit trail.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct AuditFilters {
    /// Who: the id of a key, `command-line` or `program`.
    #[param(max_length = 40)]
    actor: Option<String>,
    /// What: `quote-issued`, `key-made`, `edition-published` …
    #[param(max_length = 40)]
    action: Option<String>,
    /// To what: number and revision of a quote, id of a key, number of an edition.
    #[param(max_length = 60)]
    subject: Option<String>,
    /// Entries on a page, 50 when left out.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
    /// Where the page begins: the `next_cursor` of the page before.
    #[param(max_length = 256)]
    cursor: Option<String>,
}

/// A page of the audit trail.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AuditView {
    /// Entries, oldest first.
    pub items: Vec<AuditEntryView>,
    /// Opaque: the value of `cursor` for the next page; absent on the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_cursor: Option<String>,
}

/// Who did what when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AuditEntryView {
    /// Its place; there are no gaps.
    pub sequence: i64,
    /// When.
    pub at: String,
    /// Id of the key, or `command-line` or `program`.
    pub actor: String,
    /// On behalf of which account.
    pub account: String,
    /// What was done.
    pub action: String,
    /// To what.
    pub subject: String,
    /// More, as the text of a JSON object: the text is what the hash is of.
    pub detail: String,
    /// Hash of the entry before in hexadecimal.
    pub previous_hash: String,
    /// Hash of this entry in hexadecimal.
    pub hash: String,
}

/// Who did what when, oldest first.
#[utoipa::path(
    get,
    path = "/v1/audit",
    tag = "keys",
    params(AuditFilters),
    responses((status = 200, description = "A page of the audit trail", body = AuditView))
)]
pub async fn get_audit(
    State(app): State<App>,
    Query(filters): Query<AuditFilters>,
) -> Result<Json<AuditView>, Problem> {
    let database = app.access().and_then(Access::database);
    let database = database
        .ok_or_else(|| Problem::new(Code::NotReady, "no database for the audit trail is open"))?;
    let unpaged = AuditFilters { limit: None, cursor: None, ..filters.clone() };
    let text = format!("/v1/audit {unpaged:?}");
    // Places never change, so a cursor outlives every edition.
    let listing = Listing { edition: 0, filters: &text };
    let after = filters.cursor.as_deref().map(|cursor| listing.position(cursor)).transpose()?;
    let limit = filters.limit.unwrap_or(PAGE_USUAL);
    let filter = AuditFilter {
        after: after.and_then(|place| place.parse().ok()).unwrap_or(0),
        actor: filters.actor.map(Into::into),
        action: filters.action.map(Into::into),
        subject: filters.subject.map(Into::into),
    };
    let page = audit_entries(database, &filter, limit.saturating_add(1)).await;
    let mut entries = page.map_err(|error| Problem::of_store("reading the audit trail", &error))?;
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let has_more = limit < entries.len();
    entries.truncate(limit);
    let last = entries.last().filter(|_| has_more);
    let next_cursor = last.map(|entry| listing.cursor_after(&entry.sequence.to_string()));
    Ok(Json(AuditView { items: entries.iter().map(Into::into).collect(), next_cursor }))
}

impl From<&AuditEntry> for AuditEntryView {
    fn from(entry: &AuditEntry) -> Self {
        let at = Timestamp::from_millisecond(entry.at_ms).unwrap_or_default();
        Self {
            sequence: entry.sequence,
            at: at.to_string(),
            actor: entry.actor.to_string(),
            account: entry.account.to_string(),
            action: entry.action.to_string(),
            subject: entry.subject.to_string(),
            detail: entry.detail.to_string(),
            previous_hash: entry.previous_hash.to_string(),
            hash: entry.hash.to_string(),
        }
    }
}

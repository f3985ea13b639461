//! `GET /v1/sources`: what the marks `[S1]` in sources and reasons refer to.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::Json;
use crate::http::query::NoQuery;
use crate::http::wiring::SourceView;
use crate::operations::cite;

/// The list of sources.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SourcesView {
    /// Each source, in the order of its mark.
    pub sources: Vec<SourceView>,
}

/// The list to which marks such as `[S57]` in any answer refer.
#[utoipa::path(
    get,
    path = "/v1/sources",
    tag = "places",
    responses((status = 200, description = "Marks and what they stand for", body = SourcesView))
)]
pub async fn get_sources(_: NoQuery) -> Json<SourcesView> {
    Json(SourcesView { sources: cite::sources().map(SourceView::from).collect() })
}

//! Parts of the current edition: lists with filters and pages, single parts, and what fits a body.

pub mod filters;
pub mod view;
pub mod fitting;

pub use filters::PartFilters;
pub use filters::PartQuery;
pub use view::PartView;
pub use view::PartsView;

use axum::extract::Path;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Serialize;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Sku;
use crate::http::Problem;
use crate::http::Query;
use crate::http::conditional::EntityTag;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;

use view::Pricing;

/// How long a copy of a part may be used without asking: prices change with a publication.
const CACHE: &str = "private, max-age=60";

/// Bodies: the empty rails.
#[utoipa::path(
    get,
    path = "/v1/bodies",
    tag = "parts",
    params(PartFilters),
    responses(
        (status = 200, description = "A page of bodies, by part number", body = PartsView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
        (status = 410, description = "The page's edition is gone; start again", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_bodies(
    State(app): State<App>,
    headers: HeaderMap,
    Query(filters): Query<PartFilters>,
) -> Result<Response, Problem> {
    list(&app, &headers, PartKind::Body, &filters).await
}

/// Elements: the immersion heaters with their heads and flexes.
#[utoipa::path(
    get,
    path = "/v1/elements",
    tag = "parts",
    params(PartFilters),
    responses(
        (status = 200, description = "A page of elements, by part number", body = PartsView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
        (status = 410, description = "The page's edition is gone; start again", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_elements(
    State(app): State<App>,
    headers: HeaderMap,
    Query(filters): Query<PartFilters>,
) -> Result<Response, Problem> {
    list(&app, &headers, PartKind::Element, &filters).await
}

/// Controls: time switches, wall thermostats, fused connection units, combinations.
#[utoipa::path(
    get,
    path = "/v1/controls",
    tag = "parts",
    params(PartFilters),
    responses(
        (status = 200, description = "A page of controls, by part number", body = PartsView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
        (status = 410, description = "The page's edition is gone; start again", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_controls(
    State(app): State<App>,
    headers: HeaderMap,
    Query(filters): Query<PartFilters>,
) -> Result<Response, Problem> {
    list(&app, &headers, PartKind::Control, &filters).await
}

/// Accessories: everything else that belongs to the job.
#[utoipa::path(
    get,
    path = "/v1/accessories",
    tag = "parts",
    params(PartFilters),
    responses(
        (status = 200, description = "A page of accessories, by part number", body = PartsView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
        (status = 410, description = "The page's edition is gone; start again", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_accessories(
    State(app): State<App>,
    headers: HeaderMap,
    Query(filters): Query<PartFilters>,
) -> Result<Response, Problem> {
    list(&app, &headers, PartKind::Accessory, &filters).await
}

/// One body by its part number.
#[utoipa::path(
    get,
    path = "/v1/bodies/{sku}",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number"), PartQuery),
    responses(
        (status = 200, description = "The body", body = PartView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_body(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<PartQuery>,
) -> Result<Response, Problem> {
    single(&app, &headers, (PartKind::Body, &sku), &query).await
}

/// One element by its part number.
#[utoipa::path(
    get,
    path = "/v1/elements/{sku}",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number"), PartQuery),
    responses(
        (status = 200, description = "The element", body = PartView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_element(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<PartQuery>,
) -> Result<Response, Problem> {
    single(&app, &headers, (PartKind::Element, &sku), &query).await
}

/// One control by its part number.
#[utoipa::path(
    get,
    path = "/v1/controls/{sku}",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number"), PartQuery),
    responses(
        (status = 200, description = "The control", body = PartView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_control(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<PartQuery>,
) -> Result<Response, Problem> {
    single(&app, &headers, (PartKind::Control, &sku), &query).await
}

/// One accessory by its part number.
#[utoipa::path(
    get,
    path = "/v1/accessories/{sku}",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number"), PartQuery),
    responses(
        (status = 200, description = "The accessory", body = PartView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_accessory(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<PartQuery>,
) -> Result<Response, Problem> {
    single(&app, &headers, (PartKind::Accessory, &sku), &query).await
}

async fn list(
    app: &App,
    headers: &HeaderMap,
    kind: PartKind,
    filters: &PartFilters,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot_of(app, filters.edition).await?;
    filters.check(snapshot.catalogue().edition())?;
    let pricing = Pricing::of(&snapshot, filters.market.as_deref())?;
    let page = filters.page(&snapshot, kind)?;
    let edition = snapshot.catalogue().edition();
    let items = page.parts.iter().filter_map(|part| PartView::new(&snapshot, *part, &pricing));
    let view =
        PartsView { edition: edition.number(), items: items.collect(), next_cursor: page.next };
    tagged(headers, &view)
}

async fn single(
    app: &App,
    headers: &HeaderMap,
    (kind, sku): (PartKind, &str),
    query: &PartQuery,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot_of(app, query.edition).await?;
    let part = find(&snapshot, kind, sku)?;
    let pricing = Pricing::of(&snapshot, query.market.as_deref())?;
    let view = PartView::new(&snapshot, part, &pricing).ok_or_else(Problem::failed)?;
    tagged(headers, &view)
}

/// The part of a number in a path, or 404 naming it.
fn find(snapshot: &Snapshot, kind: PartKind, sku: &str) -> Result<PartRef, Problem> {
    let edition = snapshot.catalogue().edition();
    let found = Sku::parse(sku).ok().and_then(|sku| edition.position(&sku, kind));
    found.map(|index| PartRef { kind, index }).ok_or_else(|| {
        let edition = edition.number();
        let kind = kind.word();
        Problem::new(Code::NotFound, format!("edition {edition} has no {kind} {sku:?}"))
    })
}

/// An answer with its entity tag, or 304.
fn tagged<T: Serialize>(headers: &HeaderMap, view: &T) -> Result<Response, Problem> {
    let bytes =
        serde_json::to_vec(view).map_err(|error| Problem::internal("writing an answer", &error))?;
    let tag = EntityTag::of(&bytes);
    Ok(tag.answer(headers, CACHE, || {
        ([(header::CONTENT_TYPE, "application/json")], bytes).into_response()
    }))
}

//! Keys: made, listed, rotated, revoked, by whoever holds a key for operating.
//!
//! Absent here: what a key opens (`access`), and the first key, which the command line makes.

pub mod order;
pub mod view;

use axum::extract::Path;
use axum::extract::State;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use jiff::ToSpan;
use serde::Deserialize;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::http::Json;
use crate::http::Problem;
use crate::http::Query;
use crate::http::access::Called;
use crate::http::cursor::Listing;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::query::NoQuery;
use crate::operations::App;
use crate::operations::access::Access;
use crate::operations::access::Caller;
use crate::operations::access::KEYS_MAX;
use crate::operations::access::KeyChange;
use crate::operations::access::KeyFailure;
use crate::operations::access::KeyId;
use crate::operations::access::KeyRecord;
use crate::operations::access::KeyWrite;
use crate::operations::access::OVERLAP_HOURS_USUAL;
use crate::operations::access::StoreError;

use order::NewKeyOrder;
use order::NewRotation;
use view::KeyView;
use view::KeysView;
use view::MadeKeyView;

/// Keys on a page when nobody says.
const PAGE_USUAL: u32 = 50;

/// The routes of keys.
pub fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(get_keys, post_key))
        .routes(routes!(get_key))
        .routes(routes!(post_rotation))
        .routes(routes!(post_revocation))
}

/// Filter and page of a list of keys.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub(super) struct KeyFilters {
    /// Whose.
    #[param(max_length = 40)]
    account: Option<String>,
    /// Keys on a page, 50 when left out.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
    /// Where the page begins: the `next_cursor` of the page before.
    #[param(max_length = 256)]
    cursor: Option<String>,
}

/// Keys, ended ones included, in the order of their ids.
#[utoipa::path(
    get,
    path = "/v1/keys",
    tag = "keys",
    params(KeyFilters),
    responses((status = 200, description = "A page of keys, without their secrets", body = KeysView))
)]
pub(super) async fn get_keys(
    State(app): State<App>,
    Query(filters): Query<KeyFilters>,
) -> Result<Json<KeysView>, Problem> {
    let text = format!("/v1/keys {:?}", filters.account);
    let listing = Listing { edition: 0, filters: &text };
    let after = filters.cursor.as_deref().map(|cursor| listing.position(cursor)).transpose()?;
    let mut records = access(&app)?.records();
    records.retain(|record| {
        let is_theirs =
            filters.account.as_deref().is_none_or(|name| record.grant.account.name() == name);
        is_theirs && after.as_deref().is_none_or(|after| after < record.id.text())
    });
    let limit = usize::try_from(filters.limit.unwrap_or(PAGE_USUAL)).unwrap_or(usize::MAX);
    let has_more = limit < records.len();
    records.truncate(limit);
    let last = records.last().filter(|_| has_more);
    let next_cursor = last.map(|record| listing.cursor_after(record.id.text()));
    let items = records.iter().map(|record| KeyView::new(record, app.now())).collect();
    Ok(Json(KeysView { items, next_cursor }))
}

/// One key, without its secret.
#[utoipa::path(
    get,
    path = "/v1/keys/{id}",
    tag = "keys",
    params(("id" = String, Path, description = "Id of the key: its twelve digits between the underscores")),
    responses((status = 200, description = "The key", body = KeyView))
)]
pub(super) async fn get_key(
    _: NoQuery,
    State(app): State<App>,
    Path(text): Path<String>,
) -> Result<Json<KeyView>, Problem> {
    let mut records = access(&app)?.records().into_iter();
    let found = records.find(|record| record.id.text() == text);
    found.map(|record| Json(KeyView::new(&record, app.now()))).ok_or_else(|| absent(&text))
}

/// Makes a key and shows it, this once.
///
/// Repeating the request makes another key: revoke one whose answer was lost.
#[utoipa::path(
    post,
    path = "/v1/keys",
    tag = "keys",
    request_body = NewKeyOrder,
    responses(
        (status = 201, description = "The key with its secret", body = MadeKeyView),
        (status = 409, description = "There are as many keys as there may be", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_key(
    _: NoQuery,
    Called { app, caller }: Called,
    Json(order): Json<NewKeyOrder>,
) -> Result<Response, Problem> {
    change(&app, &caller, KeyChange::Make(order.read()?)).await
}

/// Makes a key that grants the same; the old one holds on for a while, so that it can be exchanged without haste.
#[utoipa::path(
    post,
    path = "/v1/keys/{id}/rotation",
    tag = "keys",
    request_body = NewRotation,
    params(("id" = String, Path, description = "Id of the key")),
    responses(
        (status = 201, description = "The new key with its secret", body = MadeKeyView),
        (status = 409, description = "The key has ended, or was rotated already", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_rotation(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Json(rotation): Json<NewRotation>,
) -> Result<Response, Problem> {
    let id = KeyId::parse(&text).ok_or_else(|| absent(&text))?;
    let hours = i64::from(rotation.overlap_hours.unwrap_or(OVERLAP_HOURS_USUAL));
    let end = app.now().checked_add(hours.hours());
    let end = end.map_err(|error| Problem::internal("reckoning the end of a key", &error))?;
    change(&app, &caller, KeyChange::Rotate(id, end)).await
}

/// Ends a key at once. Doing it again changes nothing.
#[utoipa::path(
    post,
    path = "/v1/keys/{id}/revocation",
    tag = "keys",
    params(("id" = String, Path, description = "Id of the key")),
    responses((status = 200, description = "The revoked key", body = KeyView))
)]
pub(super) async fn post_revocation(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(text): Path<String>,
) -> Result<Response, Problem> {
    let id = KeyId::parse(&text).ok_or_else(|| absent(&text))?;
    change(&app, &caller, KeyChange::Revoke(id)).await
}

async fn change(app: &App, caller: &Caller, change: KeyChange) -> Result<Response, Problem> {
    let now = app.now();
    let written = access(app)?.change(&change, (caller.actor(), now)).await;
    let written = written.map_err(|failure| match failure {
        KeyFailure::Store(error) => unstored(&error),
        KeyFailure::Secret(error) => Problem::internal("making a key", &error),
    })?;
    let written = written.ok_or_else(no_database)?;
    match written {
        KeyWrite::Made(record, token) => {
            let key = KeyView::new(&record, now);
            made(&record, MadeKeyView { key, secret: token.reveal().to_owned() })
        }
        KeyWrite::Revoked(record) => Ok(Json(KeyView::new(&record, now)).into_response()),
        KeyWrite::Absent => Err(Problem::new(Code::NotFound, "there is no key of this id")),
        KeyWrite::Ended => Err(Problem::new(Code::KeyEnded, "the key has ended; make a new one")),
        KeyWrite::Rotated(successor) => {
            let detail = format!("the key was rotated already: {successor} has taken its place");
            Err(Problem::new(Code::KeyEnded, detail))
        }
        KeyWrite::TooMany => {
            let detail = format!("there are {KEYS_MAX} keys, and no more than that are kept");
            Err(Problem::new(Code::TooManyKeys, detail))
        }
    }
}

fn made(record: &KeyRecord, view: MadeKeyView) -> Result<Response, Problem> {
    let location = HeaderValue::from_str(&format!("/v1/keys/{}", record.id))
        .map_err(|error| Problem::internal("writing a location", &error))?;
    let headers = [
        (header::LOCATION, location),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    Ok((StatusCode::CREATED, headers, Json(view)).into_response())
}

fn absent(text: &str) -> Problem {
    Problem::new(Code::NotFound, format!("there is no key {text:?}"))
}

/// The keys, or 503 in a program that was opened to nobody.
fn access(app: &App) -> Result<&Access, Problem> {
    app.access().ok_or_else(no_database)
}

fn no_database() -> Problem {
    Problem::new(Code::NotReady, "no database for keys is open")
}

fn unstored(error: &StoreError) -> Problem {
    Problem::of_store("reading or writing keys", error)
}

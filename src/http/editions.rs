//! Editions: loaded as drafts, checked, compared, published, rolled back, listed, deleted.
//!
//! Nothing here is answered to a merchant's web site: it is the keeper's desk. Absent here: who may ask.

mod load;
mod view;
mod findings;
mod comparison;

pub use comparison::BodyChangeView;
pub use comparison::CellChangeView;
pub use comparison::ComparisonView;
pub use comparison::FileChangesView;
pub use comparison::NewComparison;
pub use comparison::PairChangesView;
pub use comparison::PairView;
pub use comparison::RowChangeView;
pub use comparison::SampleAnswerView;
pub use comparison::SampleChangeView;
pub use findings::ChecksOfEditionView;
pub use findings::ExampleView;
pub use findings::FindingView;
pub use view::CountsView;
pub use view::EditionView;
pub use view::EditionsView;
pub use view::rendered;

use axum::extract::Path;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::Response;
use serde::Deserialize;
use std::error::Error;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::http::Json;
use crate::http::Problem;
use crate::http::Query;
use crate::http::access::Called;
use crate::http::fault_report;
use crate::http::json::Draft;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::query::NoQuery;
use crate::http::sample_answers;
use crate::http::work;
use crate::operations::App;
use crate::operations::compare_editions;
use crate::operations::editions;
use crate::operations::editions::EditionError;
use crate::operations::editions::EditionState;
use crate::operations::editions::Hindrance;
use crate::operations::quotes::StoreError;
use crate::operations::quotes::StoreErrorKind;

/// Editions on a page when nobody says.
const PAGE_USUAL: u32 = 50;

/// The routes of editions.
pub fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(get_editions, load::post_edition))
        .routes(routes!(get_edition, delete_edition))
        .routes(routes!(load::get_catalogue))
        .routes(routes!(post_checks_of_edition))
        .routes(routes!(post_comparison))
        .routes(routes!(post_publication))
}

/// A page of editions.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct EditionQuery {
    /// Editions on a page, 50 when left out.
    #[param(minimum = 1, maximum = 200)]
    pub limit: Option<u32>,
    /// Only editions of lower numbers than this: the last number of the page before.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub before: Option<u32>,
}

/// Editions, the newest first.
#[utoipa::path(
    get,
    path = "/v1/editions",
    tag = "editions",
    params(EditionQuery),
    responses((status = 200, description = "A page of editions", body = EditionsView))
)]
pub async fn get_editions(
    State(app): State<App>,
    Query(query): Query<EditionQuery>,
) -> Result<Json<EditionsView>, Problem> {
    let limit = query.limit.unwrap_or(PAGE_USUAL);
    let found = editions::list(&app, query.before, limit).await.map_err(refused)?;
    Ok(Json(EditionsView { items: found.iter().map(EditionView::from).collect() }))
}

/// One edition: its state, its hash and how much it holds.
#[utoipa::path(
    get,
    path = "/v1/editions/{number}",
    tag = "editions",
    params(("number" = u32, Path, description = "Number of the edition")),
    responses((status = 200, description = "The edition", body = EditionView))
)]
pub async fn get_edition(
    _: NoQuery,
    State(app): State<App>,
    Path(number): Path<String>,
) -> Result<Json<EditionView>, Problem> {
    let summary = editions::summary(&app, numbered(&number)?).await.map_err(refused)?;
    Ok(Json(EditionView::with_counts(&summary.record, &summary.counts)))
}

/// Deletes an edition that was never published. Its number is not given again.
#[utoipa::path(
    delete,
    path = "/v1/editions/{number}",
    tag = "editions",
    params(("number" = u32, Path, description = "Number of the edition")),
    responses(
        (status = 204, description = "It is gone"),
        (status = 409, description = "What was once published is kept", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn delete_edition(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(number): Path<String>,
) -> Result<StatusCode, Problem> {
    editions::delete(&app, numbered(&number)?, caller.actor()).await.map_err(refused)?;
    Ok(StatusCode::NO_CONTENT)
}

/// Looks an edition through before it is published.
///
/// A draft without errors is `checked` afterwards, against the edition published now; warnings and notes do not hinder
/// it. Of each finding the first 100 cases are listed.
#[utoipa::path(
    post,
    path = "/v1/editions/{number}/checks",
    tag = "editions",
    params(("number" = u32, Path, description = "Number of the edition")),
    responses((status = 200, description = "What strikes the eye", body = ChecksOfEditionView))
)]
pub async fn post_checks_of_edition(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(number): Path<String>,
) -> Result<Json<ChecksOfEditionView>, Problem> {
    let checked =
        editions::check(&app, numbered(&number)?, caller.actor()).await.map_err(refused)?;
    Ok(Json(ChecksOfEditionView::from(&checked)))
}

/// What an edition changes, and what follows from it.
///
/// Rows of every file, pairs of body and element that newly fit or no longer do, and the sample requests kept with the
/// catalogue, answered by both editions.
#[utoipa::path(
    post,
    path = "/v1/editions/{number}/comparison",
    tag = "editions",
    request_body = NewComparison,
    params(("number" = u32, Path, description = "Number of the edition")),
    responses((status = 200, description = "What differs", body = ComparisonView))
)]
pub async fn post_comparison(
    _: NoQuery,
    State(app): State<App>,
    Path(number): Path<String>,
    body: Draft<NewComparison>,
) -> Result<Json<ComparisonView>, Problem> {
    let number = numbered(&number)?;
    let with = body.read(Ok)?.with;
    let current = work::snapshot(&app)?.catalogue().edition().number();
    let old = with.unwrap_or(current);
    editions::summary(&app, old).await.map_err(|error| not_comparable(error, old))?;
    let compared = compare_editions::compare(&app, (old, number), sample_answers::answer).await;
    Ok(Json(ComparisonView::new((old, number), &compared.map_err(refused)?)))
}

fn not_comparable(error: EditionError, old: u32) -> Problem {
    if let EditionError::Hindered(Hindrance::Unknown) = error {
        let detail = format!("there is no edition {old}");
        return Problem::invalid(vec![FieldError::at("/with", FieldCode::Unknown, detail)]);
    }
    refused(error)
}

/// Publishes a checked draft, or an edition of before to roll back.
///
/// Atomic, and without a restart: requests under way finish on the edition that they began with. Of two publications at
/// once one wins; the other is answered 409 and checked again before it is tried again.
#[utoipa::path(
    post,
    path = "/v1/editions/{number}/publication",
    tag = "editions",
    params(("number" = u32, Path, description = "Number of the edition")),
    responses(
        (status = 200, description = "The edition in force", body = EditionView),
        (status = 409, description = "It is unchecked or stale, or in force already", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn post_publication(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(number): Path<String>,
) -> Result<Json<EditionView>, Problem> {
    let record =
        editions::publish(&app, numbered(&number)?, caller.actor()).await.map_err(refused)?;
    Ok(Json(EditionView::from(&record)))
}

/// The number in a path, or 404.
fn numbered(text: &str) -> Result<u32, Problem> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit());
    let number = if plain { text.parse().ok() } else { None };
    number
        .filter(|number| 0 < *number)
        .ok_or_else(|| Problem::new(Code::NotFound, format!("there is no edition {text:?}")))
}

fn hindered(hindrance: Hindrance) -> Problem {
    let (code, detail) = match hindrance {
        Hindrance::Unknown => (Code::NotFound, "there is no such edition".to_owned()),
        Hindrance::State(EditionState::Published) => {
            (Code::EditionState, "the edition is in force".to_owned())
        }
        Hindrance::State(state) => (
            Code::EditionState,
            format!("the edition is {}, and what was once published is kept", state.word()),
        ),
        Hindrance::Unchecked => {
            let detail =
                "the edition has not passed its checks; POST /v1/editions/{number}/checks says why";
            (Code::UncheckedEdition, detail.to_owned())
        }
        Hindrance::CheckedAgainst(0) => {
            let detail = "the edition was checked when none was published; check it again";
            (Code::StaleEdition, detail.to_owned())
        }
        Hindrance::CheckedAgainst(against) => {
            let detail = format!(
                "the edition was checked when edition {against} was in force; check it again"
            );
            (Code::StaleEdition, detail)
        }
        Hindrance::ChangesFrom(base) => {
            let detail = format!(
                "the edition was made by changes to edition {base}, which is no longer in force: what was published \
                 since would be lost; load the changes again"
            );
            (Code::StaleEdition, detail)
        }
    };
    Problem::new(code, detail)
}

fn refused(error: EditionError) -> Problem {
    match error {
        EditionError::NoDatabase => {
            Problem::new(Code::NotReady, "no database for editions is open")
        }
        EditionError::Hindered(hindrance) => hindered(hindrance),
        EditionError::Store(error) => unwritten(&error),
        EditionError::Rules(error) => Problem::internal("reading the wiring rules", &error),
        EditionError::Thread(error) => Problem::internal("working on an edition", &error),
    }
}

fn unwritten(error: &StoreError) -> Problem {
    match error.kind() {
        StoreErrorKind::Busy => {
            Problem::new(Code::Overloaded, "the database is being written to; try again")
        }
        StoreErrorKind::Full => {
            note_unwritten(error);
            let detail = "there is no room left to write; nothing was kept, and the edition in force goes on";
            Problem::new(Code::StorageFull, detail)
        }
        StoreErrorKind::Unwritable => {
            note_unwritten(error);
            Problem::new(Code::NotReady, "editions cannot be written at present")
        }
        StoreErrorKind::Corrupt
        | StoreErrorKind::Constraint
        | StoreErrorKind::Content
        | StoreErrorKind::Other => Problem::internal("working on an edition", error),
    }
}

fn note_unwritten(error: &StoreError) {
    let cause: &dyn Error = error;
    tracing::error!(error = cause, "an edition could not be written");
}

/// Whether the client would rather have a table than a document.
fn wants_table(headers: &HeaderMap) -> bool {
    let accept = headers.get(header::ACCEPT).and_then(|value| value.to_str().ok());
    accept.is_some_and(|accept| accept.trim_start().starts_with(fault_report::CSV))
}

/// An answer that was made before.
type Made = Result<Response, Problem>;

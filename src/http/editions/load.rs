//! `POST /v1/editions`: a catalogue as one JSON document or a ZIP archive into a draft; and a catalogue out again.

use axum::extract::Path;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use serde::Deserialize;

use crate::http::Problem;
use crate::http::access::Called;
use crate::http::conditional::EntityTag;
use crate::http::fault_report::FaultView;
use crate::http::fault_report::Report;
use crate::http::json::body;
use crate::http::json::body::Allowance;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::query;
use crate::http::query::NoQuery;
use crate::http::quotes::IdempotencyKey;
use crate::http::quotes::keyed;
use crate::operations::App;
use crate::operations::editions::EditionError;
use crate::operations::editions::Hindrance;
use crate::operations::load_edition;
use crate::operations::load_edition::Drafted;
use crate::operations::load_edition::Handed;
use crate::operations::load_edition::LoadError;
use crate::operations::load_edition::NewDraft;
use crate::operations::quotes::SavedAnswer;

use super::EditionView;
use super::Made;
use super::numbered;
use super::refused;
use super::rendered;
use super::wants_table;

/// Media type of an archive.
const ZIP: &str = "application/zip";

/// What a catalogue is based on.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub(super) struct LoadQuery {
    /// The edition that these are changes to: rows are put over its rows, and `removals` takes rows away. When left out,
    /// what is sent is a whole catalogue.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub base: Option<u32>,
}

/// Loads a catalogue, or changes to one, as a draft.
///
/// The body is one JSON document with a list of rows under the name of each file, or a ZIP archive of the CSV files. All
/// of it is loaded or nothing: every fault comes back with file, row, column, value and what is allowed, as a problem
/// document or, for `Accept: text/csv`, as a table. Repeating the request with the same key gives the same draft.
#[utoipa::path(
    post,
    path = "/v1/editions",
    tag = "editions",
    request_body(content((serde_json::Value = "application/json"), (Vec<u8> = "application/zip"))),
    params(
        LoadQuery,
        ("Idempotency-Key" = inline(IdempotencyKey), Header, description = "1 to 200 visible ASCII characters; kept for 31 days"),
    ),
    responses(
        (status = 201, description = "The draft", body = EditionView),
        (status = 409, description = "The first request with this key is still being answered", body = Document, content_type = "application/problem+json"),
        (status = 422, description = "Every fault of the catalogue", content((Document = "application/problem+json"), (String = "text/csv"))),
        (status = 507, description = "There is no room left to write; nothing was kept", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_edition(Called { app, caller }: Called, request: Request) -> Made {
    let query: LoadQuery = query::parse(request.uri())?;
    let headers = request.headers().clone();
    let form = form(&headers)?;
    // The key is looked at before a large body is read, the body's hash afterwards.
    keyed(&headers, (&caller, "POST /v1/editions"), "")?;
    let Some(place) = app.upload_place() else {
        return Err(Problem::new(Code::Overloaded, "other catalogues are being loaded; try again"));
    };
    let bytes = body::read(request, Allowance::CATALOGUE).await?;
    let asked = format!("{} {form:?} {:?}", blake3::hash(&bytes).to_hex(), query.base);
    let hash = blake3::hash(asked.as_bytes()).to_hex().to_string();
    let new = NewDraft {
        request: Some(keyed(&headers, (&caller, "POST /v1/editions"), &hash)?),
        base: query.base,
        now: app.now(),
        actor: caller.actor().clone(),
        render: rendered,
    };
    let handed = match form {
        Form::Json => Handed::Json(bytes),
        Form::Zip => Handed::Zip(bytes),
    };
    let drafted = load_edition::load(&app, handed, new).await;
    drop(place);
    match drafted.map_err(|error| unloaded(error, &headers))? {
        Drafted::Created(_, answer) | Drafted::Replayed(answer) => created(&answer),
        Drafted::KeyReused => {
            let detail = "the key was used for another body; take a new key for a new request";
            Err(Problem::new(Code::IdempotencyKeyReused, detail))
        }
    }
}

/// The catalogue of an edition, in the form in which it is loaded.
#[utoipa::path(
    get,
    path = "/v1/editions/{number}/catalogue",
    tag = "editions",
    params(("number" = u32, Path, description = "Number of the edition")),
    responses(
        (status = 200, description = "The catalogue; its cells are safe to open in a spreadsheet", content((serde_json::Value = "application/json"), (Vec<u8> = "application/zip"))),
    )
)]
pub(super) async fn get_catalogue(
    _: NoQuery,
    State(app): State<App>,
    Path(number): Path<String>,
    headers: HeaderMap,
) -> Made {
    let number = numbered(&number)?;
    let out = load_edition::unload(&app, number).await;
    let out = out.map_err(|error| unloaded(error, &headers))?;
    let accept = headers.get(header::ACCEPT).and_then(|value| value.to_str().ok());
    let is_archive = accept.is_some_and(|accept| accept.trim_start().starts_with(ZIP));
    let (kind, bytes) = if is_archive {
        let archive = out.zip().map_err(|error| Problem::internal("writing an archive", &error))?;
        (ZIP, archive)
    } else {
        let document = serde_json::to_vec(&out.json());
        let document =
            document.map_err(|error| Problem::internal("writing a catalogue", &error))?;
        ("application/json", document)
    };
    Ok(([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "no-store")], bytes).into_response())
}

#[derive(Debug, Clone, Copy)]
enum Form {
    Json,
    Zip,
}

fn form(headers: &HeaderMap) -> Result<Form, Problem> {
    let given = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let essence = given.unwrap_or_default().split(';').next().unwrap_or_default();
    let essence = essence.trim().to_ascii_lowercase();
    if essence == "application/json" {
        return Ok(Form::Json);
    }
    if essence == ZIP {
        return Ok(Form::Zip);
    }
    let detail = format!("the body is {essence:?}, application/json or {ZIP} is expected");
    Err(Problem::new(Code::UnsupportedMediaType, detail))
}

fn unloaded(error: LoadError, headers: &HeaderMap) -> Problem {
    match error {
        LoadError::Faults(faults) => Problem::of_catalogue(Report {
            faults: faults.iter().map(FaultView::from).collect(),
            as_table: wants_table(headers),
        }),
        LoadError::KeyRunning => {
            let detail = "the first request with this key is still being answered; try again";
            Problem::new(Code::IdempotencyKeyRunning, detail)
        }
        LoadError::Edition(EditionError::Hindered(Hindrance::Unknown)) => {
            let detail = "there is no such edition";
            let parameter = FieldError::of_parameter("base", FieldCode::Unknown, detail);
            Problem::listing(Code::BadQuery, vec![parameter])
        }
        LoadError::Edition(other) => refused(other),
    }
}

fn created(answer: &SavedAnswer) -> Made {
    let location = HeaderValue::from_str(&answer.location)
        .map_err(|error| Problem::internal("writing a location", &error))?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("application/json")),
        (header::LOCATION, location),
        (header::ETAG, EntityTag::named(&answer.entity_tag).header()),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    Ok((StatusCode::CREATED, headers, answer.body.to_string()).into_response())
}

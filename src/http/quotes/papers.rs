//! Papers of stored quotes: the quote, the installation and the care sheets, as HTML and PDF.
//!
//! Made from the stored quote alone, off the threads that answer. A paper's entity tag is made of its bytes. Absent
//! here: what stands on a paper (`documents`).

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Deserialize;

use crate::documents::paper::Paper;
use crate::documents::paper::html_of;
use crate::documents::paper::pdf_of;
use crate::documents::paper::stored::care_sheets;
use crate::documents::paper::stored::installation_sheets;
use crate::documents::paper::stored::quote_paper;
use crate::domain::quote::Quote;
use crate::http::Problem;
use crate::http::Query;
use crate::http::access::Called;
use crate::http::conditional::EntityTag;
use crate::http::negotiation;
use crate::http::problem::Code;
use crate::http::work;

use super::stored::CACHE;
use super::stored::load;

/// Media type of the pages.
pub(super) const HTML: &str = "text/html; charset=utf-8";
/// Media type of the files.
pub(super) const PDF: &str = "application/pdf";
/// A page brings its own style and nothing else: no script, no picture, no font, no form, in nobody's frame.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'none'";
/// Media types of a sheet, the page first.
const OFFERED: [&str; 2] = ["text/html", PDF];

/// Which sheets.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub(super) struct SheetFilters {
    /// Name of a room, whole; every room with a rail when left out.
    #[param(max_length = 100)]
    room: Option<String>,
    /// Revision; the latest when left out.
    #[param(minimum = 1, maximum = 1_000_000)]
    revision: Option<u32>,
}

/// The installation sheets of a quote for the electrician, one a rail.
///
/// From the stored quote alone: the same bytes after any later change of prices and rules.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}/installation-sheet",
    tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote"), SheetFilters),
    responses(
        (status = 200, description = "The sheets, to be printed or filled in",
            content((String = "text/html"), (String = "application/pdf"))),
        (status = 304, description = "The client's copy is current"),
    )
)]
pub(super) async fn get_installation_sheet(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Query(filters): Query<SheetFilters>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let quote = load((&app, &caller), &text, filters.revision).await?;
    sheets(&headers, quote, ("installation-sheet", filters.room), installation_sheets).await
}

/// The care sheets of a quote for the household, one a rail.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}/care-sheet",
    tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote"), SheetFilters),
    responses(
        (status = 200, description = "The sheets, to be printed and kept",
            content((String = "text/html"), (String = "application/pdf"))),
        (status = 304, description = "The client's copy is current"),
    )
)]
pub(super) async fn get_care_sheet(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Query(filters): Query<SheetFilters>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let quote = load((&app, &caller), &text, filters.revision).await?;
    sheets(&headers, quote, ("care-sheet", filters.room), care_sheets).await
}

/// A quote as a page or a PDF file.
pub(super) async fn quote_answer(
    headers: &HeaderMap,
    quote: Quote,
    is_pdf: bool,
) -> Result<Response, Problem> {
    let name = file_name(&quote, "quote");
    let bytes = work::off_thread(move || {
        let papers = [quote_paper(&quote)];
        rendered(&papers, is_pdf)?.ok_or_else(Problem::failed)
    });
    Ok(paper(headers, bytes.await?, (&name, is_pdf)))
}

async fn sheets<P, M>(
    headers: &HeaderMap,
    quote: Quote,
    (kind, room): (&'static str, Option<String>),
    make: M,
) -> Result<Response, Problem>
where
    P: Paper,
    M: Fn(&Quote, Option<&str>) -> Vec<P> + Send + 'static,
{
    let name = file_name(&quote, kind);
    let is_pdf = negotiation::choose(headers, &OFFERED) == Some(&PDF);
    let bytes = work::off_thread(move || {
        let papers = make(&quote, room.as_deref());
        rendered(&papers, is_pdf)?.ok_or_else(|| without_rail(&quote, room.as_deref()))
    });
    Ok(paper(headers, bytes.await?, (&name, is_pdf)))
}

/// Papers as bytes; nothing of no papers.
fn rendered<P: Paper>(papers: &[P], is_pdf: bool) -> Result<Option<Vec<u8>>, Problem> {
    if !is_pdf {
        return Ok(html_of(papers).map(String::into_bytes));
    }
    pdf_of(papers).map_err(|error| Problem::internal("writing a paper", &error))
}

fn without_rail(quote: &Quote, room: Option<&str>) -> Problem {
    let number = &quote.number;
    let detail = match room {
        Some(room) => format!("{number} has no room {room:?} with a rail in it"),
        None => format!("{number} has no rail, so there is nothing to install or to care for"),
    };
    Problem::new(Code::NotFound, detail)
}

/// Number, revision and kind: plain letters, digits and hyphens.
pub(super) fn file_name(quote: &Quote, kind: &str) -> String {
    format!("{}-r{}-{kind}", quote.number, quote.revision)
}

/// How a client should name the file, shown in place rather than saved unasked.
pub(super) fn disposition(file_name: &str, ending: &str) -> HeaderValue {
    let text = format!("inline; filename=\"{file_name}.{ending}\"");
    // Letters, digits, hyphens and quotes are always a header value.
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static("inline"))
}

fn paper(headers: &HeaderMap, bytes: Vec<u8>, (name, is_pdf): (&str, bool)) -> Response {
    let tag = EntityTag::of(&bytes);
    let (media_type, ending) = if is_pdf { (PDF, "pdf") } else { (HTML, "html") };
    let mut response = tag.answer(headers, CACHE, || {
        let disposition = disposition(name, ending);
        let fields = [
            (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
            (header::CONTENT_DISPOSITION, disposition),
        ];
        (fields, bytes).into_response()
    });
    let fields = response.headers_mut();
    fields.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    fields.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

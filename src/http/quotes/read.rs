//! Reading quotes: one, its revisions, its history, lists. Always from the database.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::documents::line_table::line_table;
use crate::documents::ubl::order;
use crate::documents::ubl::quotation;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteState;
use crate::http::Json;
use crate::http::Problem;
use crate::http::Query;
use crate::http::access::Called;
use crate::http::conditional::EntityTag;
use crate::http::cursor::Listing;
use crate::http::negotiation;
use crate::http::problem::Code;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::query::NoQuery;
use crate::operations::access::Caller;
use crate::operations::quotes::QuoteFilter;
use crate::operations::quotes::list_quotes;
use crate::operations::quotes::load_history;

use super::absent;
use super::desk;
use super::list_view::AnswersView;
use super::list_view::HistoryView;
use super::list_view::QuotesView;
use super::number;
use super::papers::disposition;
use super::papers::file_name;
use super::papers::quote_answer;
use super::stored::CACHE;
use super::stored::load;
use super::unread;
use super::view::QuoteView;

/// Quotes on a page when nobody says.
const PAGE_USUAL: u32 = 50;

/// State of a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum StateFilter {
    /// Not yet an offer.
    Draft,
    /// Stands.
    Issued,
    /// Accepted.
    Accepted,
    /// Its last day is over.
    Expired,
    /// Taken back.
    Withdrawn,
    /// Replaced.
    Superseded,
}

/// Filters and page of a list of quotes.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub(super) struct QuoteFilters {
    /// State.
    #[param(inline)]
    state: Option<StateFilter>,
    /// The customer's reference, whole.
    #[param(max_length = 100)]
    customer_reference: Option<String>,
    /// Name of a room, whole.
    #[param(max_length = 100)]
    room: Option<String>,
    /// A part on the quote.
    #[param(max_length = 40)]
    sku: Option<String>,
    /// Drafted on or after this day, in universal time.
    #[param(pattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
    created_from: Option<String>,
    /// Drafted on or before this day, in universal time.
    #[param(pattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
    created_to: Option<String>,
    /// Revisions on a page, 50 when left out.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u32>,
    /// Where the page begins: the `next_cursor` of the page before.
    #[param(max_length = 256)]
    cursor: Option<String>,
}

/// Quotes, every revision by itself, newest first.
#[utoipa::path(
    get,
    path = "/v1/quotes",
    tag = "quotes",
    params(QuoteFilters),
    responses((status = 200, description = "A page of quotes", body = QuotesView))
)]
pub(super) async fn get_quotes(
    Called { app, caller }: Called,
    Query(filters): Query<QuoteFilters>,
) -> Result<Json<QuotesView>, Problem> {
    let desk = desk(&app)?;
    let unpaged = QuoteFilters { limit: None, cursor: None, ..filters.clone() };
    let text = format!("/v1/quotes {unpaged:?}");
    // Places never change, so a cursor outlives every edition.
    let listing = Listing { edition: 0, filters: &text };
    let filter = filters.filter(listing, &caller)?;
    let limit = filters.limit.unwrap_or(PAGE_USUAL);
    let page = list_quotes(desk.database(), &filter, (app.now(), limit.saturating_add(1)));
    let mut heads = page.await.map_err(|error| unread(&error))?;
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let has_more = limit < heads.len();
    heads.truncate(limit);
    let last = heads.last().filter(|_| has_more);
    let next_cursor = last.map(|head| listing.cursor_after(&head.place.to_string()));
    Ok(Json(QuotesView { items: heads.iter().map(Into::into).collect(), next_cursor }))
}

/// The latest revision of a quote.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}",
    tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote")),
    responses(
        (status = 200, description = "The latest revision; as HTML and PDF its paper; as XML a UBL 2.1 Quotation, or the Order once it is accepted; as CSV its lines",
            content((QuoteView = "application/json"), (String = "text/html"), (String = "application/pdf"),
                (String = "application/xml"), (String = "text/csv"))),
        (status = 304, description = "The client's copy is current"),
    )
)]
pub(super) async fn get_quote(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(text): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let quote = load((&app, &caller), &text, None).await?;
    represent(&headers, quote, app.now()).await
}

/// One revision of a quote.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}/revisions/{revision}",
    tag = "quotes",
    params(
        ("number" = String, Path, description = "Number of the quote"),
        ("revision" = String, Path, description = "1 is the first"),
    ),
    responses(
        (status = 200, description = "The revision; as HTML and PDF its paper; as XML a UBL 2.1 Quotation, or the Order once it is accepted; as CSV its lines",
            content((QuoteView = "application/json"), (String = "text/html"), (String = "application/pdf"),
                (String = "application/xml"), (String = "text/csv"))),
        (status = 304, description = "The client's copy is current"),
    )
)]
pub(super) async fn get_revision(
    _: NoQuery,
    Called { app, caller }: Called,
    Path((text, revision)): Path<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let Ok(revision) = revision.parse::<u32>() else {
        let detail = format!("{text} has no revision {revision:?}");
        return Err(Problem::new(Code::NotFound, detail));
    };
    let quote = load((&app, &caller), &text, Some(revision)).await?;
    represent(&headers, quote, app.now()).await
}

/// Everything that happened to a quote, oldest first.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}/history",
    tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote")),
    responses((status = 200, description = "The history of all revisions", body = HistoryView))
)]
pub(super) async fn get_history(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(text): Path<String>,
) -> Result<Json<HistoryView>, Problem> {
    let number = number(&text)?;
    let owned = (&caller.actor().account, &number);
    let history = load_history(desk(&app)?.database(), owned).await;
    let events = history.map_err(|error| unread(&error))?;
    if events.is_empty() {
        return Err(absent(&text));
    }
    Ok(Json(HistoryView::new(&number, &events)))
}

/// What was asked and answered for each room of a quote's latest revision.
#[utoipa::path(
    get,
    path = "/v1/quotes/{number}/answers",
    tag = "quotes",
    params(("number" = String, Path, description = "Number of the quote")),
    responses((status = 200, description = "Requests and answers by room", body = AnswersView))
)]
pub(super) async fn get_answers(
    _: NoQuery,
    Called { app, caller }: Called,
    Path(text): Path<String>,
) -> Result<Json<AnswersView>, Problem> {
    Ok(Json(AnswersView::from(&load((&app, &caller), &text, None).await?)))
}

/// Media types of a quote, JSON first.
const OFFERED: [&str; 5] =
    ["application/json", "text/html", "application/pdf", "application/xml", "text/csv"];

/// A revision in the form that the client likes best.
async fn represent(headers: &HeaderMap, quote: Quote, now: Timestamp) -> Result<Response, Problem> {
    match negotiation::choose(headers, &OFFERED) {
        Some(&"text/html") => quote_answer(headers, quote, false).await,
        Some(&"application/pdf") => quote_answer(headers, quote, true).await,
        Some(&"application/xml") => {
            let text = order(&quote).unwrap_or_else(|| quotation(&quote));
            Ok(exchanged(headers, &quote, ("application/xml", "xml", text), now))
        }
        Some(&"text/csv") => {
            let table = ("text/csv; charset=utf-8", "csv", line_table(&quote));
            Ok(exchanged(headers, &quote, table, now))
        }
        Some(_) | None => answer(headers, &quote, now),
    }
}

/// A revision for another program: media type, ending of the file, text.
fn exchanged(
    headers: &HeaderMap,
    quote: &Quote,
    (media_type, ending, text): (&'static str, &str, String),
    now: Timestamp,
) -> Response {
    let tag = EntityTag::named(&format!("{}.{ending}", quote.tag(quote.state_at(now))));
    tag.answer(headers, CACHE, || {
        let fields = [
            (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
            (header::CONTENT_DISPOSITION, disposition(&file_name(quote, "quote"), ending)),
        ];
        (fields, text).into_response()
    })
}

/// A revision with its entity tag, or 304.
pub(super) fn answer(
    headers: &HeaderMap,
    quote: &Quote,
    now: Timestamp,
) -> Result<Response, Problem> {
    let state = quote.state_at(now);
    let bytes = serde_json::to_vec(&QuoteView::new(quote, state))
        .map_err(|error| Problem::internal("writing a quote", &error))?;
    Ok(EntityTag::named(&quote.tag(state)).answer(headers, CACHE, || {
        ([(header::CONTENT_TYPE, "application/json")], bytes).into_response()
    }))
}

impl QuoteFilters {
    fn filter(&self, listing: Listing<'_>, caller: &Caller) -> Result<QuoteFilter, Problem> {
        let after = self.cursor.as_deref().map(|cursor| listing.position(cursor)).transpose()?;
        let text = |text: &Option<String>| text.as_deref().map(Into::into);
        Ok(QuoteFilter {
            account: caller.actor().account.clone(),
            state: self.state.map(Into::into),
            customer_reference: text(&self.customer_reference),
            room: text(&self.room),
            sku: text(&self.sku),
            created_from: start_of(self.created_from.as_deref(), "created_from", 0)?,
            created_before: start_of(self.created_to.as_deref(), "created_to", 1)?,
            after: after.and_then(|place| place.parse().ok()),
        })
    }
}

/// The beginning of a day, or of so many days after it.
fn start_of(
    text: Option<&str>,
    parameter: &str,
    days_later: i8,
) -> Result<Option<Timestamp>, Problem> {
    let Some(text) = text else { return Ok(None) };
    let instant = text.parse::<Date>().and_then(|day| {
        let day = if days_later == 0 { Ok(day) } else { day.tomorrow() };
        TimeZone::UTC.to_timestamp(day?.at(0, 0, 0, 0))
    });
    instant.map(Some).map_err(|_no_day| {
        let detail = format!("{text} is no day of the calendar");
        let error = FieldError::of_parameter(parameter, FieldCode::BadForm, &detail);
        Problem::listing(Code::BadQuery, vec![error])
    })
}

impl From<StateFilter> for QuoteState {
    fn from(filter: StateFilter) -> Self {
        match filter {
            StateFilter::Draft => Self::Draft,
            StateFilter::Issued => Self::Issued,
            StateFilter::Accepted => Self::Accepted,
            StateFilter::Expired => Self::Expired,
            StateFilter::Withdrawn => Self::Withdrawn,
            StateFilter::Superseded => Self::Superseded,
        }
    }
}

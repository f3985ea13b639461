//! Issue, acceptance, withdrawal: what changes the state of a revision.

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;

use crate::http::Json;
use crate::http::Problem;
use crate::http::access::Called;
use crate::http::conditional::EntityTags;
use crate::http::conditional::if_match;
use crate::http::fields::Fields;
use crate::http::problem::Document;
use crate::operations::App;
use crate::operations::access::Caller;
use crate::operations::quotes::Action;
use crate::operations::quotes::Precondition;
use crate::operations::quotes::QuoteChange;
use crate::operations::quotes::QuoteWrite;
use crate::operations::quotes::Written;

use super::absent;
use super::desk;
use super::heads::Heads;
use super::number;
use super::order::NewAcceptance;
use super::order::NewWithdrawal;
use super::read::answer;
use super::refused;
use super::stale;
use super::text::plain;
use super::unwritten;
use super::view::QuoteView;

/// Makes a draft an offer. An offer of before is superseded in the same moment.
#[utoipa::path(
    post,
    path = "/v1/quotes/{number}/issue",
    tag = "quotes",
    params(
        ("number" = String, Path, description = "Number of the quote"),
        ("If-Match" = inline(EntityTags), Header, description = "Entity tag of the draft"),
    ),
    responses(
        (status = 200, description = "The offer", body = QuoteView),
        (status = 409, description = "It is no draft, or its day or price list has ended", body = Document, content_type = "application/problem+json"),
        (status = 412, description = "No revision is in a state that If-Match names", body = Document, content_type = "application/problem+json"),
        (status = 428, description = "If-Match is missing", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_issue(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Heads(headers): Heads,
) -> Result<Response, Problem> {
    change((&app, &caller), &text, &headers, Action::Issue).await
}

/// Accepts an offer: once, before it ends, in exactly the state that was read.
#[utoipa::path(
    post,
    path = "/v1/quotes/{number}/acceptance",
    tag = "quotes",
    request_body = NewAcceptance,
    params(
        ("number" = String, Path, description = "Number of the quote"),
        ("If-Match" = inline(EntityTags), Header, description = "Entity tag of the offer"),
    ),
    responses(
        (status = 200, description = "The accepted quote", body = QuoteView),
        (status = 409, description = "It is no offer, or it has expired", body = Document, content_type = "application/problem+json"),
        (status = 412, description = "No revision is in a state that If-Match names", body = Document, content_type = "application/problem+json"),
        (status = 428, description = "If-Match is missing", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_acceptance(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Heads(headers): Heads,
    Json(acceptance): Json<NewAcceptance>,
) -> Result<Response, Problem> {
    checked(&acceptance.by, "by")?;
    change((&app, &caller), &text, &headers, Action::Accept { by: acceptance.by.into() }).await
}

/// Takes a draft or an offer back, with a reason that is kept.
#[utoipa::path(
    post,
    path = "/v1/quotes/{number}/withdrawal",
    tag = "quotes",
    request_body = NewWithdrawal,
    params(
        ("number" = String, Path, description = "Number of the quote"),
        ("If-Match" = inline(EntityTags), Header, description = "Entity tag of the draft or offer"),
    ),
    responses(
        (status = 200, description = "The withdrawn quote", body = QuoteView),
        (status = 409, description = "What was accepted or superseded stays", body = Document, content_type = "application/problem+json"),
        (status = 412, description = "No revision is in a state that If-Match names", body = Document, content_type = "application/problem+json"),
        (status = 428, description = "If-Match is missing", body = Document, content_type = "application/problem+json"),
    )
)]
pub(super) async fn post_withdrawal(
    Called { app, caller }: Called,
    Path(text): Path<String>,
    Heads(headers): Heads,
    Json(withdrawal): Json<NewWithdrawal>,
) -> Result<Response, Problem> {
    checked(&withdrawal.reason, "reason")?;
    change((&app, &caller), &text, &headers, Action::Withdraw { reason: withdrawal.reason.into() })
        .await
}

fn checked(text: &str, field: &str) -> Result<(), Problem> {
    let mut fields = Fields::default();
    plain(text, field, &mut fields);
    fields.finish(())
}

async fn change(
    (app, caller): (&App, &Caller),
    text: &str,
    headers: &HeaderMap,
    action: Action,
) -> Result<Response, Problem> {
    let desk = desk(app)?;
    let number = number(text)?;
    let precondition = if_match(headers)?.map_or(Precondition::Latest, Precondition::Tags);
    let by = caller.actor().clone();
    let change = QuoteChange { number, precondition, action, now: app.now(), by };
    let written = desk.writer().write(QuoteWrite::Change(Box::new(change))).await;
    match written.map_err(|failure| unwritten(&failure))? {
        Written::Changed(quote) => answer(&HeaderMap::new(), &quote, app.now()),
        Written::Refused(refusal) => Err(refused(&refusal)),
        Written::Stale => Err(stale()),
        Written::Absent => Err(absent(text)),
        Written::Created(_) | Written::Replayed(_) | Written::KeyReused => Err(Problem::failed()),
    }
}

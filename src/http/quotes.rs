//! Quotes: drafted, issued, revised, accepted, withdrawn, listed. Always read from the database.
//!
//! What creates needs an `Idempotency-Key`, what changes needs `If-Match`. Papers are made from the stored quote alone.

mod text;
mod heads;
mod key;
pub mod order;
pub mod total_view;
pub mod list_view;
pub mod view;
mod sheets;
mod option;
mod rooms;
mod stored;
mod papers;
mod read;
mod change;
mod create;

pub(in crate::http) use key::IdempotencyKey;
pub(in crate::http) use key::keyed;

use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::domain::quote::QuoteNumber;
use crate::domain::quote::Refusal;
use crate::http::Problem;
use crate::http::problem::Code;
use crate::operations::App;
use crate::operations::desk::Desk;
use crate::operations::quotes::StoreError;
use crate::operations::quotes::WriteFailure;

/// The routes of quotes.
pub fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(read::get_quotes, create::post_quote))
        .routes(routes!(read::get_quote))
        .routes(routes!(create::post_revision))
        .routes(routes!(read::get_revision))
        .routes(routes!(change::post_issue))
        .routes(routes!(change::post_acceptance))
        .routes(routes!(change::post_withdrawal))
        .merge(beside())
}

/// What a quote gives out beside itself.
fn beside() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(papers::get_installation_sheet))
        .routes(routes!(papers::get_care_sheet))
        .routes(routes!(read::get_history))
        .routes(routes!(read::get_answers))
}

/// The desk, or 503 in a program without a database.
fn desk(app: &App) -> Result<&Desk, Problem> {
    app.desk().ok_or_else(|| Problem::new(Code::NotReady, "no database for quotes is open"))
}

/// The number in a path, or 404.
fn number(text: &str) -> Result<QuoteNumber, Problem> {
    QuoteNumber::parse(text).ok_or_else(|| absent(text))
}

fn absent(number: &str) -> Problem {
    Problem::new(Code::NotFound, format!("there is no quote {number:?}"))
}

fn refused(refusal: &Refusal) -> Problem {
    let code = match refusal {
        Refusal::State(_) => Code::WrongState,
        Refusal::Expired(_) => Code::QuoteExpired,
        Refusal::ValidityPassed(_) => Code::ValidityPassed,
        Refusal::PriceListEnded(_) => Code::PriceListEnded,
        Refusal::OpenDraft(_) => Code::OpenDraft,
        Refusal::OtherMarket => Code::OtherMarket,
    };
    Problem::new(code, refusal.to_string())
}

fn stale() -> Problem {
    let detail = "no revision is in a state that If-Match names; read it again";
    Problem::new(Code::PreconditionFailed, detail)
}

fn unread(error: &StoreError) -> Problem {
    Problem::of_store("reading quotes", error)
}

fn unwritten(failure: &WriteFailure) -> Problem {
    match failure {
        WriteFailure::QueueFull => busy(),
        WriteFailure::Ended => Problem::new(Code::NotReady, "the service is shutting down"),
        WriteFailure::Store(error) => Problem::of_store("writing a quote", error),
    }
}

fn busy() -> Problem {
    Problem::new(Code::Overloaded, "too many quotes are being written; try again")
}

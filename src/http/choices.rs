//! `POST /v1/choices`: what can still be chosen beside a room, wishes and a partial choice.
//!
//! Absent here: the counting (the domain), and the request's own fields (`resolutions`).

mod order;
mod view;

pub use order::NewChoices;
pub use order::NewChosen;
pub use view::AttributeChoicesView;
pub use view::ChoicesView;
pub use view::NextValueView;
pub use view::WishChoicesView;

use axum::extract::State;

use crate::domain::notice::Notice;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::problem::Document;
use crate::http::query::NoQuery;
use crate::http::resolutions::NewResolution;
use crate::http::resolutions::always_idle;
use crate::http::resolutions::notices_of_idle;
use crate::http::resolutions::refuse;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::next_choices::next_choices;

use order::Asked;

/// The values that can still be chosen, each with its bills and the cheapest price.
///
/// Counted are bills of one rail: pairs of a body and an element, each completed by the cheapest controls and accessories,
/// that meet every demand of the request; a pair counts once. Each value of a wish or an attribute is counted with all
/// other choices in force and that one taken back. No value is shown that leads to no bill.
#[utoipa::path(
    post,
    path = "/v1/choices",
    tag = "resolutions",
    request_body = NewChoices,
    responses(
        (status = 200, description = "What can still be chosen", body = ChoicesView),
        (status = 409, description = "No price list of the market holds on that day", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn post_choices(
    _: NoQuery,
    State(app): State<App>,
    order: Draft<NewChoices>,
) -> Result<Json<ChoicesView>, Problem> {
    let edition = order.readable().and_then(|order| order.request.edition);
    let snapshot = work::snapshot_for(&app, edition).await?;
    work::off_thread(move || choose(&snapshot, order)).await.map(Json)
}

/// The answer to an order from one snapshot.
pub fn choose(snapshot: &Snapshot, order: Draft<NewChoices>) -> Result<ChoicesView, Problem> {
    let (asked, idle) = order.read(|order| {
        let asked = order.asked(snapshot)?;
        Ok((asked, idle_fields(&order.request)))
    })?;
    let Asked { question, chosen } = asked;
    let market = question.demands.surroundings.market;
    let answer = next_choices(snapshot, question, &chosen);
    let mut answer = answer.map_err(|refusal| in_request(refuse(refusal, &market.code)))?;
    answer.notices.extend(idle);
    Ok(ChoicesView::new(&answer, market, snapshot.catalogue().edition()))
}

/// A problem of the request's own fields, named as fields of this body.
fn in_request(problem: Problem) -> Problem {
    if problem.errors().is_empty() {
        return problem;
    }
    let mut fields = Fields::default();
    fields.within("request", |at| {
        problem.errors().iter().cloned().for_each(|error| at.add(error));
    });
    fields.finish(()).err().unwrap_or(problem)
}

fn idle_fields(order: &NewResolution) -> Vec<Notice> {
    let wished = order.preferences.as_ref();
    let own = [
        (
            wished.is_some_and(|wished| wished.order.is_some()),
            "order was not used: what can be chosen, and the cheapest price of it, are the same in any order.",
        ),
        (
            wished.is_some_and(|wished| wished.variety.is_some()),
            "variety was not used: a pair of body and element counts once, however it can be completed.",
        ),
        (order.running.is_some(), "running was not used: no running costs are worked out here."),
        (order.frontier, "frontier was not used: it belongs to /v1/resolutions."),
        (order.explain.is_some(), "explain was not used: nothing is refused here."),
        (order.options_max.is_some(), "options_max was not used: no bills are listed here."),
    ];
    notices_of_idle(always_idle(order).into_iter().chain(own))
}

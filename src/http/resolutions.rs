//! `POST /v1/resolutions`: a room and wishes in, ranked priced bills of materials out.

pub mod explanation;
pub mod answer;
pub mod tier;
pub mod place;
pub mod order;

pub use answer::ResolutionView;
pub use order::NewAccessoryKind;
pub use order::NewPreferences;
pub use order::NewPurpose;
pub use order::NewRegulation;
pub use order::NewResolution;
pub use order::NewUsers;
pub use order::Putting;
pub use order::surroundings;
pub use place::NewBestPlace;
pub use place::NewPlace;
pub use place::NewPlan;
pub use place::NewPosition;
pub use place::NewSide;
pub use place::NewWallType;
pub use place::NewZone;
pub use tier::NewTier;

use axum::extract::State;

use crate::domain::notice::Notice;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::problem::Code;
use crate::http::query::NoQuery;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::resolve_room::Refusal;
use crate::operations::resolve_room::resolve_room;

/// The cheapest complete bills of materials for a room.
///
/// Exact: the options are the cheapest valid bills by gross price, ties by smaller surplus and then part numbers; they
/// differ in body, element or regulation. `impossible` names a smallest set of demands that cannot hold together.
#[utoipa::path(
    post,
    path = "/v1/resolutions",
    tag = "resolutions",
    request_body = NewResolution,
    responses((status = 200, description = "Bills, or why there are none", body = ResolutionView))
)]
pub async fn post_resolution(
    _: NoQuery,
    State(app): State<App>,
    order: Draft<NewResolution>,
) -> Result<Json<ResolutionView>, Problem> {
    let snapshot = work::snapshot(&app)?;
    work::off_thread(move || resolve(&snapshot, order)).await.map(Json)
}

/// The answer to an order from one snapshot: also what the command line prints.
pub fn resolve(
    snapshot: &Snapshot,
    order: Draft<NewResolution>,
) -> Result<ResolutionView, Problem> {
    let catalogue = snapshot.catalogue();
    let (question, idle) = order.read(|order| {
        let question = order.question(Putting::of(snapshot))?;
        Ok((question, idle_fields(&order)))
    })?;
    let market = question.demands.surroundings.market;
    let answer = resolve_room(catalogue, question);
    let mut answer = answer.map_err(|refusal| refuse(refusal, &market.code))?;
    answer.notices.extend(idle);
    Ok(ResolutionView::new(&answer, market))
}

/// A notice for each field that was sent and decides nothing, so that nobody takes it for heeded.
fn idle_fields(order: &NewResolution) -> Vec<Notice> {
    let towels = order.purpose == Some(NewPurpose::TowelWarming);
    let shared = order.purpose == Some(NewPurpose::SharedHeating);
    let rails = order.preferences.as_ref().and_then(|wished| wished.rails_max);
    [
        (
            towels && order.heat_requirement_w.is_some(),
            "heat_requirement_w was not used: a rail that only warms towels has no heat requirement.",
        ),
        (
            !shared && order.heat_share_percent.is_some(),
            "heat_share_percent was not used: it belongs to the purpose shared_heating.",
        ),
        (
            rails.is_some_and(|most| 1 < most),
            "rails_max above 1 was not used: bills with one rail are looked for, and no others.",
        ),
    ]
    .into_iter()
    .filter(|(is_idle, _)| *is_idle)
    .map(|(_, text)| Notice::new("field-not-used", text))
    .collect()
}

/// What a refusal is as a problem.
pub fn refuse(refusal: Refusal, market: &str) -> Problem {
    match refusal {
        Refusal::Room(faults) => {
            let mut fields = Fields::default();
            fields.within("room", |at| faults.iter().for_each(|fault| at.push_fault(fault)));
            fields.finish(()).err().unwrap_or_else(Problem::failed)
        }
        Refusal::NoPriceList(tier, day) => {
            let detail = format!("no {} price list of {market} holds on {day}", tier.word());
            Problem::new(Code::NoPriceList, detail)
        }
    }
}

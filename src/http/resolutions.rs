//! `POST /v1/resolutions`: a room and wishes in, ranked priced bills of materials out.

pub mod answer;
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
pub use place::NewPlace;
pub use place::NewSide;
pub use place::NewZone;

use axum::extract::State;

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
    let question = order.read(|order| order.question(Putting::of(snapshot)))?;
    let market = question.demands.surroundings.market;
    let answer =
        resolve_room(catalogue, question).map_err(|refusal| refuse(refusal, &market.code))?;
    Ok(ResolutionView::new(&answer, market))
}

fn refuse(refusal: Refusal, market: &str) -> Problem {
    match refusal {
        Refusal::Room(faults) => {
            let mut fields = Fields::default();
            fields.within("room", |at| faults.iter().for_each(|fault| at.push_fault(fault)));
            fields.finish(()).err().unwrap_or_else(Problem::failed)
        }
        Refusal::NoPriceList(day) => {
            Problem::new(Code::NoPriceList, format!("no price list of {market} holds on {day}"))
        }
    }
}

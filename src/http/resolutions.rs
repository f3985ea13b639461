//! `POST /v1/resolutions`: a room and wishes in, ranked priced bills of materials out.

pub mod explanation;
pub mod frontier;
pub mod answer;
pub mod tier;
pub mod place;
pub mod order;
mod sought;

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
pub use sought::NewOrder;
pub use sought::NewRunning;
pub use sought::NewVariety;
pub use sought::NewWall;
pub use tier::NewTier;

use axum::extract::State;

use crate::domain::catalogue::Market;
use crate::domain::notice::Notice;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::query::NoQuery;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::resolve_room::Answer;
use crate::operations::resolve_room::Question;
use crate::operations::resolve_room::Refusal;
use crate::operations::resolve_room::answer_at_once;
use crate::operations::resolve_room::resolve_room;

/// The cheapest complete bills of materials for a room.
///
/// Exact: the options are the best valid bills of one to three rails, by gross price unless another order is asked for;
/// ties by price, fewer rails, smaller surplus and then part numbers. They differ in body, element or regulation, or, with
/// the variety `any`, in any part. Rails of one bill share the finish, add up their heat, and hang side by side 100 mm
/// apart or each on a wall space of its own. `impossible` names a smallest set of demands that cannot hold together.
#[utoipa::path(
    post,
    path = "/v1/resolutions",
    tag = "resolutions",
    request_body = NewResolution,
    responses(
        (status = 200, description = "Bills, or why there are none", body = ResolutionView),
        (status = 409, description = "No price list of the market holds on that day", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn post_resolution(
    _: NoQuery,
    State(app): State<App>,
    order: Draft<NewResolution>,
) -> Result<Json<ResolutionView>, Problem> {
    let edition = order.readable().and_then(|order| order.edition);
    let snapshot = work::snapshot_for(&app, edition).await?;
    if let Some(answer) = resolve_at_once(&snapshot, &order) {
        return Ok(Json(answer));
    }
    work::off_thread(move || resolve(&snapshot, order)).await.map(Json)
}

/// The answer to an order from one snapshot: also what the command line prints.
pub fn resolve(
    snapshot: &Snapshot,
    order: Draft<NewResolution>,
) -> Result<ResolutionView, Problem> {
    let (question, idle) = order.read(|order| put(snapshot, &order))?;
    let market = question.demands.surroundings.market;
    let answer = resolve_room(snapshot, question);
    let answer = answer.map_err(|refusal| refuse(refusal, &market.code))?;
    Ok(view(answer, idle, market))
}

/// The same answer where it takes less time than to change threads; nothing where it takes longer or something is wrong.
fn resolve_at_once(snapshot: &Snapshot, order: &Draft<NewResolution>) -> Option<ResolutionView> {
    let order = order.readable().filter(|_| order.is_sound())?;
    let (question, idle) = put(snapshot, order).ok()?;
    let market = question.demands.surroundings.market;
    Some(view(answer_at_once(snapshot, question)?, idle, market))
}

/// The question of an order, and what is said of fields that decide nothing.
fn put<'a>(snapshot: &'a Snapshot, order: &NewResolution) -> Result<Put<'a>, Problem> {
    work::check_edition(order.edition, snapshot)?;
    Ok((order.question(Putting::of(snapshot))?, idle_fields(order)))
}

/// A question with its notices.
type Put<'a> = (Question<'a>, Vec<Notice>);

fn view(mut answer: Answer, idle: Vec<Notice>, market: &Market) -> ResolutionView {
    answer.notices.extend(idle);
    ResolutionView::new(answer, market)
}

/// Whether a field was sent that decides nothing, and what is said of it.
pub type Idle = (bool, &'static str);

fn idle_fields(order: &NewResolution) -> Vec<Notice> {
    let asked = order.preferences.as_ref().and_then(|wished| wished.order);
    let by_running = asked == Some(NewOrder::LowestRunningCost);
    let running = (
        !by_running && order.running.is_some(),
        "running was not used: it belongs to the order lowest_running_cost.",
    );
    notices_of_idle(always_idle(order).into_iter().chain([running]))
}

/// The fields that decide nothing, whatever is asked of a room and wishes.
pub fn always_idle(order: &NewResolution) -> [Idle; 3] {
    let towels = order.purpose == Some(NewPurpose::TowelWarming);
    let shared = order.purpose == Some(NewPurpose::SharedHeating);
    let is_drawn = order.place.as_ref().is_some_and(|place| place.plan.is_some());
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
            is_drawn && rails.is_some_and(|most| 1 < most),
            "rails_max above 1 was not used: in a drawn room one rail is placed, and no others.",
        ),
    ]
}

/// A notice for each field that was sent and decides nothing, so that nobody takes it for heeded.
pub fn notices_of_idle<I: IntoIterator<Item = Idle>>(rows: I) -> Vec<Notice> {
    let idle = rows.into_iter().filter(|(is_idle, _)| *is_idle);
    idle.map(|(_, text)| Notice::new("field-not-used", text)).collect()
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

//! `POST /v1/heat-outputs`: one body with one element in one room, by part numbers or by raw figures.
//!
//! Absent here: the physics (the domain), and the drawing (`documents`).

mod question;
mod view;

pub use question::NewHeatOutput;
pub use question::NewTariff;
pub use view::CompletionView;
pub use view::CoolDownView;
pub use view::EcodesignView;
pub use view::EnergyView;
pub use view::HeatOutputView;
pub use view::WarmUpView;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::documents::output_drawing::draw_output;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::negotiation;
use crate::http::query::NoQuery;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::describe_output::describe_output;

/// What a body with an element gives a room, how warm its fluid gets, how fast, and what a day costs.
///
/// Give a body by its part number or by `rated_output_w` and `exponent`, and an element by its part number or by
/// `element_w`. As `image/svg+xml` the answer is a drawing: fluid over time, and output against fluid.
#[utoipa::path(
    post,
    path = "/v1/heat-outputs",
    tag = "physics",
    request_body = NewHeatOutput,
    responses((status = 200, description = "Output, fluid, warm-up, energy, cautions; or a drawing",
        content((HeatOutputView = "application/json"), (String = "image/svg+xml"))))
)]
pub async fn post_heat_output(
    _: NoQuery,
    State(app): State<App>,
    headers: HeaderMap,
    asked: Draft<NewHeatOutput>,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot(&app)?;
    let is_drawn = negotiation::wants_drawing(&headers);
    work::off_thread(move || asked.read(|question| answer(&snapshot, &question, is_drawn))).await
}

fn answer(snapshot: &Snapshot, asked: &NewHeatOutput, is_drawn: bool) -> Result<Response, Problem> {
    let order = asked.order(snapshot.catalogue().edition())?;
    let answer = describe_output(&order).map_err(|faults| {
        let mut fields = Fields::default();
        fields.push_faults(&faults);
        fields.finish(()).err().unwrap_or_else(Problem::failed)
    })?;
    if is_drawn {
        return Ok(negotiation::drawing(draw_output(&order.question, &answer.in_use)));
    }
    Ok(Json(HeatOutputView::new(asked, &order, &answer)).into_response())
}

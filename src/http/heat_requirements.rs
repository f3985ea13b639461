//! `POST /v1/heat-requirements`: what a room needs, every step of the sum, beside the quick rule.
//!
//! Absent here: the sum (the domain), and the drawing (`documents`).

mod question;
mod view;

pub use question::NewHeatRequirement;
pub use question::NewOutdoorPlace;
pub use view::HeatRequirementView;
pub use view::StepView;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::documents::heat_drawing::draw_heat;
use crate::http::Json;
use crate::http::Problem;
use crate::http::json::Draft;
use crate::http::negotiation;
use crate::http::query::NoQuery;
use crate::operations::App;

/// The watts that a room needs, step by step, beside the quick rule.
///
/// The printed steps add up to the printed total. As `image/svg+xml` the answer is a drawing of where the watts go.
#[utoipa::path(
    post,
    path = "/v1/heat-requirements",
    tag = "physics",
    request_body = NewHeatRequirement,
    responses((status = 200, description = "The sum and its steps, or a drawing of them",
        content((HeatRequirementView = "application/json"), (String = "image/svg+xml"))))
)]
pub async fn post_heat_requirement(
    _: NoQuery,
    State(app): State<App>,
    headers: HeaderMap,
    asked: Draft<NewHeatRequirement>,
) -> Result<Response, Problem> {
    let (requirement, notices) = asked.read(|question| question.answer(&app))?;
    if negotiation::wants_drawing(&headers) {
        return Ok(negotiation::drawing(draw_heat(&requirement)));
    }
    Ok(Json(HeatRequirementView::new(&requirement, &notices)).into_response())
}

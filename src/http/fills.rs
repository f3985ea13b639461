//! `POST /v1/fills`: litres, doses, headspace, sealed pressure and the steps of the work.
//!
//! Absent here: the physics (the domain).

mod question;
mod view;

pub use question::NewFill;
pub use question::NewFluid;
pub use question::NewFluidKind;
pub use question::NewVentClosing;
pub use view::CommissioningStepView;
pub use view::FillView;
pub use view::FilledView;
pub use view::FluidView;
pub use view::RefusedFillView;

use axum::extract::State;

use crate::http::Json;
use crate::http::Problem;
use crate::http::json::Draft;
use crate::http::query::NoQuery;
use crate::http::work;
use crate::operations::App;

/// How a body is filled: litres, doses, headspace, sealed pressure against the permitted one, the steps in order.
///
/// Give a body by its part number, with its element and inhibitor if there are any, or raw figures. Where the figures would
/// not hold (dry, locked, boiling) the answer says what happens and gives none. When to close the vent is the maker's
/// word; without it the verdict is `not_established`.
#[utoipa::path(
    post,
    path = "/v1/fills",
    tag = "physics",
    request_body = NewFill,
    responses((status = 200, description = "The fill, or what happens instead", body = FillView))
)]
pub async fn post_fill(
    _: NoQuery,
    State(app): State<App>,
    asked: Draft<NewFill>,
) -> Result<Json<FillView>, Problem> {
    let snapshot = work::snapshot(&app)?;
    let edition = snapshot.catalogue().edition();
    asked.read(|question| Ok(FillView::new(&question.answer(edition)?))).map(Json)
}

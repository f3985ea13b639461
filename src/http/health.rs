//! Whether the process lives and whether requests should be sent to it.
//!
//! Absent here: metrics.

use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

use crate::http::Json;
use crate::http::Problem;
use crate::http::problem::Code;
use crate::http::query::NoQuery;
use crate::operations::App;
use crate::operations::Readiness;

/// A good answer of a health check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct HealthView {
    /// Always `ok`; anything else is a problem document.
    #[schema(value_type = String, example = "ok")]
    pub status: &'static str,
}

const OK: Json<HealthView> = Json(HealthView { status: "ok" });

/// Is the process alive?
///
/// Answers as long as the process can answer anything. Restart it when this fails.
#[utoipa::path(
    get,
    path = "/health/live",
    tag = "operations",
    responses((status = 200, description = "The process lives", body = HealthView))
)]
pub async fn get_live(_: NoQuery) -> Json<HealthView> {
    OK
}

/// Should requests be sent here?
///
/// 503 while the process is starting or on its way out.
#[utoipa::path(
    get,
    path = "/health/ready",
    tag = "operations",
    responses((status = 200, description = "Requests are welcome", body = HealthView))
)]
pub async fn get_ready(_: NoQuery, State(app): State<App>) -> Result<Json<HealthView>, Problem> {
    match app.readiness() {
        Readiness::Ready => Ok(OK),
        Readiness::Starting => Err(Problem::new(Code::NotReady, "the service is starting")),
        Readiness::Draining => Err(Problem::new(Code::NotReady, "the service is shutting down")),
    }
}

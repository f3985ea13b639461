//! What each problem code means: the address that a problem document's `type` names.
//!
//! Absent here: the documents themselves (`problem`).

use axum::extract::Path;
use serde::Serialize;
use utoipa::ToSchema;

use crate::http::Json;
use crate::http::Problem;
use crate::http::problem::Code;
use crate::http::query::NoQuery;

/// A problem code explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct ProblemCodeView {
    /// The code.
    #[schema(value_type = String, example = "invalid-fields")]
    pub code: &'static str,
    /// The status it comes with.
    #[schema(minimum = 400, maximum = 599, example = 422)]
    pub status: u16,
    /// What it says.
    #[schema(value_type = String, example = "Fields of the body are wrong")]
    pub title: &'static str,
}

/// What does this problem code mean?
#[utoipa::path(
    get,
    path = "/problems/{code}",
    tag = "operations",
    params(("code" = String, Path, description = "The code", example = "invalid-fields")),
    responses((status = 200, description = "The code, its status and its title", body = ProblemCodeView))
)]
pub async fn get_problem_code(
    _: NoQuery,
    Path(text): Path<String>,
) -> Result<Json<ProblemCodeView>, Problem> {
    let code = Code::ALL.iter().find(|code| code.text() == text);
    let Some(code) = code else {
        return Err(Problem::new(Code::NotFound, format!("there is no problem code {text}")));
    };
    let (status, title) = (code.status().as_u16(), code.title());
    Ok(Json(ProblemCodeView { code: code.text(), status, title }))
}

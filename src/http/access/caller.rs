//! The caller as an argument of a route.

use axum::extract::FromRequestParts;
use axum::http::Extensions;
use axum::http::request::Parts;

use crate::http::problem::Problem;
use crate::operations::App;
use crate::operations::access::Caller;

impl<S: Send + Sync> FromRequestParts<S> for Caller {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Problem> {
        of(&parts.extensions)
    }
}

/// The program and the caller, as one argument.
#[derive(Debug, Clone)]
pub struct Called {
    /// The program.
    pub app: App,
    /// Who asks.
    pub caller: Caller,
}

impl FromRequestParts<App> for Called {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Problem> {
        Ok(Self { app: app.clone(), caller: of(&parts.extensions)? })
    }
}

/// Who asks. A request that reached a route past the gate has failed, and so has the program.
pub fn of(extensions: &Extensions) -> Result<Caller, Problem> {
    extensions.get::<Caller>().cloned().ok_or_else(Problem::failed)
}

//! The header fields of a request without a query string.

use axum::extract::FromRequestParts;
use axum::http::HeaderMap;
use axum::http::request::Parts;

use crate::http::Problem;
use crate::http::query::NoQuery;

/// Header fields; every query parameter is refused, as [`NoQuery`] does.
#[derive(Debug, Clone)]
pub(super) struct Heads(pub HeaderMap);

impl<S: Send + Sync> FromRequestParts<S> for Heads {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        NoQuery::from_request_parts(parts, state).await?;
        Ok(Self(parts.headers.clone()))
    }
}

//! The layers around every route, outermost first: compression, observation, browsers, head limits, load and time, panics.
//!
//! [`observe`] is the layer that makes "every error is a problem document" true: whatever comes out with an error
//! status, from our code or a library's, leaves as one. Absent here: connections (`server`), what routes do.

use axum::Router;
use axum::extract::Request;
use axum::middleware::from_fn;
use axum::middleware::from_fn_with_state;
use axum::middleware::map_response;
use axum::response::IntoResponse;
use axum::response::Response;
use std::any::Any;
use std::sync::Arc;
use tokio::sync::Semaphore;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;

use crate::http::access::pages;
use crate::http::access::pages::Pages;
use crate::http::conditional;
use crate::http::limits::Limits;
use crate::http::metrics::Metrics;
use crate::http::problem::Code;
use crate::http::problem::Problem;

pub mod request_id;
pub mod observe;
pub mod guard;

/// The routes with all layers around them.
pub fn wrap(routes: Router, limits: &Limits, (metrics, browsers): (Metrics, Pages)) -> Router {
    let guard = guard::Guard {
        places: Arc::new(Semaphore::new(limits.requests_at_once_max)),
        time_out: limits.request_time_out,
        keeper_time_out: limits.keeper_time_out,
    };
    routes
        .layer(CatchPanicLayer::custom(answer_panic))
        .layer(from_fn_with_state(guard, guard::limit_load))
        .layer(from_fn(guard::limit_head))
        .layer(from_fn_with_state(browsers, pages::answer))
        .layer(from_fn_with_state(metrics, observe::observe))
        .layer(CompressionLayer::new())
        .layer(map_response(async |response: Response| conditional::mark_compressed(response)))
}

/// 404 for an address without a route.
pub async fn no_such_route(request: Request) -> Problem {
    Problem::new(Code::NoSuchRoute, format!("there is nothing at {}", request.uri().path()))
}

/// 405; the router adds `Allow`.
pub async fn method_not_allowed(request: Request) -> Problem {
    let (method, path) = (request.method(), request.uri().path());
    Problem::new(Code::MethodNotAllowed, format!("{path} does not answer to {method}"))
}

/// The panic hook has logged what and where, inside the request's span; the client learns neither.
fn answer_panic(_payload: Box<dyn Any + Send>) -> Response {
    Problem::failed().into_response()
}

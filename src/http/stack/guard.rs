//! Limits that hold before a route is asked: size of the head, requests at once, time.
//!
//! Absent here: the body's size and time, which the extractor holds, and limits of connections (`server`).

use axum::extract::Request;
use axum::extract::State;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Response;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Semaphore;
use tokio::time::timeout;

use crate::http::limits;
use crate::http::problem::Code;
use crate::http::problem::Problem;

/// Places for requests worked on at once, and the time each may take.
#[derive(Debug, Clone)]
pub struct Guard {
    /// One permit for each request.
    pub places: Arc<Semaphore>,
    /// Time from here to the answer's head.
    pub time_out: Duration,
    /// The same for a keeper's requests, which read, compile and compare whole catalogues.
    pub keeper_time_out: Duration,
}

impl Guard {
    fn time_for(&self, path: &str) -> Duration {
        if path.starts_with(KEEPERS) { self.keeper_time_out } else { self.time_out }
    }
}

/// Paths of the keeper's work on whole catalogues.
const KEEPERS: &str = "/v1/editions";

/// 503 when all places are taken or the time is up. Nothing waits in a queue: a client that is told at once can go
/// elsewhere.
pub async fn limit_load(State(guard): State<Guard>, request: Request, next: Next) -> Response {
    let place = guard.places.try_acquire().ok();
    if place.is_none() && !request.uri().path().starts_with(limits::EXEMPT_PATHS) {
        let detail = "more requests are in work than the service takes at once; try again";
        return Problem::new(Code::Overloaded, detail).into_response();
    }
    let time_out = guard.time_for(request.uri().path());
    let answer = timeout(time_out, next.run(request)).await;
    drop(place);
    answer.unwrap_or_else(|_| {
        let seconds = time_out.as_secs_f32();
        Problem::new(Code::TimedOut, format!("there was no answer within {seconds} s"))
            .into_response()
    })
}

/// 414 for a long address, 431 for many or large header fields.
pub async fn limit_head(request: Request, next: Next) -> Response {
    let target = request.uri().path_and_query().map_or(0, |target| target.as_str().len());
    if target > limits::TARGET_BYTES_MAX {
        let most = limits::TARGET_BYTES_MAX;
        let detail = format!("path and query are longer than {most} bytes");
        return Problem::new(Code::TargetTooLong, detail).into_response();
    }
    let headers = request.headers();
    let sizes = headers.iter().map(|(name, value)| name.as_str().len().saturating_add(value.len()));
    let bytes = sizes.fold(0, usize::saturating_add);
    if headers.len() > limits::HEADER_FIELDS_MAX || bytes > limits::HEADER_BYTES_MAX {
        let (fields, most) = (limits::HEADER_FIELDS_MAX, limits::HEADER_BYTES_MAX);
        let detail = format!("more than {fields} header fields or more than {most} bytes of them");
        return Problem::new(Code::HeadersTooLarge, detail).into_response();
    }
    next.run(request).await
}

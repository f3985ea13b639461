//! One id, one log line, one shape of error for every request.
//!
//! Absent here: why an error came about; that is logged where it is known.

use axum::extract::MatchedPath;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::Method;
use axum::http::StatusCode;
use axum::http::header;
use axum::middleware::Next;
use axum::response::Response;
use std::time::Duration;
use std::time::Instant;
use tracing::Instrument;

use crate::http::metrics::Metrics;
use crate::http::problem::Problem;
use crate::http::stack::request_id;
use crate::http::stack::request_id::RequestId;

/// Gives the request its id, answers errors as problem documents, fences pages, counts, and logs one line.
pub async fn observe(State(metrics): State<Metrics>, mut request: Request, next: Next) -> Response {
    let under_way = metrics.begin();
    let id = RequestId::of(request.headers());
    let path = request.extensions().get::<MatchedPath>();
    // The template, not the path: a log must group by route and not hold what a client typed.
    let route = path.map_or("unmatched", MatchedPath::as_str).to_owned();
    let asked = (request.method().clone(), route);
    request.extensions_mut().insert(id.clone());
    let started = Instant::now();
    let span = tracing::info_span!("request", request_id = id.text());
    let mut response = shape(next.run(request).instrument(span).await, &id);
    let headers = response.headers_mut();
    headers.insert(request_id::HEADER, id.header());
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    fence(headers);
    let (status, time) = (response.status(), started.elapsed());
    metrics.note((&asked.0, &asked.1), status, time);
    log(id.text(), &asked, (status, time));
    drop(under_way);
    response
}

/// What a page or picture of ours may do in a browser that opens it: show itself, in the styles it carries.
const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; \
     base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Fences answers that a browser would open as a page; one that brings its own fence keeps it.
fn fence(headers: &mut HeaderMap) {
    let media_type = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let is_page = |text: &str| text.starts_with("text/html") || text.starts_with("image/svg+xml");
    if !media_type.is_some_and(is_page) {
        return;
    }
    let fields = [
        (header::CONTENT_SECURITY_POLICY, CONTENT_SECURITY_POLICY),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
    ];
    for (name, value) in fields {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
}

fn log(id: &str, (method, route): &(Method, String), (status, time): (StatusCode, Duration)) {
    let duration_ms = u64::try_from(time.as_millis()).unwrap_or(u64::MAX);
    let status = status.as_u16();
    tracing::info!(request_id = id, %method, route, status, duration_ms, "request {id} answered");
}

/// An error as a problem document that names the request; other responses as they are.
fn shape(response: Response, id: &RequestId) -> Response {
    let status = response.status();
    let problem = match response.extensions().get::<Problem>() {
        Some(problem) => problem.clone(),
        None if status.is_client_error() || status.is_server_error() => Problem::of_status(status),
        None => return response,
    };
    let mut shaped = problem.render(Some(id.text()));
    for (name, value) in response.headers() {
        let is_about_the_old_body =
            [header::CONTENT_TYPE, header::CONTENT_LENGTH, header::CONTENT_ENCODING, header::ETAG];
        if !is_about_the_old_body.contains(name) && !shaped.headers().contains_key(name) {
            shaped.headers_mut().append(name.clone(), value.clone());
        }
    }
    shaped
}

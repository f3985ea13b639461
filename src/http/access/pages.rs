//! What a browser asks before it lets a page of another origin read an answer (CORS, as the Fetch standard has it).
//!
//! A page may read when some key that holds is bound to its origin, and only operations that a browse key opens. A
//! preflight carries no key, so it is answered before the gate. Absent here: whether the key that comes with the request is
//! bound to that origin, which the gate looks at.

use axum::extract::MatchedPath;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::Method;
use axum::http::StatusCode;
use axum::http::header;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::domain::access::Origin;
use crate::operations::App;

use super::needs::Needs;

/// Fields that a page may send.
const SENDABLE: &str = "accept, authorization, content-type, if-none-match, x-request-id";
/// Fields of an answer that a page may read.
const READABLE: &str =
    "etag, ratelimit, ratelimit-policy, retry-after, www-authenticate, x-request-id";
/// Seconds for which a browser need not ask again.
const ASK_AGAIN_S: &str = "600";

/// What the answers to browsers go by.
#[derive(Debug, Clone)]
pub struct Pages {
    /// The keys and the clock.
    pub app: App,
    /// What each operation needs.
    pub needs: Needs,
}

/// Answers preflights, and marks answers that a page may read.
pub async fn answer(State(pages): State<Pages>, request: Request, next: Next) -> Response {
    let stated = request.headers().get(header::ORIGIN).cloned();
    let welcome = stated.filter(|origin| pages.is_welcome(origin));
    let preflight = welcome.as_ref().and_then(|_| pages.preflight(&request));
    let mut response = match preflight {
        Some(answer) => answer,
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    headers.append(header::VARY, HeaderValue::from_static("origin"));
    if let Some(origin) = welcome {
        headers.insert(header::ACCESS_CONTROL_ALLOW_ORIGIN, origin);
        headers.insert(header::ACCESS_CONTROL_EXPOSE_HEADERS, HeaderValue::from_static(READABLE));
    }
    response
}

impl Pages {
    fn is_welcome(&self, origin: &HeaderValue) -> bool {
        let origin = origin.to_str().ok().and_then(Origin::parse);
        let access = self.app.access();
        origin
            .zip(access)
            .is_some_and(|(origin, access)| access.is_origin_welcome(&origin, self.app.now()))
    }

    /// The answer to a preflight of an operation that is open to pages.
    fn preflight(&self, request: &Request) -> Option<Response> {
        let wanted = request.headers().get(header::ACCESS_CONTROL_REQUEST_METHOD)?;
        let path = request.extensions().get::<MatchedPath>()?.as_str();
        let mut methods = self.needs.methods_for_pages(path);
        if request.method() != Method::OPTIONS || methods.is_empty() {
            return None;
        }
        if methods.contains(&"GET") {
            methods.push("HEAD");
        }
        let is_open = methods.iter().any(|method| method.as_bytes() == wanted.as_bytes());
        is_open.then(|| allow(&methods.join(", ")))
    }
}

fn allow(methods: &str) -> Response {
    let mut headers = HeaderMap::new();
    if let Ok(methods) = HeaderValue::from_str(methods) {
        headers.insert(header::ACCESS_CONTROL_ALLOW_METHODS, methods);
    }
    headers.insert(header::ACCESS_CONTROL_ALLOW_HEADERS, HeaderValue::from_static(SENDABLE));
    headers.insert(header::ACCESS_CONTROL_MAX_AGE, HeaderValue::from_static(ASK_AGAIN_S));
    (StatusCode::NO_CONTENT, headers).into_response()
}

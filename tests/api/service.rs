//! The service with the tests' own routes beside the real ones, asked in process.

use axum::Router;
use axum::body::Body;
use axum::body::to_bytes;
use axum::http::HeaderMap;
use axum::http::Request;
use axum::http::StatusCode;
use axum::http::header;
use axum::http::request::Builder;
use rungwright::http::access::Need;
use rungwright::http::access::client::Client;
use rungwright::http::access::needing;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use std::fmt::Write;
use tower::ServiceExt;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::conformity;
use crate::keyring;
use crate::sample;

/// The real routes and the tests' own, which need no key.
pub(crate) fn registry() -> OpenApiRouter<App> {
    let samples = OpenApiRouter::new()
        .routes(routes!(sample::post_sample))
        .routes(routes!(sample::get_sample))
        .routes(routes!(sample::get_panic))
        .routes(routes!(sample::get_slow))
        .routes(routes!(sample::get_picture));
    routes::registry().merge(needing(Need::Nothing, samples))
}

/// A ready service.
pub(crate) fn service() -> Router {
    let app = App::default();
    keyring::open(&app);
    app.advance(Readiness::Ready);
    routes::assemble(registry(), app, &Limits::default())
}

/// An answer, read to its end.
#[derive(Debug)]
pub(crate) struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: String,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map(|value| value.to_str().unwrap()).unwrap_or_default()
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).unwrap()
    }

    /// Status, the headers a client acts on, and the body, as one text.
    pub(crate) fn told(&self) -> String {
        let mut text = format!("{}\n", self.status);
        for name in ["content-type", "allow", "retry-after", "x-request-id"] {
            if self.headers.contains_key(name) {
                writeln!(text, "{name}: {}", self.header(name)).unwrap();
            }
        }
        let body = serde_json::from_str::<serde_json::Value>(&self.body);
        let body = body.map(|json| serde_json::to_string_pretty(&json).unwrap());
        text.push_str(body.as_ref().unwrap_or(&self.body));
        text
    }
}

/// Asks a service from this machine with the tests' own key; every request names itself `test`.
pub(crate) async fn ask_of(service: Router, request: Builder, body: Body) -> Answer {
    let request = request.extension(Client::THIS_MACHINE);
    let request = request.header(header::AUTHORIZATION, keyring::bearer());
    ask_as_it_is(service, request, body).await
}

/// Asks a service as the request stands, without any key of ours.
pub(crate) async fn ask_as_it_is(service: Router, request: Builder, body: Body) -> Answer {
    let request = request.header("x-request-id", "test").body(body).unwrap();
    let (method, uri) = (request.method().to_string(), request.uri().to_string());
    let response = service.oneshot(request).await.unwrap();
    let (parts, stream) = response.into_parts();
    let bytes = to_bytes(stream, usize::MAX).await.unwrap();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let answer = Answer { status: parts.status, headers: parts.headers, body: text };
    conformity::check(&method, &uri, &answer);
    answer
}

pub(crate) async fn get(path: &str) -> Answer {
    ask_of(service(), Request::get(path), Body::empty()).await
}

/// Posts a JSON body to the sample route.
pub(crate) async fn post<B: Into<Body>>(body: B) -> Answer {
    let request = Request::post("/samples").header(header::CONTENT_TYPE, "application/json");
    ask_of(service(), request, body.into()).await
}

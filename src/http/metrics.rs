//! Figures of the running service for Prometheus.
//!
//! Labels are methods, route templates and statuses, all of which are few and none of which a caller can make up.
//! Absent here: what the log says of single requests.

use axum::Extension;
use axum::extract::State;
use axum::http::Method;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use prometheus_client::encoding::EncodeLabelSet;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::Registry;
use prometheus_client::registry::Unit;
use std::sync::Arc;
use std::time::Duration;

use crate::http::Problem;
use crate::http::query::NoQuery;
use crate::operations::App;

/// The figures. Cloning is cheap and shares them.
#[derive(Debug, Clone)]
pub struct Metrics {
    requests: Family<Answered, Counter>,
    durations: Family<Asked, Histogram, MakeHistogram>,
    in_flight: Gauge,
    edition: Gauge,
    registry: Arc<Registry>,
}

type MakeHistogram = fn() -> Histogram;

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Answered {
    method: &'static str,
    route: String,
    status: u16,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Asked {
    method: &'static str,
    route: String,
}

/// A request under way; it is over when this is dropped, also when the client left.
#[derive(Debug)]
pub struct UnderWay(Gauge);

/// Upper ends of the classes of durations, in seconds: from a look-up to the time limit of a request.
const DURATIONS_S: [f64; 12] =
    [0.000_5, 0.001, 0.002_5, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 2.5, 10.0];

/// The text format of `OpenMetrics` 1.0, which Prometheus reads.
const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

impl Default for Metrics {
    fn default() -> Self {
        let (requests, in_flight, edition) =
            (Family::default(), Gauge::default(), Gauge::default());
        let make: MakeHistogram = || Histogram::new(DURATIONS_S);
        let durations = Family::new_with_constructor(make);
        let mut registry = Registry::with_prefix("rungwright");
        registry.register("requests", "Requests answered", requests.clone());
        let text = "Time from a request's head to its answer's head";
        registry.register_with_unit("request_duration", text, Unit::Seconds, durations.clone());
        registry.register("requests_in_flight", "Requests being answered", in_flight.clone());
        registry.register(
            "edition",
            "Number of the edition in force, 0 before there is one",
            edition.clone(),
        );
        Self { requests, durations, in_flight, edition, registry: Arc::new(registry) }
    }
}

impl Metrics {
    /// Notes that a request has begun.
    pub fn begin(&self) -> UnderWay {
        self.in_flight.inc();
        UnderWay(self.in_flight.clone())
    }

    /// Notes an answer.
    pub fn note(&self, (method, route): (&Method, &str), status: StatusCode, time: Duration) {
        let (method, route) = (named(method), route.to_owned());
        let status = status.as_u16();
        self.durations
            .get_or_create(&Asked { method, route: route.clone() })
            .observe(time.as_secs_f64());
        self.requests.get_or_create(&Answered { method, route, status }).inc();
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        self.0.dec();
    }
}

/// The method, or one name for all that nobody needs: a caller can make up methods.
fn named(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    }
}

/// Figures of the running service, in the text format that Prometheus reads.
///
/// Requests by method, route and status; their durations; requests in flight; the edition in force.
#[utoipa::path(
    get,
    path = "/metrics",
    tag = "operations",
    responses((status = 200, description = "The figures", body = String, content_type = "application/openmetrics-text"))
)]
pub async fn get_metrics(
    _: NoQuery,
    State(app): State<App>,
    Extension(metrics): Extension<Metrics>,
) -> Result<Response, Problem> {
    let edition = app.snapshot().map_or(0, |snapshot| snapshot.catalogue().edition().number());
    metrics.edition.set(edition.into());
    let mut text = String::new();
    encode(&mut text, &metrics.registry)
        .map_err(|error| Problem::internal("writing the figures", &error))?;
    Ok(([(header::CONTENT_TYPE, MEDIA_TYPE), (header::CACHE_CONTROL, "no-store")], text)
        .into_response())
}

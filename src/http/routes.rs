//! The one registry of routes: what is served is described, what is described is served.
//!
//! A new route is added to [`registry`] and nowhere else, in a group that states what its callers need: a route that states
//! nothing is closed to everybody. `/docs`, a page for people, is the one thing served without
//! being described. Absent here: what the routes do.

use axum::Extension;
use axum::Router;
use axum::http::HeaderValue;
use axum::http::header;
use axum::middleware::from_fn_with_state;
use axum::middleware::map_response;
use axum::response::Response;
use utoipa::openapi::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use utoipa_swagger_ui::Config;
use utoipa_swagger_ui::SwaggerUi;

use crate::domain::access::Scope;
use crate::http::access::Need;
use crate::http::access::gate;
use crate::http::access::gate::Gate;
use crate::http::access::needing;
use crate::http::access::needs::Needs;
use crate::http::access::pages::Pages;
use crate::http::audit;
use crate::http::checks;
use crate::http::choices;
use crate::http::description;
use crate::http::description::Published;
use crate::http::editions;
use crate::http::electrical_supplies;
use crate::http::fills;
use crate::http::health;
use crate::http::heat_outputs;
use crate::http::heat_requirements;
use crate::http::keys;
use crate::http::limits::Limits;
use crate::http::metrics;
use crate::http::metrics::Metrics;
use crate::http::negotiation;
use crate::http::negotiation::Offers;
use crate::http::parts;
use crate::http::parts::fitting;
use crate::http::placements;
use crate::http::positions;
use crate::http::problems;
use crate::http::quotes;
use crate::http::resolutions;
use crate::http::rule_trials;
use crate::http::sources;
use crate::http::stack;
use crate::operations::App;

/// Every route of the service.
pub fn registry() -> OpenApiRouter<App> {
    OpenApiRouter::with_openapi(description::head())
        .merge(needing(Need::Nothing, operation_routes()))
        .merge(needing(Need::Key(Scope::Browse), part_routes()))
        .merge(needing(Need::Key(Scope::Browse), answer_routes()))
        .merge(needing(Need::Key(Scope::Browse), physics_routes()))
        .merge(needing(Need::Key(Scope::Quote), quotes::routes()))
        .merge(needing(Need::Key(Scope::Catalogue), editions::routes()))
        .merge(needing(Need::Key(Scope::Catalogue), keeper_routes()))
        .merge(needing(Need::Key(Scope::Browse), place_routes()))
        .merge(needing(Need::Key(Scope::Operate), operator_routes()))
}

fn operator_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .merge(keys::routes())
        .routes(routes!(audit::get_audit))
        .routes(routes!(metrics::get_metrics))
}

fn operation_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(health::get_live))
        .routes(routes!(health::get_ready))
        .routes(routes!(description::get_description))
        .routes(routes!(problems::get_problem_code))
}

fn part_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(parts::get_bodies))
        .routes(routes!(parts::get_body))
        .routes(routes!(fitting::get_elements_of_body))
        .routes(routes!(fitting::get_accessories_of_body))
        .routes(routes!(parts::get_elements))
        .routes(routes!(parts::get_element))
        .routes(routes!(parts::get_controls))
        .routes(routes!(parts::get_control))
        .routes(routes!(parts::get_accessories))
        .routes(routes!(parts::get_accessory))
}

fn answer_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(checks::post_checks))
        .routes(routes!(resolutions::post_resolution))
        .routes(routes!(choices::post_choices))
}

fn place_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(placements::post_placements))
        .routes(routes!(positions::post_positions))
        .routes(routes!(electrical_supplies::post_supply))
        .routes(routes!(sources::get_sources))
}

fn keeper_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(rule_trials::post_trial))
}

fn physics_routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(heat_requirements::post_heat_requirement))
        .routes(routes!(heat_outputs::post_heat_output))
        .routes(routes!(fills::post_fill))
}

/// The whole service, ready to be served.
pub fn router(app: App) -> Router {
    assemble(registry(), app, &Limits::default())
}

/// The published description, also the output of the `openapi` subcommand.
pub fn description() -> OpenApi {
    description::complete(registry().into_openapi())
}

/// Some routes with the description, the pages, the fallbacks and all layers around them.
pub fn assemble(routes: OpenApiRouter<App>, app: App, limits: &Limits) -> Router {
    let (described, openapi) = routes.split_for_parts();
    let completed = description::complete(openapi);
    let offers = Offers::read(&completed);
    let needs = Needs::read(&completed);
    let gate = Gate::new(app.clone(), needs.clone(), limits.keyless_per_minute);
    let (metrics, browsers) = (Metrics::default(), Pages { app: app.clone(), needs });
    let answering = described
        .layer(Extension(Published::new(&completed)))
        .layer(Extension(metrics.clone()))
        .layer(from_fn_with_state(offers, negotiation::check))
        .layer(from_fn_with_state(gate, gate::check))
        .merge(pages())
        .fallback(stack::no_such_route)
        .method_not_allowed_fallback(stack::method_not_allowed)
        .with_state(app);
    stack::wrap(answering, limits, (metrics, browsers))
}

/// The page that shows the description, from files inside the binary.
fn pages() -> Router<App> {
    // Without "none" the page would ask a validator on the internet for its opinion.
    let config = Config::new(["/openapi.json"]).validator_url("none");
    Router::from(SwaggerUi::new("/docs").config(config)).layer(map_response(fence_page))
}

/// What a page may load: what this service sends, nothing else. The page's own styles are inline.
const CONTENT_SECURITY_POLICY: &str = "default-src 'self'; img-src 'self' data:; \
     style-src 'self' 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

async fn fence_page(mut response: Response) -> Response {
    let headers = response.headers_mut();
    headers
        .insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(CONTENT_SECURITY_POLICY));
    headers.insert(header::X_FRAME_OPTIONS, HeaderValue::from_static("DENY"));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

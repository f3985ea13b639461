//! Wire types and routes that only the tests know, with every kind of field a request can have.

use axum::extract::Path;
use rungwright::http::Json;
use rungwright::http::Query;
use rungwright::http::schema;
use serde::Deserialize;
use serde::Serialize;
use std::time::Duration;
use tokio::time::sleep;
use utoipa::ToSchema;

/// A request with nested objects, lists, words, bounded numbers and alternatives.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewSample {
    /// A market.
    #[schema(pattern = "^[a-z]{2}$")]
    pub market: String,
    /// A room.
    pub room: SampleRoom,
    /// A bounded number that may be left out.
    #[schema(schema_with = schema::optional::heat_requirement_w)]
    pub heat_requirement_w: Option<f64>,
    /// A nullable object.
    pub place: Option<SamplePlace>,
    /// A list with a limit.
    #[serde(default)]
    #[schema(max_items = 3)]
    pub accessories: Vec<SampleAccessory>,
    /// A text with a limit.
    #[serde(default)]
    #[schema(max_length = 5)]
    pub note: String,
    /// Yes or no.
    #[serde(default)]
    pub time_control: bool,
}

/// A room.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SampleRoom {
    #[schema(schema_with = schema::room_length_mm)]
    pub length_mm: i32,
    #[schema(schema_with = schema::room_width_mm)]
    pub width_mm: i32,
    pub boundaries: Vec<SampleBoundary>,
}

/// A place.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SamplePlace {
    #[schema(schema_with = schema::wall_width_mm)]
    pub wall_width_mm: i32,
}

/// An accessory.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum SampleAccessory {
    PlugCover,
    Hook,
}

/// A tagged choice.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub(crate) enum SampleBoundary {
    /// A window.
    #[schema(title = "Window")]
    Window {
        #[schema(schema_with = schema::boundary_area_m2)]
        area_m2: f64,
    },
    /// An internal wall.
    #[schema(title = "InternalWall")]
    InternalWall {
        #[schema(schema_with = schema::boundary_area_m2)]
        area_m2: f64,
        #[schema(schema_with = schema::beyond_c)]
        beyond_c: f64,
    },
}

/// A request that is right.
pub(crate) const RIGHT: &str = r#"{"market":"gb",
    "room":{"length_mm":2600.0,"width_mm":1900,"boundaries":[{"kind":"window","area_m2":0.8}]},
    "place":null,"accessories":["hook"]}"#;

/// Reads a sample and gives it back.
#[utoipa::path(post, path = "/samples", request_body = NewSample,
    responses((status = 200, description = "The same again", body = NewSample)))]
pub(crate) async fn post_sample(Json(sample): Json<NewSample>) -> Json<NewSample> {
    Json(sample)
}

/// Filters of a list.
#[derive(Debug, Deserialize, Serialize, ToSchema, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct SampleFilters {
    /// Page size.
    #[param(minimum = 1, maximum = 200)]
    pub limit: Option<u32>,
    /// A finish.
    #[param(pattern = "^[a-z-]+$")]
    pub finish: String,
    /// A switch.
    pub lockable: Option<bool>,
    /// Kinds.
    #[serde(default)]
    #[param(inline)]
    pub kind: Vec<SampleAccessory>,
}

/// Gives the filters back.
#[utoipa::path(get, path = "/samples/{id}", params(("id" = u32, Path, description = "An id"), SampleFilters),
    responses((status = 200, description = "The filters", body = SampleFilters)))]
pub(crate) async fn get_sample(
    Path(_id): Path<u32>,
    Query(filters): Query<SampleFilters>,
) -> Json<SampleFilters> {
    Json(filters)
}

/// Fails loudly.
#[utoipa::path(get, path = "/panics", responses((status = 204, description = "Never")))]
pub(crate) async fn get_panic() {
    panic!("a secret of the inside");
}

/// Takes half a second.
#[utoipa::path(get, path = "/slow", responses((status = 200, description = "At last", body = String, content_type = "text/plain")))]
pub(crate) async fn get_slow() -> &'static str {
    sleep(Duration::from_millis(500)).await;
    "at last"
}

/// A picture.
#[utoipa::path(get, path = "/picture", responses((status = 200, description = "A picture", body = String, content_type = "image/svg+xml")))]
pub(crate) async fn get_picture() -> &'static str {
    "<svg/>"
}

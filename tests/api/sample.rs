//! A wire type and a route that only the tests know, with every kind of field a request can have.

use rungwright::http::schema;
use serde::Deserialize;
use serde::Serialize;
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

//! Schemas of points, rectangles and outlines: lists of a fixed number of bounded figures.

use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Array;
use utoipa::openapi::schema::ArrayBuilder;
use utoipa::openapi::schema::Object;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::Schema;
use utoipa::openapi::schema::SchemaType;
use utoipa::openapi::schema::Type;

use crate::domain::zones::scene::PartitionKind;
use crate::domain::zones::validity::CORNERS_MAX;
use crate::domain::zones::validity::CORNERS_MIN;
use crate::http::schema;

fn figures(count: usize, kinds: SchemaType) -> Array {
    ArrayBuilder::new()
        .schema_type(kinds)
        .items(RefOr::T(Schema::Object(schema::plan_coordinate_mm())))
        .min_items(Some(count))
        .max_items(Some(count))
        .build()
}

fn or_null(kind: Type) -> SchemaType {
    SchemaType::Array(vec![kind, Type::Null])
}

/// `[x, y]`.
pub(in crate::http) fn plan_point_mm() -> Array {
    figures(2, SchemaType::Type(Type::Array))
}

/// `[x, y, z]`, or nothing.
pub(in crate::http) fn optional_space_point_mm() -> Array {
    figures(3, or_null(Type::Array))
}

/// `[x0, y0, x1, y1]`, or nothing.
pub(super) fn optional_rect_mm() -> Array {
    figures(4, or_null(Type::Array))
}

/// Corners of a room, or nothing.
pub(super) fn optional_corners_mm() -> Array {
    ArrayBuilder::new()
        .schema_type(or_null(Type::Array))
        .items(RefOr::T(Schema::Array(plan_point_mm())))
        .min_items(Some(CORNERS_MIN))
        .max_items(Some(CORNERS_MAX))
        .build()
}

/// The words for a partition, as we write them and as drawings spell them with a space.
pub(super) fn partition_kind() -> Object {
    let codes = PartitionKind::ALL.map(|kind| kind.code().to_owned());
    let spaced = codes.iter().filter(|code| code.contains('_')).map(|code| code.replace('_', " "));
    let words: Vec<String> = codes.iter().cloned().chain(spaced).collect();
    ObjectBuilder::new().schema_type(Type::String).enum_values(Some(words)).build()
}

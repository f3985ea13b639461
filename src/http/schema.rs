//! Schemas of numeric fields that quote the rows of `domain::units`.
//!
//! One function a row, named like the row in lower case: `#[schema(schema_with = schema::room_length_mm)]`, and the
//! same under [`optional`] for a field that may be null. Title, unit and bounds come from the row, so the published
//! description, the check and the refusal's sentence cannot differ. Absent here: schemas of whole objects.

use utoipa::openapi::extensions::ExtensionsBuilder;
use utoipa::openapi::schema::Object;
use utoipa::openapi::schema::ObjectBuilder;
use utoipa::openapi::schema::SchemaType;
use utoipa::openapi::schema::Type;

use crate::domain::units;
use crate::domain::units::Bounds;

/// Extension keyword that holds the unit's symbol.
pub const UNIT_EXTENSION: &str = "x-unit";

/// The schema of a field bounded by a row.
pub fn bounded<K: Into<SchemaType>>(bounds: &Bounds, kind: K) -> Object {
    let builder = ObjectBuilder::new()
        .schema_type(kind)
        .title(Some(bounds.phrase))
        .minimum(Some(bounds.minimum))
        .maximum(Some(bounds.maximum));
    if bounds.unit.is_empty() {
        return builder.build();
    }
    let unit = ExtensionsBuilder::new().add(UNIT_EXTENSION, bounds.unit).build();
    builder.extensions(Some(unit)).build()
}

macro_rules! rows {
    ($($function:ident $row:ident $kind:ident;)+) => {
        $(
            #[doc = concat!("Schema of a field bounded by `units::", stringify!($row), "`.")]
            pub fn $function() -> Object {
                bounded(&units::$row, Type::$kind)
            }
        )+

        /// The same for fields that may be null or left out.
        pub mod optional {
            use utoipa::openapi::schema::Object;
            use utoipa::openapi::schema::SchemaType;
            use utoipa::openapi::schema::Type;

            use crate::domain::units;

            $(
                #[doc = concat!("Schema of a nullable field bounded by `units::", stringify!($row), "`.")]
                pub fn $function() -> Object {
                    let kind = SchemaType::Array(vec![Type::$kind, Type::Null]);
                    super::bounded(&units::$row, kind)
                }
            )+
        }

        /// Name of each row with a schema function.
        #[cfg(test)]
        const ROWS: &[&str] = &[$(stringify!($row)),+];
    };
}

rows! {
    room_length_mm ROOM_LENGTH_MM Integer;
    room_width_mm ROOM_WIDTH_MM Integer;
    room_height_mm ROOM_HEIGHT_MM Integer;
    indoor_c INDOOR_C Number;
    outdoor_c OUTDOOR_C Number;
    air_changes AIR_CHANGES Number;
    boundary_area_m2 BOUNDARY_AREA_M2 Number;
    boundary_u BOUNDARY_U Number;
    beyond_c BEYOND_C Number;
    annual_mean_c ANNUAL_MEAN_C Number;
    unheated_factor UNHEATED_FACTOR Number;
    layer_thickness_mm LAYER_THICKNESS_MM Number;
    layer_conductivity LAYER_CONDUCTIVITY Number;
    layer_resistance LAYER_RESISTANCE Number;
    bridge_share BRIDGE_SHARE Number;
    bridge_added_u BRIDGE_ADDED_U Number;
    bridge_psi BRIDGE_PSI Number;
    bridge_length_m BRIDGE_LENGTH_M Number;
    extract_l_s EXTRACT_L_S Number;
    heat_recovery HEAT_RECOVERY Number;
    air_heat AIR_HEAT Number;
    reheat_w_m2 REHEAT_W_M2 Number;
    heat_requirement_w HEAT_REQUIREMENT_W Number;
    wall_width_mm WALL_WIDTH_MM Integer;
    wall_bottom_mm WALL_BOTTOM_MM Integer;
    wall_height_mm WALL_HEIGHT_MM Integer;
    connection_distance_mm CONNECTION_DISTANCE_MM Integer;
    body_width_mm BODY_WIDTH_MM Integer;
    body_height_mm BODY_HEIGHT_MM Integer;
    body_depth_mm BODY_DEPTH_MM Integer;
    rated_output_w RATED_OUTPUT_W Number;
    exponent EXPONENT Number;
    element_w ELEMENT_W Number;
    room_c ROOM_C Number;
    heat_capacity_j_k HEAT_CAPACITY_J_K Number;
    start_c START_C Number;
    price_per_kwh PRICE_PER_KWH Number;
    dry_mass_g DRY_MASS_G Integer;
    fluid_volume_ml FLUID_VOLUME_ML Integer;
    permitted_gauge_kpa PERMITTED_GAUGE_KPA Number;
    permitted_gauge_bar PERMITTED_GAUGE_BAR Number;
    body_volume_l BODY_VOLUME_L Number;
    element_displacement_l ELEMENT_DISPLACEMENT_L Number;
    headspace_fraction HEADSPACE_FRACTION Number;
    fill_l FILL_L Number;
    fill_c FILL_C Number;
    hot_c HOT_C Number;
    inhibitor_ml_l INHIBITOR_ML_L Number;
    concentrate_kg_l CONCENTRATE_KG_L Number;
    immersed_length_mm IMMERSED_LENGTH_MM Integer;
    element_watts ELEMENT_WATTS Integer;
    set_point_c SET_POINT_C Number;
    fluid_limit_c FLUID_LIMIT_C Number;
    flex_length_mm FLEX_LENGTH_MM Integer;
    head_length_mm HEAD_LENGTH_MM Integer;
    control_load_w CONTROL_LOAD_W Integer;
    lead_days LEAD_DAYS Integer;
    unit_price_e4 UNIT_PRICE_E4 Integer;
    tax_rate_bp TAX_RATE_BP Integer;
    heat_share_percent HEAT_SHARE_PERCENT Number;
    towels_factor TOWELS_FACTOR Number;
    lowest_tube_mm LOWEST_TUBE_MM Integer;
    open_port_count OPEN_PORT_COUNT Integer;
    bore_mm BORE_MM Integer;
    bracket_count BRACKET_COUNT Integer;
    sheath_diameter_mm SHEATH_DIAMETER_MM Number;
    displacement_ml DISPLACEMENT_ML Integer;
    flex_mm2 FLEX_MM2 Number;
    fuse_a_max FUSE_A_MAX Integer;
    cover_length_mm COVER_LENGTH_MM Integer;
    dose_ml_per_litre DOSE_ML_PER_LITRE Integer;
    pack_ml PACK_ML Integer;
    included_quantity INCLUDED_QUANTITY Integer;
    plan_coordinate_mm PLAN_COORDINATE_MM Integer;
    plan_height_mm PLAN_HEIGHT_MM Integer;
    wall_offset_mm WALL_OFFSET_MM Integer;
    basin_litres BASIN_LITRES Number;
    cable_length_mm CABLE_LENGTH_MM Integer;
    device_a DEVICE_A Integer;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_has_its_schema() {
        let rows = units::QUANTITIES.iter().map(|(name, _)| *name);
        assert_eq!(rows.collect::<Vec<_>>(), ROWS);
    }

    #[test]
    fn the_schema_quotes_the_row() {
        let schema = serde_json::to_string(&room_width_mm()).unwrap();
        insta::assert_snapshot!(schema, @r#"{"type":"integer","title":"width of the room","maximum":20000,"minimum":300,"x-unit":"mm"}"#);
        let nullable = serde_json::to_value(optional::indoor_c()).unwrap();
        assert_eq!(nullable["type"], serde_json::json!(["number", "null"]));
    }
}

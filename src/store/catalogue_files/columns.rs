//! The columns of every file: name, what may stand there, and whether something must.
//!
//! Parts' columns are named as the attributes that rules name; a column may be left out of a file only if every cell
//! of it may be empty.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Attachment;
use crate::domain::catalogue::Connection;
use crate::domain::catalogue::HeatSource;
use crate::domain::catalogue::Mates;
use crate::domain::catalogue::Relation;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::SellerLineKind;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Side;
use crate::domain::catalogue::Stock;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::TaxRounding;
use crate::domain::catalogue::Tier;
use crate::domain::catalogue::ValueType;
use crate::domain::units;

use super::cell::CellType;

/// One column of a file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// Its name in the header line.
    pub name: &'static str,
    /// What may stand in its cells.
    pub cell: CellType,
    /// Whether every row must state it.
    pub is_required: bool,
}

/// A file that holds no parts.
#[derive(Debug, Clone, Copy)]
pub(super) struct PlainFile {
    /// Its name.
    pub name: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// The columns whose values together tell the rows apart.
    pub key: &'static [&'static str],
}

impl PlainFile {
    /// Every file that holds no parts.
    pub(super) const ALL: [&'static Self; 15] = [
        &ATTRIBUTES,
        &FINISHES,
        &INCLUDED,
        &LISTED_PAIRS,
        &THREAD_MATINGS,
        &RULES,
        &MARKETS,
        &PRICE_LISTS,
        &PRICES,
        &PRICE_LIST_TERMS,
        &QUANTITY_BREAKS,
        &TAX_ROWS,
        &DELIVERY_CHARGES,
        &MARKET_TERMS,
        &SELLER_LINES,
    ];
}

/// The columns whose values together tell the rows of a file apart.
pub(super) fn key_columns(file: &str) -> &'static [&'static str] {
    PlainFile::ALL.into_iter().find(|plain| plain.name == file).map_or(&["sku"], |plain| plain.key)
}

macro_rules! plain_file {
    ($constant:ident $name:literal $key:expr, [$($column:expr),+ $(,)?]) => {
        pub(super) static $constant: PlainFile =
            PlainFile { name: $name, columns: &[$($column),+], key: $key };
    };
}

const fn must(name: &'static str, cell: CellType) -> Column {
    Column { name, cell, is_required: true }
}

const fn may(name: &'static str, cell: CellType) -> Column {
    Column { name, cell, is_required: false }
}

/// What every part carries.
pub(super) static CARD: &[Column] = &[
    must("sku", CellType::Sku),
    must("name", CellType::Text),
    may("gtin", CellType::Gtin),
    must("stock", CellType::OneOf(|| Stock::ALL.map(Stock::word).to_vec())),
    must("lead_days", CellType::Whole(&units::LEAD_DAYS)),
    must("evidence", CellType::Evidence),
];

pub(super) static BODIES: &[Column] = &[
    must("finish", CellType::Code),
    must("tube", CellType::Code),
    must("heat_source", CellType::OneOf(|| HeatSource::ALL.map(HeatSource::word).to_vec())),
    must("width_mm", CellType::Whole(&units::BODY_WIDTH_MM)),
    must("height_mm", CellType::Whole(&units::BODY_HEIGHT_MM)),
    must("depth_mm", CellType::Whole(&units::BODY_DEPTH_MM)),
    must("lowest_tube_mm", CellType::Whole(&units::LOWEST_TUBE_MM)),
    must("rated_output_w", CellType::Decimal(&units::RATED_OUTPUT_W)),
    must("exponent", CellType::Decimal(&units::EXPONENT)),
    must("watts_min", CellType::Decimal(&units::ELEMENT_WATTS)),
    must("watts_max", CellType::Decimal(&units::ELEMENT_WATTS)),
    must("fluid_limit_c", CellType::Decimal(&units::FLUID_LIMIT_C)),
    must("fluid_volume_ml", CellType::Whole(&units::FLUID_VOLUME_ML)),
    must("dry_mass_g", CellType::Whole(&units::DRY_MASS_G)),
    may("permitted_gauge_kpa", CellType::Decimal(&units::PERMITTED_GAUGE_KPA)),
    must("filled", CellType::Flag),
    must("thread", CellType::Thread),
    must("open_port_count", CellType::Whole(&units::OPEN_PORT_COUNT)),
    must("element_side", CellType::OneOf(|| Side::ALL.map(Side::word).to_vec())),
    must("immersed_length_mm_max", CellType::Whole(&units::IMMERSED_LENGTH_MM)),
    must("bore_mm", CellType::Whole(&units::BORE_MM)),
    must("bracket_count", CellType::Whole(&units::BRACKET_COUNT)),
    must("guarded", CellType::Flag),
];

pub(super) static ELEMENTS: &[Column] = &[
    must("finish", CellType::Code),
    must("head", CellType::Code),
    must("watts", CellType::Decimal(&units::ELEMENT_WATTS)),
    must("regulation", CellType::OneOf(|| vec!["fixed", "adjustable"])),
    may("set_point_c_min", CellType::Decimal(&units::SET_POINT_C)),
    may("set_point_c_max", CellType::Decimal(&units::SET_POINT_C)),
    may("set_point_max_c_lockable", CellType::Decimal(&units::SET_POINT_C)),
    must("thread", CellType::Thread),
    must("immersed_length_mm", CellType::Whole(&units::IMMERSED_LENGTH_MM)),
    must("sheath_diameter_mm", CellType::Decimal(&units::SHEATH_DIAMETER_MM)),
    must("head_length_mm", CellType::Whole(&units::HEAD_LENGTH_MM)),
    must("displacement_ml", CellType::Whole(&units::DISPLACEMENT_ML)),
    must("flex_length_mm", CellType::Whole(&units::FLEX_LENGTH_MM)),
    must("flex_mm2", CellType::Decimal(&units::FLEX_MM2)),
    must("attachment", CellType::OneOf(|| Attachment::ALL.map(Attachment::word).to_vec())),
    must("plug", CellType::Flag),
    may("ip", CellType::Ip),
    may("class", CellType::Class),
    may("declared_zones", CellType::SetOf(|| vec!["1", "2"])),
    must("thermal_cut_out", CellType::Stated),
    must("fluid_limit_c", CellType::Decimal(&units::FLUID_LIMIT_C)),
    must("control_code", CellType::ControlCode),
    must("timed_drying", CellType::Flag),
    must("resumes_after_power_cut", CellType::Stated),
];

pub(super) static CONTROLS: &[Column] = &[
    must("finish", CellType::Code),
    must("roles", CellType::SetOf(|| Role::ALL.map(Role::word).to_vec())),
    must("load_w_max", CellType::Decimal(&units::CONTROL_LOAD_W)),
    may("fuse_a_max", CellType::Whole(&units::FUSE_A_MAX)),
    must("control_code", CellType::ControlCode),
    must("lockable", CellType::Flag),
    may("ip", CellType::Ip),
    may("class", CellType::Class),
];

pub(super) static ACCESSORIES: &[Column] = &[
    must("kind", CellType::OneOf(|| AccessoryKind::ALL.map(AccessoryKind::word).to_vec())),
    may("finish", CellType::Code),
    may("tube", CellType::Code),
    may("thread", CellType::Thread),
    may("cover_length_mm", CellType::Whole(&units::COVER_LENGTH_MM)),
    may("dose_ml_per_litre", CellType::Whole(&units::DOSE_ML_PER_LITRE)),
    may("pack_ml", CellType::Whole(&units::PACK_ML)),
];

plain_file!(INCLUDED "included.csv" &["body", "accessory"], [
    must("body", CellType::Sku),
    must("accessory", CellType::Sku),
    must("quantity", CellType::Whole(&units::INCLUDED_QUANTITY)),
]);

plain_file!(ATTRIBUTES "attributes.csv" &["attribute"], [
    must("attribute", CellType::Attribute),
    must("value_type", CellType::OneOf(|| ValueType::ALL.map(ValueType::word).to_vec())),
    may("unit", CellType::Text),
]);

plain_file!(FINISHES "finishes.csv" &["finish"], [must("finish", CellType::Code), must("name", CellType::Text)]);

plain_file!(LISTED_PAIRS "listed_pairs.csv" &["table", "left", "right"], [must("table", CellType::Code), must("left", CellType::Text), must("right", CellType::Text)]);

plain_file!(RULES "rules.csv" &["code"], [
    must("code", CellType::Code),
    must("left", CellType::Attribute),
    must("relation", CellType::OneOf(|| Relation::ALL.map(Relation::word).to_vec())),
    must("right", CellType::Text),
    may("constant", CellType::Text),
    may("table", CellType::Code),
    may("when", CellType::Text),
    must("severity", CellType::OneOf(|| Severity::ALL.map(Severity::word).to_vec())),
    must("sentence", CellType::Text),
    must("source", CellType::Text),
    must("evidence", CellType::Evidence),
]);

plain_file!(THREAD_MATINGS "thread_matings.csv" &["external", "internal"], [
    must("external", CellType::ThreadForm),
    must("internal", CellType::ThreadForm),
    must("mates", CellType::OneOf(|| Mates::ALL.map(Mates::word).to_vec())),
    must("seal", CellType::Text),
    must("source", CellType::Text),
    must("evidence", CellType::Evidence),
]);

plain_file!(MARKETS "markets.csv" &["code"], [
    must("code", CellType::Code),
    must("currency", CellType::Currency),
    must("tax_rate_bp", CellType::Whole(&units::TAX_RATE_BP)),
    must("tax_source", CellType::Text),
    must("tax_evidence", CellType::Evidence),
    must("language", CellType::Text),
    must("wiring_rules", CellType::Code),
    must("connection", CellType::OneOf(|| Connection::ALL.map(Connection::word).to_vec())),
    must("connection_source", CellType::Text),
    must("connection_evidence", CellType::Evidence),
    may("regions", CellType::Codes),
]);

plain_file!(PRICE_LISTS "price_lists.csv" &["code"], [
    must("code", CellType::Code),
    must("market", CellType::Code),
    must("currency", CellType::Currency),
    must("valid_from", CellType::Date),
    may("valid_to", CellType::Date),
]);

plain_file!(PRICES "prices.csv" &["list", "sku"], [
    must("list", CellType::Code),
    must("sku", CellType::Sku),
    must("unit_price", CellType::Price),
]);

plain_file!(PRICE_LIST_TERMS "price_list_terms.csv" &["list"], [
    must("list", CellType::Code),
    must("tier", CellType::OneOf(|| Tier::ALL.map(Tier::word).to_vec())),
    must("includes_tax", CellType::Flag),
]);

plain_file!(QUANTITY_BREAKS "quantity_breaks.csv" &["list", "sku", "quantity_min"], [
    must("list", CellType::Code),
    must("sku", CellType::Sku),
    must("quantity_min", CellType::Text),
    must("unit_price", CellType::Price),
]);

plain_file!(TAX_ROWS "tax_rows.csv" &["market", "category", "begins"], [
    must("market", CellType::Code),
    must("category", CellType::OneOf(|| TaxCategory::ALL.map(TaxCategory::code).to_vec())),
    must("begins", CellType::Text),
    must("tax_rate_bp", CellType::Whole(&units::TAX_RATE_BP)),
    may("ends", CellType::Date),
    must("source", CellType::Text),
    must("evidence", CellType::Evidence),
]);

plain_file!(DELIVERY_CHARGES "delivery_charges.csv" &["market", "band", "mass_g_max", "length_mm_max"], [
    must("market", CellType::Code),
    must("band", CellType::Code),
    must("mass_g_max", CellType::Text),
    must("length_mm_max", CellType::Text),
    must("net", CellType::Text),
]);

plain_file!(MARKET_TERMS "market_terms.csv" &["market"], [
    must("market", CellType::Code),
    must("seller_country", CellType::Text),
    must("time_zone", CellType::Text),
    must("validity_days", CellType::Text),
    must("tax_rounding", CellType::OneOf(|| TaxRounding::ALL.map(TaxRounding::word).to_vec())),
]);

plain_file!(SELLER_LINES "seller_lines.csv" &["market", "kind", "position"], [
    must("market", CellType::Code),
    must("kind", CellType::OneOf(|| SellerLineKind::ALL.map(SellerLineKind::word).to_vec())),
    must("position", CellType::Text),
    must("text", CellType::Text),
]);

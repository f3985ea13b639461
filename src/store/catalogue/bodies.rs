//! Bodies and what lies in their cartons: the rows of `bodies` and `included`.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::BodyContent;
use crate::domain::catalogue::BodyHeat;
use crate::domain::catalogue::BodyPorts;
use crate::domain::catalogue::BodySize;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::HeatSource;
use crate::domain::catalogue::Included;
use crate::domain::catalogue::Side;
use crate::domain::catalogue::Sku;
use crate::domain::thread::Thread;
use crate::domain::units::BODY_DEPTH_MM;
use crate::domain::units::BODY_HEIGHT_MM;
use crate::domain::units::BODY_WIDTH_MM;
use crate::domain::units::Celsius;
use crate::domain::units::DRY_MASS_G;
use crate::domain::units::ELEMENT_WATTS;
use crate::domain::units::EXPONENT;
use crate::domain::units::FLUID_LIMIT_C;
use crate::domain::units::FLUID_VOLUME_ML;
use crate::domain::units::IMMERSED_LENGTH_MM;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;
use crate::domain::units::Millimetres;
use crate::domain::units::PERMITTED_GAUGE_KPA;
use crate::domain::units::RATED_OUTPUT_W;
use crate::domain::units::Watts;
use crate::store::error::StoreError;

use super::cards::Attributes;
use super::cards::read_card;
use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;
use super::rows::position;

type Cartons = BTreeMap<Sku, Vec<Included>>;

/// Rows of `bodies`.
pub(super) fn body_rows(content: &EditionContent) -> Result<Table, StoreError> {
    Ok(Table {
        insert: "INSERT INTO bodies (edition, sku, finish, tube, heat_source, \
                 width_mm, height_mm, depth_mm, lowest_tube_mm, \
                 rated_output_w, exponent, watts_min, watts_max, fluid_limit_c, \
                 fluid_volume_ml, dry_mass_g, permitted_gauge_kpa, filled, \
                 thread, open_port_count, element_side, immersed_length_mm_max, bore_mm, \
                 bracket_count, guarded) ",
        rows: content.bodies.iter().map(body_cells).collect::<Result<_, _>>()?,
    })
}

/// Rows of `included`.
pub(super) fn included_rows(content: &EditionContent) -> Table {
    let mut rows = Vec::new();
    for body in &content.bodies {
        for (index, included) in body.included.iter().enumerate() {
            rows.push(vec![
                body.card.sku.as_str().into(),
                position(index),
                included.sku.as_str().into(),
                included.quantity.into(),
            ]);
        }
    }
    Table { insert: "INSERT INTO included (edition, body_sku, position, sku, quantity) ", rows }
}

/// The bodies of an edition.
pub(super) async fn load_bodies(
    connection: &mut SqliteConnection,
    edition: u32,
    attributes: &mut Attributes,
) -> Result<Vec<Body>, StoreError> {
    let mut cartons = load_cartons(connection, edition).await?;
    let rows = sqlx::query(
        "SELECT name, gtin, stock, lead_days, evidence, bodies.* FROM bodies
         JOIN parts USING (edition, sku) WHERE edition = ? ORDER BY sku",
    )
    .bind(edition)
    .fetch_all(connection)
    .await
    .map_err(StoreError::Read)?;
    let read = |row| read_body(Fields::new("bodies", "sku", row), attributes, &mut cartons);
    rows.iter().map(read).collect()
}

async fn load_cartons(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Cartons, StoreError> {
    let rows = sqlx::query("SELECT * FROM included WHERE edition = ? ORDER BY body_sku, position")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let mut cartons = Cartons::new();
    for row in &rows {
        let fields = Fields::new("included", "body_sku", row);
        let included = Included { sku: fields.sku("sku")?, quantity: fields.number("quantity")? };
        cartons.entry(fields.sku("body_sku")?).or_default().push(included);
    }
    Ok(cartons)
}

fn body_cells(body: &Body) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "bodies", key: body.card.sku.as_str() };
    let Body { size, heat, content, ports, .. } = body;
    let gauge = content.permitted_gauge_kpa;
    Ok(vec![
        body.card.sku.as_str().into(),
        (*body.finish).into(),
        (*body.tube).into(),
        body.heat_source.word().into(),
        row.whole(size.width.value(), &BODY_WIDTH_MM)?,
        row.whole(size.height.value(), &BODY_HEIGHT_MM)?,
        row.whole(size.depth.value(), &BODY_DEPTH_MM)?,
        size.lowest_tube.value().into(),
        row.real(heat.rated_output.value(), &RATED_OUTPUT_W)?,
        row.real(heat.exponent, &EXPONENT)?,
        row.real(heat.watts_min.value(), &ELEMENT_WATTS)?,
        row.real(heat.watts_max.value(), &ELEMENT_WATTS)?,
        row.real(heat.fluid_limit.value(), &FLUID_LIMIT_C)?,
        row.thousandths(content.volume.value(), &FLUID_VOLUME_ML)?,
        row.thousandths(content.dry_mass.value(), &DRY_MASS_G)?,
        gauge.map(|gauge| row.real(gauge, &PERMITTED_GAUGE_KPA)).transpose()?.into(),
        content.is_filled.into(),
        ports.thread.to_string().into(),
        ports.open_count.into(),
        ports.element_side.word().into(),
        row.whole(ports.immersed_length_max.value(), &IMMERSED_LENGTH_MM)?,
        ports.bore.value().into(),
        body.bracket_count.into(),
        body.is_guarded.into(),
    ])
}

fn read_body(
    fields: Fields<'_>,
    attributes: &mut Attributes,
    cartons: &mut Cartons,
) -> Result<Body, StoreError> {
    let card = read_card(fields, attributes)?;
    let included = cartons.remove(&card.sku).unwrap_or_default();
    Ok(Body {
        card,
        finish: fields.text("finish")?,
        tube: fields.text("tube")?,
        heat_source: fields.word("heat_source", HeatSource::parse)?,
        size: BodySize {
            width: Millimetres::new(fields.whole("width_mm", &BODY_WIDTH_MM)?),
            height: Millimetres::new(fields.whole("height_mm", &BODY_HEIGHT_MM)?),
            depth: Millimetres::new(fields.whole("depth_mm", &BODY_DEPTH_MM)?),
            lowest_tube: Millimetres::new(fields.number("lowest_tube_mm")?),
        },
        heat: BodyHeat {
            rated_output: Watts::new(fields.real("rated_output_w", &RATED_OUTPUT_W)?),
            exponent: fields.real("exponent", &EXPONENT)?,
            watts_min: Watts::new(fields.real("watts_min", &ELEMENT_WATTS)?),
            watts_max: Watts::new(fields.real("watts_max", &ELEMENT_WATTS)?),
            fluid_limit: Celsius::new(fields.real("fluid_limit_c", &FLUID_LIMIT_C)?),
        },
        content: read_content(fields)?,
        ports: read_ports(fields)?,
        bracket_count: fields.number("bracket_count")?,
        is_guarded: fields.flag("guarded")?,
        included,
    })
}

fn read_content(fields: Fields<'_>) -> Result<BodyContent, StoreError> {
    let millilitres: i32 = fields.whole("fluid_volume_ml", &FLUID_VOLUME_ML)?;
    let grams: i32 = fields.whole("dry_mass_g", &DRY_MASS_G)?;
    Ok(BodyContent {
        volume: Litres::new(f64::from(millilitres) / 1_000.0),
        dry_mass: Kilograms::new(f64::from(grams) / 1_000.0),
        permitted_gauge_kpa: fields.real_if_any("permitted_gauge_kpa", &PERMITTED_GAUGE_KPA)?,
        is_filled: fields.flag("filled")?,
    })
}

fn read_ports(fields: Fields<'_>) -> Result<BodyPorts, StoreError> {
    let immersed = fields.whole("immersed_length_mm_max", &IMMERSED_LENGTH_MM)?;
    Ok(BodyPorts {
        thread: fields.word("thread", |text| Thread::parse(text).ok())?,
        open_count: fields.number("open_port_count")?,
        element_side: fields.word("element_side", Side::parse)?,
        immersed_length_max: Millimetres::new(immersed),
        bore: Millimetres::new(fields.number("bore_mm")?),
    })
}

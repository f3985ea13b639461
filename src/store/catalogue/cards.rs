//! What every part carries: the rows of `parts` and `part_attributes`.
//!
//! Absent here: the typed columns of each kind.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::catalogue::Card;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Stock;
use crate::domain::catalogue::Value;
use crate::domain::evidence::Evidence;
use crate::domain::units::LEAD_DAYS;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;
use super::values::read_value;
use super::values::value_cells;

/// The keeper's own attributes of every part of an edition; each part takes its own out.
pub(super) type Attributes = BTreeMap<Sku, BTreeMap<Box<str>, Value>>;

/// Rows of `parts`.
pub(super) fn part_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let rows = cards(content).map(|(kind, card)| card_cells(kind, card));
    Ok(Table {
        insert: "INSERT INTO parts (edition, sku, kind, name, gtin, stock, lead_days, evidence) ",
        rows: rows.collect::<Result<_, _>>()?,
    })
}

/// Rows of `part_attributes`.
pub(super) fn attribute_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let mut rows = Vec::new();
    for (kind, card) in cards(content) {
        let row = NewRow { table: "part_attributes", key: card.sku.as_str() };
        for (name, value) in &card.attributes {
            let mut cells = vec![card.sku.as_str().into(), kind.word().into(), (**name).into()];
            cells.extend(value_cells(row, value)?);
            rows.push(cells);
        }
    }
    Ok(Table {
        insert: "INSERT INTO part_attributes (edition, sku, kind, name, \
                 value_type, value_flag, value_number_e3, value_text, value_words) ",
        rows,
    })
}

/// The attributes of an edition's parts.
pub(super) async fn load_attributes(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Attributes, StoreError> {
    let rows = sqlx::query("SELECT * FROM part_attributes WHERE edition = ?")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let mut attributes = Attributes::new();
    for row in &rows {
        let fields = Fields::new("part_attributes", "sku", row);
        let of_part = attributes.entry(fields.sku("sku")?).or_default();
        of_part.insert(fields.text("name")?, read_value(fields)?);
    }
    Ok(attributes)
}

/// Whether every part has its row in the table of its kind.
pub(super) async fn check_kinds(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<(), StoreError> {
    let row: Option<SqliteRow> = sqlx::query(
        "SELECT sku FROM parts WHERE edition = ?1 AND sku NOT IN (
             SELECT sku FROM bodies WHERE edition = ?1
             UNION ALL SELECT sku FROM elements WHERE edition = ?1
             UNION ALL SELECT sku FROM controls WHERE edition = ?1
             UNION ALL SELECT sku FROM accessories WHERE edition = ?1
         ) LIMIT 1",
    )
    .bind(edition)
    .fetch_optional(connection)
    .await
    .map_err(StoreError::Read)?;
    match row {
        Some(row) => {
            let cause = "the part has no row in the table of its kind";
            Err(Fields::new("parts", "sku", &row).error("kind", cause))
        }
        None => Ok(()),
    }
}

/// The card of a row that joins `parts` with the table of a kind.
pub(super) fn read_card(
    fields: Fields<'_>,
    attributes: &mut Attributes,
) -> Result<Card, StoreError> {
    let sku = fields.sku("sku")?;
    let own = attributes.remove(&sku).unwrap_or_default();
    Ok(Card {
        sku,
        name: fields.text("name")?,
        gtin: fields.text_if_any("gtin")?,
        stock: fields.word("stock", Stock::parse)?,
        lead_days: fields.whole("lead_days", &LEAD_DAYS)?,
        evidence: fields.word("evidence", Evidence::parse)?,
        attributes: own,
    })
}

fn cards(content: &EditionContent) -> impl Iterator<Item = (PartKind, &Card)> {
    let bodies = content.bodies.iter().map(|body| (PartKind::Body, &body.card));
    let elements = content.elements.iter().map(|element| (PartKind::Element, &element.card));
    let controls = content.controls.iter().map(|control| (PartKind::Control, &control.card));
    let accessories = content.accessories.iter().map(|found| (PartKind::Accessory, &found.card));
    bodies.chain(elements).chain(controls).chain(accessories)
}

fn card_cells(kind: PartKind, card: &Card) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "parts", key: card.sku.as_str() };
    Ok(vec![
        card.sku.as_str().into(),
        kind.word().into(),
        (*card.name).into(),
        card.gtin.as_deref().into(),
        card.stock.word().into(),
        row.whole(card.lead_days.into(), &LEAD_DAYS)?,
        card.evidence.code().into(),
    ])
}

//! Accessories: the rows of `accessories`.

use sqlx::SqliteConnection;

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::EditionContent;
use crate::domain::units::Millimetres;
use crate::store::error::StoreError;

use super::cards::Attributes;
use super::cards::read_card;
use super::fields::Fields;
use super::rows::Cell;
use super::rows::Table;

/// Rows of `accessories`.
pub(super) fn accessory_rows(content: &EditionContent) -> Table {
    Table {
        insert: "INSERT INTO accessories (edition, sku, accessory_kind, finish, tube, thread, \
                 cover_length_mm, dose_ml_per_litre, pack_ml) ",
        rows: content.accessories.iter().map(accessory_cells).collect(),
    }
}

/// The accessories of an edition.
pub(super) async fn load_accessories(
    connection: &mut SqliteConnection,
    edition: u32,
    attributes: &mut Attributes,
) -> Result<Vec<Accessory>, StoreError> {
    let rows = sqlx::query(
        "SELECT name, gtin, stock, lead_days, evidence, accessories.* FROM accessories
         JOIN parts USING (edition, sku) WHERE edition = ? ORDER BY sku",
    )
    .bind(edition)
    .fetch_all(connection)
    .await
    .map_err(StoreError::Read)?;
    let read = |row| read_accessory(Fields::new("accessories", "sku", row), attributes);
    rows.iter().map(read).collect()
}

fn accessory_cells(accessory: &Accessory) -> Vec<Cell> {
    vec![
        accessory.card.sku.as_str().into(),
        accessory.kind.word().into(),
        accessory.finish.as_deref().into(),
        accessory.tube.as_deref().into(),
        accessory.thread.as_deref().into(),
        accessory.cover_length.map(Millimetres::value).into(),
        accessory.dose_ml_per_litre.into(),
        accessory.pack_ml.into(),
    ]
}

fn read_accessory(
    fields: Fields<'_>,
    attributes: &mut Attributes,
) -> Result<Accessory, StoreError> {
    Ok(Accessory {
        card: read_card(fields, attributes)?,
        kind: fields.word("accessory_kind", AccessoryKind::parse)?,
        finish: fields.text_if_any("finish")?,
        tube: fields.text_if_any("tube")?,
        thread: fields.text_if_any("thread")?,
        cover_length: fields.number_if_any("cover_length_mm")?.map(Millimetres::new),
        dose_ml_per_litre: fields.number_if_any("dose_ml_per_litre")?,
        pack_ml: fields.number_if_any("pack_ml")?,
    })
}

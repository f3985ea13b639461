//! Short lists of an edition: finishes, declared attributes, pair tables and thread matings.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::catalogue::AttributeDeclaration;
use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::ListedPair;
use crate::domain::catalogue::Mates;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::ThreadMating;
use crate::domain::catalogue::ValueType;
use crate::domain::thread::ThreadForm;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Table;
use super::rows::position;

/// Rows of `finishes`.
pub(super) fn finish_rows(content: &EditionContent) -> Table {
    let rows = content.finishes.iter().map(|(code, name)| vec![(**code).into(), (**name).into()]);
    Table { insert: "INSERT INTO finishes (edition, code, name) ", rows: rows.collect() }
}

/// Rows of `attribute_declarations`.
pub(super) fn declaration_rows(content: &EditionContent) -> Table {
    let cells = |(index, row): (usize, &AttributeDeclaration)| {
        vec![
            position(index),
            row.attribute.kind.word().into(),
            (*row.attribute.name).into(),
            row.value_type.word().into(),
            (*row.unit).into(),
        ]
    };
    Table {
        insert: "INSERT INTO attribute_declarations \
                 (edition, position, kind, name, value_type, unit) ",
        rows: content.attributes.iter().enumerate().map(cells).collect(),
    }
}

/// Rows of `listed_pairs`.
pub(super) fn pair_rows(content: &EditionContent) -> Table {
    let cells =
        |pair: &ListedPair| vec![(*pair.table).into(), (*pair.left).into(), (*pair.right).into()];
    Table {
        insert: "INSERT INTO listed_pairs (edition, pair_table, left_value, right_value) ",
        rows: content.listed_pairs.iter().map(cells).collect(),
    }
}

/// Rows of `thread_matings`.
pub(super) fn mating_rows(content: &EditionContent) -> Table {
    let cells = |(index, row): (usize, &ThreadMating)| {
        vec![
            position(index),
            row.external.code().into(),
            row.internal.code().into(),
            row.mates.word().into(),
            (*row.seal).into(),
            (*row.source.text).into(),
            row.source.evidence.code().into(),
        ]
    };
    Table {
        insert: "INSERT INTO thread_matings \
                 (edition, position, external, internal, mates, seal, source, evidence) ",
        rows: content.thread_matings.iter().enumerate().map(cells).collect(),
    }
}

/// The finishes of an edition.
pub(super) async fn load_finishes(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<BTreeMap<Box<str>, Box<str>>, StoreError> {
    let rows = load_rows(connection, "SELECT * FROM finishes WHERE edition = ?", edition).await?;
    let read = |row| {
        let fields = Fields::new("finishes", "code", row);
        Ok((fields.text("code")?, fields.text("name")?))
    };
    rows.iter().map(read).collect()
}

/// The declared attributes of an edition.
pub(super) async fn load_declarations(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<AttributeDeclaration>, StoreError> {
    let select = "SELECT * FROM attribute_declarations WHERE edition = ? ORDER BY position";
    let rows = load_rows(connection, select, edition).await?;
    let read = |row| {
        let fields = Fields::new("attribute_declarations", "name", row);
        let kind = fields.word("kind", PartKind::parse)?;
        Ok(AttributeDeclaration {
            attribute: AttributeName { kind, name: fields.text("name")? },
            value_type: fields.word("value_type", ValueType::parse)?,
            unit: fields.text("unit")?,
        })
    };
    rows.iter().map(read).collect()
}

/// The rows of an edition's pair tables.
pub(super) async fn load_pairs(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<ListedPair>, StoreError> {
    let rows =
        load_rows(connection, "SELECT * FROM listed_pairs WHERE edition = ?", edition).await?;
    let read = |row| {
        let fields = Fields::new("listed_pairs", "pair_table", row);
        Ok(ListedPair {
            table: fields.text("pair_table")?,
            left: fields.text("left_value")?,
            right: fields.text("right_value")?,
        })
    };
    rows.iter().map(read).collect()
}

/// The thread mating table of an edition.
pub(super) async fn load_matings(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<ThreadMating>, StoreError> {
    let select = "SELECT * FROM thread_matings WHERE edition = ? ORDER BY position";
    let rows = load_rows(connection, select, edition).await?;
    let read = |row| {
        let fields = Fields::new("thread_matings", "external", row);
        Ok(ThreadMating {
            external: fields.word("external", ThreadForm::parse)?,
            internal: fields.word("internal", ThreadForm::parse)?,
            mates: fields.word("mates", Mates::parse)?,
            seal: fields.text("seal")?,
            source: fields.source("source", "evidence")?,
        })
    };
    rows.iter().map(read).collect()
}

/// The rows of a query over one edition.
pub(super) async fn load_rows(
    connection: &mut SqliteConnection,
    select: &'static str,
    edition: u32,
) -> Result<Vec<SqliteRow>, StoreError> {
    sqlx::query(select).bind(edition).fetch_all(connection).await.map_err(StoreError::Read)
}

//! Editions: a whole catalogue saved, in one transaction or in pieces, and read back as it was.
//!
//! Owns the order of tables and the life of an edition. Absent here: the columns of each kind (the modules below),
//! and whether an edition hangs together, which [`Edition::new`] says before writing and again after reading.

mod rows;
mod fields;
mod values;
mod cards;
mod bodies;
mod elements;
mod controls;
mod accessories;
mod rules;
mod markets;
mod lists;
mod terms;
mod shapes;
mod wiring;
mod samples;

use sqlx::Row as _;
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::access::Actor;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::EditionContent;

use self::fields::Fields;
use self::rows::Table;
use super::audit;
use super::audit::Deed;
use super::database::Database;
use super::error::Faults;
use super::error::StoreError;

/// How far an edition has come. Only a published one is sold from, and only one is published at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EditionState {
    /// Being filled; may be deleted.
    Draft,
    /// Looked through, not yet sold from.
    Checked,
    /// Sold from; immutable.
    Published,
    /// Sold from once; immutable, kept for the quotes that name it.
    Retired,
}

impl EditionState {
    /// The four states, in the order of a life.
    pub const ALL: [Self; 4] = [Self::Draft, Self::Checked, Self::Published, Self::Retired];

    /// The word for it in JSON and SQL.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Checked => "checked",
            Self::Published => "published",
            Self::Retired => "retired",
        }
    }

    /// The state of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }
}

/// What is known of an edition without reading it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditionRecord {
    /// Its number.
    pub number: u32,
    /// How far it has come.
    pub state: EditionState,
    /// When it was saved: RFC 3339, UTC, whole seconds.
    pub created_at: Box<str>,
    /// BLAKE3 of its rows, number and state left out: two editions of one hash hold the same.
    pub content_hash: Box<str>,
    /// The edition that changes made this one from; absent when it came as a whole.
    pub base: Option<u32>,
    /// The edition that was published when this one was checked, 0 for none; absent until it is checked.
    pub checked_against: Option<u32>,
    /// When it was last published, as `created_at`.
    pub published_at: Option<Box<str>>,
    /// Who loaded it.
    pub created_by: Box<str>,
}

/// Saves a content as a new edition, in one transaction, and gives its number.
///
/// The content is checked first, in whatever state it is to be saved: a fault, a figure outside its range or a figure
/// finer than its column is an error and nothing is written. Publishing retires the edition published until now.
pub async fn save_edition(
    database: &Database,
    content: &EditionContent,
    state: EditionState,
) -> Result<u32, StoreError> {
    let tables = EditionTables(checked_tables(content)?);
    let mut transaction = database.begin_write().await?;
    let number = tables.insert(&mut transaction).await?;
    set_state(&mut transaction, number, state).await?;
    tell(&mut transaction, number).await?;
    transaction.commit().await.map_err(StoreError::Write)?;
    Ok(number)
}

/// Writes on the audit trail what was saved: the program does it by itself, at the moment that the edition carries.
async fn tell(connection: &mut SqliteConnection, number: u32) -> Result<(), StoreError> {
    let Some(record) = record_of(connection, number).await? else { return Ok(()) };
    let at = record.created_at.parse().map_err(|error: jiff::Error| StoreError::Row {
        table: "editions",
        key: number.to_string().into(),
        column: "created_at",
        source: error.into(),
    })?;
    let action = match record.state {
        EditionState::Published => "edition-published",
        EditionState::Draft | EditionState::Checked | EditionState::Retired => "edition-saved",
    };
    let detail = format!("{{\"content_hash\":\"{}\"}}", record.content_hash);
    let (actor, subject) = (&Actor::program(), &*number.to_string());
    audit::append(connection, &Deed { at, actor, action, subject, detail: &detail }).await
}

/// Reads an edition. What comes back equals what was saved, sorted as [`Edition::new`] sorts.
pub async fn load_edition(database: &Database, number: u32) -> Result<Edition, StoreError> {
    let mut transaction = database.begin_read().await?;
    if record_of(&mut transaction, number).await?.is_none() {
        return Err(StoreError::UnknownEdition(number));
    }
    let content = load_content(&mut transaction, number).await?;
    transaction.commit().await.map_err(StoreError::Read)?;
    Edition::new(number, content).map_err(|faults| StoreError::Edition(Faults(faults)))
}

/// The number of the edition that is sold from, if one is published.
pub async fn published_edition(database: &Database) -> Result<Option<u32>, StoreError> {
    let mut transaction = database.begin_read().await?;
    sqlx::query_scalar("SELECT number FROM editions WHERE state = 'published'")
        .fetch_optional(&mut *transaction)
        .await
        .map_err(StoreError::Read)
}

/// What is known of an edition without reading it.
pub async fn edition_record(
    database: &Database,
    number: u32,
) -> Result<Option<EditionRecord>, StoreError> {
    let mut transaction = database.begin_read().await?;
    record_of(&mut transaction, number).await
}

/// The rows of an edition on their way into the database.
#[derive(Debug)]
pub(super) struct EditionTables(Vec<Table>);

impl EditionTables {
    /// The rows of an edition.
    pub(super) fn of(edition: &Edition) -> Result<Self, StoreError> {
        tables_of(edition.content()).map(Self)
    }

    /// The hash that the edition carries.
    pub(super) fn hash(&self) -> String {
        rows::hash(&self.0)
    }

    /// Writes them as a new draft and gives its number.
    async fn insert(&self, connection: &mut SqliteConnection) -> Result<u32, StoreError> {
        let number: u32 = sqlx::query_scalar(
            "INSERT INTO editions (state, content_hash) VALUES ('draft', ?) RETURNING number",
        )
        .bind(self.hash())
        .fetch_one(&mut *connection)
        .await
        .map_err(StoreError::Write)?;
        let mut next = Some(Reached::default());
        while let Some(from) = next {
            next = self.insert_piece(connection, (number, from)).await?;
        }
        Ok(number)
    }

    /// Writes the next rows of an edition and says how far that came; nothing when it was the last.
    pub(super) async fn insert_piece(
        &self,
        connection: &mut SqliteConnection,
        (number, mut at): (u32, Reached),
    ) -> Result<Option<Reached>, StoreError> {
        let mut left = ROWS_PER_PIECE;
        while let Some(table) = self.0.get(at.table) {
            if left == 0 {
                return Ok(Some(at));
            }
            let count = table.rows.len().saturating_sub(at.row).min(left);
            let end = at.row.saturating_add(count);
            table.insert(connection, (number, at.row..end)).await?;
            left = left.saturating_sub(count);
            at = if end < table.rows.len() {
                Reached { row: end, ..at }
            } else {
                Reached { table: at.table.saturating_add(1), row: 0 }
            };
        }
        Ok(None)
    }
}

/// Rows that are written in one piece: some tens of milliseconds, for which others wait.
const ROWS_PER_PIECE: usize = 4_000;

/// How far the writing of an edition has come: the next row.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Reached {
    table: usize,
    row: usize,
}

/// The hash that an edition of this content carries, in hexadecimal; the order of parts and rules does not matter.
pub fn content_hash(content: &EditionContent) -> Result<String, StoreError> {
    Ok(rows::hash(&checked_tables(content)?))
}

/// The rows of a content that hangs together, parents before the rows that point to them.
fn checked_tables(content: &EditionContent) -> Result<Vec<Table>, StoreError> {
    let edition =
        Edition::new(0, content.clone()).map_err(|faults| StoreError::Edition(Faults(faults)))?;
    tables_of(edition.content())
}

fn tables_of(sorted: &EditionContent) -> Result<Vec<Table>, StoreError> {
    let mut tables = vec![
        lists::finish_rows(sorted),
        lists::declaration_rows(sorted),
        cards::part_rows(sorted)?,
        cards::attribute_rows(sorted)?,
        bodies::body_rows(sorted)?,
        elements::element_rows(sorted)?,
        controls::control_rows(sorted)?,
        accessories::accessory_rows(sorted),
        bodies::included_rows(sorted),
        lists::pair_rows(sorted),
        lists::mating_rows(sorted),
        rules::rule_rows(sorted)?,
        rules::condition_rows(sorted)?,
        markets::market_rows(sorted)?,
        markets::region_rows(sorted),
        markets::price_list_rows(sorted),
        markets::price_rows(sorted)?,
        terms::list_rows(sorted),
        terms::break_rows(sorted)?,
        terms::tax_rows(sorted)?,
        terms::delivery_rows(sorted),
        terms::market_rows(sorted),
        terms::seller_rows(sorted),
        samples::sample_rows(sorted),
    ];
    tables.extend(wiring::tables(sorted)?);
    Ok(tables)
}

async fn load_content(
    connection: &mut SqliteConnection,
    number: u32,
) -> Result<EditionContent, StoreError> {
    Ok(EditionContent {
        attributes: lists::load_declarations(connection, number).await?,
        rules: rules::load_rules(connection, number).await?,
        listed_pairs: lists::load_pairs(connection, number).await?,
        thread_matings: lists::load_matings(connection, number).await?,
        finishes: lists::load_finishes(connection, number).await?,
        markets: markets::load_markets(connection, number).await?,
        price_lists: markets::load_price_lists(connection, number).await?,
        terms: terms::load_terms(connection, number).await?,
        wiring_rules: wiring::load(connection, number).await?,
        samples: samples::load_samples(connection, number).await?,
        ..load_parts(connection, number).await?
    })
}

async fn load_parts(
    connection: &mut SqliteConnection,
    number: u32,
) -> Result<EditionContent, StoreError> {
    cards::check_kinds(connection, number).await?;
    let mut attributes = cards::load_attributes(connection, number).await?;
    Ok(EditionContent {
        bodies: bodies::load_bodies(connection, number, &mut attributes).await?,
        elements: elements::load_elements(connection, number, &mut attributes).await?,
        controls: controls::load_controls(connection, number, &mut attributes).await?,
        accessories: accessories::load_accessories(connection, number, &mut attributes).await?,
        ..EditionContent::default()
    })
}

async fn set_state(
    connection: &mut SqliteConnection,
    number: u32,
    state: EditionState,
) -> Result<(), StoreError> {
    if state == EditionState::Published {
        sqlx::query("UPDATE editions SET state = 'retired' WHERE state = 'published'")
            .execute(&mut *connection)
            .await
            .map_err(StoreError::Write)?;
    }
    sqlx::query("UPDATE editions SET state = ? WHERE number = ?")
        .bind(state.word())
        .bind(number)
        .execute(connection)
        .await
        .map_err(StoreError::Write)?;
    Ok(())
}

/// What is known of an edition, inside a transaction.
pub(super) async fn record_of(
    connection: &mut SqliteConnection,
    number: u32,
) -> Result<Option<EditionRecord>, StoreError> {
    let row = sqlx::query("SELECT * FROM editions WHERE number = ? AND is_whole = 1")
        .bind(number)
        .fetch_optional(connection)
        .await
        .map_err(StoreError::Read)?;
    row.as_ref().map(record).transpose()
}

/// What a row of `editions` says.
pub(super) fn record(row: &SqliteRow) -> Result<EditionRecord, StoreError> {
    let fields = Fields::new("editions", "content_hash", row);
    Ok(EditionRecord {
        number: row.try_get("number").map_err(StoreError::Read)?,
        state: fields.word("state", EditionState::parse)?,
        created_at: fields.text("created_at")?,
        content_hash: fields.text("content_hash")?,
        base: fields.number_if_any("base_edition")?,
        checked_against: fields.number_if_any("checked_against")?,
        published_at: fields.text_if_any("published_at")?,
        created_by: fields.text("created_by")?,
    })
}

//! Rows on their way into a table: cells, bulk insertion, and the hash over them.
//!
//! Absent here: which columns a table has.

use std::ops::Range;

use sqlx::QueryBuilder;
use sqlx::Sqlite;
use sqlx::SqliteConnection;
use sqlx::query_builder::Separated;

use crate::domain::units::Bounds;
use crate::store::error::StoreError;

/// Rows in one statement: the widest table times this stays far below `SQLite`'s 32766 variables.
const ROWS_PER_STATEMENT_MAX: usize = 200;

/// One value of a row.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    /// A whole number, a flag or a money amount.
    Integer(i64),
    /// A figure with decimals.
    Real(f64),
    /// A text.
    Text(Box<str>),
    /// Not stated.
    Null,
}

impl Cell {
    fn bind(&self, values: &mut Separated<'_, Sqlite, &'static str>) {
        match self {
            Self::Integer(number) => values.push_bind(*number),
            Self::Real(number) => values.push_bind(*number),
            Self::Text(text) => values.push_bind(text.to_string()),
            Self::Null => values.push_bind(None::<i64>),
        };
    }
}

/// The rows of one table, in the order in which they are written and hashed.
#[derive(Debug)]
pub(super) struct Table {
    /// `INSERT INTO table (edition, …) `, the edition first.
    pub insert: &'static str,
    /// Cells of each row, without the edition.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// Writes some of the rows as rows of an edition.
    pub(super) async fn insert(
        &self,
        connection: &mut SqliteConnection,
        (edition, places): (u32, Range<usize>),
    ) -> Result<(), StoreError> {
        let wanted = self.rows.get(places).unwrap_or_default();
        for rows in wanted.chunks(ROWS_PER_STATEMENT_MAX) {
            let mut statement = QueryBuilder::<Sqlite>::new(self.insert);
            statement.push_values(rows, |values, cells| bind_row(values, edition, cells));
            statement.build().execute(&mut *connection).await.map_err(StoreError::Write)?;
        }
        Ok(())
    }
}

fn bind_row(mut values: Separated<'_, Sqlite, &'static str>, edition: u32, cells: &[Cell]) {
    values.push_bind(edition);
    for cell in cells {
        cell.bind(&mut values);
    }
}

/// BLAKE3 over every cell of every table, each with its type and length, in hexadecimal.
pub(super) fn hash(tables: &[Table]) -> String {
    let mut hasher = blake3::Hasher::new();
    for table in tables {
        hash_text(&mut hasher, table.insert);
        for cell in table.rows.iter().flatten() {
            hash_cell(&mut hasher, cell);
        }
    }
    hasher.finalize().to_hex().to_string()
}

fn hash_cell(hasher: &mut blake3::Hasher, cell: &Cell) {
    match cell {
        Cell::Integer(number) => hasher.update(b"i").update(&number.to_le_bytes()),
        Cell::Real(number) => hasher.update(b"r").update(&number.to_bits().to_le_bytes()),
        Cell::Text(text) => hash_text(hasher.update(b"t"), text),
        Cell::Null => hasher.update(b"n"),
    };
}

fn hash_text<'h>(hasher: &'h mut blake3::Hasher, text: &str) -> &'h mut blake3::Hasher {
    hasher.update(&text.len().to_le_bytes()).update(text.as_bytes())
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.into())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text.into())
    }
}

impl From<bool> for Cell {
    fn from(flag: bool) -> Self {
        Self::Integer(i64::from(flag))
    }
}

impl From<u8> for Cell {
    fn from(number: u8) -> Self {
        Self::Integer(i64::from(number))
    }
}

impl From<u16> for Cell {
    fn from(number: u16) -> Self {
        Self::Integer(i64::from(number))
    }
}

impl From<u32> for Cell {
    fn from(number: u32) -> Self {
        Self::Integer(i64::from(number))
    }
}

impl From<i32> for Cell {
    fn from(number: i32) -> Self {
        Self::Integer(i64::from(number))
    }
}

impl From<i64> for Cell {
    fn from(number: i64) -> Self {
        Self::Integer(number)
    }
}

impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Null, Into::into)
    }
}

/// Place of a row among its siblings.
pub(super) fn position(index: usize) -> Cell {
    Cell::Integer(i64::try_from(index).unwrap_or(i64::MAX))
}

/// The row being made, for the errors that name it.
#[derive(Debug, Clone, Copy)]
pub(super) struct NewRow<'k> {
    /// Table.
    pub table: &'static str,
    /// Part number or code.
    pub key: &'k str,
}

/// A figure that its column cannot hold exactly.
#[derive(Debug, thiserror::Error)]
enum NotExact {
    #[error("{0} has a finer step than the column, which counts whole thousandths")]
    TooFine(f64),
    #[error("{0:?} is empty or has a space in it, and words are separated by spaces")]
    NotAWord(Box<str>),
}

impl NewRow<'_> {
    /// A whole number inside its bounds.
    pub(super) fn whole(self, number: i32, bounds: &'static Bounds) -> Result<Cell, StoreError> {
        self.check(f64::from(number), bounds)?;
        Ok(number.into())
    }

    /// A wide whole number inside its bounds, none of which reaches beyond an `i32`.
    pub(super) fn amount(self, number: i64, bounds: &'static Bounds) -> Result<Cell, StoreError> {
        let edge = if number < 0 { i32::MIN } else { i32::MAX };
        self.check(f64::from(i32::try_from(number).unwrap_or(edge)), bounds)?;
        Ok(number.into())
    }

    /// A figure inside its bounds.
    pub(super) fn real(self, number: f64, bounds: &'static Bounds) -> Result<Cell, StoreError> {
        Ok(Cell::Real(self.check(number, bounds)?))
    }

    /// A figure of a large unit as a whole number of thousandths of it: grams of kilograms. Refused when some
    /// fraction of a thousandth would be lost.
    pub(super) fn thousandths(
        self,
        number: f64,
        bounds: &'static Bounds,
    ) -> Result<Cell, StoreError> {
        let whole = self.check(libm::round(number * 1_000.0), bounds)?;
        if (whole / 1_000.0).to_bits() == number.to_bits() {
            return Ok(Cell::Integer(whole_number(whole)));
        }
        Err(self.error(bounds.field, NotExact::TooFine(number).into()))
    }

    /// A set of words in one text.
    pub(super) fn words<'w, W: IntoIterator<Item = &'w Box<str>>>(
        self,
        column: &'static str,
        words: W,
    ) -> Result<Cell, StoreError> {
        let words: Vec<&str> = words.into_iter().map(AsRef::as_ref).collect();
        let odd = words.iter().find(|word| word.is_empty() || word.contains(char::is_whitespace));
        match odd {
            Some(word) => Err(self.error(column, NotExact::NotAWord((*word).into()).into())),
            None => Ok(words.join(" ").into()),
        }
    }

    /// The number again when it lies inside its bounds.
    pub(super) fn check(self, number: f64, bounds: &'static Bounds) -> Result<f64, StoreError> {
        bounds.check(number).map_err(|error| self.error(bounds.field, error.into()))
    }

    fn error(
        self,
        column: &'static str,
        source: Box<dyn std::error::Error + Send + Sync>,
    ) -> StoreError {
        StoreError::Row { table: self.table, key: self.key.into(), column, source }
    }
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "a rounded figure inside its bounds, all of which lie far below 2^53"
)]
const fn whole_number(number: f64) -> i64 {
    number as i64
}

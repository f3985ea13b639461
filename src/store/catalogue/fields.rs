//! Fields of a row that was read: each checked again, each error naming table, row and column.
//!
//! Absent here: which columns a table has.

use std::error::Error;
use std::fmt;

use sqlx::Decode;
use sqlx::Row;
use sqlx::Sqlite;
use sqlx::Type;
use sqlx::sqlite::SqliteRow;

use crate::domain::catalogue::Sku;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Bounds;
use crate::store::error::StoreError;

/// A row of a table, and the column that tells it from others.
#[derive(Clone, Copy)]
pub(super) struct Fields<'r> {
    table: &'static str,
    key_column: &'static str,
    row: &'r SqliteRow,
}

impl fmt::Debug for Fields<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "row {} of {}", self.key(), self.table)
    }
}

/// A text that is none of those allowed.
#[derive(Debug, thiserror::Error)]
#[error("{0:?} is none of the values allowed")]
struct NotAllowed(Box<str>);

impl<'r> Fields<'r> {
    /// The fields of a row.
    pub(super) const fn new(
        table: &'static str,
        key_column: &'static str,
        row: &'r SqliteRow,
    ) -> Self {
        Self { table, key_column, row }
    }

    /// A text.
    pub(super) fn text(self, column: &'static str) -> Result<Box<str>, StoreError> {
        self.get::<&str>(column).map(Into::into)
    }

    /// A text, where stated.
    pub(super) fn text_if_any(self, column: &'static str) -> Result<Option<Box<str>>, StoreError> {
        Ok(self.get::<Option<&str>>(column)?.map(Into::into))
    }

    /// Words of a text that separates them by spaces.
    pub(super) fn words<C: FromIterator<Box<str>>>(
        self,
        column: &'static str,
    ) -> Result<C, StoreError> {
        Ok(self.get::<&str>(column)?.split_whitespace().map(Into::into).collect())
    }

    /// A value written as a word.
    pub(super) fn word<T, P: FnOnce(&str) -> Option<T>>(
        self,
        column: &'static str,
        parse: P,
    ) -> Result<T, StoreError> {
        let word = self.get::<&str>(column)?;
        parse(word).ok_or_else(|| self.error(column, NotAllowed(word.into())))
    }

    /// A value written as a word, where stated.
    pub(super) fn word_if_any<T, P: FnOnce(&str) -> Option<T>>(
        self,
        column: &'static str,
        parse: P,
    ) -> Result<Option<T>, StoreError> {
        match self.get::<Option<&str>>(column)? {
            Some(_) => self.word(column, parse).map(Some),
            None => Ok(None),
        }
    }

    /// A part number.
    pub(super) fn sku(self, column: &'static str) -> Result<Sku, StoreError> {
        Sku::parse(self.get::<&str>(column)?).map_err(|error| self.error(column, error))
    }

    /// A source in its column, and how it is known in another.
    pub(super) fn source(
        self,
        text: &'static str,
        evidence: &'static str,
    ) -> Result<Source, StoreError> {
        let known = self.word(evidence, Evidence::parse)?;
        Ok(Source::stated(self.text(text)?.into(), known))
    }

    /// A flag, written 0 or 1.
    pub(super) fn flag(self, column: &'static str) -> Result<bool, StoreError> {
        Ok(self.get::<i64>(column)? != 0)
    }

    /// A whole number of a narrower type.
    pub(super) fn number<T>(self, column: &'static str) -> Result<T, StoreError>
    where
        T: TryFrom<i64>,
        T::Error: Error + Send + Sync + 'static,
    {
        T::try_from(self.get::<i64>(column)?).map_err(|error| self.error(column, error))
    }

    /// A whole number of a narrower type, where stated.
    pub(super) fn number_if_any<T>(self, column: &'static str) -> Result<Option<T>, StoreError>
    where
        T: TryFrom<i64>,
        T::Error: Error + Send + Sync + 'static,
    {
        match self.get::<Option<i64>>(column)? {
            Some(_) => self.number(column).map(Some),
            None => Ok(None),
        }
    }

    /// A whole number inside its bounds.
    pub(super) fn whole<T>(
        self,
        column: &'static str,
        bounds: &'static Bounds,
    ) -> Result<T, StoreError>
    where
        T: TryFrom<i64>,
        T::Error: Error + Send + Sync + 'static,
    {
        // Bounds reach no farther than an `i32`, so what is too large for one is outside every range.
        let wide = i32::try_from(self.get::<i64>(column)?).unwrap_or(i32::MAX);
        bounds.check(f64::from(wide)).map_err(|error| self.error(column, error))?;
        self.number(column)
    }

    /// A figure inside its bounds.
    pub(super) fn real(
        self,
        column: &'static str,
        bounds: &'static Bounds,
    ) -> Result<f64, StoreError> {
        bounds.check(self.get::<f64>(column)?).map_err(|error| self.error(column, error))
    }

    /// A figure inside its bounds, where stated.
    pub(super) fn real_if_any(
        self,
        column: &'static str,
        bounds: &'static Bounds,
    ) -> Result<Option<f64>, StoreError> {
        match self.get::<Option<f64>>(column)? {
            Some(_) => self.real(column, bounds).map(Some),
            None => Ok(None),
        }
    }

    /// The field as `SQLite` holds it.
    pub(super) fn get<T: Decode<'r, Sqlite> + Type<Sqlite>>(
        self,
        column: &'static str,
    ) -> Result<T, StoreError> {
        self.row.try_get(column).map_err(|error| self.error(column, error))
    }

    /// The error that names this row and a column of it.
    pub(super) fn error<E: Into<Box<dyn Error + Send + Sync>>>(
        self,
        column: &'static str,
        source: E,
    ) -> StoreError {
        let source = source.into();
        StoreError::Row { table: self.table, key: self.key().into(), column, source }
    }

    fn key(&self) -> &'r str {
        self.row.try_get(self.key_column).unwrap_or("without a key")
    }
}

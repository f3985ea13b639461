//! What can go wrong with the database, and the kinds that a caller acts on.
//!
//! Each error says what was being done; its source says what went wrong. Absent here: HTTP statuses.

use std::error::Error;
use std::fmt;

use sqlx::error::DatabaseError;
use sqlx::migrate::MigrateError;

use crate::domain::catalogue::Fault;

/// Something went wrong with the database.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The address names another kind of database, or nothing.
    #[error("{0:?} is not an address of an SQLite database: a path, sqlite:PATH or :memory:")]
    Address(Box<str>),
    /// The file could not be opened as a database.
    #[error("the database {place} could not be opened")]
    Open {
        /// Path of the file.
        place: Box<str>,
        /// What went wrong.
        #[source]
        source: sqlx::Error,
    },
    /// The `SQLite` inside this program is older than the oldest one that is safe with a write-ahead log.
    #[error(
        "SQLite {found} is too old: before {oldest}, two writers at one moment could damage the file"
    )]
    SqliteTooOld {
        /// Version that answered.
        found: Box<str>,
        /// Oldest version allowed.
        oldest: Box<str>,
    },
    /// The write-ahead log could not be switched on.
    #[error("the database works in journal mode {0:?} instead of a write-ahead log")]
    JournalMode(Box<str>),
    /// The check at the start found the file damaged.
    #[error("the database {place} is damaged: {finding}")]
    Damaged {
        /// Path of the file.
        place: Box<str>,
        /// First finding of the check.
        finding: Box<str>,
    },
    /// Another process writes quotes to the file already.
    #[error("another process writes to the database {0} already: one writer at a time")]
    SecondWriter(Box<str>),
    /// The mark of the one writer could not be set.
    #[error("the mark {place} of the one writer could not be set")]
    WriterMark {
        /// Path of the mark.
        place: Box<str>,
        /// What went wrong.
        #[source]
        source: std::io::Error,
    },
    /// A newer program has already migrated the file to a schema that this one does not know.
    #[error("the database has schema {0}, made by a newer version of this program")]
    NewerSchema(i64),
    /// The schema could not be brought up to date.
    #[error("the database's schema could not be brought up to date")]
    Migrate(#[source] MigrateError),
    /// Rows could not be read.
    #[error("the database could not be read")]
    Read(#[source] sqlx::Error),
    /// Rows could not be written; nothing of the transaction was kept.
    #[error("the database could not be written")]
    Write(#[source] sqlx::Error),
    /// A row, about to be written or just read, breaks a rule of its column.
    #[error("row {key} of {table} breaks a rule in column {column}")]
    Row {
        /// Table.
        table: &'static str,
        /// Part number or code that tells the row from others.
        key: Box<str>,
        /// Column.
        column: &'static str,
        /// Which rule, and the value.
        #[source]
        source: Box<dyn Error + Send + Sync>,
    },
    /// An edition does not hang together.
    #[error("the edition does not hang together")]
    Edition(#[source] Faults),
    /// There is no edition of that number.
    #[error("there is no edition {0}")]
    UnknownEdition(u32),
}

/// Every fault of an edition, as one cause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let faults: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&faults.join("; "))
    }
}

impl Error for Faults {}

/// What a caller can do about an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StoreErrorKind {
    /// Another writer held the database for too long, or every connection was taken: try again.
    Busy,
    /// The disk is full: stop writing until there is room.
    Full,
    /// The disk or the file refuses to be opened, read or written: stop writing, keep answering from memory.
    Unwritable,
    /// The file is damaged: stop, and restore a copy.
    Corrupt,
    /// The rows contradict each other or rows already there.
    Constraint,
    /// The content is wrong in itself: the caller can name every fault.
    Content,
    /// None of these: a wrong set-up or a defect of the program.
    Other,
}

impl StoreError {
    /// What a caller can do about it.
    pub fn kind(&self) -> StoreErrorKind {
        match self {
            Self::Open { source, .. }
            | Self::Read(source)
            | Self::Write(source)
            | Self::Migrate(
                MigrateError::Execute(source) | MigrateError::ExecuteMigration(source, _),
            ) => kind_of(source),
            Self::Damaged { .. } => StoreErrorKind::Corrupt,
            Self::Row { .. } | Self::Edition(_) => StoreErrorKind::Content,
            Self::WriterMark { .. } => StoreErrorKind::Unwritable,
            Self::Address(_)
            | Self::SqliteTooOld { .. }
            | Self::JournalMode(_)
            | Self::NewerSchema(_)
            | Self::SecondWriter(_)
            | Self::Migrate(_)
            | Self::UnknownEdition(_) => StoreErrorKind::Other,
        }
    }
}

/// The low byte of `SQLite`'s extended result code is the primary code (sqlite.org/rescode.html, read).
const PRIMARY_CODE: i32 = 0xff;

fn kind_of(error: &sqlx::Error) -> StoreErrorKind {
    if matches!(error, sqlx::Error::PoolTimedOut) {
        return StoreErrorKind::Busy;
    }
    if matches!(error, sqlx::Error::Io(_)) {
        return StoreErrorKind::Unwritable;
    }
    let code = error.as_database_error().and_then(DatabaseError::code);
    match code.and_then(|code| code.parse::<i32>().ok()).map(|code| code & PRIMARY_CODE) {
        Some(5 | 6) => StoreErrorKind::Busy,
        Some(13) => StoreErrorKind::Full,
        Some(3 | 8 | 10 | 14 | 23) => StoreErrorKind::Unwritable,
        Some(11 | 26) => StoreErrorKind::Corrupt,
        Some(19) => StoreErrorKind::Constraint,
        Some(_) | None => StoreErrorKind::Other,
    }
}

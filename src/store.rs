//! Rows, files and SQL: the embedded `SQLite` database behind the service. It knows the domain and nothing above.
//!
//! Owns how values of the domain become rows and come back, how the database is opened, checked and written to, and the
//! data files that are carried in the program.
//! Absent here: what the values mean (`domain`), when they are read or written and the ids and clock of a request
//! (`operations`), and any log line: an error is told once, by whoever handles it.

pub mod rule_packs;
pub mod catalogue_files;
pub mod demo;
mod error;
mod database;
mod sole_writer;
pub mod audit;
mod catalogue;
mod unseen;
pub mod quotes;
pub mod access;
pub mod drafts;

pub use catalogue::EditionRecord;
pub use catalogue::EditionState;
pub use catalogue::content_hash;
pub use catalogue::edition_record;
pub use catalogue::load_edition;
pub use catalogue::published_edition;
pub use catalogue::save_edition;
pub use database::BUSY_TIMEOUT;
pub use database::Database;
pub use database::READERS_MAX;
pub use database::SQLITE_OLDEST;
pub use database::WRITER_WAIT_MAX;
pub use database::check_sqlite_version;
pub use error::Faults;
pub use error::StoreError;
pub use error::StoreErrorKind;
pub use sole_writer::SoleWriter;
pub use unseen::sweep;

//! Catalogue files: a folder of CSV files, one per kind of thing, read into the content of an edition.
//!
//! Every fault is reported with file, row, column, value and what is allowed there; nothing is half loaded. UTF-8 with
//! or without a byte order mark, comma or semicolon as the header line has it, decimal point. Columns are named as the
//! fields of the parts are; any other column must be one of the keeper's own attributes, declared in `attributes.csv`.
//! Absent here: whether the parts hang together (that is [`Edition::new`](crate::domain::catalogue::Edition::new)),
//! archives, decimal commas, and writing the files.

mod fault;
mod table;
mod cell;
mod columns;
mod record;
mod attributes;
mod card;
mod bodies;
mod elements;
mod controls;
mod accessories;
mod rules;
mod markets;
mod terms;
mod files;

pub use fault::FAULTS_MAX;
pub use fault::FileFault;
pub use files::FILES;
pub use files::OPTIONAL_FILES;
pub use files::read;
pub use table::FILE_BYTES_MAX;
pub use table::ROWS_MAX;

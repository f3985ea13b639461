//! Catalogue files: a folder of CSV files, one per kind of thing, read into the content of an edition.
//!
//! Every fault is reported with file, row, column, value and what is allowed there; nothing is half loaded. UTF-8 with
//! or without a byte order mark, comma or semicolon as the header line has it, decimal point or comma as a first line
//! declares. Columns are named as the fields of the parts are; any other column must be one of the keeper's own attributes,
//! declared in `attributes.csv`. The same tables come as one JSON document or as a ZIP archive, whole or as changes to an
//! edition, and are written in each of these forms.
//! Absent here: whether the parts hang together (that is [`Edition::new`](crate::domain::catalogue::Edition::new)), and
//! where the bytes come from.

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
mod tables;
mod write_parts;
mod write;
mod changes;
mod locate;
mod documents;
mod files;
mod upload;
mod csv_files;
mod json_document;
mod archive;
mod compare;
mod single_rule;

pub use archive::ENTRIES_MAX;
pub use archive::UNPACKED_BYTES_MAX;
pub use compare::CellChange;
pub use compare::FileChanges;
pub use compare::ROWS_LISTED_MAX;
pub use compare::RowChange;
pub use compare::RowFate;
pub use compare::compare_rows;
pub use csv_files::csv_bytes;
pub use fault::FAULTS_MAX;
pub use fault::FileFault;
pub use files::FILES;
pub use files::OPTIONAL_FILES;
pub use single_rule::EditionWithRule;
pub use single_rule::NamedCells;
pub use single_rule::TriedRule;
pub use single_rule::with_rule;
pub use table::FILE_BYTES_MAX;
pub use table::ROWS_MAX;
pub use tables::REMOVALS;
pub use upload::Upload;
pub use upload::read;

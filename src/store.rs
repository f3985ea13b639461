//! Rows, files and SQL. It knows the domain and nothing above.
//!
//! Absent here: decisions.

pub mod rule_packs;
pub mod catalogue_files;
pub mod demo;

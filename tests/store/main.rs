//! Rows and files: the database tried with a made-up edition that uses every column, the reader of catalogue files, and
//! the demonstration catalogue that goes through it.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::default_numeric_fallback,
    clippy::integer_division,
    reason = "a test stops at the first surprise, and its figures are small"
)]

#[path = "../load/generator.rs"]
#[expect(
    dead_code,
    unused_imports,
    reason = "shared by several programs; this one asks no questions"
)]
mod generator;
mod scratch;
mod room_sheet;
mod synthetic;
mod synthetic_terms;
mod editions;
mod immutability;
mod opening;
mod refusals;
mod schema;
mod writers;
mod edits;
mod exchange;
mod made_up;
mod reader_fuzz;
mod catalogue_files;
mod catalogue_faults;
mod demo;
mod wiring_rules;
mod twins;
mod fitting;
mod quotes;
mod pieces;
mod older_quotes;
mod audit;

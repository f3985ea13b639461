//! The demonstration catalogue of *Skerry Rail Works*, a made-up maker on a made-up island.
//!
//! **All of it is invented**: the maker, the ranges, part numbers, names, figures and prices. Its trade item numbers
//! begin with 299, which is kept for use inside a company, so no real article has them. Only the thread
//! mating table and the tax rates are facts, with their sources beside them. The files in `demo/` are the original; they are read by the same reader as a keeper's own. Among the parts are twins that differ in one attribute only,
//! the wrong one usually cheaper, so that a wrong answer shows.
//! Absent here: writing the catalogue into a database.

use std::collections::BTreeMap;

use crate::domain::catalogue::EditionContent;

use super::catalogue_files::FileFault;
use super::catalogue_files::read;

macro_rules! files {
    ($($name:literal),+ $(,)?) => {
        [$(($name, include_bytes!(concat!("demo/", $name)).as_slice())),+]
    };
}

/// The files of the demonstration catalogue by name, as they are compiled into the program.
pub fn demo_files() -> BTreeMap<String, Vec<u8>> {
    let files = files![
        "accessories.csv",
        "attributes.csv",
        "bodies.csv",
        "controls.csv",
        "delivery_charges.csv",
        "elements.csv",
        "finishes.csv",
        "included.csv",
        "listed_pairs.csv",
        "market_terms.csv",
        "markets.csv",
        "price_list_terms.csv",
        "price_lists.csv",
        "prices.csv",
        "quantity_breaks.csv",
        "rules.csv",
        "seller_lines.csv",
        "sample_requests/family-bathroom.json",
        "sample_requests/tern-house-attic.json",
        "sample_requests/tern-house-towels.json",
        "tax_rows.csv",
        "thread_matings.csv",
    ];
    files.into_iter().map(|(name, bytes)| (name.to_owned(), bytes.to_vec())).collect()
}

/// The content of the demonstration catalogue. A fault in it is a fault of this program, and the tests look for it.
pub fn demo_edition() -> Result<EditionContent, Vec<FileFault>> {
    read(&demo_files())
}

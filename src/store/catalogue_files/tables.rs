//! Tables and documents by name, and how rows are made for them.

use std::collections::BTreeMap;

use csv::StringRecord;

use super::table::DecimalMark;
use super::table::Table;

/// The file of rows to take away, in an upload of changes.
pub const REMOVALS: &str = "removals.csv";

/// Tables by the names of their files.
pub(super) type Tables = BTreeMap<&'static str, Table>;

/// Documents by their paths, such as `sample_requests/family.json`, as compact JSON.
pub(super) type Documents = BTreeMap<Box<str>, Box<str>>;

/// The cells of a row.
pub(super) type Row = Vec<String>;

/// A table of rows, without lines of a file.
pub(super) fn table_of(file: &'static str, header: StringRecord, rows: Vec<Row>) -> Table {
    let rows = rows.into_iter().map(|cells| (0, cells.into_iter().collect())).collect();
    Table { file, header, rows, mark: DecimalMark::Point }
}

/// The cells of texts.
pub(super) fn texts(texts: &[&str]) -> Row {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

/// A flag as files have it.
pub(super) const fn yes(flag: bool) -> &'static str {
    if flag { "yes" } else { "no" }
}

/// The cells of a row in the order of some columns; a column that the table does not have gives an empty cell.
pub(super) fn ordered(cells: &StringRecord, places: &[Option<usize>]) -> Row {
    let cell = |place: &Option<usize>| place.and_then(|place| cells.get(place)).unwrap_or_default();
    places.iter().map(|place| cell(place).to_owned()).collect()
}

//! Tables as CSV files that a spreadsheet may open: UTF-8, comma, decimal point, and no cell that it takes for a formula.

use std::collections::BTreeMap;

use csv::QuoteStyle;
use csv::WriterBuilder;

use crate::domain::catalogue::Thousandths;

use super::documents;
use super::table::FORMULA_STARTS;
use super::table::Table;
use super::upload::Upload;

impl Upload {
    /// Every table and document as a file, by name.
    pub fn files(&self) -> BTreeMap<String, Vec<u8>> {
        let mut files = documents::files(self.documents());
        for table in self.tables().values() {
            files.insert(table.file.to_owned(), csv_file(table));
        }
        files
    }
}

fn csv_file(table: &Table) -> Vec<u8> {
    let header: Vec<&str> = table.header.iter().collect();
    let rows = table.rows.iter().map(|(_, cells)| cells.iter().map(ToOwned::to_owned).collect());
    csv_bytes(&header, rows)
}

/// Rows as a CSV file.
pub fn csv_bytes<R: IntoIterator<Item = Vec<String>>>(header: &[&str], rows: R) -> Vec<u8> {
    let mut writer =
        WriterBuilder::new().quote_style(QuoteStyle::Necessary).from_writer(Vec::new());
    // Writing rows of one width into memory cannot fail.
    drop(writer.write_record(header));
    for cells in rows {
        drop(writer.write_record(cells.iter().map(|cell| guarded(cell))));
    }
    writer.into_inner().unwrap_or_default()
}

/// A cell behind an apostrophe when a spreadsheet would take it for a formula. A negative number is none.
///
/// The reader takes the apostrophe off again, so a keeper's own cell that begins like one gets a second.
fn guarded(cell: &str) -> String {
    let is_number = Thousandths::parse(cell).is_some();
    if cell.starts_with(FORMULA_STARTS) && !is_number {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

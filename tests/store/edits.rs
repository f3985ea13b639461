//! The demonstration files, changed in one place each, and what the reader says of them.

use std::collections::BTreeMap;

use rungwright::store::catalogue_files::FileFault;
use rungwright::store::catalogue_files::read;
use rungwright::store::demo::demo_files;

/// Files of a catalogue by name.
pub(crate) type Files = BTreeMap<String, Vec<u8>>;

pub(crate) fn text(files: &Files, file: &str) -> String {
    String::from_utf8(files[file].clone()).unwrap()
}

/// The demonstration files with a text replaced once.
pub(crate) fn edited(file: &str, from: &str, to: &str) -> Files {
    let mut files = demo_files();
    let before = text(&files, file);
    assert!(before.contains(from), "{file} does not hold {from:?}");
    files.insert(file.to_owned(), before.replacen(from, to, 1).into_bytes());
    files
}

/// The demonstration files with a file replaced.
pub(crate) fn replaced(file: &str, bytes: &[u8]) -> Files {
    let mut files = demo_files();
    files.insert(file.to_owned(), bytes.to_vec());
    files
}

/// The cells of a file, the header first.
pub(crate) fn cells(files: &Files, file: &str) -> Vec<Vec<String>> {
    let reader = csv::ReaderBuilder::new().has_headers(false).from_reader(files[file].as_slice());
    let rows = reader.into_records();
    rows.map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

pub(crate) fn written(rows: &[Vec<String>]) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    writer.into_inner().unwrap()
}

/// Sets one column of every row whose first cell is as given.
pub(crate) fn set_cell(files: &mut Files, (file, first): (&str, &str), column: &str, value: &str) {
    let mut rows = cells(files, file);
    let index = rows[0].iter().position(|name| name == column).unwrap();
    let mut changed = 0;
    for row in rows.iter_mut().filter(|row| row[0] == first) {
        value.clone_into(&mut row[index]);
        changed += 1;
    }
    assert!(0 < changed, "{file} has no {first}");
    files.insert(file.to_owned(), written(&rows));
}

/// The demonstration files with one cell of one part's row set.
pub(crate) fn with_cell(file: &str, sku: &str, column: &str, value: &str) -> Files {
    let mut files = demo_files();
    set_cell(&mut files, (file, sku), column, value);
    files
}

pub(crate) fn faults(files: &Files) -> Vec<FileFault> {
    match read(files) {
        Ok(_) => panic!("the files were read without a fault"),
        Err(faults) => faults,
    }
}

pub(crate) fn only(files: &Files) -> FileFault {
    let mut found = faults(files);
    assert_eq!(found.len(), 1, "{found:#?}");
    found.remove(0)
}

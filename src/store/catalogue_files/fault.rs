//! One thing wrong in a catalogue file, and the list that collects them all.

use std::fmt;

/// Faults reported at most; the last one then says that reading stopped counting.
pub const FAULTS_MAX: usize = 10_000;

/// Characters of a faulty value that are repeated in its fault.
const VALUE_CHARS_MAX: usize = 80;

/// One thing wrong in a catalogue file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileFault {
    /// Name of the file: `bodies.csv`.
    pub file: Box<str>,
    /// Line on which the row begins, the header being 1; absent when the whole file is meant.
    pub row: Option<u64>,
    /// Name of the column; absent when the whole row is meant.
    pub column: Option<Box<str>>,
    /// The value as it stands there, shortened to eighty characters.
    pub value: Box<str>,
    /// What is wrong with it and what is allowed, in lower case.
    pub allowed: String,
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(row) = self.row {
            write!(f, ", row {row}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", column {column}")?;
        }
        write!(f, ": {:?}: {}", self.value, self.allowed)
    }
}

impl std::error::Error for FileFault {}

/// A fault of one cell, before it is known where the cell stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct CellFault {
    /// Name of the column.
    pub column: Box<str>,
    /// The value.
    pub value: Box<str>,
    /// What is allowed.
    pub allowed: String,
}

impl CellFault {
    pub(super) fn new(column: &str, value: &str, allowed: String) -> Self {
        Self { column: column.into(), value: value.into(), allowed }
    }
}

/// What a row becomes, or every fault that keeps it from becoming one.
pub(super) type RowResult<T> = Result<T, Vec<CellFault>>;

/// The place of a row in a file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place<'a> {
    /// Name of the file.
    pub file: &'a str,
    /// Line on which the row begins; 0 for a row that comes from the edition before.
    pub row: u64,
}

impl Place<'_> {
    fn known_row(self) -> Option<u64> {
        (0 < self.row).then_some(self.row)
    }
}

/// Every fault found so far.
#[derive(Debug, Default)]
pub(super) struct Faults(Vec<FileFault>);

impl Faults {
    /// Notes a fault of a whole file.
    pub(super) fn of_file(&mut self, file: &str, value: &str, allowed: String) {
        self.push(FileFault {
            file: file.into(),
            row: None,
            column: None,
            value: shortened(value),
            allowed,
        });
    }

    /// Notes a fault of a whole row.
    pub(super) fn of_row(&mut self, place: Place<'_>, value: &str, allowed: String) {
        self.push(FileFault {
            file: place.file.into(),
            row: place.known_row(),
            column: None,
            value: shortened(value),
            allowed,
        });
    }

    /// Notes a fault of a cell.
    pub(super) fn of_cell(&mut self, place: Place<'_>, fault: CellFault) {
        self.push(FileFault {
            file: place.file.into(),
            row: place.known_row(),
            column: Some(fault.column),
            value: shortened(&fault.value),
            allowed: fault.allowed,
        });
    }

    /// Notes every fault of a row's cells.
    pub(super) fn of_cells(&mut self, place: Place<'_>, faults: Vec<CellFault>) {
        for fault in faults {
            self.of_cell(place, fault);
        }
    }

    /// Whether all is well so far.
    pub(super) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Notes a fault whose place was looked up.
    pub(super) fn push_found(&mut self, mut fault: FileFault) {
        fault.value = shortened(&fault.value);
        self.push(fault);
    }

    /// Whether all is well with a file so far.
    pub(super) fn are_none_in(&self, file: &str) -> bool {
        self.0.iter().all(|fault| &*fault.file != file)
    }

    /// Everything noted, in order of file, row and column, or nothing if all is well.
    pub(super) fn into_sorted(self) -> Vec<FileFault> {
        let mut faults = self.0;
        faults.sort();
        faults
    }

    fn push(&mut self, fault: FileFault) {
        if self.0.len() < FAULTS_MAX {
            self.0.push(fault);
        } else if let Some(last) = self.0.last_mut() {
            last.allowed = format!("there are more than {FAULTS_MAX} faults, the rest is left out");
        }
    }
}

fn shortened(value: &str) -> Box<str> {
    if value.chars().nth(VALUE_CHARS_MAX).is_none() {
        return value.into();
    }
    let kept: String = value.chars().take(VALUE_CHARS_MAX).chain(['…']).collect();
    kept.into()
}

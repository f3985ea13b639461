//! Two contents compared row by row: what was added, removed and changed in each file, and in which columns.

use std::collections::BTreeMap;

use csv::StringRecord;

use crate::domain::catalogue::EditionContent;

use super::changes::key_of;
use super::columns::key_columns;
use super::documents;
use super::table::Table;
use super::write::tables_of;

/// Rows of one file that are listed; the counts go on.
pub const ROWS_LISTED_MAX: usize = 1_000;

/// What happened to a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowFate {
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// Some of its cells differ.
    Changed,
}

/// A cell that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellChange {
    /// Name of the column.
    pub column: Box<str>,
    /// What stood there; empty for nothing.
    pub from: Box<str>,
    /// What stands there now.
    pub to: Box<str>,
}

/// A row that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowChange {
    /// What happened to it.
    pub fate: RowFate,
    /// The values of its key columns with a blank between.
    pub key: Box<str>,
    /// What differs, for a changed row.
    pub cells: Vec<CellChange>,
}

/// What happened to the rows of one file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FileChanges {
    /// Name of the file without `.csv`.
    pub file: &'static str,
    /// Rows added.
    pub added: u64,
    /// Rows removed.
    pub removed: u64,
    /// Rows changed.
    pub changed: u64,
    /// The first of them.
    pub rows: Vec<RowChange>,
}

/// Every file whose rows differ, the older content first.
pub fn compare_rows(old: &EditionContent, new: &EditionContent) -> Vec<FileChanges> {
    let (before, after) = (tables_of(old), tables_of(new));
    let mut files: Vec<&'static str> = before.keys().chain(after.keys()).copied().collect();
    files.sort_unstable();
    files.dedup();
    let mut found: Vec<FileChanges> = files
        .into_iter()
        .map(|file| compare_tables(file, before.get(file), after.get(file)))
        .collect();
    found.push(compare_documents(old, new));
    found.retain(|changes| {
        0 < changes.added.saturating_add(changes.removed).saturating_add(changes.changed)
    });
    found
}

fn compare_tables(file: &'static str, old: Option<&Table>, new: Option<&Table>) -> FileChanges {
    let mut changes =
        FileChanges { file: file.strip_suffix(".csv").unwrap_or(file), ..FileChanges::default() };
    let (before, after) = (rows_of(file, old), rows_of(file, new));
    for (key, cells) in &after {
        match before.get(key) {
            None => changes.note(RowFate::Added, key, Vec::new),
            Some(earlier) => {
                let columns = Columns { old, new };
                if columns.differ(earlier, cells) {
                    changes.note(RowFate::Changed, key, || columns.differences(earlier, cells));
                }
            }
        }
    }
    for key in before.keys().filter(|key| !after.contains_key(*key)) {
        changes.note(RowFate::Removed, key, Vec::new);
    }
    changes
}

type Rows<'a> = BTreeMap<String, &'a StringRecord>;

fn rows_of<'a>(file: &str, table: Option<&'a Table>) -> Rows<'a> {
    let Some(table) = table else { return Rows::new() };
    let columns = key_columns(file);
    table.rows.iter().map(|(_, cells)| (key_of(table, cells, columns), cells)).collect()
}

/// The columns of both tables; the keeper's own need not be the same.
#[derive(Clone, Copy)]
struct Columns<'a> {
    old: Option<&'a Table>,
    new: Option<&'a Table>,
}

impl Columns<'_> {
    fn differ(self, old: &StringRecord, new: &StringRecord) -> bool {
        let is_same_header =
            self.old.map(|table| &table.header) == self.new.map(|table| &table.header);
        if is_same_header { old != new } else { !self.differences(old, new).is_empty() }
    }

    fn differences(self, old: &StringRecord, new: &StringRecord) -> Vec<CellChange> {
        let (Some(before), Some(after)) = (self.old, self.new) else { return Vec::new() };
        let mut names: Vec<&str> = before.header.iter().collect();
        names.extend(after.header.iter().filter(|name| before.column(name).is_none()));
        let cell = |table: &Table, cells: &StringRecord, name: &str| -> Box<str> {
            let cell = table.column(name).and_then(|place| cells.get(place));
            cell.unwrap_or_default().into()
        };
        let change = |name: &str| CellChange {
            column: name.into(),
            from: cell(before, old, name),
            to: cell(after, new, name),
        };
        names.into_iter().map(change).filter(|change| change.from != change.to).collect()
    }
}

fn compare_documents(old: &EditionContent, new: &EditionContent) -> FileChanges {
    let mut changes = FileChanges { file: "documents", ..FileChanges::default() };
    let (before, after) = (documents::of_content(old), documents::of_content(new));
    for (path, text) in &after {
        match before.get(path) {
            None => changes.note(RowFate::Added, path, Vec::new),
            Some(earlier) if earlier == text => {}
            Some(_) => changes.note(RowFate::Changed, path, Vec::new),
        }
    }
    for path in before.keys().filter(|path| !after.contains_key(*path)) {
        changes.note(RowFate::Removed, path, Vec::new);
    }
    changes
}

impl FileChanges {
    fn note<C: FnOnce() -> Vec<CellChange>>(&mut self, fate: RowFate, key: &str, cells: C) {
        let count = match fate {
            RowFate::Added => &mut self.added,
            RowFate::Removed => &mut self.removed,
            RowFate::Changed => &mut self.changed,
        };
        *count = count.saturating_add(1);
        if self.rows.len() < ROWS_LISTED_MAX {
            self.rows.push(RowChange { fate, key: key.into(), cells: cells() });
        }
    }
}

//! Changes to tables: rows put over rows of the same key, and rows taken away.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use csv::StringRecord;

use super::columns::key_columns;
use super::fault::CellFault;
use super::fault::Faults;
use super::fault::Place;
use super::table::Table;
use super::tables::Documents;
use super::tables::REMOVALS;
use super::tables::Tables;
use super::tables::ordered;

/// Tables of parts, with which other rows go.
const PART_FILES: [&str; 4] = ["bodies.csv", "elements.csv", "controls.csv", "accessories.csv"];

/// Rows that go with a part, and the column that names it.
const WITH_PARTS: [(&str, &str); 3] =
    [("prices.csv", "sku"), ("quantity_breaks.csv", "sku"), ("included.csv", "body")];

/// Puts the rows of a change over those of a table.
///
/// A number in a change is written as the change declares, so a table that holds both keeps to the point: numbers with
/// commas are turned before they are put in.
pub(super) fn overlay(tables: &mut Tables, name: &'static str, change: Table, faults: &mut Faults) {
    let Some(base) = tables.get_mut(name) else {
        tables.insert(name, change);
        return;
    };
    if base.rows.is_empty() {
        *base = change;
        return;
    }
    if base.mark != change.mark {
        let allowed = "numbers with a decimal point: changes to rows of an edition are written so";
        faults.of_file(name, "# decimal: comma", allowed.to_owned());
        return;
    }
    for added in
        change.header.iter().filter(|column| base.column(column).is_none()).collect::<Vec<_>>()
    {
        base.header.push_field(added);
        for (_, cells) in &mut base.rows {
            cells.push_field("");
        }
    }
    let keys = key_columns(name);
    let mut rows: BTreeMap<String, usize> = BTreeMap::new();
    for (index, (_, cells)) in base.rows.iter().enumerate() {
        rows.insert(key_of(base, cells, keys), index);
    }
    let places: Vec<Option<usize>> =
        base.header.iter().map(|column| change.column(column)).collect();
    let mut seen = BTreeMap::new();
    for (row, cells) in &change.rows {
        let key = key_of(&change, cells, keys);
        if let Some(first) = seen.insert(key.clone(), *row) {
            let allowed = format!(
                "each stands once; {} tell the rows apart, row {first} has the same",
                keys.join(", ")
            );
            let last = keys.last().copied().unwrap_or_default();
            faults.of_cell(Place { file: name, row: *row }, CellFault::new(last, &key, allowed));
            continue;
        }
        match rows.get(&key).and_then(|index| base.rows.get_mut(*index)) {
            Some(old) => *old = (*row, merged(&old.1, cells, &places)),
            None => base.rows.push((*row, ordered(cells, &places).into_iter().collect())),
        }
    }
}

/// Takes away what `removals.csv` names. What it names and is not there is a fault.
pub(super) fn remove(
    removals: &Table,
    (tables, documents): (&mut Tables, &mut Documents),
    faults: &mut Faults,
) {
    let (Some(file_place), Some(key_place), 2) =
        (removals.column("file"), removals.column("key"), removals.header.len())
    else {
        let allowed = "the columns are file, key".to_owned();
        faults.of_row(Place { file: removals.file, row: 1 }, "", allowed);
        return;
    };
    let mut named: BTreeMap<&str, BTreeMap<&str, u64>> = BTreeMap::new();
    for (row, cells) in &removals.rows {
        let cell = |place| cells.get(place).unwrap_or_default();
        let (file, key) = (cell(file_place), cell(key_place));
        if documents.remove(&*format!("{file}/{key}.json")).is_none() {
            named.entry(file).or_default().insert(key, *row);
        }
    }
    for (file, keys) in named {
        remove_from(tables, file, keys, faults);
    }
}

fn remove_from(
    tables: &mut Tables,
    file: &str,
    mut keys: BTreeMap<&str, u64>,
    faults: &mut Faults,
) {
    let removed: Vec<String> = keys.keys().map(|key| (*key).to_owned()).collect();
    if let Some(table) = tables.get_mut(file) {
        let columns = key_columns(file);
        let rows = std::mem::take(&mut table.rows);
        let stays = |(_, cells): &(u64, StringRecord)| {
            keys.remove(&*key_of(table, cells, columns)).is_none()
        };
        let left = rows.into_iter().filter(stays).collect();
        table.rows = left;
    }
    for (key, row) in keys {
        let allowed = format!(
            "a row of {file} in the edition that is changed: the values of its key columns with a blank between"
        );
        faults.of_cell(Place { file: REMOVALS, row }, CellFault::new("key", key, allowed));
    }
    if PART_FILES.contains(&file) {
        for (name, column) in WITH_PARTS {
            drop_rows(tables, (name, column), &removed);
        }
    }
}

fn drop_rows(tables: &mut Tables, (name, column): (&str, &str), skus: &[String]) {
    let Some(table) = tables.get_mut(name) else { return };
    let Some(place) = table.column(column) else { return };
    let gone: BTreeSet<&str> = skus.iter().map(String::as_str).collect();
    table.rows.retain(|(_, cells)| !gone.contains(cells.get(place).unwrap_or_default()));
}

/// The old cells with those of a change in their places.
fn merged(old: &StringRecord, new: &StringRecord, places: &[Option<usize>]) -> StringRecord {
    let cells = old.iter().zip(places);
    cells.map(|(cell, place)| place.map_or(cell, |place| new.get(place).unwrap_or(cell))).collect()
}

/// What tells a row apart.
pub(super) fn key_of(table: &Table, cells: &StringRecord, columns: &[&str]) -> String {
    let parts = columns
        .iter()
        .map(|column| table.column(column).and_then(|place| cells.get(place)).unwrap_or_default());
    parts.collect::<Vec<_>>().join(" ")
}

//! A catalogue as one JSON document: an object with a list of rows under the name of each file, without `.csv`.
//!
//! A row is an object of columns. A cell is a text, a number, `true` or `false` for yes and no, a list for a set of
//! words, or `null` for nothing. Rows are counted from 1. The document is read as a stream into tables: it is never held
//! as a tree. Absent here: what the cells mean.

use std::collections::BTreeMap;
use std::fmt;

use csv::StringRecord;
use serde::de::DeserializeSeed;
use serde::de::Deserializer;
use serde::de::IgnoredAny;
use serde::de::MapAccess;
use serde::de::SeqAccess;
use serde::de::Visitor;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::store::rule_packs;

use super::documents;
use super::fault::CellFault;
use super::fault::Place;
use super::table::CELLS_MAX;
use super::table::DecimalMark;
use super::table::ROWS_MAX;
use super::table::Table;
use super::upload::Upload;
use super::upload::allowed_names;
use super::upload::known_file;

/// What faults of the document as a whole are blamed on.
const DOCUMENT: &str = "document";

/// Columns of a list at most.
const COLUMNS_MAX: usize = 500;

impl Upload {
    /// A catalogue in one JSON document.
    pub fn of_json(bytes: &[u8]) -> Self {
        let mut upload = Self::default();
        let mut reader = serde_json::Deserializer::from_slice(bytes);
        let read = DocumentSeed(&mut upload).deserialize(&mut reader).and_then(|()| reader.end());
        if let Err(error) = read {
            upload.blame(
                DOCUMENT,
                "",
                format!("one JSON object with a list of rows under each name ({error})"),
            );
        }
        upload
    }

    /// The whole as one JSON document.
    pub fn json(&self) -> Value {
        let mut document = Map::new();
        for table in self.tables().values() {
            let name = table.file.strip_suffix(".csv").unwrap_or(table.file);
            document.insert(
                name.to_owned(),
                table.rows.iter().map(|(_, cells)| row_of(table, cells)).collect(),
            );
        }
        for (path, text) in self.documents() {
            let Some((folder, file)) = path.split_once('/') else {
                let value = serde_json::from_str(text).unwrap_or(Value::Null);
                document.insert(path.strip_suffix(".json").unwrap_or(path).to_owned(), value);
                continue;
            };
            let name = file.strip_suffix(".json").unwrap_or(file).to_owned();
            let value = serde_json::from_str(text).unwrap_or(Value::Null);
            let folder = document.entry(folder).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(entries) = folder {
                entries.insert(name, value);
            }
        }
        Value::Object(document)
    }
}

/// A row as an object of the cells that state something.
fn row_of(table: &Table, cells: &StringRecord) -> Value {
    let stated = table.header.iter().zip(cells).filter(|(_, cell)| !cell.is_empty());
    stated.map(|(name, cell)| (name.to_owned(), json!(cell))).collect::<Map<_, _>>().into()
}

/// The document: names of files, each with its rows.
struct DocumentSeed<'a>(&'a mut Upload);

impl<'de> DeserializeSeed<'de> for DocumentSeed<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for DocumentSeed<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object of lists of rows")
    }

    fn visit_map<A: MapAccess<'de>>(mut self, mut map: A) -> Result<(), A::Error> {
        while let Some(name) = map.next_key::<String>()? {
            self.entry(&name, &mut map)?;
        }
        Ok(())
    }
}

impl DocumentSeed<'_> {
    fn entry<'de, A: MapAccess<'de>>(&mut self, name: &str, map: &mut A) -> Result<(), A::Error> {
        if name == documents::SAMPLES {
            let samples: BTreeMap<String, Value> = map.next_value()?;
            for (entry, value) in samples {
                let path = format!("{name}/{entry}.json");
                self.0.add_document(&path, documents::from_value(&path, &value));
            }
        } else if format!("{name}.json") == rule_packs::FILE {
            let value: Value = map.next_value()?;
            self.0.add_document(rule_packs::FILE, documents::from_value(rule_packs::FILE, &value));
        } else if let Some(file) = known_file(&format!("{name}.csv")) {
            let is_repeated = self.0.tables().contains_key(file);
            let table = map.next_value_seed(RowsSeed { file, upload: &mut *self.0 })?;
            self.0.tables_mut().insert(file, table);
            if is_repeated {
                self.0.blame(file, name, "the name stands in the document once".to_owned());
            }
        } else {
            map.next_value::<IgnoredAny>()?;
            self.0.blame(DOCUMENT, name, allowed_names().replace(".csv", ""));
        }
        Ok(())
    }
}

/// The rows of one file.
struct RowsSeed<'a> {
    file: &'static str,
    upload: &'a mut Upload,
}

impl<'de> DeserializeSeed<'de> for RowsSeed<'_> {
    type Value = Table;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Table, D::Error> {
        deserializer.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for RowsSeed<'_> {
    type Value = Table;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of rows, each an object of cells")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut sequence: A) -> Result<Table, A::Error> {
        let mut columns = Columns::default();
        let mut rows = Vec::new();
        let mut row: u64 = 1;
        while let Some(read) = sequence.next_element_seed(RowSeed(&mut columns))? {
            let place = Place { file: self.file, row };
            self.upload.faults_mut().of_cells(place, read.faults);
            let cells = columns.names.len().saturating_mul(rows.len());
            if rows.len() == ROWS_MAX || CELLS_MAX < cells {
                let allowed = format!("a list holds at most {ROWS_MAX} rows and {CELLS_MAX} cells");
                self.upload.faults_mut().of_row(place, "", allowed);
                // Nothing of the list is used any more.
                rows = Vec::new();
                pass_over(&mut sequence)?;
                break;
            }
            rows.push((row, read.cells));
            row = row.saturating_add(1);
        }
        let width = columns.names.len();
        let rows = rows.into_iter().map(|(line, cells)| (line, filled_up(&cells, width))).collect();
        let header = columns.names.into_iter().collect();
        Ok(Table { file: self.file, header, rows, mark: DecimalMark::Point })
    }
}

fn pass_over<'de, A: SeqAccess<'de>>(sequence: &mut A) -> Result<(), A::Error> {
    while sequence.next_element::<IgnoredAny>()?.is_some() {}
    Ok(())
}

/// The cells of a row, with empty ones for the columns that it does not name.
fn filled_up(cells: &[String], width: usize) -> StringRecord {
    let mut record: StringRecord = cells.iter().collect();
    while record.len() < width {
        record.push_field("");
    }
    record
}

/// The columns met so far, in the order in which they were first named.
#[derive(Debug, Default)]
struct Columns {
    names: Vec<String>,
    places: BTreeMap<String, usize>,
}

impl Columns {
    fn place(&mut self, name: String) -> Option<usize> {
        if let Some(place) = self.places.get(&name) {
            return Some(*place);
        }
        let place = self.names.len();
        if place == COLUMNS_MAX {
            return None;
        }
        self.names.push(name.clone());
        self.places.insert(name, place);
        Some(place)
    }
}

struct RowSeed<'a>(&'a mut Columns);

#[derive(Debug, Default)]
struct ReadRow {
    cells: Vec<String>,
    faults: Vec<CellFault>,
}

impl<'de> DeserializeSeed<'de> for RowSeed<'_> {
    type Value = ReadRow;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<ReadRow, D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for RowSeed<'_> {
    type Value = ReadRow;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a row, an object of cells")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<ReadRow, A::Error> {
        let mut row = ReadRow::default();
        let mut given = Vec::new();
        while let Some(name) = map.next_key::<String>()? {
            let cell = map.next_value_seed(CellSeed)?;
            match self.0.place(name.clone()) {
                Some(place) if given.contains(&place) => {
                    row.blame(&name, "a column once in a row".to_owned());
                }
                Some(place) => {
                    given.push(place);
                    row.set(&name, place, cell);
                }
                None => row.blame(&name, format!("at most {COLUMNS_MAX} columns")),
            }
        }
        Ok(row)
    }
}

impl ReadRow {
    fn blame(&mut self, column: &str, allowed: String) {
        self.faults.push(CellFault::new(column, column, allowed));
    }

    fn set(&mut self, column: &str, place: usize, cell: MaybeText) {
        if self.cells.len() <= place {
            self.cells.resize(place.saturating_add(1), String::new());
        }
        if let (Some(text), Some(slot)) = (cell, self.cells.get_mut(place)) {
            *slot = text;
        } else {
            let allowed = "a text, a number, true, false, null, or a list of words".to_owned();
            self.faults.push(CellFault::new(column, "{…}", allowed));
        }
    }
}

/// A cell as text; nothing for what can be none.
type MaybeText = Option<String>;

/// One cell as text; nothing for what can be none.
struct CellSeed;

impl<'de> DeserializeSeed<'de> for CellSeed {
    type Value = MaybeText;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for CellSeed {
    type Value = MaybeText;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a cell")
    }

    fn visit_str<E>(self, text: &str) -> Result<Self::Value, E> {
        Ok(Some(text.to_owned()))
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Self::Value, E> {
        Ok(Some(if flag { "yes" } else { "no" }.to_owned()))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Self::Value, E> {
        Ok(Some(number.to_string()))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Self::Value, E> {
        Ok(Some(number.to_string()))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Self::Value, E> {
        Ok(Some(number.to_string()))
    }

    fn visit_unit<E>(self) -> Result<Self::Value, E> {
        Ok(Some(String::new()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut sequence: A) -> Result<Self::Value, A::Error> {
        let mut words = Vec::new();
        let mut is_good = true;
        while let Some(word) = sequence.next_element::<Value>()? {
            if let Value::String(text) = word {
                words.push(text);
            } else {
                is_good = false;
            }
        }
        Ok(is_good.then(|| words.join(" ")))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(None)
    }
}

//! Rows of typed cells: a table read against its columns, with a fault for every cell that is not as its column says.

use std::collections::BTreeMap;
use std::rc::Rc;

use csv::StringRecord;
use jiff::civil::Date;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Stated;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;
use crate::domain::ecodesign::ControlCode;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::ip_code::IpCode;
use crate::domain::money::Currency;
use crate::domain::money::UnitPrice;
use crate::domain::protection::ProtectionClass;
use crate::domain::thread::Thread;
use crate::domain::thread::ThreadForm;

use super::cell::Cell;
use super::cell::CellType;
use super::columns::CARD;
use super::columns::Column;
use super::fault::CellFault;
use super::fault::Faults;
use super::fault::Place;
use super::fault::RowResult;
use super::table::DecimalMark;
use super::table::Table;

/// The keeper's own attributes as declared, with their types.
pub(super) type Declared = BTreeMap<AttributeName, ValueType>;

/// What a file's columns may be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout<'a> {
    /// The columns of our own.
    pub columns: &'static [Column],
    /// The kind of part, where the file holds parts: then the card's columns and the keeper's come on top.
    pub part: Option<(PartKind, &'a Declared)>,
}

impl Layout<'static> {
    /// A file that holds no parts.
    pub(super) const fn plain(columns: &'static [Column]) -> Self {
        Self { columns, part: None }
    }
}

impl Layout<'_> {
    fn own_columns(&self) -> impl Iterator<Item = &'static Column> {
        let card = if self.part.is_some() { CARD } else { &[] };
        card.iter().chain(self.columns)
    }

    fn cell_type(&self, name: &str) -> Option<(CellType, bool)> {
        let own = self.own_columns().find(|column| column.name == name);
        own.map(|column| (column.cell, column.is_required)).or_else(|| {
            let (kind, declared) = self.part?;
            let attribute = AttributeName { kind, name: name.into() };
            declared.get(&attribute).map(|value_type| (CellType::Keeper(*value_type), false))
        })
    }

    /// The type of each column of a header, or a fault for every column that is unknown, repeated or missing.
    fn types(&self, table: &Table, faults: &mut Faults) -> Option<Vec<HeaderColumn>> {
        let place = Place { file: table.file, row: 1 };
        let mut types: Vec<HeaderColumn> = Vec::new();
        let mut is_whole = true;
        for name in &table.header {
            let repeated = types.iter().any(|known| &*known.name == name);
            match self.cell_type(name) {
                Some((cell, is_required)) if !repeated => {
                    types.push(HeaderColumn { name: name.into(), cell, is_required });
                }
                Some(_) => {
                    faults.of_cell(place, CellFault::new(name, name, "a column once".to_owned()));
                    is_whole = false;
                }
                None => {
                    faults.of_cell(place, CellFault::new(name, name, self.allowed_columns()));
                    is_whole = false;
                }
            }
        }
        for column in self.own_columns().filter(|column| column.is_required) {
            if !table.header.iter().any(|name| name == column.name) {
                let allowed = "the column is missing and needed".to_owned();
                faults.of_cell(place, CellFault::new(column.name, "", allowed));
                is_whole = false;
            }
        }
        is_whole.then_some(types)
    }

    fn allowed_columns(&self) -> String {
        let names: Vec<&str> = self.own_columns().map(|column| column.name).collect();
        let keeper = if self.part.is_some() {
            ", and the keeper's own attributes that attributes.csv declares for this kind"
        } else {
            ""
        };
        format!("the columns are {}{keeper}", names.join(", "))
    }
}

/// A column as it stands in a header.
#[derive(Debug)]
struct HeaderColumn {
    name: Box<str>,
    cell: CellType,
    is_required: bool,
}

/// The columns of a table by name, each with its place in a row. Shared by the rows, of which there may be a million.
#[derive(Debug)]
struct Places(Vec<NamedPlace>);

type NamedPlace = (Box<str>, usize);

impl Places {
    fn of(types: &[HeaderColumn]) -> Self {
        let places = types.iter().enumerate().map(|(place, column)| (column.name.clone(), place));
        let mut places: Vec<_> = places.collect();
        places.sort();
        Self(places)
    }

    fn find(&self, column: &str) -> Option<usize> {
        let found = self.0.binary_search_by(|(name, _)| (**name).cmp(column)).ok()?;
        self.0.get(found).map(|(_, place)| *place)
    }
}

/// A row whose every cell is as its column says.
#[derive(Debug)]
pub(super) struct Record {
    row: u64,
    places: Rc<Places>,
    cells: Vec<Cell>,
    mark: DecimalMark,
}

/// The rows of a table that are well formed. Every other row leaves at least one fault.
pub(super) fn records(table: &Table, layout: Layout<'_>, faults: &mut Faults) -> Vec<Record> {
    let Some(types) = layout.types(table, faults) else { return Vec::new() };
    let places = Rc::new(Places::of(&types));
    let mut records = Vec::with_capacity(table.rows.len());
    for (row, cells) in &table.rows {
        match read_cells(cells, (&types, table.mark)) {
            Ok(cells) => {
                let places = Rc::clone(&places);
                records.push(Record { row: *row, places, cells, mark: table.mark });
            }
            Err(found) => {
                for fault in found {
                    faults.of_cell(Place { file: table.file, row: *row }, fault);
                }
            }
        }
    }
    records
}

fn read_cells(
    cells: &StringRecord,
    (types, mark): (&[HeaderColumn], DecimalMark),
) -> RowResult<Vec<Cell>> {
    let mut read = Vec::with_capacity(types.len());
    let mut faults = Vec::new();
    for (text, column) in cells.iter().zip(types) {
        let cell = match (text.is_empty(), column.is_required) {
            (true, true) => Err("a value is needed".to_owned()),
            (true, false) => Ok(Cell::Absent),
            (false, _) => column.cell.read_marked(text, mark),
        };
        match cell {
            Ok(cell) => read.push(cell),
            Err(allowed) => faults.push(CellFault::new(&column.name, text, allowed)),
        }
    }
    if faults.is_empty() { Ok(read) } else { Err(faults) }
}

macro_rules! typed {
    ($($(#[$attribute:meta])* $maybe:ident $variant:ident $kind:ty;)+) => {$(
        $(#[$attribute])*
        pub(super) fn $maybe(&self, column: &str) -> Result<Option<$kind>, CellFault> {
            match self.cell(column) {
                Some(Cell::$variant(value)) => Ok(Some(value.clone())),
                None | Some(Cell::Absent) => Ok(None),
                Some(other) => {
                    let allowed = format!("the column holds {other:?}, which is read as another type");
                    Err(CellFault::new(column, "", allowed))
                }
            }
        }
    )+};
}

macro_rules! required {
    ($($name:ident $maybe:ident $kind:ty;)+) => {$(
        /// The same, where something must stand.
        pub(super) fn $name(&self, column: &str) -> Result<$kind, CellFault> {
            self.$maybe(column)?.ok_or_else(|| needed(column))
        }
    )+};
}

impl Record {
    typed! {
        /// A text.
        maybe_text Text Box<str>;
        /// A number with decimals.
        maybe_decimal Decimal f64;
        /// A whole number.
        maybe_whole Whole i32;
        /// Yes or no.
        maybe_flag Flag bool;
        /// Yes, no, or not stated.
        maybe_stated Stated Stated;
        /// A part number.
        maybe_sku Sku Sku;
        /// A thread.
        maybe_thread Thread Thread;
        /// A thread form.
        maybe_thread_form ThreadForm ThreadForm;
        /// An IP code.
        maybe_ip Ip IpCode;
        /// A protection class.
        maybe_class Class ProtectionClass;
        /// A control code.
        maybe_control_code ControlCode ControlCode;
        /// An evidence mark.
        maybe_evidence Evidence Evidence;
        /// A day.
        maybe_date Date Date;
        /// A unit price.
        maybe_price Price UnitPrice;
        /// A currency.
        maybe_currency Currency Currency;
        /// An attribute's name.
        maybe_attribute Attribute AttributeName;
    }

    required! {
        text maybe_text Box<str>;
        decimal maybe_decimal f64;
        whole maybe_whole i32;
        flag maybe_flag bool;
        stated maybe_stated Stated;
        sku maybe_sku Sku;
        thread maybe_thread Thread;
        thread_form maybe_thread_form ThreadForm;
        control_code maybe_control_code ControlCode;
        evidence maybe_evidence Evidence;
        date maybe_date Date;
        price maybe_price UnitPrice;
        currency maybe_currency Currency;
        attribute maybe_attribute AttributeName;
    }

    fn cell(&self, column: &str) -> Option<&Cell> {
        self.cells.get(self.places.find(column)?)
    }

    /// How its file writes numbers.
    pub(super) const fn mark(&self) -> DecimalMark {
        self.mark
    }

    /// Line on which it begins.
    pub(super) const fn row(&self) -> u64 {
        self.row
    }

    /// A whole number in a narrower type.
    pub(super) fn count<T: TryFrom<i32>>(&self, column: &str) -> Result<T, CellFault> {
        self.maybe_count(column)?.ok_or_else(|| needed(column))
    }

    /// A whole number in a narrower type, where the cell may be empty.
    pub(super) fn maybe_count<T: TryFrom<i32>>(
        &self,
        column: &str,
    ) -> Result<Option<T>, CellFault> {
        let Some(whole) = self.maybe_whole(column)? else { return Ok(None) };
        let Ok(count) = T::try_from(whole) else {
            let allowed = "a whole number that its field can hold".to_owned();
            return Err(CellFault::new(column, &whole.to_string(), allowed));
        };
        Ok(Some(count))
    }

    /// One of a closed list of words, as the value that it stands for.
    pub(super) fn word<T, P>(&self, column: &str, parse: P) -> Result<T, CellFault>
    where
        P: Fn(&str) -> Option<T>,
    {
        let word = self.text(column)?;
        parse(&word)
            .ok_or_else(|| CellFault::new(column, &word, "a word that its field knows".to_owned()))
    }

    /// The words of a cell that is split at blanks.
    pub(super) fn words(&self, column: &str) -> Result<Vec<Box<str>>, CellFault> {
        let text = self.maybe_text(column)?.unwrap_or_default();
        Ok(text.split_whitespace().map(Into::into).collect())
    }

    /// A source: its text in one column, how it is known in another.
    pub(super) fn source(&self, text: &str, evidence: &str) -> Result<Source, CellFault> {
        Ok(Source::stated(self.text(text)?.into(), self.evidence(evidence)?))
    }

    /// Whether something stands in a cell.
    pub(super) fn states(&self, column: &str) -> bool {
        !matches!(self.cell(column), None | Some(Cell::Absent))
    }

    /// What the columns say that tell rows apart, with a blank between.
    pub(super) fn key(&self, columns: &[&str]) -> String {
        let parts = columns.iter().filter_map(|column| self.cell(column)?.label());
        parts.collect::<Vec<_>>().join(" ")
    }

    /// The keeper's own attributes of the row.
    pub(super) fn keeper(&self) -> BTreeMap<Box<str>, Value> {
        let mut values = BTreeMap::new();
        for (name, place) in &self.places.0 {
            if let Some(Cell::Value(value)) = self.cells.get(*place) {
                values.insert(name.clone(), value.clone());
            }
        }
        values
    }
}

fn needed(column: &str) -> CellFault {
    CellFault::new(column, "", "a value is needed in this row".to_owned())
}

/// Turns records into things, and notes a fault for each record that cannot become one.
pub(super) fn build<T, M: Fn(&Record) -> RowResult<T>>(
    file: &str,
    records: &[Record],
    make: M,
    faults: &mut Faults,
) -> Vec<T> {
    let mut things = Vec::with_capacity(records.len());
    for record in records {
        match make(record) {
            Ok(thing) => things.push(thing),
            Err(found) => {
                for fault in found {
                    faults.of_cell(Place { file, row: record.row }, fault);
                }
            }
        }
    }
    things
}

//! The set of files, and the order in which they are read into one content.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::PartKind;

use super::accessories::accessory;
use super::accessories::include;
use super::attributes::declaration;
use super::bodies::body;
use super::columns;
use super::columns::Column;
use super::controls::control;
use super::elements::element;
use super::fault::CellFault;
use super::fault::Faults;
use super::fault::FileFault;
use super::fault::Place;
use super::markets::fill_prices;
use super::markets::finish;
use super::markets::market;
use super::markets::price_list;
use super::record::Declared;
use super::record::Layout;
use super::record::Record;
use super::record::build;
use super::record::records;
use super::rules::listed_pair;
use super::rules::rules;
use super::rules::thread_mating;
use super::table::Table;
use super::table::read_table;

/// The files of a catalogue. Each must be there, if only with its header line.
pub const FILES: [&str; 13] = [
    "attributes.csv",
    "finishes.csv",
    "bodies.csv",
    "elements.csv",
    "controls.csv",
    "accessories.csv",
    "included.csv",
    "listed_pairs.csv",
    "thread_matings.csv",
    "rules.csv",
    "markets.csv",
    "price_lists.csv",
    "prices.csv",
];

/// The content of an edition in files by name, or **every** fault in them, in order of file and row.
///
/// ```
/// use std::collections::BTreeMap;
/// use rungwright::store::catalogue_files::read;
/// // A missing file is a fault, not an empty catalogue; so is a misspelt one.
/// let faults = read(&BTreeMap::from([("body.csv".to_owned(), Vec::new())])).unwrap_err();
/// assert_eq!(faults.len(), 1 + rungwright::store::catalogue_files::FILES.len());
/// ```
pub fn read(files: &BTreeMap<String, Vec<u8>>) -> Result<EditionContent, Vec<FileFault>> {
    let mut reading = Reading { files, faults: Faults::default() };
    reading.check_names();
    let content = reading.content();
    let faults = reading.faults.into_sorted();
    if faults.is_empty() { Ok(content) } else { Err(faults) }
}

struct Reading<'a> {
    files: &'a BTreeMap<String, Vec<u8>>,
    faults: Faults,
}

impl Reading<'_> {
    fn check_names(&mut self) {
        let named = FILES.join(", ");
        for name in self.files.keys().filter(|name| !FILES.contains(&name.as_str())) {
            self.faults.of_file(name, name, format!("the files are {named}"));
        }
        for name in FILES.into_iter().filter(|name| !self.files.contains_key(*name)) {
            self.faults.of_file(name, "", "the file is missing and needed".to_owned());
        }
    }

    fn content(&mut self) -> EditionContent {
        let mut content = EditionContent {
            attributes: self.things("attributes.csv", columns::ATTRIBUTES, declaration, "attribute"),
            finishes: self
                .things("finishes.csv", columns::FINISHES, finish, "finish")
                .into_iter()
                .collect(),
            listed_pairs: self.things("listed_pairs.csv", columns::LISTED_PAIRS, listed_pair, ""),
            thread_matings: self.things(
                "thread_matings.csv",
                columns::THREAD_MATINGS,
                thread_mating,
                "",
            ),
            markets: self.things("markets.csv", columns::MARKETS, market, "code"),
            price_lists: self.things("price_lists.csv", columns::PRICE_LISTS, price_list, "code"),
            ..EditionContent::default()
        };
        self.fill_parts(&mut content);
        self.fill_rules(&mut content);
        let included = self.rows("included.csv", Layout::plain(columns::INCLUDED));
        include("included.csv", &included, &mut content.bodies, &mut self.faults);
        let prices = self.rows("prices.csv", Layout::plain(columns::PRICES));
        fill_prices("prices.csv", &prices, &mut content.price_lists, &mut self.faults);
        content
    }

    fn fill_parts(&mut self, content: &mut EditionContent) {
        let declared = declared(content);
        let layout = |kind, columns| Layout { columns, part: Some((kind, &declared)) };
        let mut skus = BTreeSet::new();
        let bodies = self.rows("bodies.csv", layout(PartKind::Body, columns::BODIES));
        let elements = self.rows("elements.csv", layout(PartKind::Element, columns::ELEMENTS));
        let controls = self.rows("controls.csv", layout(PartKind::Control, columns::CONTROLS));
        let accessories =
            self.rows("accessories.csv", layout(PartKind::Accessory, columns::ACCESSORIES));
        self.check_once("bodies.csv", &bodies, "sku", &mut skus);
        self.check_once("elements.csv", &elements, "sku", &mut skus);
        self.check_once("controls.csv", &controls, "sku", &mut skus);
        self.check_once("accessories.csv", &accessories, "sku", &mut skus);
        content.bodies = build("bodies.csv", &bodies, body, &mut self.faults);
        content.elements = build("elements.csv", &elements, element, &mut self.faults);
        content.controls = build("controls.csv", &controls, control, &mut self.faults);
        content.accessories = build("accessories.csv", &accessories, accessory, &mut self.faults);
    }

    fn fill_rules(&mut self, content: &mut EditionContent) {
        let declared = declared(content);
        let rows = self.rows("rules.csv", Layout::plain(columns::RULES));
        self.check_once("rules.csv", &rows, "code", &mut BTreeSet::new());
        content.rules = rules("rules.csv", &rows, &declared, &mut self.faults);
    }

    /// The things of a file that holds no parts; `key` names the column whose values stand once, if any.
    fn things<T>(
        &mut self,
        file: &'static str,
        columns: &'static [Column],
        make: fn(&Record) -> Result<T, Vec<CellFault>>,
        key: &str,
    ) -> Vec<T> {
        let rows = self.rows(file, Layout::plain(columns));
        if !key.is_empty() {
            self.check_once(file, &rows, key, &mut BTreeSet::new());
        }
        build(file, &rows, make, &mut self.faults)
    }

    fn rows(&mut self, file: &'static str, layout: Layout<'_>) -> Vec<Record> {
        let bytes = self.files.get(file);
        let table: Option<Table<'_>> =
            bytes.and_then(|bytes| read_table(file, bytes, &mut self.faults));
        table.map(|table| records(&table, layout, &mut self.faults)).unwrap_or_default()
    }

    fn check_once(
        &mut self,
        file: &str,
        rows: &[Record],
        column: &str,
        seen: &mut BTreeSet<String>,
    ) {
        for record in rows {
            let Some(key) = record.key(column) else { continue };
            if !seen.insert(key.clone()) {
                let fault = CellFault::new(column, &key, "each stands once in a catalogue".to_owned());
                self.faults.of_cell(Place { file, row: record.row }, fault);
            }
        }
    }
}

fn declared(content: &EditionContent) -> Declared {
    content.attributes.iter().map(|row| (row.attribute.clone(), row.value_type)).collect()
}

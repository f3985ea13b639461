//! The set of files, and the order in which they are read into one content.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::error::Error as _;

use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Terms;
use crate::domain::zones::rules::WiringRules;
use crate::store::rule_packs;

use super::accessories::accessory;
use super::accessories::include;
use super::attributes::declaration;
use super::bodies::body;
use super::columns;
use super::columns::PlainFile;
use super::controls::control;
use super::elements::element;
use super::fault::CellFault;
use super::fault::Faults;
use super::fault::FileFault;
use super::fault::Place;
use super::fault::RowResult;
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
use super::rules::rule;
use super::rules::thread_mating;
use super::table::FILE_BYTES_MAX;
use super::table::Table;
use super::table::read_table;
use super::terms::delivery_charge;
use super::terms::list_terms;
use super::terms::market_terms;
use super::terms::quantity_break;
use super::terms::seller_line;
use super::terms::tax_row;

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

/// Files that a catalogue may have besides: terms of sale, and wiring rules of its own.
pub const OPTIONAL_FILES: [&str; 7] = [
    "delivery_charges.csv",
    "market_terms.csv",
    "price_list_terms.csv",
    "quantity_breaks.csv",
    "seller_lines.csv",
    "tax_rows.csv",
    rule_packs::FILE,
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
        let named = [FILES.join(", "), OPTIONAL_FILES.join(", ")].join(", and if wanted ");
        let is_known = |name: &str| FILES.contains(&name) || OPTIONAL_FILES.contains(&name);
        for name in self.files.keys().filter(|name| !is_known(name)) {
            self.faults.of_file(name, name, format!("the files are {named}"));
        }
        for name in FILES.into_iter().filter(|name| !self.files.contains_key(*name)) {
            self.faults.of_file(name, "", "the file is missing and needed".to_owned());
        }
    }

    fn content(&mut self) -> EditionContent {
        let finishes = self.things(&columns::FINISHES, finish);
        let mut content = EditionContent {
            attributes: self.things(&columns::ATTRIBUTES, declaration),
            finishes: finishes.into_iter().collect(),
            listed_pairs: self.things(&columns::LISTED_PAIRS, listed_pair),
            thread_matings: self.things(&columns::THREAD_MATINGS, thread_mating),
            markets: self.things(&columns::MARKETS, market),
            price_lists: self.things(&columns::PRICE_LISTS, price_list),
            terms: self.terms(),
            wiring_rules: self.wiring_rules(),
            ..EditionContent::default()
        };
        let declared = declared(&content);
        content.rules = self.things(&columns::RULES, |record| rule(record, &declared));
        self.fill_parts(&mut content, &declared);
        let included = self.plain_rows(&columns::INCLUDED);
        include(columns::INCLUDED.name, &included, &mut content.bodies, &mut self.faults);
        let prices = self.plain_rows(&columns::PRICES);
        fill_prices(columns::PRICES.name, &prices, &mut content.price_lists, &mut self.faults);
        content
    }

    /// The catalogue's own wiring rules. Without a file of them it gets those of the program, and keeps them from then on;
    /// a file with an empty list leaves them to whichever program serves the edition.
    fn wiring_rules(&mut self) -> Vec<WiringRules> {
        let read = match self.files.get(rule_packs::FILE) {
            None => rule_packs::load_all(),
            Some(bytes) => match text_of(bytes) {
                Ok(text) => rule_packs::read_list(text),
                Err(allowed) => {
                    self.faults.of_file(rule_packs::FILE, "", allowed);
                    return Vec::new();
                }
            },
        };
        read.unwrap_or_else(|error| {
            let cause = error.source().map(ToString::to_string).unwrap_or_default();
            self.faults.of_file(rule_packs::FILE, &cause, error.to_string());
            Vec::new()
        })
    }

    fn terms(&mut self) -> Terms {
        Terms {
            lists: self.things(&columns::PRICE_LIST_TERMS, list_terms),
            breaks: self.things(&columns::QUANTITY_BREAKS, quantity_break),
            taxes: self.things(&columns::TAX_ROWS, tax_row),
            deliveries: self.things(&columns::DELIVERY_CHARGES, delivery_charge),
            markets: self.things(&columns::MARKET_TERMS, market_terms),
            seller_lines: self.things(&columns::SELLER_LINES, seller_line),
        }
    }

    /// A part number stands once, whatever the kinds.
    fn fill_parts(&mut self, content: &mut EditionContent, declared: &Declared) {
        let mut skus = BTreeSet::new();
        let layout = |kind, columns| Layout { columns, part: Some((kind, declared)) };
        let bodies =
            self.part_rows(("bodies.csv", layout(PartKind::Body, columns::BODIES)), &mut skus);
        content.bodies = build("bodies.csv", &bodies, body, &mut self.faults);
        let elements = self
            .part_rows(("elements.csv", layout(PartKind::Element, columns::ELEMENTS)), &mut skus);
        content.elements = build("elements.csv", &elements, element, &mut self.faults);
        let controls = self
            .part_rows(("controls.csv", layout(PartKind::Control, columns::CONTROLS)), &mut skus);
        content.controls = build("controls.csv", &controls, control, &mut self.faults);
        let rows = self.part_rows(
            ("accessories.csv", layout(PartKind::Accessory, columns::ACCESSORIES)),
            &mut skus,
        );
        content.accessories = build("accessories.csv", &rows, accessory, &mut self.faults);
    }

    fn part_rows(
        &mut self,
        (file, layout): (&'static str, Layout<'_>),
        skus: &mut BTreeSet<String>,
    ) -> Vec<Record> {
        let rows = self.rows(file, layout);
        self.check_once(file, &rows, &mut Key { columns: &["sku"], seen: skus });
        rows
    }

    fn things<T, M: Fn(&Record) -> RowResult<T>>(&mut self, file: &PlainFile, make: M) -> Vec<T> {
        let rows = self.plain_rows(file);
        build(file.name, &rows, make, &mut self.faults)
    }

    fn plain_rows(&mut self, file: &PlainFile) -> Vec<Record> {
        let rows = self.rows(file.name, Layout::plain(file.columns));
        let mut key = Key { columns: file.key, seen: &mut BTreeSet::new() };
        self.check_once(file.name, &rows, &mut key);
        rows
    }

    fn rows(&mut self, file: &'static str, layout: Layout<'_>) -> Vec<Record> {
        let bytes = self.files.get(file);
        let table: Option<Table<'_>> =
            bytes.and_then(|bytes| read_table(file, bytes, &mut self.faults));
        table.map(|table| records(&table, layout, &mut self.faults)).unwrap_or_default()
    }

    fn check_once(&mut self, file: &str, rows: &[Record], key: &mut Key<'_>) {
        for record in rows {
            let value = record.key(key.columns);
            if !key.seen.insert(value.clone()) {
                let columns = key.columns.join(", ");
                let allowed = format!("each stands once; {columns} tell the rows apart");
                let last = key.columns.last().copied().unwrap_or_default();
                let place = Place { file, row: record.row() };
                self.faults.of_cell(place, CellFault::new(last, &value, allowed));
            }
        }
    }
}

/// Columns whose values together must differ, and those already met.
struct Key<'a> {
    columns: &'static [&'static str],
    seen: &'a mut BTreeSet<String>,
}

fn declared(content: &EditionContent) -> Declared {
    content.attributes.iter().map(|row| (row.attribute.clone(), row.value_type)).collect()
}

/// The text of a file that is not a table.
fn text_of(bytes: &[u8]) -> Result<&str, String> {
    if FILE_BYTES_MAX < bytes.len() {
        return Err(format!("a file has at most {FILE_BYTES_MAX} bytes"));
    }
    let text = str::from_utf8(bytes).map_err(|error| format!("the file is not UTF-8: {error}"))?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

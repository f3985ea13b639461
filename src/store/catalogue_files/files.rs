//! The set of files, and the order in which they are read into one content.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Terms;
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
use super::table::Table;
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

/// The content in tables. What cannot be read is noted among the faults, and what comes back is then of no use.
pub(super) fn content_of(
    tables: &BTreeMap<&'static str, Table>,
    faults: &mut Faults,
) -> EditionContent {
    let mut reading = Reading { tables, faults };
    reading.content()
}

struct Reading<'a> {
    tables: &'a BTreeMap<&'static str, Table>,
    faults: &'a mut Faults,
}

impl Reading<'_> {
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
            ..EditionContent::default()
        };
        let declared = declared(&content);
        content.rules = self.things(&columns::RULES, |record| rule(record, &declared));
        self.fill_parts(&mut content, &declared);
        let included = self.plain_rows(&columns::INCLUDED);
        include(columns::INCLUDED.name, &included, &mut content.bodies, self.faults);
        let prices = self.plain_rows(&columns::PRICES);
        fill_prices(columns::PRICES.name, &prices, &mut content.price_lists, self.faults);
        content
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
        content.bodies = build("bodies.csv", &bodies, body, self.faults);
        let elements = self
            .part_rows(("elements.csv", layout(PartKind::Element, columns::ELEMENTS)), &mut skus);
        content.elements = build("elements.csv", &elements, element, self.faults);
        let controls = self
            .part_rows(("controls.csv", layout(PartKind::Control, columns::CONTROLS)), &mut skus);
        content.controls = build("controls.csv", &controls, control, self.faults);
        let rows = self.part_rows(
            ("accessories.csv", layout(PartKind::Accessory, columns::ACCESSORIES)),
            &mut skus,
        );
        content.accessories = build("accessories.csv", &rows, accessory, self.faults);
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
        build(file.name, &rows, make, self.faults)
    }

    fn plain_rows(&mut self, file: &PlainFile) -> Vec<Record> {
        let rows = self.rows(file.name, Layout::plain(file.columns));
        let mut key = Key { columns: file.key, seen: &mut BTreeSet::new() };
        self.check_once(file.name, &rows, &mut key);
        rows
    }

    fn rows(&mut self, file: &'static str, layout: Layout<'_>) -> Vec<Record> {
        let table = self.tables.get(file);
        table.map(|table| records(table, layout, self.faults)).unwrap_or_default()
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

//! Where in the tables a fault of the whole edition stands.

use std::collections::BTreeMap;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Fault;

use crate::store::rule_packs;

use super::changes::key_of;
use super::columns::key_columns;
use super::fault::FileFault;
use super::tables::Tables;

/// Looks rows up by their keys; a table is indexed when it is first asked about.
#[derive(Debug)]
pub(super) struct Places<'a> {
    tables: &'a Tables,
    rows: BTreeMap<&'static str, BTreeMap<String, u64>>,
}

/// File, key of the row, column, value.
type Cell<'a> = (&'static str, String, &'a str, String);

impl<'a> Places<'a> {
    /// Looks rows of these tables up.
    pub(super) const fn new(tables: &'a Tables) -> Self {
        Self { tables, rows: BTreeMap::new() }
    }

    /// The fault with the file, row and column that it stems from.
    pub(super) fn locate(&mut self, fault: &Fault) -> FileFault {
        let (file, key, column, value) = match fault {
            Fault::DuplicateSku(sku) => self.part(sku.as_str(), "sku", sku.to_string()),
            Fault::UnknownAttribute { rule, attribute } => self.attribute(rule, attribute),
            Fault::UnknownTable { rule, table } => of_rule(rule, "table", table),
            Fault::RangeMismatch(rule) => of_rule(rule, "relation", ""),
            Fault::MixedTypes { rule, .. } => of_rule(rule, "right", ""),
            Fault::DuplicateRule(rule) => of_rule(rule, "code", rule),
            Fault::ThreeKinds(rule) => of_rule(rule, "when", ""),
            Fault::DuplicateSample(name) => {
                ("sample_requests", String::new(), "name", name.to_string())
            }
            Fault::UndeclaredAttribute { sku, attribute } => {
                self.part(sku.as_str(), attribute, String::new())
            }
            Fault::UnknownFinish { sku, finish } => {
                self.part(sku.as_str(), "finish", finish.to_string())
            }
            Fault::UnknownIncluded { body, included } => {
                ("included.csv", format!("{body} {included}"), "accessory", included.to_string())
            }
            Fault::UnknownPriced { list, sku } => {
                ("prices.csv", format!("{list} {sku}"), "sku", sku.to_string())
            }
            Fault::UnknownMarket(list) => {
                ("price_lists.csv", list.to_string(), "market", String::new())
            }
            Fault::WiringRules { rules, .. } | Fault::DuplicateWiringRules(rules) => {
                (rule_packs::FILE, String::new(), "id", rules.to_string())
            }
            Fault::UnknownWiringRules { market, rules } => {
                ("markets.csv", market.to_string(), "wiring_rules", rules.to_string())
            }
            Fault::Terms(_) => ("terms of sale", String::new(), "", String::new()),
        };
        let row = self.row(file, &key);
        let value = if value.is_empty() { self.value(file, row, column) } else { value };
        let column = (!column.is_empty()).then(|| column.into());
        FileFault {
            file: file.into(),
            row,
            column,
            value: value.into(),
            allowed: fault.to_string(),
        }
    }

    fn part<'c>(&mut self, sku: &str, column: &'c str, value: String) -> Cell<'c> {
        let files = ["bodies.csv", "elements.csv", "controls.csv", "accessories.csv"];
        let mut found = files.into_iter().filter(|file| self.row_known(file, sku));
        (found.next().unwrap_or("bodies.csv"), sku.to_owned(), column, value)
    }

    fn attribute(&mut self, rule: &str, attribute: &AttributeName) -> Cell<'static> {
        let name = attribute.to_string();
        let row = self.row("rules.csv", rule);
        let mut columns = ["left", "right", "when"].into_iter();
        let column = columns.find(|column| self.value("rules.csv", row, column).contains(&name));
        ("rules.csv", rule.to_owned(), column.unwrap_or("left"), name)
    }

    fn row_known(&mut self, file: &'static str, key: &str) -> bool {
        self.index(file).contains_key(key)
    }

    fn row(&mut self, file: &'static str, key: &str) -> Option<u64> {
        self.index(file).get(key).copied().filter(|row| 0 < *row)
    }

    fn value(&self, file: &str, row: Option<u64>, column: &str) -> String {
        let cell = row.and_then(|row| {
            let table = self.tables.get(file)?;
            let place = table.column(column)?;
            let (_, cells) = table.rows.iter().find(|(line, _)| *line == row)?;
            cells.get(place)
        });
        cell.unwrap_or_default().to_owned()
    }

    fn index(&mut self, file: &'static str) -> &BTreeMap<String, u64> {
        let tables = self.tables;
        self.rows.entry(file).or_insert_with(|| {
            let Some(table) = tables.get(file) else { return BTreeMap::new() };
            let columns = key_columns(file);
            table.rows.iter().map(|(row, cells)| (key_of(table, cells, columns), *row)).collect()
        })
    }
}

fn of_rule<'c>(rule: &str, column: &'c str, value: &str) -> Cell<'c> {
    ("rules.csv", rule.to_owned(), column, value.to_owned())
}

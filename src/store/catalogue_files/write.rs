//! The content of an edition as tables: what the readers read, the other way round.
//!
//! Every column is written, in the order in which the files list them. Absent here: the rows of parts.

use std::collections::BTreeMap;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::QuantityBreak;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::TaxRow;
use crate::domain::money::Currency;
use crate::domain::money::UnitPrice;

use super::columns;
use super::columns::PlainFile;
use super::table::Table;
use super::tables::Row;
use super::tables::Tables;
use super::tables::table_of;
use super::tables::texts;
use super::tables::yes;
use super::write_parts::part_tables;

/// The tables of a content. Files of terms that would have no row are left out.
pub(super) fn tables_of(content: &EditionContent) -> Tables {
    let mut tables = part_tables(content);
    for (file, rows) in plain_rows(content).into_iter().chain(terms_rows(content)) {
        tables.insert(file.name, table(file, rows));
    }
    tables
}

fn table(file: &PlainFile, rows: Vec<Row>) -> Table {
    table_of(file.name, file.columns.iter().map(|column| column.name).collect(), rows)
}

type Rows = Vec<(&'static PlainFile, Vec<Row>)>;

fn plain_rows(content: &EditionContent) -> Rows {
    let attributes = content
        .attributes
        .iter()
        .map(|row| texts(&[&row.attribute.to_string(), row.value_type.word(), &row.unit]));
    let finishes = content.finishes.iter().map(|(code, name)| texts(&[code, name]));
    let pairs = content.listed_pairs.iter();
    let pairs = pairs.map(|pair| texts(&[&pair.table, &pair.left, &pair.right]));
    let matings = content.thread_matings.iter().map(|row| {
        let (external, internal) = (row.external.code(), row.internal.code());
        let source = &row.source;
        texts(&[
            external,
            internal,
            row.mates.word(),
            &row.seal,
            &source.text,
            source.evidence.code(),
        ])
    });
    let included = content.bodies.iter().flat_map(|body| {
        body.included.iter().map(|row| {
            texts(&[body.card.sku.as_str(), row.sku.as_str(), &row.quantity.to_string()])
        })
    });
    vec![
        (&columns::ATTRIBUTES, attributes.collect()),
        (&columns::FINISHES, finishes.collect()),
        (&columns::LISTED_PAIRS, pairs.collect()),
        (&columns::THREAD_MATINGS, matings.collect()),
        (&columns::INCLUDED, included.collect()),
        (&columns::RULES, content.rules.iter().map(rule).collect()),
        (&columns::MARKETS, content.markets.iter().map(market).collect()),
        (&columns::PRICE_LISTS, price_lists(content)),
        (&columns::PRICES, prices(content)),
    ]
}

fn terms_rows(content: &EditionContent) -> Rows {
    let terms = &content.terms;
    let lists = terms.lists.iter();
    let lists = lists.map(|row| texts(&[&row.list, row.tier.word(), yes(row.includes_tax)]));
    let currencies: BTreeMap<&str, Currency> =
        content.price_lists.iter().map(|list| (&*list.code, list.currency)).collect();
    let breaks = terms.breaks.iter().map(|row| quantity_break(row, &currencies));
    let deliveries = terms.deliveries.iter().map(|row| {
        let numbers = [row.mass_g_max.to_string(), row.length_mm_max.to_string()];
        let net = row.net.value().to_string();
        texts(&[&row.market, &row.band, &numbers[0], &numbers[1], &net])
    });
    let markets = terms.markets.iter().map(|row| {
        let days = row.validity_days.to_string();
        texts(&[&row.market, &row.seller_country, &row.time_zone, &days, row.tax_rounding.word()])
    });
    let sellers = terms
        .seller_lines
        .iter()
        .map(|row| texts(&[&row.market, row.kind.word(), &row.position.to_string(), &row.text]));
    let rows: Rows = vec![
        (&columns::PRICE_LIST_TERMS, lists.collect()),
        (&columns::QUANTITY_BREAKS, breaks.collect()),
        (&columns::TAX_ROWS, terms.taxes.iter().map(tax_row).collect()),
        (&columns::DELIVERY_CHARGES, deliveries.collect()),
        (&columns::MARKET_TERMS, markets.collect()),
        (&columns::SELLER_LINES, sellers.collect()),
    ];
    rows.into_iter().filter(|(_, rows)| !rows.is_empty()).collect()
}

fn quantity_break(row: &QuantityBreak, currencies: &BTreeMap<&str, Currency>) -> Row {
    let currency = currencies.get(&*row.list).copied().unwrap_or(Currency::EUR);
    let (quantity, price) = (row.quantity_min.to_string(), row.unit_price.format(currency));
    texts(&[&row.list, row.sku.as_str(), &quantity, &price])
}

fn tax_row(row: &TaxRow) -> Row {
    let (begins, rate) = (row.valid_from.to_string(), row.rate.basis_points().to_string());
    let ends = row.valid_to.map(|day| day.to_string()).unwrap_or_default();
    let source = &row.source;
    let code = row.category.code();
    texts(&[&row.market, code, &begins, &rate, &ends, &source.text, source.evidence.code()])
}

fn market(market: &Market) -> Row {
    let regions = market.regions.join(" ");
    texts(&[
        &market.code,
        market.currency.code(),
        &market.tax_rate.basis_points().to_string(),
        &market.tax_source.text,
        market.tax_source.evidence.code(),
        &market.language,
        &market.wiring_rules,
        market.connection.word(),
        &market.connection_source.text,
        market.connection_source.evidence.code(),
        &regions,
    ])
}

fn price_lists(content: &EditionContent) -> Vec<Row> {
    let lists = content.price_lists.iter().map(|list| {
        let ends = list.valid_to.map(|day| day.to_string()).unwrap_or_default();
        let begins = list.valid_from.to_string();
        texts(&[&list.code, &list.market, list.currency.code(), &begins, &ends])
    });
    lists.collect()
}

fn prices(content: &EditionContent) -> Vec<Row> {
    let rows = content.price_lists.iter().flat_map(|list| {
        let price = |(sku, price): (&Sku, &UnitPrice)| {
            texts(&[&list.code, sku.as_str(), &price.format(list.currency)])
        };
        list.prices.iter().map(price)
    });
    rows.collect()
}

fn rule(rule: &Rule) -> Row {
    let (right, constant) = match &rule.right {
        Right::Attribute(name) => (name.to_string(), String::new()),
        Right::Range(low, high) => (format!("{low} {high}"), String::new()),
        Right::Constant(kind, value) => (kind.word().to_owned(), value.to_string()),
    };
    let condition = |(attribute, is): (&AttributeName, String)| format!("{attribute}={is}");
    let when = rule.when.iter().map(|when| condition((&when.attribute, when.is.to_string())));
    let when = when.collect::<Vec<_>>().join("; ");
    texts(&[
        &rule.code,
        &rule.left.to_string(),
        rule.relation.word(),
        &right,
        &constant,
        rule.table.as_deref().unwrap_or_default(),
        &when,
        rule.severity.word(),
        &rule.sentence,
        &rule.source.text,
        rule.source.evidence.code(),
    ])
}

//! Markets and price lists: the rows of `markets`, `market_regions`, `price_lists` and `prices`.

use std::collections::BTreeMap;

use jiff::civil::Date;
use sqlx::SqliteConnection;

use crate::domain::catalogue::Connection;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Sku;
use crate::domain::money::Currency;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;
use crate::domain::units::TAX_RATE_BP;
use crate::domain::units::UNIT_PRICE_E4;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;
use super::rows::position;

type Regions = BTreeMap<Box<str>, Vec<Box<str>>>;
type Prices = BTreeMap<Box<str>, BTreeMap<Sku, UnitPrice>>;

/// Rows of `markets`.
pub(super) fn market_rows(content: &EditionContent) -> Result<Table, StoreError> {
    Ok(Table {
        insert: "INSERT INTO markets (edition, code, currency, tax_rate_bp, tax_source, tax_evidence, \
                 language, wiring_rules, connection, connection_source, connection_evidence) ",
        rows: content.markets.iter().map(market_cells).collect::<Result<_, _>>()?,
    })
}

/// Rows of `market_regions`.
pub(super) fn region_rows(content: &EditionContent) -> Table {
    let mut rows = Vec::new();
    for market in &content.markets {
        for (index, region) in market.regions.iter().enumerate() {
            rows.push(vec![(*market.code).into(), position(index), (**region).into()]);
        }
    }
    Table { insert: "INSERT INTO market_regions (edition, market_code, position, code) ", rows }
}

/// Rows of `price_lists`.
pub(super) fn price_list_rows(content: &EditionContent) -> Table {
    let cells = |list: &PriceList| {
        vec![
            (*list.code).into(),
            (*list.market).into(),
            list.currency.code().into(),
            list.valid_from.to_string().into(),
            list.valid_to.map(|day| day.to_string()).into(),
        ]
    };
    Table {
        insert: "INSERT INTO price_lists \
                 (edition, code, market_code, currency, valid_from, valid_to) ",
        rows: content.price_lists.iter().map(cells).collect(),
    }
}

/// Rows of `prices`.
pub(super) fn price_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let mut rows = Vec::new();
    for list in &content.price_lists {
        for (sku, price) in &list.prices {
            let row = NewRow { table: "prices", key: sku.as_str() };
            let price = row.amount(price.value(), &UNIT_PRICE_E4)?;
            rows.push(vec![(*list.code).into(), sku.as_str().into(), price]);
        }
    }
    let insert = "INSERT INTO prices (edition, price_list_code, sku, unit_price_e4) ";
    Ok(Table { insert, rows })
}

/// The markets of an edition.
pub(super) async fn load_markets(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<Market>, StoreError> {
    let mut regions = load_regions(connection, edition).await?;
    let rows = sqlx::query("SELECT * FROM markets WHERE edition = ? ORDER BY code")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let read = |row| read_market(Fields::new("markets", "code", row), &mut regions);
    rows.iter().map(read).collect()
}

/// The price lists of an edition, prices included.
pub(super) async fn load_price_lists(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Vec<PriceList>, StoreError> {
    let mut prices = load_prices(connection, edition).await?;
    let rows = sqlx::query("SELECT * FROM price_lists WHERE edition = ?")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let read = |row| read_price_list(Fields::new("price_lists", "code", row), &mut prices);
    rows.iter().map(read).collect()
}

async fn load_regions(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Regions, StoreError> {
    let rows = sqlx::query(
        "SELECT * FROM market_regions WHERE edition = ? ORDER BY market_code, position",
    )
    .bind(edition)
    .fetch_all(connection)
    .await
    .map_err(StoreError::Read)?;
    let mut regions = Regions::new();
    for row in &rows {
        let fields = Fields::new("market_regions", "market_code", row);
        regions.entry(fields.text("market_code")?).or_default().push(fields.text("code")?);
    }
    Ok(regions)
}

async fn load_prices(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Prices, StoreError> {
    let rows = sqlx::query("SELECT * FROM prices WHERE edition = ?")
        .bind(edition)
        .fetch_all(connection)
        .await
        .map_err(StoreError::Read)?;
    let mut prices = Prices::new();
    for row in &rows {
        let fields = Fields::new("prices", "sku", row);
        let price = UnitPrice::new(fields.whole("unit_price_e4", &UNIT_PRICE_E4)?);
        let of_list = prices.entry(fields.text("price_list_code")?).or_default();
        of_list.insert(fields.sku("sku")?, price);
    }
    Ok(prices)
}

fn market_cells(market: &Market) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "markets", key: &market.code };
    Ok(vec![
        (*market.code).into(),
        market.currency.code().into(),
        row.amount(market.tax_rate.basis_points().into(), &TAX_RATE_BP)?,
        (*market.tax_source.text).into(),
        market.tax_source.evidence.code().into(),
        (*market.language).into(),
        (*market.wiring_rules).into(),
        market.connection.word().into(),
        (*market.connection_source.text).into(),
        market.connection_source.evidence.code().into(),
    ])
}

fn read_market(fields: Fields<'_>, regions: &mut Regions) -> Result<Market, StoreError> {
    let code = fields.text("code")?;
    let regions = regions.remove(&code).unwrap_or_default();
    Ok(Market {
        code,
        currency: fields.word("currency", Currency::parse)?,
        tax_rate: TaxRate::new(fields.whole("tax_rate_bp", &TAX_RATE_BP)?),
        tax_source: fields.source("tax_source", "tax_evidence")?,
        language: fields.text("language")?,
        wiring_rules: fields.text("wiring_rules")?,
        connection: fields.word("connection", Connection::parse)?,
        connection_source: fields.source("connection_source", "connection_evidence")?,
        regions,
    })
}

fn read_price_list(fields: Fields<'_>, prices: &mut Prices) -> Result<PriceList, StoreError> {
    let code = fields.text("code")?;
    let prices = prices.remove(&code).unwrap_or_default();
    Ok(PriceList {
        code,
        market: fields.text("market_code")?,
        currency: fields.word("currency", Currency::parse)?,
        valid_from: fields.word("valid_from", parse_day)?,
        valid_to: fields.word_if_any("valid_to", parse_day)?,
        prices,
    })
}

/// A calendar day.
pub(super) fn parse_day(text: &str) -> Option<Date> {
    text.parse().ok()
}

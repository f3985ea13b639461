//! Terms of sale: the rows of `price_list_terms`, `quantity_breaks`, `tax_rows`, `delivery_charges`, `market_terms`.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::catalogue::DeliveryCharge;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::ListTerms;
use crate::domain::catalogue::MarketTerms;
use crate::domain::catalogue::QuantityBreak;
use crate::domain::catalogue::SellerLine;
use crate::domain::catalogue::SellerLineKind;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::TaxRounding;
use crate::domain::catalogue::TaxRow;
use crate::domain::catalogue::Terms;
use crate::domain::catalogue::Tier;
use crate::domain::money::Minor;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;
use crate::domain::units::TAX_RATE_BP;
use crate::domain::units::UNIT_PRICE_E4;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::lists::load_rows;
use super::markets::parse_day;
use super::rows::NewRow;
use super::rows::Table;

/// Rows of `price_list_terms`.
pub(super) fn list_rows(content: &EditionContent) -> Table {
    let rows = content
        .terms
        .lists
        .iter()
        .map(|row| vec![(*row.list).into(), row.tier.word().into(), row.includes_tax.into()]);
    let insert = "INSERT INTO price_list_terms (edition, price_list_code, tier, includes_tax) ";
    Table { insert, rows: rows.collect() }
}

/// Rows of `quantity_breaks`.
pub(super) fn break_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let mut rows = Vec::new();
    for row in &content.terms.breaks {
        let new = NewRow { table: "quantity_breaks", key: row.sku.as_str() };
        let price = new.amount(row.unit_price.value(), &UNIT_PRICE_E4)?;
        rows.push(vec![
            (*row.list).into(),
            row.sku.as_str().into(),
            row.quantity_min.into(),
            price,
        ]);
    }
    let insert = "INSERT INTO quantity_breaks \
                  (edition, price_list_code, sku, quantity_min, unit_price_e4) ";
    Ok(Table { insert, rows })
}

/// Rows of `tax_rows`.
pub(super) fn tax_rows(content: &EditionContent) -> Result<Table, StoreError> {
    let mut rows = Vec::new();
    for row in &content.terms.taxes {
        let new = NewRow { table: "tax_rows", key: &row.market };
        rows.push(vec![
            (*row.market).into(),
            row.category.code().into(),
            new.amount(row.rate.basis_points().into(), &TAX_RATE_BP)?,
            row.valid_from.to_string().into(),
            row.valid_to.map(|day| day.to_string()).into(),
            (*row.source.text).into(),
            row.source.evidence.code().into(),
        ]);
    }
    let insert = "INSERT INTO tax_rows (edition, market_code, category, tax_rate_bp, valid_from, \
                  valid_to, tax_source, tax_evidence) ";
    Ok(Table { insert, rows })
}

/// Rows of `delivery_charges`.
pub(super) fn delivery_rows(content: &EditionContent) -> Table {
    let rows = content.terms.deliveries.iter().map(|row| {
        vec![
            (*row.market).into(),
            (*row.band).into(),
            row.mass_g_max.into(),
            row.length_mm_max.into(),
            row.net.value().into(),
        ]
    });
    let insert = "INSERT INTO delivery_charges \
                  (edition, market_code, band, mass_g_max, length_mm_max, net_minor) ";
    Table { insert, rows: rows.collect() }
}

/// Rows of `market_terms`.
pub(super) fn market_rows(content: &EditionContent) -> Table {
    let rows = content.terms.markets.iter().map(|row| {
        vec![
            (*row.market).into(),
            (*row.seller_country).into(),
            (*row.time_zone).into(),
            row.validity_days.into(),
            row.tax_rounding.word().into(),
        ]
    });
    let insert = "INSERT INTO market_terms (edition, market_code, seller_country, time_zone, \
                  validity_days, tax_rounding) ";
    Table { insert, rows: rows.collect() }
}

/// Rows of `seller_lines`.
pub(super) fn seller_rows(content: &EditionContent) -> Table {
    let rows = content.terms.seller_lines.iter().map(|row| {
        vec![(*row.market).into(), row.kind.word().into(), row.position.into(), (*row.text).into()]
    });
    let insert = "INSERT INTO seller_lines (edition, market_code, kind, position, text) ";
    Table { insert, rows: rows.collect() }
}

/// The terms of an edition.
pub(super) async fn load_terms(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<Terms, StoreError> {
    let lists = load_rows(connection, "SELECT * FROM price_list_terms WHERE edition = ?", edition);
    let lists = lists.await?;
    let breaks = load_rows(connection, "SELECT * FROM quantity_breaks WHERE edition = ?", edition);
    let breaks = breaks.await?;
    let taxes = load_rows(connection, "SELECT * FROM tax_rows WHERE edition = ?", edition).await?;
    let charges =
        load_rows(connection, "SELECT * FROM delivery_charges WHERE edition = ?", edition);
    let charges = charges.await?;
    let markets =
        load_rows(connection, "SELECT * FROM market_terms WHERE edition = ?", edition).await?;
    let lines =
        load_rows(connection, "SELECT * FROM seller_lines WHERE edition = ?", edition).await?;
    Ok(Terms {
        lists: lists.iter().map(read_list).collect::<Result<_, _>>()?,
        breaks: breaks.iter().map(read_break).collect::<Result<_, _>>()?,
        taxes: taxes.iter().map(read_tax).collect::<Result<_, _>>()?,
        deliveries: charges.iter().map(read_delivery).collect::<Result<_, _>>()?,
        markets: markets.iter().map(read_market).collect::<Result<_, _>>()?,
        seller_lines: lines.iter().map(read_seller_line).collect::<Result<_, _>>()?,
    })
}

fn read_list(row: &SqliteRow) -> Result<ListTerms, StoreError> {
    let fields = Fields::new("price_list_terms", "price_list_code", row);
    Ok(ListTerms {
        list: fields.text("price_list_code")?,
        tier: fields.word("tier", Tier::parse)?,
        includes_tax: fields.flag("includes_tax")?,
    })
}

fn read_break(row: &SqliteRow) -> Result<QuantityBreak, StoreError> {
    let fields = Fields::new("quantity_breaks", "sku", row);
    Ok(QuantityBreak {
        list: fields.text("price_list_code")?,
        sku: fields.sku("sku")?,
        quantity_min: fields.number("quantity_min")?,
        unit_price: UnitPrice::new(fields.whole("unit_price_e4", &UNIT_PRICE_E4)?),
    })
}

fn read_tax(row: &SqliteRow) -> Result<TaxRow, StoreError> {
    let fields = Fields::new("tax_rows", "market_code", row);
    Ok(TaxRow {
        market: fields.text("market_code")?,
        category: fields.word("category", TaxCategory::parse)?,
        rate: TaxRate::new(fields.whole("tax_rate_bp", &TAX_RATE_BP)?),
        valid_from: fields.word("valid_from", parse_day)?,
        valid_to: fields.word_if_any("valid_to", parse_day)?,
        source: fields.source("tax_source", "tax_evidence")?,
    })
}

fn read_delivery(row: &SqliteRow) -> Result<DeliveryCharge, StoreError> {
    let fields = Fields::new("delivery_charges", "band", row);
    Ok(DeliveryCharge {
        market: fields.text("market_code")?,
        band: fields.text("band")?,
        mass_g_max: fields.number("mass_g_max")?,
        length_mm_max: fields.number("length_mm_max")?,
        net: Minor::new(fields.number("net_minor")?),
    })
}

fn read_market(row: &SqliteRow) -> Result<MarketTerms, StoreError> {
    let fields = Fields::new("market_terms", "market_code", row);
    Ok(MarketTerms {
        market: fields.text("market_code")?,
        seller_country: fields.text("seller_country")?,
        time_zone: fields.text("time_zone")?,
        validity_days: fields.number("validity_days")?,
        tax_rounding: fields.word("tax_rounding", TaxRounding::parse)?,
    })
}

fn read_seller_line(row: &SqliteRow) -> Result<SellerLine, StoreError> {
    let fields = Fields::new("seller_lines", "market_code", row);
    Ok(SellerLine {
        market: fields.text("market_code")?,
        kind: fields.word("kind", SellerLineKind::parse)?,
        position: fields.number("position")?,
        text: fields.text("text")?,
    })
}

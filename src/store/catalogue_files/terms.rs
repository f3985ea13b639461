//! Rows of the files of terms of sale, all of which may be left out: `price_list_terms.csv`, `quantity_breaks.csv`,
//! `tax_rows.csv`, `delivery_charges.csv`, `market_terms.csv` and `seller_lines.csv`.

use std::str::FromStr;

use crate::domain::catalogue::DeliveryCharge;
use crate::domain::catalogue::ListTerms;
use crate::domain::catalogue::MarketTerms;
use crate::domain::catalogue::QuantityBreak;
use crate::domain::catalogue::SellerLine;
use crate::domain::catalogue::SellerLineKind;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::TaxRounding;
use crate::domain::catalogue::TaxRow;
use crate::domain::catalogue::Tier;
use crate::domain::money::Minor;
use crate::domain::money::TaxRate;

use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Record;

/// What a price list is for.
pub(super) fn list_terms(record: &Record) -> RowResult<ListTerms> {
    one(|| {
        Ok(ListTerms {
            list: record.text("list")?,
            tier: record.word("tier", Tier::parse)?,
            includes_tax: record.flag("includes_tax")?,
        })
    })
}

/// A quantity break.
pub(super) fn quantity_break(record: &Record) -> RowResult<QuantityBreak> {
    one(|| {
        Ok(QuantityBreak {
            list: record.text("list")?,
            sku: record.sku("sku")?,
            quantity_min: parsed(record, "quantity_min", "a whole number of pieces")?,
            unit_price: record.price("unit_price")?,
        })
    })
}

/// A tax rate for a time.
pub(super) fn tax_row(record: &Record) -> RowResult<TaxRow> {
    one(|| {
        Ok(TaxRow {
            market: record.text("market")?,
            category: record.word("category", TaxCategory::parse)?,
            rate: TaxRate::new(record.count("tax_rate_bp")?),
            valid_from: parsed(record, "begins", "a day such as 2026-01-31")?,
            valid_to: record.maybe_date("ends")?,
            source: record.source("source", "evidence")?,
        })
    })
}

/// A delivery charge.
pub(super) fn delivery_charge(record: &Record) -> RowResult<DeliveryCharge> {
    one(|| {
        Ok(DeliveryCharge {
            market: record.text("market")?,
            band: record.text("band")?,
            mass_g_max: parsed(record, "mass_g_max", "whole grams")?,
            length_mm_max: parsed(record, "length_mm_max", "whole millimetres")?,
            net: Minor::new(parsed(record, "net", "a whole number of minor units, such as pence")?),
        })
    })
}

/// Who sells in a market.
pub(super) fn market_terms(record: &Record) -> RowResult<MarketTerms> {
    one(|| {
        Ok(MarketTerms {
            market: record.text("market")?,
            seller_country: record.word("seller_country", country)?,
            time_zone: record.text("time_zone")?,
            validity_days: parsed(record, "validity_days", "a whole number of days")?,
            tax_rounding: record.word("tax_rounding", TaxRounding::parse)?,
        })
    })
}

/// A line that a seller has printed.
pub(super) fn seller_line(record: &Record) -> RowResult<SellerLine> {
    one(|| {
        Ok(SellerLine {
            market: record.text("market")?,
            kind: record.word("kind", SellerLineKind::parse)?,
            position: parsed(record, "position", "a whole number: the line's place")?,
            text: record.text("text")?,
        })
    })
}

fn one<T, R: FnOnce() -> Result<T, CellFault>>(read: R) -> RowResult<T> {
    read().map_err(|fault| vec![fault])
}

fn country(text: &str) -> Option<Box<str>> {
    let fits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_uppercase());
    fits.then(|| text.into())
}

fn parsed<T: FromStr>(record: &Record, column: &str, allowed: &str) -> Result<T, CellFault> {
    let text = record.text(column)?;
    text.parse().map_err(|_wrong| CellFault::new(column, &text, allowed.to_owned()))
}

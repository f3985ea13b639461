//! Rows of `markets.csv`, `finishes.csv`, `price_lists.csv` and `prices.csv`.

use std::collections::BTreeMap;

use crate::domain::catalogue::Connection;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Sku;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;

use super::fault::CellFault;
use super::fault::Faults;
use super::fault::Place;
use super::fault::RowResult;
use super::record::Record;

/// The market of a row.
pub(super) fn market(record: &Record) -> RowResult<Market> {
    assemble(record).map_err(|fault| vec![fault])
}

fn assemble(record: &Record) -> Result<Market, CellFault> {
    Ok(Market {
        code: record.text("code")?,
        currency: record.currency("currency")?,
        tax_rate: TaxRate::new(record.count("tax_rate_bp")?),
        tax_source: record.source("tax_source", "tax_evidence")?,
        language: record.text("language")?,
        wiring_rules: record.text("wiring_rules")?,
        connection: record.word("connection", Connection::parse)?,
        connection_source: record.source("connection_source", "connection_evidence")?,
        regions: record.words("regions")?,
    })
}

/// A finish and the words people use for it.
type FinishName = (Box<str>, Box<str>);

/// The finish of a row, and the words people use for it.
pub(super) fn finish(record: &Record) -> RowResult<FinishName> {
    let pair = || Ok((record.text("finish")?, record.text("name")?));
    pair().map_err(|fault: CellFault| vec![fault])
}

/// The price list of a row, still without prices.
pub(super) fn price_list(record: &Record) -> RowResult<PriceList> {
    let list = empty_list(record).map_err(|fault| vec![fault])?;
    if let Some(last) = list.valid_to.filter(|last| *last < list.valid_from) {
        let allowed = format!("the last day is not before the first, {}", list.valid_from);
        return Err(vec![CellFault::new("valid_to", &last.to_string(), allowed)]);
    }
    Ok(list)
}

fn empty_list(record: &Record) -> Result<PriceList, CellFault> {
    Ok(PriceList {
        code: record.text("code")?,
        market: record.text("market")?,
        currency: record.currency("currency")?,
        valid_from: record.date("valid_from")?,
        valid_to: record.maybe_date("valid_to")?,
        prices: BTreeMap::new(),
    })
}

/// Puts the rows of `prices.csv` into their lists.
///
/// A list that could not be read is not blamed here a second time, so lists are looked up only when all were read.
pub(super) fn fill_prices(
    file: &str,
    records: &[Record],
    lists: &mut [PriceList],
    faults: &mut Faults,
) {
    let is_complete = faults.are_none_in("price_lists.csv");
    for record in records {
        let place = Place { file, row: record.row() };
        match price(record) {
            Ok(price) => {
                if let Err(fault) = enter(price, lists, is_complete) {
                    faults.of_cell(place, fault);
                }
            }
            Err(fault) => faults.of_cell(place, fault),
        }
    }
}

/// A price as its row states it.
struct PriceRow {
    list: Box<str>,
    sku: Sku,
    unit_price: UnitPrice,
}

fn price(record: &Record) -> Result<PriceRow, CellFault> {
    Ok(PriceRow {
        list: record.text("list")?,
        sku: record.sku("sku")?,
        unit_price: record.price("unit_price")?,
    })
}

fn enter(row: PriceRow, lists: &mut [PriceList], is_complete: bool) -> Result<(), CellFault> {
    let Some(list) = lists.iter_mut().find(|list| list.code == row.list) else {
        let allowed = "a price list of price_lists.csv".to_owned();
        return if is_complete { Err(CellFault::new("list", &row.list, allowed)) } else { Ok(()) };
    };
    // A part that is priced twice was named when the rows were compared; here the last one stands.
    list.prices.insert(row.sku, row.unit_price);
    Ok(())
}

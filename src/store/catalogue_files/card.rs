//! The columns that every part has.

use crate::domain::catalogue::Card;
use crate::domain::catalogue::Stock;

use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Record;

/// The card of a part's row.
pub(super) fn card(record: &Record) -> Result<Card, CellFault> {
    Ok(Card {
        sku: record.sku("sku")?,
        name: record.text("name")?,
        gtin: record.maybe_text("gtin")?,
        stock: record.word("stock", Stock::parse)?,
        lead_days: record.count("lead_days")?,
        evidence: record.evidence("evidence")?,
        attributes: record.keeper(),
    })
}

/// Fails when the row contradicts itself.
pub(super) fn consistent(faults: Vec<CellFault>) -> RowResult<()> {
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

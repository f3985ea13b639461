//! Sums of a quote being composed: what a discount takes off, what is owed, what moved.

use crate::domain::catalogue::Market;
use crate::domain::catalogue::MarketTerms;
use crate::domain::catalogue::PriceList;
use crate::domain::fault::Fault;
use crate::domain::money::Minor;
use crate::domain::money::Overflow;
use crate::domain::pricing::discount::Discount;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::domain::pricing::discount::Reduction;
use crate::domain::pricing::document::Amounts;
use crate::domain::pricing::document::DocumentTotals;
use crate::domain::pricing::document::Taxed;
use crate::domain::pricing::taxing::Taxing;

use super::content::QuotedDelivery;
use super::content::QuotedDiscount;
use super::content::QuotedLine;
use super::content::QuotedRoom;

/// A discount as it is granted, or its refusal noted.
pub(super) fn granted(
    discount: &Discount,
    net: Minor,
    ceiling: DiscountCeiling,
    (place, faults): (&str, &mut Vec<Fault>),
) -> Option<QuotedDiscount> {
    let percent_bp = match discount.reduction {
        Reduction::Percent(basis_points) => Some(basis_points),
        Reduction::Amount(_) => None,
    };
    match discount.of(net, ceiling) {
        Ok(off) => Some(QuotedDiscount { reason: discount.reason.clone(), percent_bp, net: off }),
        Err(reason) => {
            faults.push(Fault::new(place, "discount-refused", reason.to_string()));
            None
        }
    }
}

/// Totals, and by how much prices with tax moved.
pub(super) fn sums(
    rooms: &[QuotedRoom],
    (discount, delivery): (Option<&QuotedDiscount>, Option<&QuotedDelivery>),
    (taxing, terms): (&Taxing, &MarketTerms),
    (list, market): (&PriceList, &Market),
) -> Result<(DocumentTotals, Minor), Overflow> {
    let taxed = |net| Taxed { net, taxation: taxing.taxation };
    let lines: Vec<&QuotedLine> = rooms.iter().flat_map(|room| &room.lines).collect();
    let amounts = Amounts {
        lines: lines.iter().map(|line| taxed(line.net)).collect(),
        allowances: discount.iter().map(|found| taxed(found.net)).collect(),
        charges: delivery.iter().map(|found| taxed(found.net)).collect(),
    };
    let totals = amounts.totals(terms.tax_rounding)?;
    let mut before = Minor::ZERO;
    let mut net = Minor::ZERO;
    for line in lines {
        let Some(stated) = line.unit_stated else { continue };
        before = before.plus(stated.times(line.quantity, list.currency)?)?;
        net = net.plus(line.unit_net.times(line.quantity, list.currency)?)?;
    }
    // What the list states contains the standard tax, whatever this customer is charged.
    let gross = net.plus(net.tax(market.tax_rate)?)?;
    Ok((totals, gross.minus(before)?))
}

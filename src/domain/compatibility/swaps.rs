//! Which single part to swap so that parts that clash fit together.
//!
//! Only parts that a clash names are swapped, each for the cheapest of its kind with which nothing clashes any more.
//! The rule rows sieve, the full check decides. Absent here: swapping two parts at once, and parts to add.

use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Stock;
use crate::domain::money::UnitPrice;

use super::catalogue::Catalogue;
use super::check::check_parts;
use super::finding::Finding;
use super::surroundings::Surroundings;

/// The most parts offered for one that is swapped.
pub const SWAPS_OFFERED_MAX: usize = 3;

/// The most full checks that one question about clashing parts costs.
pub const SWAPS_TRIED_MAX: usize = 300;

/// A part that may come in, with its price where there is a list.
pub type Substitute = (PartRef, Option<UnitPrice>);

/// A part that may go, and what may come in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swap {
    /// The part that clashes.
    pub replaced: PartRef,
    /// Parts with which everything fits, cheapest first, each with its price where there is a list.
    pub by: Vec<Substitute>,
}

/// Every single swap that ends all clashes, in the order of the parts given.
///
/// With a price list only what it prices is offered, cheapest first; without one by part number.
pub fn swaps(
    catalogue: &Catalogue,
    list: Option<&PriceList>,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Vec<Swap> {
    let findings = check_parts(catalogue.edition(), parts, surroundings);
    let mut left = SWAPS_TRIED_MAX;
    let named = parts.iter().filter(|part| is_named(catalogue, **part, &findings));
    let swaps = named.filter_map(|part| {
        let others: Vec<PartRef> = parts.iter().copied().filter(|other| other != part).collect();
        let offered = offered(catalogue, list, *part, &others).into_iter();
        let fitting = offered.filter(|(candidate, _)| {
            let Some(fewer) = left.checked_sub(1) else { return false };
            left = fewer;
            let mut changed = others.clone();
            changed.push(*candidate);
            let found = check_parts(catalogue.edition(), &changed, surroundings);
            !found.iter().any(Finding::refuses)
        });
        let by: Vec<_> = fitting.take(SWAPS_OFFERED_MAX).collect();
        (!by.is_empty()).then_some(Swap { replaced: *part, by })
    });
    swaps.collect()
}

/// Whether a clash names the part.
fn is_named(catalogue: &Catalogue, part: PartRef, findings: &[Finding]) -> bool {
    let Some(card) = catalogue.edition().card(part) else { return false };
    let refusing = findings.iter().filter(|finding| finding.refuses());
    let mut sides = refusing.flat_map(|finding| [&finding.left, &finding.right]);
    sides.any(|side| side.sku.as_ref() == Some(&card.sku))
}

/// Parts of the same kind that may be sold and that no rule row refuses beside the others, cheapest first.
fn offered(
    catalogue: &Catalogue,
    list: Option<&PriceList>,
    part: PartRef,
    others: &[PartRef],
) -> Vec<Substitute> {
    let edition = catalogue.edition();
    let candidates = (0..edition.count(part.kind)).map(|index| PartRef { kind: part.kind, index });
    let fits = |candidate: &PartRef| {
        let is_sold =
            edition.card(*candidate).is_some_and(|card| card.stock != Stock::Discontinued);
        // A part that was chosen already cannot stand in for another.
        let is_new = *candidate != part && !others.contains(candidate);
        let rules = catalogue.index();
        is_sold
            && is_new
            && rules.stands_alone(*candidate)
            && others.iter().all(|other| other.kind == part.kind || rules.fits(*other, *candidate))
    };
    let priced = candidates.filter(fits).filter_map(|candidate| match list {
        Some(list) => Some((candidate, Some(catalogue.price(list, candidate)?))),
        None => Some((candidate, None)),
    });
    let mut offered: Vec<_> = priced.collect();
    offered.sort_by_key(|(candidate, price)| (*price, *candidate));
    offered
}

//! One question put to one catalogue: prices of the day, and what may be sold at all.

use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Stock;
use crate::domain::compatibility::Catalogue;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;
use crate::domain::pricing::Total;
use crate::domain::snapshot::Index;
use crate::domain::snapshot::Snapshot;

use super::allowance::Allowance;
use super::demands::Demands;

/// A question and the catalogue it is put to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Query<'a> {
    pub catalogue: &'a Catalogue,
    pub list: &'a PriceList,
    pub demands: &'a Demands<'a>,
    /// The catalogue compiled for the list, where there is such a thing.
    pub compiled: Option<&'a Snapshot>,
    pub allowance: &'a Allowance<'a>,
}

impl<'a> Query<'a> {
    /// The compiled catalogue, if it serves these demands, on every wall space.
    pub(super) fn served(&self) -> Option<&'a Index> {
        let serves_at = |snapshot: &Snapshot, demands: &Demands<'_>| {
            snapshot.serves(self.list, &demands.surroundings)
        };
        let serves = |snapshot: &&Snapshot| {
            serves_at(snapshot, self.demands)
                && (self.demands.sought.walls.is_empty()
                    || self.demands.spots().iter().all(|spot| serves_at(snapshot, spot)))
        };
        self.compiled.filter(serves).map(Snapshot::index)
    }

    /// Price of one piece, for a part that may be sold: priced, not discontinued, no rule against it.
    pub(super) fn price(&self, part: PartRef) -> Option<UnitPrice> {
        let card = self.catalogue.edition().card(part)?;
        let sold = card.stock != Stock::Discontinued && self.catalogue.index().stands_alone(part);
        if sold { self.catalogue.price(self.list, part) } else { None }
    }

    /// Net price of a line. A sum too large to be held is no price.
    pub(super) fn net(&self, part: PartRef, quantity: u32) -> Option<Minor> {
        self.price(part)?.times(quantity, self.list.currency).ok()
    }
}

/// Whether a net price is beyond the budget once taxed. An amount too large to be held is.
pub(super) fn is_over_budget(query: &Query<'_>, net: Minor) -> bool {
    let Some(budget) = query.demands.preferences.budget else { return false };
    let rate = query.demands.surroundings.market.tax_rate;
    Total::of(net, rate, query.list.currency).map_or(true, |total| budget < total.gross)
}

/// The largest net price whose gross is within the budget.
pub(super) fn net_max(query: &Query<'_>) -> i64 {
    let Some(budget) = query.demands.preferences.budget else { return i64::MAX };
    let share = 10_000_i128
        .saturating_add(query.demands.surroundings.market.tax_rate.basis_points().into());
    let guess = i128::from(budget.value()).saturating_mul(10_000).div_euclid(share);
    let mut net = i64::try_from(guess).unwrap_or(i64::MAX).saturating_add(2);
    while 0 <= net && is_over_budget(query, Minor::new(net)) {
        net = net.saturating_sub(1);
    }
    net
}

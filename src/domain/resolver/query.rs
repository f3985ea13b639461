//! One question put to one catalogue: prices of the day, and what may be sold at all.

use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Stock;
use crate::domain::compatibility::Catalogue;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;

use super::demands::Demands;

/// A question and the catalogue it is put to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Query<'a> {
    pub catalogue: &'a Catalogue,
    pub list: &'a PriceList,
    pub demands: &'a Demands<'a>,
}

impl Query<'_> {
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

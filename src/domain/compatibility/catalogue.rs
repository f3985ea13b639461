//! The snapshot that reads are answered from: an edition with its rules compiled and its prices laid out.

use std::collections::BTreeMap;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::money::UnitPrice;

use super::check::check_with;
use super::index::RuleIndex;
use super::kept::Check;
use super::kept::KeptFindings;
use super::surroundings::Surroundings;

/// Prices of one list.
type Prices = BTreeMap<PartRef, UnitPrice>;

/// An edition compiled for look-up. Immutable: a new edition makes a new one.
#[derive(Debug, Clone)]
pub struct Catalogue {
    edition: Edition,
    index: RuleIndex,
    prices: BTreeMap<Box<str>, Prices>,
    findings: KeptFindings,
}

impl Catalogue {
    /// Compiles an edition.
    pub fn compile(edition: Edition) -> Self {
        let index = RuleIndex::compile(&edition);
        let lists = edition.content().price_lists.iter();
        let prices = lists.map(|list| (list.code.clone(), laid_out(&edition, list))).collect();
        Self { edition, index, prices, findings: KeptFindings::default() }
    }

    /// What it was compiled from.
    pub const fn edition(&self) -> &Edition {
        &self.edition
    }

    /// Its compiled rules.
    pub const fn index(&self) -> &RuleIndex {
        &self.index
    }

    /// All findings about parts, as [`super::check_parts`] gives them; what depends on the parts alone is made once and shared.
    pub fn check(&self, parts: &[PartRef], surroundings: &Surroundings<'_>) -> Vec<Check> {
        check_with((&self.edition, &self.findings), parts, surroundings)
    }

    /// Net price of a part in a price list; a part without one cannot be sold there.
    pub fn price(&self, list: &PriceList, part: PartRef) -> Option<UnitPrice> {
        self.prices.get(&list.code)?.get(&part).copied()
    }
}

fn laid_out(edition: &Edition, list: &PriceList) -> Prices {
    let priced = |(sku, price): (&_, &UnitPrice)| {
        Some((edition.find(sku)?, net_price(edition, list, *price)?))
    };
    list.prices.iter().filter_map(priced).collect()
}

/// The net of a price as its list states it. Prices with tax in them give their net by the market's standard rate,
/// rounded to the currency's digits; a price too large to be converted is none.
pub fn net_price(edition: &Edition, list: &PriceList, stated: UnitPrice) -> Option<UnitPrice> {
    if !edition.terms().includes_tax(&list.code) {
        return Some(stated);
    }
    let rate = edition.market(&list.market)?.tax_rate;
    stated.net_of_tax(rate, list.currency).ok()
}

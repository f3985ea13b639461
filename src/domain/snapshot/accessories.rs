//! The cheapest accessory of a kind for every class of bodies and elements.
//!
//! Of accessories that go equally far only those can be cheapest that no other undercuts at an earlier part number.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Amount;
use crate::domain::money::Currency;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;
use crate::domain::units::Millimetres;

/// An accessory chosen for a need.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Supply {
    pub net: Minor,
    /// Its place in the edition.
    pub index: usize,
    pub quantity: u32,
}

/// How far a piece goes.
type Reach = (Option<i32>, Option<u16>, Option<u16>);

/// An accessory at its price.
#[derive(Debug, Clone, Copy)]
struct Offer {
    index: usize,
    price: UnitPrice,
}

/// The offers of a kind that can be cheapest.
type Offers = Vec<Offer>;

/// Offers of every kind for every pair of classes.
#[derive(Debug, Clone)]
pub(crate) struct AccessoryTable {
    currency: Currency,
    element_classes: usize,
    /// By body class, element class and kind.
    offers: Vec<Offers>,
    /// The same without those that another outdoes at no higher price: what the cheapest cost shows in these.
    outstanding: Vec<Offers>,
    /// By kind, whatever fits, without those that another outdoes.
    all: Vec<Offers>,
}

/// The accessories of an edition at the prices of a list; no price, not sold.
#[derive(Debug)]
pub(crate) struct Stocked<'a> {
    pub accessories: &'a [Accessory],
    pub prices: &'a [Option<UnitPrice>],
    pub currency: Currency,
}

impl AccessoryTable {
    /// Lays out the offers.
    pub(crate) fn compile(
        stocked: &Stocked<'_>,
        bodies: &[FixedBitSet],
        elements: &[FixedBitSet],
    ) -> Self {
        let mut offers = Vec::new();
        for body in bodies {
            for element in elements {
                let mut fitting = body.clone();
                fitting.intersect_with(element);
                offers.extend(by_kind(stocked, fitting.ones()));
            }
        }
        let outstanding = |each: &[Offers]| -> Vec<Offers> {
            each.iter().map(|of_kind| outstanding(stocked.accessories, of_kind)).collect()
        };
        Self {
            currency: stocked.currency,
            element_classes: elements.len(),
            outstanding: outstanding(&offers),
            offers,
            all: outstanding(&by_kind(stocked, 0..stocked.accessories.len())),
        }
    }

    /// The cheapest way to meet an amount, equal prices by part number.
    pub(crate) fn cheapest(
        &self,
        accessories: &[Accessory],
        classes: (usize, usize),
        (kind, amount): (usize, Amount),
    ) -> Option<Supply> {
        self.best(accessories, self.offers.get(self.place(classes, kind)?)?, amount)
    }

    /// What the cheapest way costs.
    pub(crate) fn cheapest_net(
        &self,
        accessories: &[Accessory],
        classes: (usize, usize),
        (kind, amount): (usize, Amount),
    ) -> Option<Minor> {
        let offers = self.outstanding.get(self.place(classes, kind)?)?;
        self.best(accessories, offers, amount).map(|supply| supply.net)
    }

    /// Where the offers of a kind stand for a class of bodies and one of elements.
    fn place(&self, (body, element): (usize, usize), kind: usize) -> Option<usize> {
        let class = body.checked_mul(self.element_classes)?.checked_add(element)?;
        class.checked_mul(AccessoryKind::ALL.len())?.checked_add(kind)
    }

    /// The least that any accessory of a kind costs for an amount.
    pub(crate) fn least(
        &self,
        accessories: &[Accessory],
        kind: usize,
        amount: Amount,
    ) -> Option<Minor> {
        self.best(accessories, self.all.get(kind)?, amount).map(|supply| supply.net)
    }

    fn best(&self, accessories: &[Accessory], offers: &[Offer], amount: Amount) -> Option<Supply> {
        let supplies = offers.iter().filter_map(|offer| {
            let quantity = match amount {
                Amount::Pieces(count) => count,
                Amount::Cover(_) | Amount::Dose(_) => {
                    accessories.get(offer.index)?.pieces_for(amount)?
                }
            };
            let net = offer.price.times(quantity, self.currency).ok()?;
            Some(Supply { net, index: offer.index, quantity })
        });
        supplies.min()
    }
}

fn by_kind<I: Iterator<Item = usize>>(stocked: &Stocked<'_>, places: I) -> Vec<Offers> {
    let mut kinds: Vec<BTreeMap<Reach, Offers>> =
        AccessoryKind::ALL.iter().map(|_| BTreeMap::new()).collect();
    for index in places {
        let (Some(accessory), Some(Some(price))) =
            (stocked.accessories.get(index), stocked.prices.get(index))
        else {
            continue;
        };
        let Some(reaches) = kinds.get_mut(kind_place(accessory.kind)) else { continue };
        let offers = reaches.entry(reach(accessory)).or_default();
        // Places come in order, so whatever was kept before has the earlier part number.
        if offers.last().is_none_or(|last| *price < last.price) {
            offers.push(Offer { index, price: *price });
        }
    }
    kinds.into_iter().map(|reaches| reaches.into_values().flatten().collect()).collect()
}

/// The offers that no other outdoes at no higher price.
fn outstanding(accessories: &[Accessory], offers: &[Offer]) -> Offers {
    let mut by_price = offers.to_vec();
    by_price.sort_by_key(|offer| offer.price);
    let mut kept = Offers::new();
    for offer in by_price {
        let Some(accessory) = accessories.get(offer.index) else { continue };
        let mut cheaper = kept.iter().filter_map(|other| accessories.get(other.index));
        if !cheaper.any(|other| goes_as_far(other, accessory)) {
            kept.push(offer);
        }
    }
    kept
}

/// Whether no need takes more of one accessory than of another of its kind.
fn goes_as_far(one: &Accessory, other: &Accessory) -> bool {
    let (mine, theirs) = (reach(one), reach(other));
    let is_as_strong = match (mine.1, theirs.1) {
        (Some(mine), Some(theirs)) => mine <= theirs,
        (mine, theirs) => mine == theirs,
    };
    theirs.0 <= mine.0 && is_as_strong && theirs.2 <= mine.2
}

fn reach(accessory: &Accessory) -> Reach {
    let length = accessory.cover_length.map(Millimetres::value);
    match accessory.kind {
        AccessoryKind::FlexCover => (length, None, None),
        AccessoryKind::Inhibitor => (None, accessory.dose_ml_per_litre, accessory.pack_ml),
        AccessoryKind::PlugCover
        | AccessoryKind::Bracket
        | AccessoryKind::WallPlate
        | AccessoryKind::VentKey
        | AccessoryKind::Hook
        | AccessoryKind::Shelf => (None, None, None),
    }
}

/// The place of a kind among all kinds.
pub(crate) fn kind_place(kind: AccessoryKind) -> usize {
    AccessoryKind::ALL.iter().position(|known| *known == kind).unwrap_or_default()
}

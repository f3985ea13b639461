//! The accessories that a question adds to a pair: what the body needs anyway, what is wished for, at what price.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "places within the snapshot; kinds of accessory index tables of kinds"
)]

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Amount;
use crate::domain::catalogue::Edition;
use crate::domain::compatibility::pair_fill;
use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::kind_place;
use crate::domain::units::Millimetres;

use crate::domain::resolver::demands::Demands;

use super::Question;

/// Kinds of accessory.
const KINDS: usize = AccessoryKind::ALL.len();

/// What is wished for beyond a body's own needs.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extras {
    wished: [u32; KINDS],
    /// The route of the flex that is to be covered.
    cover: Option<Millimetres>,
    /// Whether wishes change the body's own needs.
    is_own_changed: bool,
    is_any: bool,
}

/// What a cover costs, remembered because bodies share classes and routes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Covered {
    /// Classes of body and element, and the route that is left to cover.
    asked: ((usize, usize), Millimetres),
    net: Option<i64>,
}

impl Extras {
    pub(crate) fn new(demands: &Demands<'_>) -> Self {
        let mut wished = [0_u32; KINDS];
        for kind in &demands.preferences.accessories {
            let count = &mut wished[kind_place(*kind)];
            *count = count.saturating_add(1);
        }
        let is_wished = |kind| 0 < wished[kind_place(kind)];
        let covered = demands.surroundings.users.need_protection()
            || demands.preferences.flex_cover
            || is_wished(AccessoryKind::FlexCover);
        let route = demands.surroundings.place.connection_distance.unwrap_or_default();
        let own = [AccessoryKind::PlugCover, AccessoryKind::Bracket, AccessoryKind::Inhibitor];
        Self {
            wished,
            cover: covered.then_some(route),
            is_own_changed: own.into_iter().any(is_wished),
            is_any: covered || !demands.preferences.accessories.is_empty(),
        }
    }
}

impl Question<'_> {
    /// Whether accessories of a body cost the same with every element of a class.
    pub(crate) fn is_one_price(&self, slot: usize, class: usize) -> bool {
        let [least, most] = self.index.own_needs[slot * self.index.element_classes + class];
        least == most && !self.extras.is_own_changed
    }

    /// Net price of the accessories of a pair; nothing when one cannot be had. Exact.
    pub(crate) fn accessories_net(
        &self,
        (slot, body): (usize, &BodyRow),
        element: &ElementRow,
    ) -> Option<i64> {
        let class = element.accessory_class;
        let [least, most] = self.index.own_needs[slot * self.index.element_classes + class];
        if least == most && !self.extras.is_any {
            return (least < i64::MAX).then_some(least);
        }
        let is_own_known = least == most && !self.extras.is_own_changed;
        let mut net = if is_own_known { least } else { 0 };
        for (kind, amount) in self.amounts(body, element, is_own_known) {
            let classes = (body.accessory_class, class);
            net = net.checked_add(self.supply_net(classes, (kind, amount))?)?;
        }
        (net < i64::MAX).then_some(net)
    }

    fn supply_net(&self, classes: (usize, usize), need: (usize, Amount)) -> Option<i64> {
        let Amount::Cover(route) = need.1 else { return self.find_supply_net(classes, need) };
        if let Some(known) = self.covered.get().filter(|known| known.asked == (classes, route)) {
            return known.net;
        }
        let net = self.find_supply_net(classes, need);
        self.covered.set(Some(Covered { asked: (classes, route), net }));
        net
    }

    fn find_supply_net(&self, classes: (usize, usize), need: (usize, Amount)) -> Option<i64> {
        let accessories = self.catalogue.edition().accessories();
        Some(self.index.accessories.cheapest_net(accessories, classes, need)?.value())
    }

    fn amounts(
        &self,
        body: &BodyRow,
        element: &ElementRow,
        is_own_known: bool,
    ) -> impl Iterator<Item = (usize, Amount)> {
        AccessoryKind::ALL.into_iter().enumerate().filter_map(move |(kind, named)| {
            let (wished, carton) = (self.extras.wished[kind], &body.needs.cartons[kind]);
            let pieces = |needed: u32| carton.pieces_left(needed);
            let amount = match named {
                AccessoryKind::PlugCover | AccessoryKind::Bracket | AccessoryKind::Inhibitor
                    if is_own_known =>
                {
                    None
                }
                AccessoryKind::PlugCover => pieces(wished.max(body.needs.open_ports)),
                AccessoryKind::Bracket => pieces(wished.max(body.needs.brackets)),
                AccessoryKind::FlexCover => {
                    self.extras.cover.and_then(|route| carton.cover_left(route))
                }
                AccessoryKind::Inhibitor => self.dose(body, element, wished),
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => pieces(wished),
            };
            amount.map(|amount| (kind, amount))
        })
    }

    fn dose(&self, body: &BodyRow, element: &ElementRow, wished: u32) -> Option<Amount> {
        if body.needs.is_filled && wished == 0 {
            return None;
        }
        let edition = self.catalogue.edition();
        let carton = body.needs.cartons[kind_place(AccessoryKind::Inhibitor)];
        let body = edition.bodies().get(body.index)?;
        let fill = pair_fill(body, Some(edition.elements().get(element.index)?));
        carton.dose_left(fill.volume().value())
    }

    /// The least that wishes add to any rail; nothing when one cannot be had at all.
    pub(crate) fn find_extras_least(&self, edition: &Edition) -> Option<i64> {
        let mut net = 0_i64;
        for (kind, named) in AccessoryKind::ALL.into_iter().enumerate() {
            let carton = &self.index.extremes.cartons[kind];
            let amount = match named {
                AccessoryKind::FlexCover => {
                    self.extras.cover.and_then(|route| carton.cover_left(route))
                }
                // These change what a body needs anyway, and the least of that is in the orders.
                AccessoryKind::PlugCover | AccessoryKind::Bracket | AccessoryKind::Inhibitor => {
                    None
                }
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => carton.pieces_left(self.extras.wished[kind]),
            };
            if let Some(amount) = amount {
                let least = self.index.accessories.least(edition.accessories(), kind, amount)?;
                net = net.saturating_add(least.value());
            }
        }
        Some(net)
    }
}

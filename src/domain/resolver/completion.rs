//! From a pair to a finished job: the cheapest accessories and controls that complete it.

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::money::Minor;

use super::controls::ControlSet;
use super::controls::Remembered;
use super::needs::Need;
use super::needs::needs;
use super::pairs::Pair;
use super::query::Query;
use super::shortlist::shortlist;
use super::sought::Order;

/// An accessory on the bill.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ChosenAccessory {
    pub part: PartRef,
    pub quantity: u32,
    pub net: Minor,
    pub why: String,
}

/// A pair with all that finishes the job.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Completion {
    pub pair: Pair,
    pub accessories: Vec<ChosenAccessory>,
    pub controls: ControlSet,
    /// Net price of everything.
    pub net: Minor,
}

/// What ranks the completions of one pair: pieces where they come first, price, fewer controls, part numbers.
pub(super) type CompletionRank = (u32, Minor, usize, Vec<PartRef>);

impl Completion {
    /// Parts in the order of the bill: what ties are broken by.
    pub(super) fn parts(&self) -> Vec<PartRef> {
        let mut parts = vec![self.pair.body, self.pair.element];
        parts.extend(&self.controls.controls);
        parts.extend(self.accessories.iter().map(|chosen| chosen.part));
        parts
    }

    /// Pieces that are bought.
    pub(super) fn pieces(&self) -> u32 {
        let controls = u32::try_from(self.controls.controls.len()).unwrap_or(u32::MAX);
        let quantities = self.accessories.iter().map(|chosen| chosen.quantity);
        quantities.fold(controls.saturating_add(2), u32::saturating_add)
    }

    /// What ranks it among those of its pair.
    pub(super) fn rank(&self, order: Order) -> CompletionRank {
        let pieces = if order == Order::FewestParts { self.pieces() } else { 0 };
        (pieces, self.net, self.controls.controls.len(), self.parts())
    }
}

/// The best completion of a pair; nothing when the catalogue cannot finish the job.
pub(super) fn complete(
    query: &Query<'_>,
    pair: &Pair,
    remembered: &mut Remembered,
) -> Option<Completion> {
    completions(query, pair, remembered, 1).into_iter().next()
}

/// The best completions of a pair, no more than a number of them, best first: see [`shortlist`].
///
/// One completion differs from the other in any part; none holds a control that could be left out.
pub(super) fn completions(
    query: &Query<'_>,
    pair: &Pair,
    remembered: &mut Remembered,
    wanted: usize,
) -> Vec<Completion> {
    let edition = query.catalogue.edition();
    let parts =
        edition.bodies().get(pair.body.index).zip(edition.elements().get(pair.element.index));
    let Some((body, element)) = parts else { return Vec::new() };
    let order = query.demands.sought.order;
    let needs = needs(edition, query.demands, body, element);
    let mut best: Vec<Completion> = Vec::new();
    let is_by_price = order != Order::FewestParts;
    for controls in remembered.controls(query, (pair, element), 1 < wanted) {
        let last = best.last().filter(|_| best.len() == wanted);
        // Sets come cheapest first, and accessories only add to them.
        let is_beaten =
            |kept: &Completion| pair.net.plus(controls.net).is_ok_and(|net| kept.net < net);
        if is_by_price && last.is_some_and(is_beaten) {
            break;
        }
        best.extend(complete_with(query, (pair, controls), &needs, wanted));
        best.sort_by_cached_key(|completion| completion.rank(order));
        shortlist(query, &mut best, wanted, |completion| completion.net);
    }
    best
}

/// Net price of the cheapest accessories of a pair; nothing when one cannot be had.
///
/// Holds whatever controls stand beside them, unless rule rows join controls with accessories.
pub(super) fn accessories_net(query: &Query<'_>, pair: &Pair) -> Option<Minor> {
    let edition = query.catalogue.edition();
    let body = edition.bodies().get(pair.body.index)?;
    let element = edition.elements().get(pair.element.index)?;
    let alone = ControlSet { net: Minor::ZERO, controls: Vec::new() };
    let fitting = fitting_accessories(query, pair, &alone);
    let needs = needs(edition, query.demands, body, element);
    needs.iter().try_fold(Minor::ZERO, |sum, need| {
        let cheapest = supplies(query, &fitting, need, 1);
        sum.plus(cheapest.first()?.net).ok()
    })
}

/// The best completions with one set of controls.
fn complete_with(
    query: &Query<'_>,
    (pair, controls): (&Pair, &ControlSet),
    needs: &[Need],
    wanted: usize,
) -> Vec<Completion> {
    let Ok(net) = pair.net.plus(controls.net) else { return Vec::new() };
    let fitting = fitting_accessories(query, pair, controls);
    let order = query.demands.sought.order;
    let bare = Completion { pair: *pair, accessories: Vec::new(), controls: controls.clone(), net };
    let mut begun = vec![bare];
    for need in needs {
        // A choice that is not among the best for its need stands in none of the best completions.
        let supplies = supplies(query, &fitting, need, wanted);
        let grown = begun
            .iter()
            .flat_map(|completion| supplies.iter().filter_map(|supply| completion.with(supply)));
        begun = grown.collect();
        if 1 < begun.len() {
            begun.sort_by_cached_key(|completion| completion.rank(order));
            shortlist(query, &mut begun, wanted, |completion| completion.net);
        }
    }
    begun
}

impl Completion {
    fn with(&self, supply: &ChosenAccessory) -> Option<Self> {
        let net = self.net.plus(supply.net).ok()?;
        let mut grown = self.clone();
        grown.accessories.push(supply.clone());
        Some(Self { net, ..grown })
    }
}

/// The best accessories for a need, no more than a number of them: see [`shortlist`].
fn supplies(
    query: &Query<'_>,
    fitting: &FixedBitSet,
    need: &Need,
    wanted: usize,
) -> Vec<ChosenAccessory> {
    let accessories = query.catalogue.edition().accessories();
    let is_by_pieces = query.demands.sought.order == Order::FewestParts;
    let priced = fitting.ones().filter_map(|index| {
        let accessory = accessories.get(index).filter(|found| found.kind == need.kind)?;
        let part = PartRef { kind: PartKind::Accessory, index };
        let quantity = accessory.pieces_for(need.amount)?;
        let net = query.net(part, quantity)?;
        Some((if is_by_pieces { quantity } else { 0 }, net, part, quantity))
    });
    let best = if wanted == 1 && !query.demands.trades_pieces() {
        priced.min().into_iter().collect()
    } else {
        let mut all: Vec<_> = priced.collect();
        all.sort_unstable();
        shortlist(query, &mut all, wanted, |(_, net, ..)| *net);
        all
    };
    let chosen = best.into_iter();
    chosen
        .map(|(_, net, part, quantity)| ChosenAccessory {
            part,
            quantity,
            net,
            why: need.why.clone(),
        })
        .collect()
}

/// Accessories that fit both parts of a pair and all its controls.
fn fitting_accessories(query: &Query<'_>, pair: &Pair, controls: &ControlSet) -> FixedBitSet {
    let rules = query.catalogue.index();
    let mut fitting = rules.partners(pair.body, PartKind::Accessory);
    for part in std::iter::once(&pair.element).chain(&controls.controls) {
        fitting.intersect_with(&rules.partners(*part, PartKind::Accessory));
    }
    fitting
}

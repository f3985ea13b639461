//! From a pair to a finished job: the cheapest accessories and controls that complete it.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::money::Minor;

use super::controls::ControlSet;
use super::controls::Remembered;
use super::needs::Need;
use super::needs::needs;
use super::needs::quantity;
use super::pairs::Pair;
use super::query::Query;

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

impl Completion {
    /// Parts in the order of the bill: what ties are broken by.
    pub(super) fn parts(&self) -> Vec<PartRef> {
        let mut parts = vec![self.pair.body, self.pair.element];
        parts.extend(&self.controls.controls);
        parts.extend(self.accessories.iter().map(|chosen| chosen.part));
        parts
    }
}

/// The cheapest completion of a pair; nothing when the catalogue cannot finish the job.
pub(super) fn complete(
    query: &Query<'_>,
    pair: &Pair,
    remembered: &mut Remembered,
) -> Option<Completion> {
    let edition = query.catalogue.edition();
    let body = edition.bodies().get(pair.body.index)?;
    let element = edition.elements().get(pair.element.index)?;
    let controls = remembered.controls(query, pair, element)?;
    let mut net = pair.net.plus(controls.net).ok()?;
    let mut accessories = Vec::new();
    for need in needs(edition, query.demands, body, element) {
        let chosen = cheapest(query, pair, &need)?;
        net = net.plus(chosen.net).ok()?;
        accessories.push(chosen);
    }
    Some(Completion { pair: *pair, accessories, controls, net })
}

fn cheapest(query: &Query<'_>, pair: &Pair, need: &Need) -> Option<ChosenAccessory> {
    let fitting = fitting_accessories(query, pair, need.kind);
    let priced = fitting.into_iter().filter_map(|part| {
        let accessory = query.catalogue.edition().accessories().get(part.index)?;
        let quantity = quantity(need.amount, accessory)?;
        let net = query.net(part, quantity)?;
        Some(ChosenAccessory { part, quantity, net, why: need.why.clone() })
    });
    priced.min_by_key(|chosen| (chosen.net, chosen.part))
}

/// Accessories of a kind that fit both parts of a pair.
pub(super) fn fitting_accessories(
    query: &Query<'_>,
    pair: &Pair,
    kind: AccessoryKind,
) -> Vec<PartRef> {
    let rules = query.catalogue.index();
    let mut fitting = rules.partners(pair.body, PartKind::Accessory);
    fitting.intersect_with(&rules.partners(pair.element, PartKind::Accessory));
    let accessories = query.catalogue.edition().accessories();
    let of_kind = |index: &usize| accessories.get(*index).is_some_and(|found| found.kind == kind);
    fitting
        .ones()
        .filter(of_kind)
        .map(|index| PartRef { kind: PartKind::Accessory, index })
        .collect()
}

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

    /// What ranks the completions of one pair.
    fn rank(&self) -> (Minor, usize, Vec<PartRef>) {
        (self.net, self.controls.controls.len(), self.parts())
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
    let needs = needs(edition, query.demands, body, element);
    let mut best: Option<Completion> = None;
    for controls in remembered.controls(query, pair, element) {
        let net = pair.net.plus(controls.net).ok()?;
        // Sets come cheapest first, and accessories only add to them.
        if best.as_ref().is_some_and(|best| best.net < net) {
            break;
        }
        let completed = complete_with(query, pair, controls, &needs);
        let Some(completion) = completed else { continue };
        if best.as_ref().is_none_or(|best| completion.rank() < best.rank()) {
            best = Some(completion);
        }
    }
    best
}

fn complete_with(
    query: &Query<'_>,
    pair: &Pair,
    controls: &ControlSet,
    needs: &[Need],
) -> Option<Completion> {
    let fitting = fitting_accessories(query, pair, controls);
    let mut net = pair.net.plus(controls.net).ok()?;
    let mut accessories = Vec::new();
    for need in needs {
        let chosen = cheapest(query, &fitting, need)?;
        net = net.plus(chosen.net).ok()?;
        accessories.push(chosen);
    }
    Some(Completion { pair: *pair, accessories, controls: controls.clone(), net })
}

fn cheapest(query: &Query<'_>, fitting: &FixedBitSet, need: &Need) -> Option<ChosenAccessory> {
    let accessories = query.catalogue.edition().accessories();
    let priced = fitting.ones().filter_map(|index| {
        let accessory = accessories.get(index).filter(|found| found.kind == need.kind)?;
        let part = PartRef { kind: PartKind::Accessory, index };
        let quantity = accessory.pieces_for(need.amount)?;
        let net = query.net(part, quantity)?;
        Some(ChosenAccessory { part, quantity, net, why: need.why.clone() })
    });
    priced.min_by_key(|chosen| (chosen.net, chosen.part))
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

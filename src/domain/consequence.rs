//! What a new edition does to the pairs of body and element: which fit now that did not, and which no longer do.
//!
//! "Fits" is what the refusing rules, the threads and the bodies' heat source say. Absent here: rooms, prices, and rows
//! that were only changed in their words.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use super::catalogue::PartKind;
use super::catalogue::PartRef;
use super::catalogue::Sku;
use super::compatibility::Catalogue;

/// Pairs, and bodies, that are listed; the counts go on.
pub const PAIRS_LISTED_MAX: usize = 1_000;

/// A body and an element.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pair {
    /// The body.
    pub body: Sku,
    /// The element.
    pub element: Sku,
}

/// How many pairs of one body changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BodyChange {
    /// The body.
    pub body: Sku,
    /// Elements that newly fit.
    pub gained: u64,
    /// Elements that no longer fit.
    pub lost: u64,
}

/// What changed between two editions.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PairChanges {
    /// Pairs that newly fit, in all.
    pub gained: u64,
    /// Pairs that no longer fit, in all.
    pub lost: u64,
    /// Bodies with at least one such pair.
    pub bodies_changed: u64,
    /// The first of them.
    pub bodies: Vec<BodyChange>,
    /// The first pairs that newly fit.
    pub gained_pairs: Vec<Pair>,
    /// The first pairs that no longer fit.
    pub lost_pairs: Vec<Pair>,
}

/// Compares the pairs of two editions, the older one first.
///
/// Bodies that the rules of both editions cannot tell apart are asked about once.
pub fn compare_pairs(old: &Catalogue, new: &Catalogue) -> PairChanges {
    let mut comparison = Comparison::new(old, new);
    let mut skus: Vec<&Sku> = Vec::new();
    skus.extend(old.edition().bodies().iter().map(|body| &body.card.sku));
    skus.extend(new.edition().bodies().iter().map(|body| &body.card.sku));
    skus.sort();
    skus.dedup();
    for sku in skus {
        comparison.body(sku);
    }
    comparison.changes
}

/// Elements that a group of bodies gained, in the new numbering, and lost, in the old one.
#[derive(Debug, Clone)]
struct Difference {
    gained: FixedBitSet,
    lost: FixedBitSet,
}

/// What decides which elements fit a body, in one edition; nothing where there is no such body.
type Signature = Option<(bool, Vec<usize>)>;

struct Comparison<'a> {
    old: &'a Catalogue,
    new: &'a Catalogue,
    /// Place of each old element in the new edition.
    moved: Vec<Option<usize>>,
    known: BTreeMap<(Signature, Signature), Difference>,
    changes: PairChanges,
}

impl<'a> Comparison<'a> {
    fn new(old: &'a Catalogue, new: &'a Catalogue) -> Self {
        let elements = old.edition().elements().iter();
        let place = |sku: &Sku| new.edition().position(sku, PartKind::Element);
        let moved = elements.map(|element| place(&element.card.sku)).collect();
        Self { old, new, moved, known: BTreeMap::new(), changes: PairChanges::default() }
    }

    fn body(&mut self, sku: &Sku) {
        let before = place(self.old, sku);
        let after = place(self.new, sku);
        let key = (signature(self.old, before), signature(self.new, after));
        if !self.known.contains_key(&key) {
            let found = self.difference(before, after);
            self.known.insert(key.clone(), found);
        }
        let Some(difference) = self.known.get(&key) else { return };
        let (gained, lost) = (ones(&difference.gained), ones(&difference.lost));
        if gained == 0 && lost == 0 {
            return;
        }
        let changes = &mut self.changes;
        changes.gained = changes.gained.saturating_add(gained);
        changes.lost = changes.lost.saturating_add(lost);
        changes.bodies_changed = changes.bodies_changed.saturating_add(1);
        if changes.bodies.len() < PAIRS_LISTED_MAX {
            changes.bodies.push(BodyChange { body: sku.clone(), gained, lost });
        }
        list(&mut changes.gained_pairs, self.new, (sku, &difference.gained));
        list(&mut changes.lost_pairs, self.old, (sku, &difference.lost));
    }

    fn difference(&self, before: Option<PartRef>, after: Option<PartRef>) -> Difference {
        let partners = |catalogue: &Catalogue, body: Option<PartRef>| {
            let all = catalogue.edition().elements().len();
            let fitting = body.map(|body| catalogue.index().partners(body, PartKind::Element));
            let mut fitting = fitting.unwrap_or_default();
            fitting.grow(all);
            fitting
        };
        let had = partners(self.old, before);
        let mut gained = partners(self.new, after);
        let mut lost = FixedBitSet::with_capacity(had.len());
        for index in had.ones() {
            match self.moved.get(index).copied().flatten() {
                Some(place) if gained.contains(place) => gained.set(place, false),
                Some(_) | None => lost.insert(index),
            }
        }
        Difference { gained, lost }
    }
}

fn place(catalogue: &Catalogue, sku: &Sku) -> Option<PartRef> {
    let index = catalogue.edition().position(sku, PartKind::Body)?;
    Some(PartRef { kind: PartKind::Body, index })
}

fn signature(catalogue: &Catalogue, body: Option<PartRef>) -> Signature {
    let body = body?;
    let index = catalogue.index();
    Some((index.stands_alone(body), index.signature(body, PartKind::Element)))
}

fn ones(set: &FixedBitSet) -> u64 {
    u64::try_from(set.count_ones(..)).unwrap_or(u64::MAX)
}

fn list(pairs: &mut Vec<Pair>, catalogue: &Catalogue, (body, elements): (&Sku, &FixedBitSet)) {
    let room = PAIRS_LISTED_MAX.saturating_sub(pairs.len());
    let found = elements.ones().filter_map(|index| catalogue.edition().elements().get(index));
    pairs.extend(
        found
            .take(room)
            .map(|element| Pair { body: body.clone(), element: element.card.sku.clone() }),
    );
}

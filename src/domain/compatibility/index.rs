//! Rule rows compiled into bitsets: for every distinct left value one set of the right parts that fit.
//!
//! A row costs one evaluation per pair of *distinct* value tuples, however many parts share them; asking which
//! parts fit a given one is then an AND of as many sets as there are rows. A row that is data stays data: a new one
//! changes this structure and no code.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Value;

use super::built_in::check_heat_source;
use super::built_in::thread_fits;
use super::judge::Judgement;
use super::judge::Sides;
use super::judge::judge;

/// The set of fitting parts for every class of equal parts.
#[derive(Debug, Clone)]
pub(super) struct Classed {
    code: Box<str>,
    class_of: Vec<usize>,
    fits: Vec<FixedBitSet>,
}

/// The rows between two kinds.
pub(super) type ClassedRows = Vec<Classed>;

/// All refusing rows of an edition, compiled.
#[derive(Debug, Clone)]
pub struct RuleIndex {
    counts: BTreeMap<PartKind, usize>,
    alone: BTreeMap<PartKind, FixedBitSet>,
    pairs: BTreeMap<(PartKind, PartKind), ClassedRows>,
}

impl RuleIndex {
    /// Compiles the refusing rows of an edition, the mating of threads, and that only electric bodies are sold.
    pub fn compile(edition: &Edition) -> Self {
        let counts: BTreeMap<_, _> =
            PartKind::ALL.into_iter().map(|kind| (kind, edition.count(kind))).collect();
        let mut alone: BTreeMap<_, _> =
            counts.iter().map(|(kind, count)| (*kind, full(*count))).collect();
        alone.insert(PartKind::Body, electric_bodies(edition));
        let mut index = Self { counts, alone, pairs: BTreeMap::new() };
        for rule in edition.rules().iter().filter(|rule| rule.severity == Severity::Refuse) {
            index.add(edition, rule);
        }
        let threads = thread_classes(edition);
        index.pairs.entry((PartKind::Body, PartKind::Element)).or_default().push(threads);
        index
    }

    /// Which parts of a kind, in order of the four kinds at or after the given part's, fit it by every refusing row.
    ///
    /// The kind must come after the part's own in [`PartKind::ALL`]; the other way round is [`RuleIndex::fits`].
    pub fn partners(&self, part: PartRef, kind: PartKind) -> FixedBitSet {
        let mut fitting = self.alone.get(&kind).cloned().unwrap_or_default();
        if !self.stands_alone(part) {
            fitting.clear();
        }
        for classed in self.pairs.get(&(part.kind, kind)).into_iter().flatten() {
            match classed.of(part.index) {
                Some(set) => fitting.intersect_with(set),
                None => fitting.clear(),
            }
        }
        fitting
    }

    /// What decides which parts of a kind fit a part that stands alone: equal signatures, equal partners.
    ///
    /// The kind must come after the part's own in [`PartKind::ALL`].
    pub fn signature(&self, part: PartRef, kind: PartKind) -> Vec<usize> {
        let rows = self.pairs.get(&(part.kind, kind)).into_iter().flatten();
        rows.map(|classed| classed.class_of.get(part.index).copied().unwrap_or(usize::MAX))
            .collect()
    }

    /// Whether two parts fit by every refusing row.
    pub fn fits(&self, left: PartRef, right: PartRef) -> bool {
        let (row, column) = if left.kind <= right.kind { (left, right) } else { (right, left) };
        let rows = self.pairs.get(&(row.kind, column.kind));
        self.stands_alone(row)
            && self.stands_alone(column)
            && rows
                .into_iter()
                .flatten()
                .all(|classed| classed.of(row.index).is_some_and(|set| set.contains(column.index)))
    }

    /// Whether any refusing row compares parts of these two kinds, the earlier kind of [`PartKind::ALL`] first.
    pub fn joins(&self, row: PartKind, column: PartKind) -> bool {
        self.pairs.contains_key(&(row, column))
    }

    /// Whether a part passes every row that concerns it alone.
    pub fn stands_alone(&self, part: PartRef) -> bool {
        self.alone.get(&part.kind).is_some_and(|set| set.contains(part.index))
    }

    /// The compiled rows between each two kinds.
    pub(super) fn rows(&self) -> impl Iterator<Item = (&(PartKind, PartKind), &ClassedRows)> {
        self.pairs.iter()
    }

    fn add(&mut self, edition: &Edition, rule: &Rule) {
        let passes = |sides| match judge(edition, rule, sides) {
            Judgement::NotAsked | Judgement::Holds => true,
            Judgement::NotStated | Judgement::Fails => false,
        };
        let (kind, other) = rule.kinds();
        let Some(other) = other else {
            let count = self.counts.get(&kind).copied().unwrap_or_default();
            let good = (0..count)
                .filter(|&index| passes(Sides { first: PartRef { kind, index }, second: None }));
            let good: FixedBitSet = good.collect();
            if let Some(set) = self.alone.get_mut(&kind) {
                set.intersect_with(&grown(good, count));
            }
            return;
        };
        let (rows, columns) = if kind <= other { (kind, other) } else { (other, kind) };
        let classed = classify(edition, rule, [rows, columns], |first, second| {
            passes(Sides { first, second: Some(second) })
        });
        self.pairs.entry((rows, columns)).or_default().push(classed);
    }
}

impl Classed {
    /// Code of the rule.
    pub(super) fn code(&self) -> &str {
        &self.code
    }

    /// The class of each part of the row kind.
    pub(super) fn classes(&self) -> impl Iterator<Item = usize> {
        self.class_of.iter().copied()
    }

    /// What fits a class.
    pub(super) fn set(&self, class: usize) -> Option<&FixedBitSet> {
        self.fits.get(class)
    }

    /// What fits each class.
    pub(super) fn sets(&self) -> impl Iterator<Item = &FixedBitSet> {
        self.fits.iter()
    }

    fn of(&self, index: usize) -> Option<&FixedBitSet> {
        self.fits.get(*self.class_of.get(index)?)
    }
}

fn electric_bodies(edition: &Edition) -> FixedBitSet {
    let bodies = edition.bodies().iter().enumerate();
    let electric = bodies.filter(|(_, body)| !check_heat_source(body).refuses());
    grown(electric.map(|(index, _)| index).collect(), edition.bodies().len())
}

fn full(count: usize) -> FixedBitSet {
    let mut set = FixedBitSet::with_capacity(count);
    set.insert_range(..);
    set
}

fn grown(mut set: FixedBitSet, count: usize) -> FixedBitSet {
    set.grow(count);
    set
}

/// Parts of a kind grouped by the values of the attributes a row reads: representatives, and the class of each part.
pub(super) fn classes(
    edition: &Edition,
    kind: PartKind,
    names: &[&str],
) -> (Vec<PartRef>, Vec<usize>) {
    let mut known: BTreeMap<Vec<Option<Value>>, usize> = BTreeMap::new();
    let mut first = Vec::new();
    let mut class_of = Vec::new();
    for index in 0..edition.count(kind) {
        let part = PartRef { kind, index };
        let key = names.iter().map(|name| edition.attribute(part, name)).collect();
        let next = known.len();
        let class = *known.entry(key).or_insert(next);
        if class == next {
            first.push(part);
        }
        class_of.push(class);
    }
    (first, class_of)
}

fn classify<F: Fn(PartRef, PartRef) -> bool>(
    edition: &Edition,
    rule: &Rule,
    [rows, columns]: [PartKind; 2],
    passes: F,
) -> Classed {
    let attributes = rule.attributes();
    let row_names = names_of(&attributes, rows);
    let column_names = names_of(&attributes, columns);
    let (row_first, class_of) = classes(edition, rows, &row_names);
    let (column_first, column_class) = classes(edition, columns, &column_names);
    let fits = row_first
        .into_iter()
        .map(|row| {
            let good: Vec<bool> = column_first.iter().map(|column| passes(row, *column)).collect();
            spread(&column_class, &good)
        })
        .collect();
    Classed { code: rule.code.clone(), class_of, fits }
}

/// The attributes of a kind among those that a rule reads.
pub(super) fn names_of<'a>(attributes: &[&'a AttributeName], kind: PartKind) -> Vec<&'a str> {
    attributes.iter().filter(|attribute| attribute.kind == kind).map(|found| found.name()).collect()
}

/// A set over the columns from the verdict on each class of columns.
fn spread(column_class: &[usize], good: &[bool]) -> FixedBitSet {
    let is_good = |class: &usize| good.get(*class).copied().unwrap_or_default();
    let indices = column_class.iter().enumerate().filter(|(_, class)| is_good(class));
    grown(indices.map(|(index, _)| index).collect(), column_class.len())
}

fn thread_classes(edition: &Edition) -> Classed {
    let (row_first, class_of) = classes(edition, PartKind::Body, &["thread"]);
    let (column_first, column_class) = classes(edition, PartKind::Element, &["thread"]);
    let fits = row_first
        .into_iter()
        .map(|row| {
            let good: Vec<bool> =
                column_first.iter().map(|column| thread_fits(edition, row, *column)).collect();
            spread(&column_class, &good)
        })
        .collect();
    Classed { code: "thread-mates".into(), class_of, fits }
}

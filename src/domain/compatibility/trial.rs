//! A rule tried on a catalogue: how many pairs it is asked about, how many it does not let pass, and some of them.
//!
//! Absent here: whether the rule is wise.

use std::collections::BTreeMap;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Rule;

use super::index::classes;
use super::index::names_of;
use super::judge::Judgement;
use super::judge::Sides;
use super::judge::judge;

/// Examples of a trial at most.
pub const TRIAL_EXAMPLES_MAX: usize = 10;

/// What a rule does in a catalogue. A rule about one kind of part counts parts, any other counts pairs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Trial {
    /// All pairs of the two kinds, or all parts of the one.
    pub candidates: u64,
    /// Those that meet the rule's conditions.
    pub asked: u64,
    /// Those asked that do not pass, because the rule fails or a value is not stated.
    pub stopped: u64,
    /// Of these, those where a value is not stated.
    pub not_stated: u64,
    /// Some that do not pass.
    pub examples: Vec<TrialExample>,
}

/// Parts that a rule does not let pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TrialExample {
    /// The part of the rule's left kind.
    pub left: PartRef,
    /// The other part, unless the rule concerns one alone.
    pub right: Option<PartRef>,
    /// Whether it is only that a value is not stated.
    pub not_stated: bool,
}

impl Trial {
    /// Tries a rule on an edition. Parts of equal values are judged once, however many there are.
    pub fn of(edition: &Edition, rule: &Rule) -> Self {
        let (left_kind, right_kind) = rule.kinds();
        let left = Groups::new(edition, rule, left_kind);
        let right = right_kind.map(|kind| Groups::new(edition, rule, kind));
        let mut trial = Self::default();
        for first in &left.groups {
            trial.count_row(edition, rule, (first, right.as_ref()));
        }
        trial
    }

    /// Whether the rule says nothing about anything in this catalogue.
    pub const fn is_never_asked(&self) -> bool {
        self.asked == 0
    }

    /// Whether it stops everything that it is asked about.
    pub const fn stops_all(&self) -> bool {
        0 < self.asked && self.asked == self.stopped
    }

    fn count(&mut self, edition: &Edition, rule: &Rule, (first, second): (&Group, Option<&Group>)) {
        let sides =
            Sides { first: first.representative(), second: second.map(Group::representative) };
        let size = first.size().saturating_mul(second.map_or(1, Group::size));
        self.candidates = self.candidates.saturating_add(size);
        let not_stated = match judge(edition, rule, sides) {
            Judgement::NotAsked => return,
            Judgement::Holds => {
                self.asked = self.asked.saturating_add(size);
                return;
            }
            Judgement::NotStated => true,
            Judgement::Fails => false,
        };
        self.asked = self.asked.saturating_add(size);
        self.stopped = self.stopped.saturating_add(size);
        if not_stated {
            self.not_stated = self.not_stated.saturating_add(size);
        }
        let lefts = first.parts.iter().take(2);
        let examples = lefts.flat_map(|left| pairs(*left, second, not_stated));
        let room = TRIAL_EXAMPLES_MAX.saturating_sub(self.examples.len());
        self.examples.extend(examples.take(room));
    }

    fn count_row(
        &mut self,
        edition: &Edition,
        rule: &Rule,
        (first, right): (&Group, Option<&Groups>),
    ) {
        let Some(right) = right else { return self.count(edition, rule, (first, None)) };
        for second in &right.groups {
            self.count(edition, rule, (first, Some(second)));
        }
    }
}

/// Two pairs at most, so that examples come from more than one group.
fn pairs(left: PartRef, second: Option<&Group>, not_stated: bool) -> Vec<TrialExample> {
    let example = |right| TrialExample { left, right, not_stated };
    match second {
        None => vec![example(None)],
        Some(group) => group.parts.iter().take(2).map(|right| example(Some(*right))).collect(),
    }
}

/// Parts that a rule cannot tell apart.
#[derive(Debug)]
struct Group {
    first: PartRef,
    parts: Vec<PartRef>,
}

impl Group {
    const fn representative(&self) -> PartRef {
        self.first
    }

    fn size(&self) -> u64 {
        u64::try_from(self.parts.len()).unwrap_or(u64::MAX)
    }
}

/// The parts of a kind by the values that a rule reads.
#[derive(Debug)]
struct Groups {
    groups: Vec<Group>,
}

impl Groups {
    fn new(edition: &Edition, rule: &Rule, kind: PartKind) -> Self {
        let names = names_of(&rule.attributes(), kind);
        let (firsts, class_of) = classes(edition, kind, &names);
        let mut members: BTreeMap<usize, Vec<PartRef>> = BTreeMap::new();
        for (index, class) in class_of.into_iter().enumerate() {
            members.entry(class).or_default().push(PartRef { kind, index });
        }
        let group =
            |(class, first)| Group { first, parts: members.remove(&class).unwrap_or_default() };
        Self { groups: firsts.into_iter().enumerate().map(group).collect() }
    }
}

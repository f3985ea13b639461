//! What a rule row means for two sides.

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::ListedPair;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Relation;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Value;

/// How a row came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Judgement {
    /// A condition of the row is not met: it says nothing about these parts.
    NotAsked,
    /// The row holds.
    Holds,
    /// A side does not state its value, so nobody can say.
    NotStated,
    /// The row does not hold.
    Fails,
}

/// The parts a row is asked about, at most one of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sides {
    /// One part.
    pub first: PartRef,
    /// The other, unless the row concerns one part alone.
    pub second: Option<PartRef>,
}

impl Sides {
    /// The part of a kind.
    pub fn of(self, kind: PartKind) -> Option<PartRef> {
        if self.first.kind == kind {
            return Some(self.first);
        }
        self.second.filter(|part| part.kind == kind)
    }
}

/// Judges a row for the parts it is asked about.
pub fn judge(edition: &Edition, rule: &Rule, sides: Sides) -> Judgement {
    let value = |kind, name: &str| edition.attribute(sides.of(kind)?, name);
    let met = rule.when.iter().all(|condition| {
        value(condition.attribute.kind, &condition.attribute.name).as_ref() == Some(&condition.is)
    });
    if !met {
        return Judgement::NotAsked;
    }
    let left = value(rule.left.kind, &rule.left.name);
    let outcome = match &rule.right {
        Right::Attribute(name) => compare(edition, rule, left, value(name.kind, &name.name)),
        Right::Constant(_, constant) => compare(edition, rule, left, Some(constant.clone())),
        Right::Range(low, high) => {
            within(left, value(low.kind, &low.name), value(high.kind, &high.name))
        }
    };
    match outcome {
        None => Judgement::NotStated,
        Some(true) => Judgement::Holds,
        Some(false) => Judgement::Fails,
    }
}

fn within(left: Option<Value>, low: Option<Value>, high: Option<Value>) -> Option<bool> {
    let (left, low, high) = (left?, low?, high?);
    Some(low <= left && left <= high)
}

fn compare(
    edition: &Edition,
    rule: &Rule,
    left: Option<Value>,
    right: Option<Value>,
) -> Option<bool> {
    let (left, right) = (left?, right?);
    Some(match rule.relation {
        Relation::Equal => left == right,
        Relation::AtMost => left <= right,
        Relation::AtLeast => right <= left,
        Relation::Covers => covers(&left, &right),
        Relation::ListedPair => left == right || lists(edition, rule, &left, &right),
        // An edition refuses a `within` row without a range, so nothing can lie within it.
        Relation::Within => false,
    })
}

fn covers(left: &Value, right: &Value) -> bool {
    match (left, right) {
        (Value::Words(have), Value::Words(want)) => want.is_subset(have),
        (Value::Words(have), Value::Text(want)) => have.contains(want),
        (
            Value::Flag(_) | Value::Number(_) | Value::Text(_) | Value::Words(_),
            Value::Flag(_) | Value::Number(_) | Value::Text(_) | Value::Words(_),
        ) => left == right,
    }
}

fn lists(edition: &Edition, rule: &Rule, left: &Value, right: &Value) -> bool {
    let table = rule.table.clone().unwrap_or_default();
    let pair = ListedPair { table, left: word(left), right: word(right) };
    edition.lists_pair(&pair)
}

fn word(value: &Value) -> Box<str> {
    match value {
        Value::Text(text) => text.clone(),
        Value::Flag(_) | Value::Number(_) | Value::Words(_) => value.to_string().into(),
    }
}

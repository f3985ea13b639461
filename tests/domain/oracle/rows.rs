//! Rule rows, read one by one for the parts on a bill.

use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Rule;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::Value;

/// Whether every refusing row holds for every part and every two parts of different kinds.
pub(crate) fn all_hold(edition: &Edition, parts: &[PartRef]) -> bool {
    let refusing = edition.rules().iter().filter(|rule| rule.severity == Severity::Refuse);
    refusing.into_iter().all(|rule| {
        let of_kind = |kind: PartKind| parts.iter().copied().filter(move |part| part.kind == kind);
        match other_kind(rule) {
            None => of_kind(rule.left.kind).all(|part| holds(edition, rule, &[part])),
            Some(other) => of_kind(rule.left.kind)
                .all(|left| of_kind(other).all(|right| holds(edition, rule, &[left, right]))),
        }
    })
}

fn other_kind(rule: &Rule) -> Option<PartKind> {
    let right = match &rule.right {
        Right::Attribute(name) | Right::Range(name, _) => name.kind,
        Right::Constant(kind, _) => *kind,
    };
    let conditions = rule.when.iter().map(|condition| condition.attribute.kind);
    std::iter::once(right).chain(conditions).find(|kind| *kind != rule.left.kind)
}

/// A row that is not asked holds; a value that is not stated never does.
fn holds(edition: &Edition, rule: &Rule, parts: &[PartRef]) -> bool {
    let value = |name: &AttributeName| {
        let part = parts.iter().find(|part| part.kind == name.kind)?;
        edition.attribute(*part, &name.name)
    };
    let is_asked =
        rule.when.iter().all(|condition| value(&condition.attribute) == Some(condition.is.clone()));
    if !is_asked {
        return true;
    }
    let Some(left) = value(&rule.left) else { return false };
    match &rule.right {
        Right::Range(low, high) => value(low).zip(value(high)).is_some_and(|(low, high)| {
            number(&low) <= number(&left) && number(&left) <= number(&high)
        }),
        Right::Attribute(name) => {
            value(name).is_some_and(|right| compares(edition, rule, &left, &right))
        }
        Right::Constant(_, constant) => compares(edition, rule, &left, constant),
    }
}

fn compares(edition: &Edition, rule: &Rule, left: &Value, right: &Value) -> bool {
    match rule.relation {
        Relation::Equal => left == right,
        Relation::AtMost => number(left) <= number(right),
        Relation::AtLeast => number(right) <= number(left),
        Relation::Covers => words(right).iter().all(|word| words(left).contains(word)),
        Relation::ListedPair => {
            let rows = &edition.content().listed_pairs;
            left == right
                || rows.iter().any(|row| {
                    Some(&row.table) == rule.table.as_ref()
                        && *row.left == *left.to_string()
                        && *row.right == *right.to_string()
                })
        }
        Relation::Within => panic!("a range stands on the right of `within`"),
    }
}

fn number(value: &Value) -> i64 {
    match value {
        Value::Number(thousandths) => thousandths.value(),
        Value::Flag(_) | Value::Text(_) | Value::Words(_) => panic!("{value} is no number"),
    }
}

fn words(value: &Value) -> Vec<String> {
    match value {
        Value::Words(words) => words.iter().map(ToString::to_string).collect(),
        Value::Flag(_) | Value::Text(_) | Value::Number(_) => vec![value.to_string()],
    }
}

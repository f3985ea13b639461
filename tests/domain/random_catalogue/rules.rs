//! Random choices among rule rows of every relation, conditions, constants and a keeper's own attribute.

use rungwright::domain::catalogue::AttributeDeclaration;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::ListedPair;
use rungwright::domain::catalogue::Mates;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Rule;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::ThreadMating;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::ValueType;
use rungwright::domain::catalogue::When;
use rungwright::domain::thread::ThreadForm;

use super::Dice;
use super::invented;
use super::words;

fn name(text: &str) -> AttributeName {
    let (kind, name) = text.split_once('.').unwrap();
    AttributeName { kind: PartKind::parse(kind).unwrap(), name: name.into() }
}

/// The keeper's own attribute, which not every part states.
pub(super) fn attributes() -> Vec<AttributeDeclaration> {
    let series = |attribute| AttributeDeclaration {
        attribute: name(attribute),
        value_type: ValueType::Text,
        unit: "".into(),
    };
    vec![series("body.series"), series("element.series")]
}

fn rule(left: &str, relation: Relation, right: Right) -> Rule {
    Rule {
        code: "".into(),
        left: name(left),
        relation,
        right,
        table: None,
        when: Vec::new(),
        severity: Severity::Refuse,
        sentence: "A rule of a test.".into(),
        source: invented(),
    }
}

fn listed(left: &str, right: &str) -> Rule {
    let right = Right::Attribute(name(right));
    Rule { table: Some("finish".into()), ..rule(left, Relation::ListedPair, right) }
}

fn when(mut rule: Rule, attribute: &str, is: Value) -> Rule {
    rule.when.push(When { attribute: name(attribute), is });
    rule
}

fn to(right: &str) -> Right {
    Right::Attribute(name(right))
}

/// Every row that a case may hold, with the percentage of cases that do.
fn pool() -> Vec<(usize, Rule)> {
    use Relation::{AtLeast, AtMost, Covers, Equal, Within};
    let flag = Value::Flag(true);
    let range = Right::Range(name("body.watts_min"), name("body.watts_max"));
    let constant = |kind, value| Right::Constant(kind, value);
    let bracket = ("accessory.kind", Value::text("bracket"));
    let plug = ("accessory.kind", Value::text("plug_cover"));
    vec![
        (90, rule("body.heat_source", Equal, constant(PartKind::Body, Value::text("electric")))),
        (80, rule("element.watts", Within, range)),
        (80, rule("element.immersed_length_mm", AtMost, to("body.immersed_length_mm_max"))),
        (60, listed("element.finish", "body.finish")),
        (60, when(listed("accessory.finish", "body.finish"), plug.0, plug.1)),
        (40, when(rule("accessory.tube", Equal, to("body.tube")), bracket.0, bracket.1)),
        (80, rule("control.load_w_max", AtLeast, to("element.watts"))),
        (
            60,
            when(
                rule(
                    "element.regulation",
                    Equal,
                    constant(PartKind::Control, Value::text("fixed")),
                ),
                "control.wall_thermostat",
                flag.clone(),
            ),
        ),
        (
            60,
            when(
                when(
                    rule(
                        "element.resumes_after_power_cut",
                        Equal,
                        constant(PartKind::Control, flag.clone()),
                    ),
                    "control.time_switch",
                    flag,
                ),
                "element.regulation",
                Value::text("adjustable"),
            ),
        ),
        (12, rule("element.series", Equal, to("body.series"))),
        (
            15,
            when(
                listed("accessory.finish", "control.finish"),
                "accessory.kind",
                Value::text("flex_cover"),
            ),
        ),
        (
            15,
            when(
                listed("control.finish", "accessory.finish"),
                "accessory.kind",
                Value::text("hook"),
            ),
        ),
        (10, listed("control.finish", "body.finish")),
        (
            5,
            rule(
                "element.declared_zones",
                Covers,
                constant(PartKind::Element, Value::Words(words(&["2"]))),
            ),
        ),
        (10, rule("control.roles", Covers, constant(PartKind::Control, Value::Words(words(&[]))))),
        (3, rule("element.series", Equal, constant(PartKind::Element, Value::text("one")))),
    ]
}

/// Some of the pool, a few of them as warnings only.
pub(super) fn rules(dice: &mut Dice) -> Vec<Rule> {
    let mut rules = Vec::new();
    for (position, (percent, mut rule)) in pool().into_iter().enumerate() {
        rule.code = format!("rule-{position:02}").into();
        if dice.happens(15) {
            rule.severity = Severity::Warn;
        }
        if dice.happens(percent) {
            rules.push(rule);
        }
    }
    rules
}

/// Finishes that go together: always one pair, so that the table exists.
pub(super) fn listed_pairs(dice: &mut Dice) -> Vec<ListedPair> {
    let row = |(left, right): (&str, &str)| ListedPair {
        table: "finish".into(),
        left: left.into(),
        right: right.into(),
    };
    let others = [("chrome", "black"), ("white", "black"), ("white", "chrome")];
    let mut rows = vec![row(("black", "chrome"))];
    rows.extend(others.into_iter().filter(|_| dice.happens(60)).map(row));
    rows
}

/// Yes, conditional, not standard, no, and no row at all.
pub(super) fn thread_matings() -> Vec<ThreadMating> {
    let row = |external, internal, mates| ThreadMating {
        external,
        internal,
        mates,
        seal: "as a test says".into(),
        source: invented(),
    };
    vec![
        row(ThreadForm::G, ThreadForm::G, Mates::Yes),
        row(ThreadForm::G, ThreadForm::Rp, Mates::Conditional),
        row(ThreadForm::R, ThreadForm::G, Mates::NotStandard),
        row(ThreadForm::G, ThreadForm::Rc, Mates::No),
    ]
}

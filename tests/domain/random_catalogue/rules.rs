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

/// Rows about shapes and finishes, with the percentage of cases that hold them.
fn shapes() -> Vec<(usize, Rule)> {
    use Relation::AtLeast;
    use Relation::AtMost;
    use Relation::Equal;
    use Relation::Within;
    let electric = Right::Constant(PartKind::Body, Value::text("electric"));
    let range = Right::Range(name("body.watts_min"), name("body.watts_max"));
    let longest = to("body.immersed_length_mm_max");
    let of = |kind: &str, rule| when(rule, "accessory.kind", Value::text(kind));
    vec![
        (90, rule("body.heat_source", Equal, electric)),
        (80, rule("element.watts", Within, range)),
        (80, rule("element.immersed_length_mm", AtMost, longest)),
        (60, listed("element.finish", "body.finish")),
        (60, of("plug_cover", listed("accessory.finish", "body.finish"))),
        (40, of("bracket", rule("accessory.tube", Equal, to("body.tube")))),
        (80, rule("control.load_w_max", AtLeast, to("element.watts"))),
        (15, of("flex_cover", listed("accessory.finish", "control.finish"))),
        (15, of("hook", listed("control.finish", "accessory.finish"))),
        (6, listed("control.finish", "body.finish")),
    ]
}

/// Rows about conduct, the keeper's own attribute, and parts alone.
fn conduct() -> Vec<(usize, Rule)> {
    use Relation::Covers;
    use Relation::Equal;
    let yes = || Value::Flag(true);
    let fixed = Right::Constant(PartKind::Control, Value::text("fixed"));
    let behind_thermostat = rule("element.regulation", Equal, fixed);
    let resumes = Right::Constant(PartKind::Control, yes());
    let behind_clock = rule("element.resumes_after_power_cut", Equal, resumes);
    let behind_clock = when(behind_clock, "control.time_switch", yes());
    let zone_two = Right::Constant(PartKind::Element, Value::Words(words(&["2"])));
    let nothing = Right::Constant(PartKind::Control, Value::Words(words(&[])));
    let series = Right::Constant(PartKind::Element, Value::text("one"));
    vec![
        (60, when(behind_thermostat, "control.wall_thermostat", yes())),
        (60, when(behind_clock, "element.regulation", Value::text("adjustable"))),
        (12, rule("element.series", Equal, to("body.series"))),
        (5, rule("element.declared_zones", Covers, zone_two)),
        (10, rule("control.roles", Covers, nothing)),
        (3, rule("element.series", Equal, series)),
    ]
}

/// Some of these rows, a few of them as warnings only.
pub(super) fn rules(dice: &mut Dice) -> Vec<Rule> {
    let mut rules = Vec::new();
    let pool = shapes().into_iter().chain(conduct());
    for (position, (percent, mut rule)) in pool.enumerate() {
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
    rows.extend(others.into_iter().filter(|_| dice.happens(70)).map(row));
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

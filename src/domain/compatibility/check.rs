//! Every finding about a set of parts, with the values of both sides: the road for people who ask why.
//!
//! What depends on the parts alone ([`check_fixed`]) is told apart from what depends on where and for whom, because the
//! one may be kept and the other may not; both roads through here put the findings in the same order.

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Side;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;

use super::built_in::check_fluid;
use super::built_in::check_heat_source;
use super::built_in::check_thread;
use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::judge::Judgement;
use super::judge::Sides;
use super::judge::judge;
use super::kept::Check;
use super::kept::KeptFindings;
use super::law::check_control_functions;
use super::mounted::check_wall_load;
use super::place::check_flex;
use super::place::check_height;
use super::place::check_side;
use super::place::check_width;
use super::planned::check_control_place;
use super::planned::check_planned;
use super::planned::hung;
use super::surroundings::Surroundings;
use super::users::check_child_height;
use super::users::check_users;
use super::zone::check_zone;

/// All findings about parts, in order of the parts and then of the rule codes; rows that do not apply say nothing.
///
/// Every pair is asked, and every part alone, so that one look shows all that is wrong.
pub fn check_parts(
    edition: &Edition,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    each_finding(edition, parts, surroundings, |found| match found {
        Found::Fixed(sides) => findings.extend(check_fixed(edition, sides)),
        Found::Around(more) => findings.extend(more),
    });
    findings
}

/// [`check_parts`] with what depends on the parts alone kept.
pub(super) fn check_with(
    (edition, kept): (&Edition, &KeptFindings),
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Vec<Check> {
    let mut checks = Vec::new();
    each_finding(edition, parts, surroundings, |found| match found {
        Found::Fixed(sides) => {
            checks.extend_from_slice(&kept.of(sides, || check_fixed(edition, sides)));
        }
        Found::Around(more) => checks.extend(more.into_iter().map(Check::from)),
    });
    checks
}

/// What comes next in the order of findings.
enum Found {
    /// What one part or two say of themselves.
    Fixed(Sides),
    /// What depends on the surroundings.
    Around(Vec<Finding>),
}

fn each_finding<F: FnMut(Found)>(
    edition: &Edition,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
    mut sink: F,
) {
    for (position, first) in parts.iter().enumerate() {
        sink(Found::Fixed(Sides { first: *first, second: None }));
        sink(Found::Around(check_alone(edition, *first, surroundings)));
        for second in parts.iter().skip(position.saturating_add(1)) {
            let sides = Sides { first: *first, second: Some(*second) };
            if may_speak(edition, sides) {
                sink(Found::Fixed(sides));
            }
            sink(Found::Around(check_heart(edition, sides, surroundings)));
        }
    }
    let functions = check_control_functions(edition, parts, surroundings);
    sink(Found::Around(functions.into_iter().collect()));
    sink(Found::Around(check_controls(edition, parts, surroundings)));
}

/// Whether [`check_fixed`] can say anything of parts of these kinds.
fn may_speak(edition: &Edition, sides: Sides) -> bool {
    let kinds = (sides.first.kind, sides.second.map(|part| part.kind));
    pair_of(edition, sides).is_some() || edition.rules_of(kinds).next().is_some()
}

/// What one part or two say of themselves, whatever the place and the users: the rows, and what no row can state.
fn check_fixed(edition: &Edition, sides: Sides) -> Vec<Finding> {
    let mut findings = check_rows(edition, sides);
    match (sides.first.kind, sides.second) {
        (PartKind::Body, None) => {
            let body = edition.bodies().get(sides.first.index);
            findings.extend(body.map(check_heat_source));
        }
        (_, Some(_)) => {
            let pair = pair_of(edition, sides);
            findings.extend(pair.map(|(body, element)| check_thread(edition, body, element)));
        }
        (_, None) => {}
    }
    findings
}

fn check_rows(edition: &Edition, sides: Sides) -> Vec<Finding> {
    let second = sides.second.map(|part| part.kind);
    // Rows compare parts of two kinds; two of one kind have nothing to say to each other.
    if second == Some(sides.first.kind) {
        return Vec::new();
    }
    let rules = edition.rules_of((sides.first.kind, second));
    rules.filter_map(|rule| row(edition, rule, sides)).collect()
}

/// The two as a body and its element, if they are that.
fn pair_of(edition: &Edition, sides: Sides) -> Option<(&Body, &Element)> {
    let body = edition.bodies().get(sides.of(PartKind::Body)?.index)?;
    Some((body, edition.elements().get(sides.of(PartKind::Element)?.index)?))
}

fn row(edition: &Edition, rule: &Rule, sides: Sides) -> Option<Finding> {
    let outcome = match (judge(edition, rule, sides), rule.severity) {
        (Judgement::NotAsked, _) => return None,
        (Judgement::Holds, _) => Outcome::Holds,
        (Judgement::NotStated, _) => Outcome::NotEstablished,
        (Judgement::Fails, Severity::Warn) => Outcome::Warns,
        (Judgement::Fails, Severity::Refuse) => Outcome::Clashes,
    };
    let left = stated(edition, &rule.left, sides);
    let right = match &rule.right {
        Right::Attribute(name) => stated(edition, name, sides),
        Right::Constant(_, value) => StatedSide::demand("the rule's value", value.to_string()),
        Right::Range(low, high) => range(edition, [low, high], sides),
    };
    Some(Finding {
        rule: rule.code.to_string().into(),
        outcome,
        severity: rule.severity,
        detail: format!("{} Here {left}, {right}.", rule.sentence),
        left,
        right,
        source: rule.source.clone(),
    })
}

fn stated(edition: &Edition, name: &AttributeName, sides: Sides) -> StatedSide {
    let part = sides.of(name.kind);
    let value = part.and_then(|part| edition.attribute(part, &name.name));
    StatedSide {
        sku: part.and_then(|part| edition.card(part)).map(|card| card.sku.clone()),
        attribute: name.to_string().into(),
        value: value.map(|value| value.to_string()),
    }
}

fn range(edition: &Edition, [low, high]: [&AttributeName; 2], sides: Sides) -> StatedSide {
    let (from, to) = (stated(edition, low, sides), stated(edition, high, sides));
    StatedSide {
        sku: from.sku,
        attribute: format!("{low} to {}", high.name).into(),
        value: from.value.zip(to.value).map(|(from, to)| format!("{from} to {to}")),
    }
}

fn check_alone(edition: &Edition, part: PartRef, surroundings: &Surroundings<'_>) -> Vec<Finding> {
    let place = &surroundings.place;
    match part.kind {
        PartKind::Body => edition.bodies().get(part.index).map_or_else(Vec::new, |body| {
            let findings = [
                check_width(body, place),
                (place.side != Side::Either).then(|| check_side(body, place)),
                check_child_height(body, place, surroundings.users)
                    .filter(|_| surroundings.plan.is_none()),
            ];
            findings.into_iter().flatten().collect()
        }),
        PartKind::Element => edition.elements().get(part.index).map_or_else(Vec::new, |element| {
            // In a drawn room zone and route depend on the body as well.
            if surroundings.plan.is_some() {
                return Vec::new();
            }
            let findings = [check_flex(element, place), Some(check_zone(element, surroundings))];
            findings.into_iter().flatten().collect()
        }),
        PartKind::Control | PartKind::Accessory => Vec::new(),
    }
}

fn check_heart(edition: &Edition, sides: Sides, surroundings: &Surroundings<'_>) -> Vec<Finding> {
    let Some((body, element)) = pair_of(edition, sides) else { return Vec::new() };
    let mut findings =
        vec![check_fluid(body, element, surroundings.room, surroundings.towels_factor)];
    findings.extend(check_users(body, element, surroundings.users));
    findings.extend(check_height(body, element, &surroundings.place));
    findings.extend(check_wall_load(body, element, &surroundings.place));
    findings.extend(check_planned(body, element, surroundings));
    findings
}

/// What needs body, element and a third part: controls at the connection point of a drawn room.
fn check_controls(
    edition: &Edition,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Vec<Finding> {
    if surroundings.plan.is_none() {
        return Vec::new();
    }
    let first = |kind| parts.iter().find(|part| part.kind == kind);
    let body = first(PartKind::Body).and_then(|part| edition.bodies().get(part.index));
    let element = first(PartKind::Element).and_then(|part| edition.elements().get(part.index));
    let (Some(body), Some(element)) = (body, element) else { return vec![needs_pair()] };
    let Some(Ok(position)) = hung(body, element, surroundings) else { return Vec::new() };
    let controls = parts.iter().filter(|part| part.kind == PartKind::Control);
    let controls = controls.filter_map(|part| edition.controls().get(part.index));
    controls.filter_map(|control| check_control_place(control, &position, surroundings)).collect()
}

fn needs_pair() -> Finding {
    Finding {
        rule: "place-in-plan".into(),
        outcome: Outcome::NotEstablished,
        severity: Severity::Refuse,
        detail: "Only a body with its element can be placed in a drawn room.".to_owned(),
        left: StatedSide::demand("parts", "no body with an element".to_owned()),
        right: StatedSide::demand("place.plan", "given".to_owned()),
        source: Source::new("the drawn room and its wiring rules", Evidence::Computed),
    }
}

//! What a drawn place says about a pair and the controls at its connection point.
//!
//! Absent here: the geometry (`zones`, `positions`), and the drawing itself (`plan`).

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Control;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Side;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::mounting;
use crate::domain::mounting::SLACK_MM;
use crate::domain::positions::Position;
use crate::domain::positions::UNIT_BOX;
use crate::domain::positions::UNIT_SIZE_MM;
use crate::domain::positions::WallSpot;
use crate::domain::positions::hang;
use crate::domain::units::Millimetres;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::verdict::Connection;
use crate::domain::zones::verdict::Equipment;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::hanging::hanging;
use super::hanging::port;
use super::mounted::of_check;
use super::plan::Hung;
use super::plan::PlannedSpot;
use super::surroundings::Surroundings;
use super::zone::outcome_of;

/// Where a pair hangs in the plan of the place; nothing when there is no plan.
pub fn hung(body: &Body, element: &Element, surroundings: &Surroundings<'_>) -> Option<Hung> {
    let (planned, spot) = surroundings.plan.as_ref()?;
    let place = &surroundings.place;
    let children = Some(surroundings.users.children);
    let mut shape = hanging(body, Some(element), (children, place.water_jets));
    let side = if place.side == Side::Either { body.ports.element_side } else { place.side };
    shape.port = port(side);
    Some(planned.hang(*spot, shape))
}

/// Route of the flex of a pair: by the plan where there is one, else as it was stated.
pub fn flex_route(
    body: &Body,
    element: &Element,
    surroundings: &Surroundings<'_>,
) -> Option<Millimetres> {
    match hung(body, element, surroundings) {
        None => surroundings.place.connection_distance,
        Some(hung) => {
            let needed = hung.ok()?.unit?.flex_needed_mm;
            Some(Millimetres::new(needed.saturating_sub(SLACK_MM)))
        }
    }
}

/// Rules `place-in-plan`, `zone-allowed`, `flex-too-short`, `head-clears-floor` and `tube-too-low` for a pair in a plan.
pub fn check_planned(
    body: &Body,
    element: &Element,
    surroundings: &Surroundings<'_>,
) -> Vec<Finding> {
    let Some((_planned, spot)) = &surroundings.plan else { return Vec::new() };
    let Some(hung) = hung(body, element, surroundings) else { return Vec::new() };
    let left = StatedSide::part(&body.card.sku, "box with head", Some(box_text(body, element)));
    let right = StatedSide::demand("place.plan", spot.to_string());
    let position = match hung {
        Ok(position) => position,
        Err((code, text)) => {
            let is_open = code.ends_with("-established") || code.ends_with("-stated");
            return vec![Finding {
                rule: "place-in-plan".into(),
                outcome: if is_open { Outcome::NotEstablished } else { Outcome::Clashes },
                severity: Severity::Refuse,
                detail: format!("It cannot hang there: {text} ({code})."),
                left,
                right,
                source: Source::new("the drawn room and its wiring rules", Evidence::Computed),
            }];
        }
    };
    let low = StatedSide::demand("head above the floor", format!("{} mm", position.solid.low_mm));
    let mut findings = vec![
        in_zone(&position, *spot, [left.clone(), right]),
        of_check(
            &mounting::check_head_room(position.bottom_mm, element.shape.head_length.value()),
            ("head-clears-floor", [left.clone(), low]),
        ),
    ];
    findings.extend(flex(&position, element));
    if surroundings.users.children {
        let tube_mm = position.bottom_mm.saturating_add(body.size.lowest_tube.value());
        let check = mounting::check_lowest_tube(tube_mm, Some(true));
        let is_low = check.finding != mounting::Finding::Holds;
        let tube = StatedSide::demand("lowest heated tube", format!("{tube_mm} mm"));
        let mut finding = of_check(&check, ("tube-too-low", [left, tube]));
        // Where children are, the height is a demand and no advice.
        finding.outcome = if is_low { Outcome::Clashes } else { Outcome::Holds };
        findings.push(finding);
    }
    findings
}

fn in_zone(position: &Position, spot: PlannedSpot, [left, right]: [StatedSide; 2]) -> Finding {
    let asked = match spot {
        PlannedSpot::Best => "At the best place",
        PlannedSpot::At(_) => "At the place asked for",
    };
    let verdict = &position.verdict;
    let reasons: Vec<&str> = verdict.reasons.iter().map(|reason| reason.text.as_str()).collect();
    let where_text = format!(
        "{asked}: wall {}, {} mm from its start, lower edge {} mm up, zone {}.",
        position.wall_index, position.offset_mm, position.bottom_mm, position.placement.zone
    );
    let detail = if reasons.is_empty() {
        where_text
    } else {
        format!("{where_text} Conditions: {}.", reasons.join("; "))
    };
    Finding {
        rule: "zone-allowed".into(),
        outcome: outcome_of(verdict.outcome),
        severity: Severity::Refuse,
        detail,
        left,
        right,
        source: verdict.source.clone(),
    }
}

fn flex(position: &Position, element: &Element) -> Option<Finding> {
    let unit = position.unit?;
    let length = element.flex.length;
    Some(Finding {
        rule: "flex-too-short".into(),
        outcome: Outcome::Holds,
        severity: Severity::Refuse,
        detail: format!(
            "The flex of {length} reaches the connection unit on wall {}, {} mm from its start and {} mm up, from the {} port: {} mm with slack.",
            unit.wall_index,
            unit.centre_mm,
            unit.low_mm,
            port_word(unit.side),
            unit.flex_needed_mm
        ),
        left: StatedSide::part(
            &element.card.sku,
            "element.flex_length_mm",
            Some(length.to_string()),
        ),
        right: StatedSide::demand("flex needed", format!("{} mm", unit.flex_needed_mm)),
        source: Source::new(
            "route along the walls of the drawn room; slack by common practice",
            Evidence::Computed,
        ),
    })
}

const fn port_word(side: mounting::PortSide) -> &'static str {
    match side {
        mounting::PortSide::Left => "left",
        mounting::PortSide::Right => "right",
    }
}

fn box_text(body: &Body, element: &Element) -> String {
    let size = &body.size;
    format!(
        "{} wide, {} high, {} deep, head {}",
        size.width, size.height, size.depth, element.shape.head_length
    )
}

/// Rule `control-place`: a control of the bill at the connection point of the plan, by its own rating.
pub fn check_control_place(
    control: &Control,
    position: &Position,
    surroundings: &Surroundings<'_>,
) -> Option<Finding> {
    let (planned, _spot) = surroundings.plan.as_ref()?;
    let unit = position.unit?;
    let plate = WallSpot {
        wall_index: unit.wall_index,
        offset_mm: unit.centre_mm.saturating_sub(UNIT_SIZE_MM.div_euclid(2)),
        bottom_mm: unit.low_mm,
    };
    let solid = hang(planned.survey().scene(), plate, &UNIT_BOX).ok()?;
    let verdict = planned.survey().verdict(&solid, &pieces(control, surroundings))?;
    let reasons: Vec<&str> = verdict.reasons.iter().map(|reason| reason.text.as_str()).collect();
    let spot = format!(
        "wall {}, {} mm from its start, {} mm up",
        unit.wall_index, unit.centre_mm, unit.low_mm
    );
    let conditions =
        if reasons.is_empty() { "without conditions".to_owned() } else { reasons.join("; ") };
    let ip = control.ip.as_ref().map(ToString::to_string);
    Some(Finding {
        rule: "control-place".into(),
        outcome: outcome_of(verdict.outcome),
        severity: Severity::Refuse,
        detail: format!("At the connection point ({spot}): {conditions}."),
        left: StatedSide::part(&control.card.sku, "control.ip", ip),
        right: StatedSide::demand("connection point", spot),
        source: verdict.source,
    })
}

fn pieces(control: &Control, surroundings: &Surroundings<'_>) -> Vec<Equipment> {
    let piece = |role: Role| {
        let kind = match role {
            Role::ConnectionUnit => EquipmentKind::ConnectionUnit,
            Role::TimeSwitch => EquipmentKind::TimeSwitch,
            Role::WallThermostat => EquipmentKind::WallControl,
        };
        Equipment {
            ip: control.ip,
            class: control.class,
            jets: surroundings.place.water_jets,
            connection: Connection::Permanent,
            ..Equipment::unknown(kind)
        }
    };
    control.roles.iter().map(piece).collect()
}

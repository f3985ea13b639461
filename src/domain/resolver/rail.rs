//! One rail of a bill: its lines, its checks, its figures in use, its cautions.
//!
//! Absent here: what several rails have in common, which is the bill's.

use std::ops::Range;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Sku;
use crate::domain::compatibility::Check;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::Working;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::flex_route;
use crate::domain::compatibility::hung;
use crate::domain::compatibility::zone_verdict;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::in_use::in_use;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;
use crate::domain::notice::Notice;
use crate::domain::pricing::Line;
use crate::domain::units::Deciwatts;

use super::completion::ChosenAccessory;
use super::completion::Completion;
use super::demands::Demands;
use super::filling::BillFill;
use super::filling::bill_fill;
use super::filling::fill_notices;
use super::query::Query;

/// A rail of a bill.
#[derive(Debug, Clone, PartialEq)]
pub struct BillRail {
    /// Its body.
    pub body: Sku,
    /// Its element.
    pub element: Sku,
    /// Place of its wall space among those of the request; nothing on the wall that all rails share.
    pub wall: Option<usize>,
    /// What the pair gives the room.
    pub delivered: Deciwatts,
    /// The pair in this room, bare or as asked, and with towels on.
    pub in_use: InUse,
    /// How the body is to be filled, where it comes empty.
    pub fill: Option<BillFill>,
    /// Its lines among those of the bill: body and what comes with it, element, controls, accessories.
    pub lines: Range<usize>,
}

/// A rail written out.
#[derive(Debug)]
pub(super) struct WrittenRail {
    /// Its lines begin at nought.
    pub rail: BillRail,
    pub lines: Vec<Line>,
    pub checks: Vec<Check>,
    pub notices: Vec<Notice>,
}

/// What the rails of a bill give and owe together.
#[derive(Debug, Clone, Copy)]
pub(super) struct Together {
    pub count: usize,
    pub delivered: Deciwatts,
    pub required: Option<Deciwatts>,
}

/// Writes out a rail that a query of its own wall space is about.
pub(super) fn written_rail(
    query: &Query<'_>,
    completion: &Completion,
    wall: Option<usize>,
    together: Together,
) -> Option<WrittenRail> {
    let edition = query.catalogue.edition();
    let demands = query.demands;
    let body = edition.bodies().get(completion.pair.body.index)?;
    let element = edition.elements().get(completion.pair.element.index)?;
    let lines = lines(query, completion, (body, element), together)?;
    let checks = query.catalogue.check(&completion.parts(), &demands.surroundings);
    let fill = bill_fill(query, completion, body, element);
    let in_use = pair_in_use(query, completion, body, element);
    let groups = [
        fill_notices(body, fill.as_ref()),
        place_notices(demands, body, element),
        check_notices(&checks),
        heat_notices(completion, element, &in_use),
        cover_notices(query, completion),
    ];
    let rail = BillRail {
        body: body.card.sku.clone(),
        element: element.card.sku.clone(),
        wall,
        delivered: completion.pair.delivered,
        in_use,
        fill,
        lines: 0..lines.len(),
    };
    Some(WrittenRail { rail, lines, checks, notices: groups.into_iter().flatten().collect() })
}

fn lines(
    query: &Query<'_>,
    completion: &Completion,
    (body, element): (&Body, &Element),
    together: Together,
) -> Option<Vec<Line>> {
    let pair = &completion.pair;
    let reason = body_reason(query.demands, completion, body, together);
    let mut lines = vec![line(query, pair.body, 1, reason)?];
    for row in &body.included {
        let part = query.catalogue.edition().find(&row.sku)?;
        let card = query.catalogue.edition().card(part)?;
        lines.push(Line {
            sku: row.sku.clone(),
            kind: part.kind,
            name: card.name.clone(),
            quantity: row.quantity,
            unit_net: UnitPrice::default(),
            net: Minor::ZERO,
            why: "comes in the body's carton".to_owned(),
            included_with: Some(body.card.sku.clone()),
            lead_days: card.lead_days,
        });
    }
    lines.push(line(query, pair.element, 1, element_reason(element, pair.working))?);
    for part in &completion.controls.controls {
        let control = query.catalogue.edition().controls().get(part.index)?;
        let mut reasons: Vec<&str> = control.roles.iter().map(Role::phrase).collect();
        if is_demanded_by_law(query, completion, element, *part) {
            reasons.push("has control functions that the ecodesign law asks for");
        }
        lines.push(line(query, *part, 1, reasons.join(" and "))?);
    }
    for chosen in &completion.accessories {
        let ChosenAccessory { part, quantity, why, .. } = chosen;
        lines.push(line(query, *part, *quantity, why.clone())?);
    }
    Some(lines)
}

/// Whether the bill would fall short of the law's control functions without this control.
fn is_demanded_by_law(
    query: &Query<'_>,
    completion: &Completion,
    element: &Element,
    part: PartRef,
) -> bool {
    let others = completion.controls.controls.iter().filter(|other| **other != part);
    let controls = query.catalogue.edition().controls();
    let codes = others.filter_map(|other| controls.get(other.index));
    let code = codes.fold(element.control.code, |code, control| code.union(control.code));
    !query.demands.regime().regime.accepts(code, element.watts)
}

fn line(query: &Query<'_>, part: PartRef, quantity: u32, why: String) -> Option<Line> {
    let card = query.catalogue.edition().card(part)?;
    Some(Line {
        sku: card.sku.clone(),
        kind: part.kind,
        name: card.name.clone(),
        quantity,
        unit_net: query.price(part)?,
        net: query.net(part, quantity)?,
        why,
        included_with: None,
        lead_days: card.lead_days,
    })
}

fn body_reason(
    demands: &Demands<'_>,
    completion: &Completion,
    body: &Body,
    together: Together,
) -> String {
    let delivered = completion.pair.delivered.text();
    let room = demands.surroundings.room;
    let required = together.required.map_or_else(
        || "no heat requirement was set".to_owned(),
        |required| format!("{} W are required", required.text()),
    );
    let sum = if 1 < together.count {
        format!("; the {} rails together give {} W", together.count, together.delivered.text())
    } else {
        String::new()
    };
    format!(
        "{} body; with this element it gives {delivered} W in a room of {room}{sum}, {required}",
        body.finish
    )
}

fn element_reason(element: &Element, working: Working) -> String {
    let regulation = element.regulation.word();
    match working {
        Working::AsMade(Some(set_point)) => {
            format!("{}, {regulation}, up to {set_point}", element.watts)
        }
        Working::AsMade(None) => format!("{}, {regulation}, no set point", element.watts),
        Working::Held(set_point) => format!("{}, {regulation}, held at {set_point}", element.watts),
        Working::NotProtected => format!("{}, {regulation}", element.watts),
    }
}

fn place_notices(demands: &Demands<'_>, body: &Body, element: &Element) -> Vec<Notice> {
    let around = &demands.surroundings;
    let drawn = hung(body, element, around).and_then(Result::ok);
    let verdict = drawn.map(|position| position.verdict).or_else(|| zone_verdict(element, around));
    let Some(verdict) = verdict else { return Vec::new() };
    let reasons = verdict.reasons.into_iter();
    let conditions = reasons.map(|reason| {
        let text = format!("The position is allowed on a condition: {}.", reason.text);
        Notice::new("condition-of-the-place", text)
    });
    conditions.chain(verdict.notices).collect()
}

/// One cover is all that can be counted where nobody has said how far the flex runs.
fn cover_notices(query: &Query<'_>, completion: &Completion) -> Vec<Notice> {
    let accessories = query.catalogue.edition().accessories();
    let is_cover = |chosen: &ChosenAccessory| {
        let accessory = accessories.get(chosen.part.index);
        accessory.is_some_and(|found| found.kind == AccessoryKind::FlexCover)
    };
    let edition = query.catalogue.edition();
    let pair = &completion.pair;
    let body = edition.bodies().get(pair.body.index);
    let parts = body.zip(edition.elements().get(pair.element.index));
    let around = &query.demands.surroundings;
    let route = parts.and_then(|(rail, heater)| flex_route(rail, heater, around));
    if route.is_some() || !completion.accessories.iter().any(is_cover) {
        return Vec::new();
    }
    vec![Notice::new(
        "flex-route-not-known",
        "The route of the flex was not given, so one piece of cover is on the bill: measure from the element to the \
         connection point, and add pieces until no flex lies bare.",
    )]
}

fn check_notices(checks: &[Check]) -> Vec<Notice> {
    let warned = checks.iter().filter(|check| check.outcome == Outcome::Warns);
    // What the zone asks for is listed condition by condition instead.
    let warned =
        warned.filter(|check| check.rule != "zone-allowed" && check.rule != "control-place");
    warned.map(|check| Notice::new("rule-warns", check.detail.clone())).collect()
}

/// The pair in its room, at the set point that its users' protection leaves.
fn pair_in_use(
    query: &Query<'_>,
    completion: &Completion,
    body: &Body,
    element: &Element,
) -> InUse {
    let around = &query.demands.surroundings;
    let set_point = completion.pair.working.set_point();
    let drive = ElementDrive { watts: element.watts, set_point };
    in_use(&emitter(body, around.towels_factor), drive, around.room)
}

fn heat_notices(completion: &Completion, element: &Element, found: &InUse) -> Vec<Notice> {
    let pair = &completion.pair;
    let rating = element.watts.delivered();
    let mut notices: Vec<Notice> = found.surface.notice.iter().cloned().collect();
    if pair.delivered < rating {
        notices.push(Notice::new(
            "watts-beyond-the-body",
            format!(
                "The element is rated {:.0} W, the body sheds {} W at its set point: that is what the room gets.",
                rating.watts(),
                pair.delivered.text()
            ),
        ));
    }
    if let Working::Held(set_point) = pair.working {
        notices.push(Notice::new(
            "lock-the-set-point",
            format!("The installer locks the set point at {set_point}; the output is taken at it."),
        ));
    }
    notices
}

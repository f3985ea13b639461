//! The bill of materials: lines, total, every check, the cautions.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Role;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::Working;
use crate::domain::compatibility::check_parts;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::flex_route;
use crate::domain::compatibility::hung;
use crate::domain::compatibility::zone_verdict;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::in_use::in_use;
use crate::domain::money::Minor;
use crate::domain::money::Overflow;
use crate::domain::money::UnitPrice;
use crate::domain::notice::Notice;
use crate::domain::pricing::Line;
use crate::domain::pricing::Total;
use crate::domain::units::Deciwatts;
use crate::domain::zones::verdict::caution;

use super::completion::ChosenAccessory;
use super::completion::Completion;
use super::demands::Demands;
use super::filling::BillFill;
use super::filling::bill_fill;
use super::filling::fill_notices;
use super::query::Query;

/// A complete, valid, priced bill of materials.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// What the pair gives the room.
    pub delivered: Deciwatts,
    /// What it gives beyond the requirement.
    pub margin: Deciwatts,
    /// The pair in this room, bare or as asked, and with towels on.
    pub in_use: InUse,
    /// How the body is to be filled, where it comes empty.
    pub fill: Option<BillFill>,
    /// Lines in order: body and what comes with it, element, controls, accessories.
    pub lines: Vec<Line>,
    /// What is owed.
    pub total: Total,
    /// Every rule that speaks about these parts in this place, and how it came out.
    pub checks: Vec<Finding>,
    /// Cautions to show.
    pub notices: Vec<Notice>,
    /// Working days until the last part leaves the maker.
    pub lead_days: u16,
}

/// Writes out a completion as a bill.
pub(super) fn bill(query: &Query<'_>, completion: &Completion) -> Option<Result<Bill, Overflow>> {
    let edition = query.catalogue.edition();
    let demands = query.demands;
    let body = edition.bodies().get(completion.pair.body.index)?;
    let element = edition.elements().get(completion.pair.element.index)?;
    let lines = lines(query, completion, body, element)?;
    let market = demands.surroundings.market;
    let total = Total::of_lines(&lines, market.tax_rate, query.list.currency);
    let parts = completion.parts();
    let checks = check_parts(edition, &parts, &demands.surroundings);
    let fill = bill_fill(query, completion, body, element);
    let in_use = pair_in_use(query, completion, body, element);
    Some(total.map(|total| Bill {
        delivered: completion.pair.delivered,
        margin: completion.pair.surplus(demands),
        lead_days: lines.iter().map(|line| line.lead_days).max().unwrap_or_default(),
        notices: notices(
            demands,
            [
                fill_notices(body, fill.as_ref()),
                place_notices(demands, body, element),
                check_notices(&checks),
                heat_notices(completion, element, &in_use),
                cover_notices(query, completion),
            ],
        ),
        in_use,
        fill,
        checks,
        lines,
        total,
    }))
}

fn lines(
    query: &Query<'_>,
    completion: &Completion,
    body: &Body,
    element: &Element,
) -> Option<Vec<Line>> {
    let pair = &completion.pair;
    let mut lines = vec![line(query, pair.body, 1, body_reason(query.demands, completion, body))?];
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

fn body_reason(demands: &Demands<'_>, completion: &Completion, body: &Body) -> String {
    let delivered = completion.pair.delivered.watts();
    let room = demands.surroundings.room;
    let required = demands.required.map_or_else(
        || "no heat requirement was set".to_owned(),
        |required| format!("{:.1} W are required", required.watts()),
    );
    format!(
        "{} body; with this element it gives {delivered:.1} W in a room of {room}, {required}",
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

fn notices(demands: &Demands<'_>, groups: [Vec<Notice>; 5]) -> Vec<Notice> {
    let mut notices = vec![caution()];
    notices.extend(groups.into_iter().flatten());
    notices.extend(demands.regime().notice);
    if demands.surroundings.users.need_protection() {
        notices.push(Notice::new(
            "assess-the-risk",
            "Children, vulnerable people or the public use this room: the person responsible assesses the risk on \
             the spot. No rail is safe for everybody.",
        ));
    }
    notices.sort();
    notices.dedup();
    notices
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
    let pair = &completion.pair;
    let edition = query.catalogue.edition();
    let bodies = edition.bodies().get(pair.body.index);
    let pair = bodies.zip(edition.elements().get(pair.element.index));
    let around = &query.demands.surroundings;
    let route = pair.and_then(|(body, element)| flex_route(body, element, around));
    if route.is_some() || !completion.accessories.iter().any(is_cover) {
        return Vec::new();
    }
    vec![Notice::new(
        "flex-route-not-known",
        "The route of the flex was not given, so one piece of cover is on the bill: measure from the element to the \
         connection point, and add pieces until no flex lies bare.",
    )]
}

fn check_notices(checks: &[Finding]) -> Vec<Notice> {
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
                "The element is rated {:.0} W, the body sheds {:.1} W at its set point: that is what the room gets.",
                rating.watts(),
                pair.delivered.watts()
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

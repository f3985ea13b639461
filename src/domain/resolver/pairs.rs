//! Body and element together: which pairs meet the demands, what they deliver, what they cost.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Working;
use crate::domain::compatibility::check_planned;
use crate::domain::compatibility::child_height_passes;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::flex_passes;
use crate::domain::compatibility::fluid_passes;
use crate::domain::compatibility::height_with_head;
use crate::domain::compatibility::width_passes;
use crate::domain::compatibility::working;
use crate::domain::compatibility::zone_passes;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::delivered_output;
use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;

use super::allowance::Allowance;
use super::allowance::Nodes;
use super::demands::Demands;
use super::demands::RegulationWish;
use super::query::Query;

/// A body and an element that meet every demand on the two of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    pub body: PartRef,
    pub element: PartRef,
    /// Net price of the two.
    pub net: Minor,
    /// What they give the room.
    pub delivered: Deciwatts,
    /// At which set point.
    pub working: Working,
}

/// All pairs, cheapest first; equal prices in order of part numbers.
pub(super) fn pairs(query: &Query<'_>) -> Vec<Pair> {
    pairs_within(query, &mut Nodes::new(&Allowance::nodes(usize::MAX)))
}

/// [`pairs`], but no more than there are nodes left for; some, and not the cheapest, once a limit was reached.
pub(super) fn pairs_within(query: &Query<'_>, nodes: &mut Nodes<'_>) -> Vec<Pair> {
    let edition = query.catalogue.edition();
    let elements = usable_elements(query);
    let mut found = Vec::new();
    for (index, body) in edition.bodies().iter().enumerate() {
        let part = PartRef { kind: PartKind::Body, index };
        let Some(body_net) = query.net(part, 1).filter(|_| body_meets(query.demands, body)) else {
            continue;
        };
        let fitting = query.catalogue.index().partners(part, PartKind::Element);
        let nets = elements.iter().filter(|(element, _)| fitting.contains(element.index));
        found.extend(nets.filter_map(|(element, element_net)| {
            let net = body_net.plus(*element_net).ok()?;
            pair(query, body, part, *element).map(|pair| Pair { net, ..pair })
        }));
        nodes.watch(elements.len());
        if nodes.left() < found.len() {
            nodes.exhaust();
        }
        if nodes.is_spent() {
            return found;
        }
    }
    found.sort_by_key(|pair| (pair.net, pair.body, pair.element));
    found
}

/// The pair of a body and an element that fit each other, if it meets every demand on the two of them here.
pub(super) fn pair_of(query: &Query<'_>, [body, element]: [PartRef; 2]) -> Option<Pair> {
    let net = query.net(body, 1)?.plus(query.net(element, 1)?).ok()?;
    let edition = query.catalogue.edition();
    let rail = edition.bodies().get(body.index).filter(|rail| body_meets(query.demands, rail))?;
    let heater = edition.elements().get(element.index);
    heater.filter(|heater| element_meets(query.demands, heater))?;
    pair(query, rail, body, element).map(|pair| Pair { net, ..pair })
}

/// Less than any pair costs, net: the cheapest body and the cheapest element that may be sold.
pub(super) fn floor(query: &Query<'_>) -> Minor {
    let cheapest = |kind| {
        let parts = (0..query.catalogue.edition().count(kind)).map(|index| PartRef { kind, index });
        parts.filter_map(|part| query.net(part, 1)).min().unwrap_or_default()
    };
    cheapest(PartKind::Body).plus(cheapest(PartKind::Element)).unwrap_or_default()
}

/// The elements that may be sold and meet every demand on them alone, with their net prices.
pub(super) fn usable_elements(query: &Query<'_>) -> Vec<(PartRef, Minor)> {
    let elements = query.catalogue.edition().elements().iter().enumerate();
    let usable = elements.filter(|(_, element)| element_meets(query.demands, element));
    usable
        .filter_map(|(index, _)| {
            let part = PartRef { kind: PartKind::Element, index };
            Some((part, query.net(part, 1)?))
        })
        .collect()
}

/// Whether a body meets every demand on it alone.
pub(super) fn body_meets(demands: &Demands<'_>, body: &Body) -> bool {
    let surroundings = &demands.surroundings;
    let place = &surroundings.place;
    let finish = demands.preferences.finish.as_ref();
    finish.is_none_or(|finish| *finish == body.finish)
        && width_passes(body, place)
        && body.ports.element_side.serves(place.side)
        && (surroundings.plan.is_some() || child_height_passes(body, place, surroundings.users))
}

fn element_meets(demands: &Demands<'_>, element: &Element) -> bool {
    let regulation = match demands.preferences.regulation {
        RegulationWish::Either => true,
        RegulationWish::Fixed | RegulationWish::Adjustable => {
            demands.preferences.regulation.word() == element.regulation.word()
        }
    };
    // In a drawn room zone and route depend on the body as well: see `pair`.
    let is_drawn = demands.surroundings.plan.is_some();
    regulation && (is_drawn || is_placed(demands, element))
}

/// Whether the flex reaches and the zone is allowed, for an element by itself.
fn is_placed(demands: &Demands<'_>, element: &Element) -> bool {
    flex_passes(element, &demands.surroundings.place) && zone_passes(element, &demands.surroundings)
}

/// The pair, its price still to be found, of a body and an element that fit each other and meet the demands on each alone,
/// if the two meet those on them together.
pub(super) fn pair(
    query: &Query<'_>,
    body: &Body,
    part: PartRef,
    element_part: PartRef,
) -> Option<Pair> {
    let demands = query.demands;
    let surroundings = &demands.surroundings;
    let element = query.catalogue.edition().elements().get(element_part.index)?;
    let working = working(body, element, surroundings.users);
    let wall = surroundings.place.wall_height;
    if working == Working::NotProtected
        || wall.is_some_and(|wall| wall < height_with_head(body, element))
        || !fluid_passes(body, element, surroundings.room, surroundings.towels_factor)
    {
        return None;
    }
    let delivered = delivered(demands, body, element, working);
    let is_enough = demands.required.is_none_or(|required| required <= delivered);
    // The plan last, since it costs most.
    if !is_enough || check_planned(body, element, surroundings).iter().any(Finding::refuses) {
        return None;
    }
    Some(Pair { body: part, element: element_part, net: Minor::ZERO, delivered, working })
}

/// What a pair gives the room at the set point it works at.
pub(super) fn delivered(
    demands: &Demands<'_>,
    body: &Body,
    element: &Element,
    working: Working,
) -> Deciwatts {
    let surroundings = &demands.surroundings;
    let emitter = emitter(body, surroundings.towels_factor);
    let drive = ElementDrive { watts: element.watts, set_point: working.set_point() };
    delivered_output(&emitter, drive, surroundings.room).delivered()
}

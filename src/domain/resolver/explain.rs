//! Why nothing fits, and the smallest changes that would help.
//!
//! The conflict is found by taking demands back one at a time: what is left is a set of which every one is needed.
//! Each relaxation is proved by resolving again; a length is relaxed to the nearest millimetre that helps.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::compatibility::Place;
use crate::domain::compatibility::PlannedSpot;
use crate::domain::compatibility::hung;
use crate::domain::conflict::Conflict;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Fact;
use crate::domain::conflict::Relaxation;
use crate::domain::money::Minor;
use crate::domain::pricing::Total;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;
use crate::domain::zones::Zone;

use super::completion::complete;
use super::controls::Remembered;
use super::demands::Demands;
use super::demands::RegulationWish;
use super::pairs::pairs;
use super::query::Query;
use super::search::SEARCH_NODES_MAX;
use super::search::is_over_budget;
use super::search::search;

/// The most finishes that are tried for a relaxation.
pub const RELAXATIONS_TRIED_MAX: usize = 60;

/// The widest wall that a request may state, millimetres (`WALL_WIDTH_MM` of `units`).
const WALL_WIDTH_MAX: i32 = 10_000;

/// The highest wall that a request may state, millimetres (`WALL_HEIGHT_MM` of `units`).
const WALL_HEIGHT_MAX: i32 = 5_000;

/// The conflict of an impossible request, and its relaxations, cheapest first.
pub(super) fn explain(query: &Query<'_>) -> (Conflict, Vec<Relaxation>) {
    let demands = minimal(query);
    let mut relaxations: Vec<Relaxation> =
        demands.iter().flat_map(|demand| relaxations(query, *demand)).collect();
    relaxations.sort_by(|left, right| {
        (left.cheapest_gross, left.demand, &left.to).cmp(&(
            right.cheapest_gross,
            right.demand,
            &right.to,
        ))
    });
    let facts = demands.iter().map(|demand| fact(query, *demand, &relaxations)).collect();
    let sentence = sentence(query, &demands);
    (Conflict { demands, facts, sentence }, relaxations)
}

/// A subset of the demands that cannot be met together although every smaller part of it can.
fn minimal(query: &Query<'_>) -> Vec<Demand> {
    let mut kept = query.demands.active();
    for demand in query.demands.active() {
        let fewer: Vec<Demand> = kept.iter().copied().filter(|other| *other != demand).collect();
        if cheapest(query, &query.demands.keeping(&fewer)).is_none() {
            kept = fewer;
        }
    }
    kept
}

/// Gross price of the cheapest bill for other demands.
fn cheapest(query: &Query<'_>, demands: &Demands<'_>) -> Option<Minor> {
    let other = Query { demands, ..*query };
    let net = search(&other, 1, SEARCH_NODES_MAX).best.first()?.net;
    let rate = demands.surroundings.market.tax_rate;
    Some(Total::of(net, rate, query.list.currency).ok()?.gross)
}

fn relaxations(query: &Query<'_>, demand: Demand) -> Vec<Relaxation> {
    let from = asked(query, demand);
    let proved = |to: Option<String>, demands: &Demands<'_>| {
        let cheapest_gross = cheapest(query, demands)?;
        Some(Relaxation { demand, from: from.clone(), to, cheapest_gross })
    };
    let first = |values: Vec<(String, Demands<'_>)>| {
        values.into_iter().find_map(|(to, demands)| proved(Some(to), &demands))
    };
    let nearest = |farthest, lever: Lever| {
        let (to, demands) = nearest_length(query, farthest, lever)?;
        proved(Some(to), &demands)
    };
    let without = without(query.demands, demand);
    match demand {
        Demand::Children | Demand::Vulnerable | Demand::PublicBuilding | Demand::WaterJets => {
            Vec::new()
        }
        Demand::Finish => other_finishes(query)
            .into_iter()
            .take(RELAXATIONS_TRIED_MAX)
            .filter_map(|(to, demands)| proved(Some(to), &demands))
            .collect(),
        Demand::Plan => first(best_place(query.demands)).into_iter().collect(),
        Demand::Zone => first(milder_zones(query.demands)).into_iter().collect(),
        Demand::WallWidth => {
            nearest(WALL_WIDTH_MAX, |place| &mut place.wall_width).into_iter().collect()
        }
        Demand::WallHeight => {
            nearest(WALL_HEIGHT_MAX, |place| &mut place.wall_height).into_iter().collect()
        }
        Demand::ConnectionDistance => {
            nearest(0, |place| &mut place.connection_distance).into_iter().collect()
        }
        Demand::Output => less_output(query)
            .and_then(|demands| {
                let to = demands.required.map(watts);
                proved(to, &demands)
            })
            .into_iter()
            .collect(),
        Demand::Budget => {
            let gross = cheapest(query, &without);
            let to = gross.map(|gross| query.list.currency.format(gross));
            to.and_then(|to| proved(Some(to), &without)).into_iter().collect()
        }
        Demand::Regulation => {
            proved(Some(RegulationWish::Either.word().to_owned()), &without).into_iter().collect()
        }
        Demand::Side => proved(Some("either".to_owned()), &without).into_iter().collect(),
        Demand::WallControl | Demand::TimeControl | Demand::FlexCover | Demand::Accessory(_) => {
            proved(None, &without).into_iter().collect()
        }
    }
}

fn without<'a>(demands: &Demands<'a>, dropped: Demand) -> Demands<'a> {
    let kept: Vec<Demand> =
        demands.active().into_iter().filter(|demand| *demand != dropped).collect();
    demands.keeping(&kept)
}

fn other_finishes<'a>(query: &Query<'a>) -> Vec<(String, Demands<'a>)> {
    let bodies = query.catalogue.edition().bodies();
    let finishes: BTreeSet<&Box<str>> = bodies.iter().map(|body| &body.finish).collect();
    let wished = query.demands.preferences.finish.as_ref();
    let others = finishes.into_iter().filter(|finish| Some(*finish) != wished);
    others
        .map(|finish| {
            let mut demands = query.demands.clone();
            demands.preferences.finish = Some(finish.clone());
            (finish.to_string(), demands)
        })
        .collect()
}

fn milder_zones<'a>(demands: &Demands<'a>) -> Vec<(String, Demands<'a>)> {
    let milder = [Zone::Two, Zone::Three, Zone::Outside].into_iter();
    let milder =
        milder.filter(|zone| demands.surroundings.place.zone.is_some_and(|asked| asked < *zone));
    milder
        .map(|zone| {
            let mut demands = demands.clone();
            demands.surroundings.place.zone = Some(zone);
            (zone.to_string(), demands)
        })
        .collect()
}

/// The drawn room with the best place for each rail instead of the place asked for.
fn best_place<'a>(demands: &Demands<'a>) -> Vec<(String, Demands<'a>)> {
    let mut demands = demands.clone();
    let asked = demands.surroundings.plan.as_mut();
    let is_changed = asked.is_some_and(|(_planned, spot)| {
        std::mem::replace(spot, PlannedSpot::Best) != PlannedSpot::Best
    });
    if is_changed { vec![(PlannedSpot::Best.to_string(), demands)] } else { Vec::new() }
}

/// Where a length of the place is stated.
type Lever = fn(&mut Place) -> &mut Option<Millimetres>;

/// The length nearest to the one asked for that helps, between it and the farthest, found by halving: what one step
/// allows, a longer step allows too. Every millimetre counts, so the answer is exact whatever the length decides, be it
/// a width, a reach or how many covers a flex takes.
fn nearest_length<'a>(
    query: &Query<'a>,
    farthest: i32,
    lever: Lever,
) -> Option<(String, Demands<'a>)> {
    let with = |length| {
        let mut demands = query.demands.clone();
        let asked = lever(&mut demands.surroundings.place).replace(Millimetres::new(length));
        (asked, demands)
    };
    let helps = |length| cheapest(query, &with(length).1).is_some();
    let (mut refused, mut possible) = (with(farthest).0?.value(), farthest);
    if !helps(possible) {
        return None;
    }
    while 1_u32 < possible.abs_diff(refused) {
        let middle = refused.midpoint(possible);
        if helps(middle) {
            possible = middle;
        } else {
            refused = middle;
        }
    }
    Some((possible.to_string(), with(possible).1))
}

/// The demands with the requirement lowered to the most that can be delivered beside the others.
fn less_output<'a>(query: &Query<'a>) -> Option<Demands<'a>> {
    let mut demands = query.demands.clone();
    demands.required = None;
    let free = Query { demands: &demands, ..*query };
    let mut strongest = pairs(&free);
    strongest.sort_by_key(|pair| std::cmp::Reverse(pair.delivered));
    let mut remembered = Remembered::default();
    let most = strongest.iter().find(|pair| {
        complete(&free, pair, &mut remembered).is_some_and(|done| !is_over_budget(&free, done.net))
    })?;
    let delivered = most.delivered;
    demands.required = Some(delivered);
    // No heat at all is no offer.
    (Deciwatts::default() < delivered).then_some(demands)
}

fn watts(power: Deciwatts) -> String {
    format!("{:.1}", power.watts())
}

/// The value that a demand asks for.
fn asked(query: &Query<'_>, demand: Demand) -> String {
    let demands = query.demands;
    let place = &demands.surroundings.place;
    let wished = &demands.preferences;
    let length = |length: Option<Millimetres>| length.unwrap_or_default().value().to_string();
    match demand {
        Demand::Output => demands.required.map(watts).unwrap_or_default(),
        Demand::WallWidth => length(place.wall_width),
        Demand::WallHeight => length(place.wall_height),
        Demand::ConnectionDistance => length(place.connection_distance),
        Demand::Plan => {
            let plan = demands.surroundings.plan.as_ref();
            plan.map(|(_planned, spot)| spot.to_string()).unwrap_or_default()
        }
        Demand::Zone => place.zone.map(|zone| zone.to_string()).unwrap_or_default(),
        Demand::Side => place.side.word().to_owned(),
        Demand::Finish => wished.finish.as_ref().map(ToString::to_string).unwrap_or_default(),
        Demand::Regulation => wished.regulation.word().to_owned(),
        Demand::Budget => {
            wished.budget.map(|budget| query.list.currency.format(budget)).unwrap_or_default()
        }
        Demand::Accessory(index) => {
            wished.accessories.get(index).map(|kind| kind.word().to_owned()).unwrap_or_default()
        }
        Demand::WaterJets
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Children
        | Demand::Vulnerable
        | Demand::PublicBuilding => "true".to_owned(),
    }
}

/// What a demand is called in a sentence.
fn phrase(query: &Query<'_>, demand: Demand) -> String {
    let asked = asked(query, demand);
    match demand {
        Demand::Output => format!("{asked} W of heat"),
        Demand::WallWidth => format!("a wall space {asked} mm wide"),
        Demand::WallHeight => format!("a wall space {asked} mm high"),
        Demand::Plan => format!("the place in the drawn room ({asked})"),
        Demand::Zone => format!("a position in zone {asked}"),
        Demand::WaterJets => "cleaning with water jets".to_owned(),
        Demand::ConnectionDistance => format!("a flex route of {asked} mm"),
        Demand::Side => format!("the connection on the {asked}"),
        Demand::Finish => format!("the finish {asked}"),
        Demand::Regulation => format!("{asked} heat"),
        Demand::WallControl => "a thermostat on the wall".to_owned(),
        Demand::TimeControl => "control by the clock".to_owned(),
        Demand::FlexCover => "a covered flex".to_owned(),
        Demand::Budget => format!("a budget of {asked} {}", query.list.currency.code()),
        Demand::Accessory(_) => format!("the accessory {asked}"),
        Demand::Children => "protection of children".to_owned(),
        Demand::Vulnerable => "protection of vulnerable people".to_owned(),
        Demand::PublicBuilding => "use by the public".to_owned(),
    }
}

fn fact(query: &Query<'_>, demand: Demand, relaxations: &[Relaxation]) -> Fact {
    let nearest = relaxations.iter().find(|relaxation| relaxation.demand == demand);
    let asked = phrase(query, demand);
    let asked =
        if demand == Demand::Plan { format!("{asked}{}", why_not_there(query)) } else { asked };
    let text = match nearest {
        Some(Relaxation { to: Some(to), .. }) => {
            format!("Asked: {asked}. Beside the other demands the nearest is {to}.")
        }
        Some(Relaxation { to: None, .. }) => {
            format!("Asked: {asked}. Without it the other demands can be met.")
        }
        None if demand.is_safety() => format!("Asked: {asked}. It protects people and stays."),
        None => format!("Asked: {asked}. No single change of it alone makes the request possible."),
    };
    Fact { demand, text }
}

/// Pairs whose obstacles in the plan are told.
const OBSTACLES_TOLD_MAX: usize = 3;

/// What stands in the way of the cheapest pairs in the drawn room, each obstacle once.
fn why_not_there(query: &Query<'_>) -> String {
    let free = without(query.demands, Demand::Plan);
    let edition = query.catalogue.edition();
    let cheapest = pairs(&Query { demands: &free, ..*query }).into_iter();
    let obstacles = cheapest.take(PAIRS_ASKED_MAX).filter_map(|pair| {
        let body = edition.bodies().get(pair.body.index)?;
        let element = edition.elements().get(pair.element.index)?;
        hung(body, element, &query.demands.surroundings)?.err()
    });
    let told: BTreeMap<&str, String> = obstacles.collect();
    let told: Vec<String> = told.into_values().take(OBSTACLES_TOLD_MAX).collect();
    if told.is_empty() { String::new() } else { format!(", where {}", told.join("; ")) }
}

/// Pairs of which it is asked what stands in their way.
const PAIRS_ASKED_MAX: usize = 40;

fn sentence(query: &Query<'_>, demands: &[Demand]) -> String {
    let phrases: Vec<String> = demands.iter().map(|demand| phrase(query, *demand)).collect();
    let market = &query.demands.surroundings.market.code;
    match phrases.split_last() {
        None => format!("Nothing in this catalogue can be sold complete in the market {market}."),
        Some((only, [])) => format!("No rail in the catalogue offers {only}."),
        Some((last, others)) => {
            let others = others.join(", ");
            format!("No rail in the catalogue offers {others} and {last} at once.")
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::units::WALL_HEIGHT_MM;
    use crate::domain::units::WALL_WIDTH_MM;

    use super::*;

    #[test]
    fn no_wall_is_offered_that_a_request_may_not_state() {
        assert_eq!(WALL_WIDTH_MM.check(WALL_WIDTH_MAX.into()), Ok(WALL_WIDTH_MM.maximum));
        assert_eq!(WALL_HEIGHT_MM.check(WALL_HEIGHT_MAX.into()), Ok(WALL_HEIGHT_MM.maximum));
    }
}

//! The words of an explanation: what was asked, what is nearest, one sentence to read out.

use std::collections::BTreeMap;

use crate::domain::compatibility::hung;
use crate::domain::conflict::Change;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Fact;
use crate::domain::conflict::Nearest;
use crate::domain::conflict::Relaxation;
use crate::domain::resolver::pairs::pairs;
use crate::domain::resolver::query::Query;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;

use super::offers::Step;
use super::without;

pub(super) fn watts(power: Deciwatts) -> String {
    power.text()
}

/// The value that a demand asks for.
pub(super) fn asked(query: &Query<'_>, demand: Demand) -> String {
    let demands = query.demands;
    let place = &demands.surroundings.place;
    let wished = &demands.preferences;
    let length = |length: Option<Millimetres>| length.unwrap_or_default().value().to_string();
    match demand {
        Demand::Output => demands.required.map(watts).unwrap_or_default(),
        Demand::WallWidth => length(place.wall_width),
        Demand::WallHeight => length(place.wall_height),
        Demand::ConnectionDistance => length(place.connection_distance),
        Demand::Walls => demands.sought.walls.len().to_string(),
        Demand::Rails => demands.rails_allowed().to_string(),
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

/// What a rail does that meets a demand: "comes in matt-black".
fn does(query: &Query<'_>, demand: Demand) -> String {
    let asked = asked(query, demand);
    match demand {
        Demand::Output => format!("gives {asked} W of heat"),
        Demand::WallWidth => format!("fits a wall space {asked} mm wide"),
        Demand::WallHeight => format!("fits a wall space {asked} mm high"),
        Demand::Walls => format!("fits the wall spaces listed ({asked})"),
        Demand::Rails => format!("does it with {asked} in a room"),
        Demand::Plan => format!("has an allowed place in the drawn room ({asked})"),
        Demand::Zone => format!("may hang in zone {asked}"),
        Demand::WaterJets => "withstands cleaning with water jets".to_owned(),
        Demand::ConnectionDistance => format!("reaches a connection point {asked} mm away"),
        Demand::Side => format!("connects on the {asked}"),
        Demand::Finish => format!("comes in {asked}"),
        Demand::Regulation => format!("has {asked} heat"),
        Demand::WallControl => "has a thermostat on the wall".to_owned(),
        Demand::TimeControl => "is controlled by the clock".to_owned(),
        Demand::FlexCover => "has a covered flex".to_owned(),
        Demand::Budget => format!("costs at most {asked} {}", query.list.currency.code()),
        Demand::Accessory(_) => format!("comes with the accessory {asked}"),
        Demand::Children => "keeps the limits where children use the room".to_owned(),
        Demand::Vulnerable => "keeps the limits where vulnerable people use the room".to_owned(),
        Demand::PublicBuilding => "keeps the limits where the public uses the room".to_owned(),
    }
}

/// A changed demand as a thing: "a flex route of 1600 mm".
fn offered(query: &Query<'_>, change: &Change) -> String {
    let to = change.to.as_deref().unwrap_or_default();
    match change.demand {
        Demand::Output => format!("{to} W of heat"),
        Demand::WallWidth => format!("a wall space {to} mm wide"),
        Demand::WallHeight => format!("a wall space {to} mm high"),
        Demand::Walls => "other wall spaces".to_owned(),
        Demand::Rails => format!("{to} rails"),
        Demand::Plan => "the best place in the drawn room".to_owned(),
        Demand::Zone if to == "outside" => "a position outside the zones".to_owned(),
        Demand::Zone => format!("a position in zone {to}"),
        Demand::ConnectionDistance => format!("a flex route of {to} mm"),
        Demand::Side => "the connection on either side".to_owned(),
        Demand::Finish => format!("the finish {to}"),
        Demand::Regulation => format!("{to} kind of regulation"),
        Demand::Budget => format!("a budget of {to} {}", query.list.currency.code()),
        Demand::WallControl => "no thermostat on the wall".to_owned(),
        Demand::TimeControl => "no control by the clock".to_owned(),
        Demand::FlexCover => "no cover on the flex".to_owned(),
        Demand::Accessory(_) => format!("no accessory {}", change.from),
        Demand::WaterJets | Demand::Children | Demand::Vulnerable | Demand::PublicBuilding => {
            // Never offered; said here as it stands.
            change.from.clone()
        }
    }
}

/// One sentence to read out: what cannot be had, and the cheapest way out where there is one.
pub(super) fn sentence(
    query: &Query<'_>,
    demands: &[Demand],
    way_out: Option<&Relaxation>,
) -> String {
    let wanted: Vec<String> = demands.iter().map(|demand| does(query, *demand)).collect();
    let market = &query.demands.surroundings.market.code;
    let refusal = match listed(&wanted) {
        None => format!("Nothing in this catalogue can be sold complete in the market {market}"),
        Some(wanted) => format!("No rail in this catalogue {wanted}"),
    };
    let Some(relaxation) = way_out else { return format!("{refusal}.") };
    let changes: Vec<String> =
        relaxation.changes.iter().map(|change| offered(query, change)).collect();
    let together = if changes.len() < 2 { "" } else { " together" };
    let currency = query.list.currency;
    let names_price = relaxation.changes.iter().any(|change| change.demand == Demand::Budget);
    let price = format!("{} {}", currency.format(relaxation.cheapest_gross), currency.code());
    let price = if names_price { String::new() } else { format!(", from {price}") };
    listed(&changes).map_or_else(
        || format!("{refusal}."),
        |changes| format!("{refusal}; the cheapest way out is {changes}{together}{price}."),
    )
}

/// One, two and three.
fn listed(words: &[String]) -> Option<String> {
    match words.split_last() {
        None => None,
        Some((only, [])) => Some(only.clone()),
        Some((last, others)) => Some(format!("{} and {last}", others.join(", "))),
    }
}

/// The rule by which a demand excludes parts.
const fn rule(demand: Demand) -> Option<&'static str> {
    match demand {
        Demand::WallWidth => Some("body-too-wide"),
        Demand::WallHeight => Some("body-too-high"),
        Demand::Plan => Some("place-in-plan"),
        Demand::Zone | Demand::WaterJets => Some("zone-allowed"),
        Demand::ConnectionDistance => Some("flex-too-short"),
        Demand::Side => Some("element-on-wrong-side"),
        Demand::Vulnerable => Some("surface-too-hot"),
        // Several rules protect these users, or none speaks: a wish is a wish.
        Demand::Children
        | Demand::PublicBuilding
        | Demand::Output
        | Demand::Walls
        | Demand::Rails
        | Demand::Finish
        | Demand::Regulation
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Budget
        | Demand::Accessory(_) => None,
    }
}

/// The unit of a demand's values, with the space before it.
fn unit(query: &Query<'_>, demand: Demand) -> String {
    match demand {
        Demand::Output => " W".to_owned(),
        Demand::WallWidth | Demand::WallHeight | Demand::ConnectionDistance => " mm".to_owned(),
        Demand::Budget => format!(" {}", query.list.currency.code()),
        Demand::Walls
        | Demand::Rails
        | Demand::Plan
        | Demand::Zone
        | Demand::WaterJets
        | Demand::Side
        | Demand::Finish
        | Demand::Regulation
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Accessory(_)
        | Demand::Children
        | Demand::Vulnerable
        | Demand::PublicBuilding => String::new(),
    }
}

/// A demand of a conflict, and how near the catalogue comes to it.
pub(super) fn fact(query: &Query<'_>, demand: Demand, found: Option<&Step<'_>>) -> Fact {
    let unit = unit(query, demand);
    let mut asked = format!("Asked: a rail that {}", does(query, demand));
    if demand == Demand::Plan {
        asked.push_str(&why_not_there(query));
    }
    let nearest = found.and_then(|step| nearest(query, demand, step));
    let rest = match (&nearest, found) {
        (Some(Nearest { value, misses_by, part }), _) => {
            let missing = misses_by.as_ref().map(|by| format!(" and misses by {by}{unit}"));
            let missing = missing.unwrap_or_default();
            format!(
                "Beside this conflict's other demands the nearest is {value}{unit} ({part}){missing}."
            )
        }
        (None, Some(_)) => "Without it this conflict's other demands can be met.".to_owned(),
        (None, None) if demand.is_safety() => "It protects people and stays.".to_owned(),
        (None, None) => "No other value of it helps.".to_owned(),
    };
    Fact { demand, rule: rule(demand), nearest, text: format!("{asked}. {rest}") }
}

fn nearest(query: &Query<'_>, demand: Demand, step: &Step<'_>) -> Option<Nearest> {
    let card = query.catalogue.edition().card(step.part(demand))?;
    let value = step.to.clone()?;
    let misses_by = misses_by(query, demand, step);
    Some(Nearest { value, misses_by, part: card.sku.clone() })
}

/// How far a value lies from what was asked.
fn misses_by(query: &Query<'_>, demand: Demand, step: &Step<'_>) -> Option<String> {
    let (wanted, met) = (query.demands, &step.demands);
    let (here, there) = (&wanted.surroundings.place, &met.surroundings.place);
    let lengths = |asked: Option<Millimetres>, found: Option<Millimetres>| {
        let apart = asked?.value().abs_diff(found?.value());
        Some(apart.to_string())
    };
    match demand {
        Demand::WallWidth => lengths(here.wall_width, there.wall_width),
        Demand::WallHeight => lengths(here.wall_height, there.wall_height),
        Demand::ConnectionDistance => lengths(here.connection_distance, there.connection_distance),
        Demand::Output => {
            let missing = wanted.required?.value().checked_sub(met.required?.value())?;
            Some(watts(Deciwatts::new(missing)))
        }
        Demand::Budget => {
            let missing = met.preferences.budget?.minus(wanted.preferences.budget?).ok()?;
            Some(query.list.currency.format(missing))
        }
        Demand::Walls
        | Demand::Rails
        | Demand::Plan
        | Demand::Zone
        | Demand::WaterJets
        | Demand::Side
        | Demand::Finish
        | Demand::Regulation
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Accessory(_)
        | Demand::Children
        | Demand::Vulnerable
        | Demand::PublicBuilding => None,
    }
}

/// Pairs whose obstacles in the plan are told.
const OBSTACLES_TOLD_MAX: usize = 3;

/// Pairs of which it is asked what stands in their way.
const PAIRS_ASKED_MAX: usize = 40;

/// What stands in the way of the cheapest pairs in the drawn room, each obstacle once.
fn why_not_there(query: &Query<'_>) -> String {
    let free = without(query.demands, &[Demand::Plan]);
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

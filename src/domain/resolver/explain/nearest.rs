//! The smallest change of a demand that helps, found by halving and proved by resolving again.
//!
//! Lengths are found to the millimetre and heat to the tenth of a watt: what one step allows, a longer step allows too,
//! be it a width, a reach or how many covers a flex takes, so halving is exact.

use std::rc::Rc;

use crate::domain::compatibility::Place;
use crate::domain::compatibility::PlannedSpot;
use crate::domain::conflict::Change;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Relaxation;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::demands::RegulationWish;
use crate::domain::resolver::sought::RAILS_MAX;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;
use crate::domain::zones::Zone;

use super::offers::Exhausted;
use super::offers::Offers;
use super::offers::Step;
use super::words;

/// The most finishes that are tried for a relaxation.
pub const RELAXATIONS_TRIED_MAX: usize = 60;

/// The widest wall that a request may state, millimetres (`WALL_WIDTH_MM` of `units`).
const WALL_WIDTH_MAX: i32 = 10_000;

/// The highest wall that a request may state, millimetres (`WALL_HEIGHT_MM` of `units`).
const WALL_HEIGHT_MAX: i32 = 5_000;

/// Whether a change of this demand may be offered: nobody trades the protection of people for a price.
pub(super) const fn is_offered(demand: Demand) -> bool {
    match demand {
        Demand::Children | Demand::Vulnerable | Demand::PublicBuilding | Demand::WaterJets => false,
        Demand::Output
        | Demand::WallWidth
        | Demand::WallHeight
        | Demand::Walls
        | Demand::Rails
        | Demand::Plan
        | Demand::Zone
        | Demand::ConnectionDistance
        | Demand::Side
        | Demand::Finish
        | Demand::Regulation
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Budget
        | Demand::Accessory(_) => true,
    }
}

/// The relaxations that change one demand alone.
pub(super) fn single<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    demand: Demand,
) -> Result<Vec<Relaxation>, Exhausted> {
    let from = words::asked(offers.query(), demand);
    let steps = steps(offers, without, demand)?.into_iter();
    let relaxation = |step: Step<'_>| Relaxation {
        changes: vec![Change { demand, from: from.clone(), to: step.to }],
        cheapest_gross: step.offer.gross,
    };
    Ok(steps.map(relaxation).collect())
}

/// The relaxation that changes several demands, none of which can be spared: one after the other is made as small as
/// those still left out allow, the budget last.
pub(super) fn several<'a>(
    offers: &mut Offers<'a>,
    without: Demands<'a>,
    mut demands: Vec<Demand>,
) -> Result<Option<Relaxation>, Exhausted> {
    demands.sort_by_key(|demand| (turn(*demand), *demand));
    let mut changes = Vec::new();
    let mut reached = without;
    let mut gross = None;
    for demand in demands {
        let found = steps(offers, &reached, demand)?;
        let Some(step) = found.into_iter().min_by_key(|step| step.offer.gross) else {
            return Ok(None);
        };
        changes.push(Change { demand, from: words::asked(offers.query(), demand), to: step.to });
        reached = step.demands;
        gross = Some(step.offer.gross);
    }
    changes.sort();
    Ok(gross.map(|cheapest_gross| Relaxation { changes, cheapest_gross }))
}

/// When a demand is settled among several: kinds before measures, money last.
const fn turn(demand: Demand) -> u8 {
    match demand {
        Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Accessory(_)
        | Demand::Children
        | Demand::Vulnerable
        | Demand::PublicBuilding
        | Demand::WaterJets => 0,
        Demand::Finish | Demand::Regulation | Demand::Side => 1,
        Demand::Walls | Demand::Rails | Demand::Plan | Demand::Zone => 2,
        Demand::WallWidth | Demand::WallHeight | Demand::ConnectionDistance => 3,
        Demand::Output => 4,
        Demand::Budget => 5,
    }
}

/// The smallest changes of a demand beside others that are kept. Several only where values have no order.
pub(super) fn steps<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    demand: Demand,
) -> Result<Vec<Step<'a>>, Exhausted> {
    match demand {
        Demand::Children | Demand::Vulnerable | Demand::PublicBuilding | Demand::WaterJets => {
            Ok(Vec::new())
        }
        Demand::Finish => each(offers, other_finishes(offers, without)),
        Demand::Plan => first(offers, best_place(offers, without)),
        Demand::Zone => first(offers, milder_zones(offers, without)),
        Demand::WallWidth => {
            length(offers, without, (WALL_WIDTH_MAX, |place| &mut place.wall_width))
        }
        Demand::WallHeight => {
            length(offers, without, (WALL_HEIGHT_MAX, |place| &mut place.wall_height))
        }
        Demand::ConnectionDistance => {
            length(offers, without, (0, |place| &mut place.connection_distance))
        }
        Demand::Output => less_heat(offers, without),
        Demand::Budget => {
            let Some(offer) = offers.cheapest(without)? else { return Ok(Vec::new()) };
            let to = offers.query().list.currency.format(offer.gross);
            let mut demands = without.clone();
            demands.preferences.budget = Some(offer.gross);
            Ok(vec![Step { to: Some(to), demands, offer }])
        }
        Demand::Regulation => {
            first(offers, vec![(Some(RegulationWish::Either.word().to_owned()), without.clone())])
        }
        Demand::Side => first(offers, vec![(Some("either".to_owned()), without.clone())]),
        Demand::Rails => more_rails(offers, without),
        Demand::Walls
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Accessory(_) => first(offers, vec![(None, without.clone())]),
    }
}

/// The fewest rails beyond those asked for that help.
fn more_rails<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let allowed = without.rails_allowed();
    let more = (allowed.saturating_add(1)..=RAILS_MAX).map(|rails_max| {
        let mut demands = without.clone();
        demands.sought.rails_max = rails_max;
        (Some(rails_max.to_string()), demands)
    });
    // A drawn room takes one rail, and each listed wall space one, whatever is asked for.
    let more = more.filter(|(_, demands)| allowed < demands.rails_allowed());
    first(offers, more.collect())
}

/// Another value and the demands with it.
type Other<'a> = (Option<String>, Demands<'a>);

/// Those of the other values that help.
fn each<'a>(offers: &mut Offers<'a>, others: Vec<Other<'a>>) -> Result<Vec<Step<'a>>, Exhausted> {
    let mut steps = Vec::new();
    for (to, demands) in others {
        if let Some(offer) = offers.cheapest(&demands)? {
            steps.push(Step { to, demands, offer });
        }
    }
    Ok(steps)
}

/// The first of the other values that helps.
fn first<'a>(offers: &mut Offers<'a>, others: Vec<Other<'a>>) -> Result<Vec<Step<'a>>, Exhausted> {
    for (to, demands) in others {
        if let Some(offer) = offers.cheapest(&demands)? {
            return Ok(vec![Step { to, demands, offer }]);
        }
    }
    Ok(Vec::new())
}

fn other_finishes<'a>(offers: &Offers<'a>, without: &Demands<'a>) -> Vec<Other<'a>> {
    let finishes: Vec<&str> = match offers.query().served() {
        Some(index) => index.finishes.iter().map(AsRef::as_ref).collect(),
        None => offers.query().catalogue.edition().body_finishes().into_iter().collect(),
    };
    let wished = offers.demands().preferences.finish.as_deref();
    let others = finishes.into_iter().filter(|finish| Some(*finish) != wished);
    let with = |finish: &str| {
        let mut demands = without.clone();
        demands.preferences.finish = Some(finish.into());
        (Some(finish.to_owned()), demands)
    };
    others.take(RELAXATIONS_TRIED_MAX).map(with).collect()
}

fn milder_zones<'a>(offers: &Offers<'a>, without: &Demands<'a>) -> Vec<Other<'a>> {
    let asked = offers.demands().surroundings.place.zone;
    let milder = [Zone::Two, Zone::Three, Zone::Outside].into_iter();
    let milder = milder.filter(|zone| asked.is_some_and(|asked| asked < *zone));
    let with = |zone: Zone| {
        let mut demands = without.clone();
        demands.surroundings.place.zone = Some(zone);
        (Some(zone.to_string()), demands)
    };
    milder.map(with).collect()
}

/// The drawn room with the best place for each rail instead of the place asked for.
fn best_place<'a>(offers: &Offers<'a>, without: &Demands<'a>) -> Vec<Other<'a>> {
    let Some((planned, spot)) = &offers.demands().surroundings.plan else { return Vec::new() };
    if *spot == PlannedSpot::Best {
        return Vec::new();
    }
    let mut demands = without.clone();
    demands.surroundings.plan = Some((Rc::clone(planned), PlannedSpot::Best));
    vec![(Some(PlannedSpot::Best.to_string()), demands)]
}

/// Where a length of the place is stated.
type Lever = fn(&mut Place) -> &mut Option<Millimetres>;

/// The length nearest to the one asked for that helps, between it and the farthest.
fn length<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    (farthest, lever): (i32, Lever),
) -> Result<Vec<Step<'a>>, Exhausted> {
    let mut place = offers.demands().surroundings.place.clone();
    let Some(asked) = *lever(&mut place) else { return Ok(Vec::new()) };
    let with = |length: i64| {
        let mut demands = without.clone();
        let length = i32::try_from(length).unwrap_or(farthest);
        *lever(&mut demands.surroundings.place) = Some(Millimetres::new(length));
        (length.to_string(), demands)
    };
    halve(offers, (asked.value().into(), farthest.into()), with)
}

/// The most heat that can be had, beneath what is asked. No heat at all is no offer.
fn less_heat<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let Some(asked) = offers.demands().required else { return Ok(Vec::new()) };
    let with = |tenths: i64| {
        let mut demands = without.clone();
        let required = Deciwatts::new(tenths);
        demands.required = Some(required);
        (words::watts(required), demands)
    };
    halve(offers, (asked.value(), 1), with)
}

/// The value nearest to a refused one that helps, on the way to the farthest there is.
fn halve<'a, F: Fn(i64) -> (String, Demands<'a>)>(
    offers: &mut Offers<'a>,
    (mut refused, farthest): (i64, i64),
    with: F,
) -> Result<Vec<Step<'a>>, Exhausted> {
    if !offers.is_possible(&with(farthest).1)? {
        return Ok(Vec::new());
    }
    let mut possible = farthest;
    while 1 < possible.abs_diff(refused) {
        let middle = refused.midpoint(possible);
        if offers.is_possible(&with(middle).1)? {
            possible = middle;
        } else {
            refused = middle;
        }
    }
    let (to, demands) = with(possible);
    let offer = offers.cheapest(&demands)?;
    Ok(offer.map(|offer| Step { to: Some(to), demands, offer }).into_iter().collect())
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

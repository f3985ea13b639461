//! The smallest change of a demand that helps, proved by resolving again.
//!
//! Lengths and heat, which have values without number, are looked for in [`super::measured`].

use std::rc::Rc;

use crate::domain::compatibility::PlannedSpot;
use crate::domain::conflict::Change;
use crate::domain::conflict::Demand;
use crate::domain::conflict::Relaxation;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::demands::RegulationWish;
use crate::domain::resolver::sought::RAILS_MAX;
use crate::domain::zones::Zone;

use super::measured::CONNECTION_DISTANCE;
use super::measured::WALL_HEIGHT;
use super::measured::WALL_WIDTH;
use super::measured::length;
use super::measured::less_heat;
use super::offers::Exhausted;
use super::offers::Offers;
use super::offers::Reached;
use super::offers::Step;
use super::words;

/// The most finishes that are tried for a relaxation.
pub const RELAXATIONS_TRIED_MAX: usize = 60;

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
    let steps = steps(offers, without, demand, Wanted::All)?;
    if let [Step { measure: Some(value), offer, .. }] = steps[..] {
        offers.note(demand, Reached { value, known: offer.net.value() });
    }
    let relaxation = |step: Step<'_>| Relaxation {
        changes: vec![Change { demand, from: from.clone(), to: step.to }],
        cheapest_gross: step.offer.gross,
    };
    Ok(steps.into_iter().map(relaxation).collect())
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
        let found = steps(offers, &reached, demand, Wanted::Cheapest)?;
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

/// Which of several changes of a demand are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wanted {
    /// Each that helps.
    All,
    /// The one with the best bill.
    Cheapest,
}

/// The smallest changes of a demand beside others that are kept. Several only where values have no order.
pub(super) fn steps<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    demand: Demand,
    wanted: Wanted,
) -> Result<Vec<Step<'a>>, Exhausted> {
    match demand {
        Demand::Children | Demand::Vulnerable | Demand::PublicBuilding | Demand::WaterJets => {
            Ok(Vec::new())
        }
        Demand::Finish => match wanted {
            Wanted::All => each(offers, other_finishes(offers, without)),
            Wanted::Cheapest => cheapest_finish(offers, without),
        },
        Demand::Plan => first(offers, best_place(offers, without)),
        Demand::Zone => first(offers, milder_zones(offers, without)),
        Demand::WallWidth => length(offers, without, &WALL_WIDTH),
        Demand::WallHeight => length(offers, without, &WALL_HEIGHT),
        Demand::ConnectionDistance => length(offers, without, &CONNECTION_DISTANCE),
        Demand::Output => less_heat(offers, without),
        Demand::Budget => {
            let Some(offer) = offers.cheapest(without)? else { return Ok(Vec::new()) };
            let to = offers.query().list.currency.format(offer.gross);
            let mut demands = without.clone();
            demands.preferences.budget = Some(offer.gross);
            Ok(vec![Step { to: Some(to), measure: None, demands, offer }])
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
            steps.push(Step { to, measure: None, demands, offer });
        }
    }
    Ok(steps)
}

/// The finish of the best bill in any: none comes in the one that is wished for, or the wish would do no harm.
fn cheapest_finish<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let bodies = offers.query().catalogue.edition().bodies();
    let wished = offers.demands().preferences.finish.as_deref();
    let Some(offer) = offers.cheapest(without)? else { return Ok(Vec::new()) };
    let finish = bodies.get(offer.body.index).map(|body| &body.finish);
    let Some(finish) = finish.filter(|finish| wished != Some(finish)) else {
        return Ok(Vec::new());
    };
    let mut demands = without.clone();
    demands.preferences.finish = Some(finish.clone());
    Ok(vec![Step { to: Some(finish.to_string()), measure: None, demands, offer }])
}

/// The first of the other values that helps.
fn first<'a>(offers: &mut Offers<'a>, others: Vec<Other<'a>>) -> Result<Vec<Step<'a>>, Exhausted> {
    for (to, demands) in others {
        if let Some(offer) = offers.cheapest(&demands)? {
            return Ok(vec![Step { to, measure: None, demands, offer }]);
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

//! The same ranking by going through everything: every pair, every pair of pairs, every triple.
//!
//! Slow and plain. It shares no table with the compiled search and is what that is compared with.

use crate::domain::catalogue::PriceList;
use crate::domain::compatibility::Catalogue;
use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;

use super::allowance::Allowance;
use super::completion::Completion;
use super::completion::complete;
use super::controls::Remembered;
use super::demands::Demands;
use super::demands::OPTIONS_MAX;
use super::pairs::pairs;
use super::query::Query;
use super::query::is_over_budget;
use super::ranked::Choice;
use super::ranked::ChosenRail;
use super::several::GAP_MM;

/// What [`super::rank`] answers, found without a snapshot. For catalogues of some tens of parts.
pub fn enumerate(
    catalogue: &Catalogue,
    list: &PriceList,
    demands: &Demands<'_>,
    rails_max: usize,
) -> Vec<Choice> {
    let mut free = demands.clone();
    free.required = None;
    let allowance = Allowance::nodes(usize::MAX);
    let query = Query { catalogue, list, demands: &free, compiled: None, allowance: &allowance };
    let mut remembered = Remembered::default();
    let all = pairs(&query);
    let rails: Vec<Completion> =
        all.iter().filter_map(|pair| complete(&query, pair, &mut remembered)).collect();
    let mut found = Vec::new();
    extend(&Going { query, demands, rails: &rails, rails_max }, &mut Vec::new(), 0, &mut found);
    found.sort_by_cached_key(|choice| {
        (choice.net, choice.rails.len(), choice.delivered, choice.rails.clone())
    });
    found.truncate(demands.options_max.clamp(1, OPTIONS_MAX));
    found
}

struct Going<'a> {
    query: Query<'a>,
    demands: &'a Demands<'a>,
    rails: &'a [Completion],
    rails_max: usize,
}

fn extend<'a>(
    going: &Going<'a>,
    chosen: &mut Vec<&'a Completion>,
    from: usize,
    found: &mut Vec<Choice>,
) {
    for (place, rail) in going.rails.iter().enumerate().skip(from) {
        chosen.push(rail);
        found.extend(choice(going, chosen));
        if chosen.len() < going.rails_max {
            extend(going, chosen, place, found);
        }
        chosen.pop();
    }
}

fn choice(going: &Going<'_>, chosen: &[&Completion]) -> Option<Choice> {
    let bodies = going.query.catalogue.edition().bodies();
    let bodies: Vec<_> =
        chosen.iter().filter_map(|rail| bodies.get(rail.pair.body.index)).collect();
    let gaps = i32::try_from(chosen.len()).ok()?.checked_sub(1)?.checked_mul(GAP_MM)?;
    let width = bodies.iter().fold(gaps, |sum, body| sum.saturating_add(body.size.width.value()));
    let wall = going.demands.surroundings.place.wall_width;
    let delivered = chosen.iter().map(|rail| rail.pair.delivered.value()).sum();
    let net = chosen.iter().try_fold(Minor::ZERO, |sum, rail| sum.plus(rail.net)).ok()?;
    let is_one_finish = bodies.windows(2).all(|two| match two {
        [left, right] => left.finish == right.finish,
        _ => true,
    });
    let is_valid = is_one_finish
        && wall.is_none_or(|wall| Millimetres::new(width) <= wall)
        && going.demands.required.is_none_or(|required| required.value() <= delivered)
        && !is_over_budget(&going.query, net);
    let mut rails: Vec<ChosenRail> = chosen
        .iter()
        .map(|rail| ChosenRail { body: rail.pair.body, element: rail.pair.element, wall: None })
        .collect();
    rails.sort();
    is_valid.then_some(Choice { net, delivered: Deciwatts::new(delivered), rails })
}

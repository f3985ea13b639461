//! From choices to bills: every rail completed, in one way or, where any other part makes another option, in the best ways.
//!
//! Two bills of other rails compare as the cheapest bills of those rails do, unless one of them is a dearer variant. So
//! the best bills of any kind stand among the variants of the best choices of rails, and no search is repeated.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::PartRef;
use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;

use super::bill::Begun;
use super::bill::Bill;
use super::bill::bill;
use super::bill::energy;
use super::completion::Completion;
use super::completion::completions;
use super::controls::Remembered;
use super::demands::Demands;
use super::looked_up::look_up;
use super::pairs::pair_of;
use super::query::Query;
use super::query::is_over_budget;
use super::question::Question;
use super::ranked::Choice;
use super::ranked::ChosenRail;
use super::running::energy_tenths;
use super::shortlist::shortlist;
use super::sought::Order;
use super::sought::Variety;

/// How often one bill can be met while its rails are put together: in every order of three.
const ORDERS: usize = 6;

/// The bills of choices, best first, no more than are wanted.
pub(super) fn bills(query: &Query<'_>, choices: &[Choice], wanted: usize) -> Vec<Bill> {
    let spots = query.demands.spots();
    let each = match query.demands.sought.variety {
        Variety::Rails => 1,
        Variety::Any => wanted,
    };
    let queries: Vec<Query<'_>> = spots.iter().map(|demands| Query { demands, ..*query }).collect();
    let mut places: Vec<Spot<'_>> = queries.iter().map(|spot| Spot::new(spot, each)).collect();
    let mut known: BTreeMap<ChosenRail, Vec<Completed>> = BTreeMap::new();
    let mut drafts: Vec<Draft> = Vec::new();
    for rails in choices.iter().flat_map(|choice| hangings(query, &choice.rails)) {
        let ways: Vec<Vec<Completed>> = rails
            .iter()
            .map(|rail| {
                let ways = known.entry(*rail).or_insert_with(|| {
                    let place = places.get_mut(rail.wall.unwrap_or_default());
                    place.and_then(|place| place.variants(rail, each)).unwrap_or_default()
                });
                ways.clone()
            })
            .collect();
        let mut ways = joined(query, &ways, each);
        if each == 1 && 1 < ways.len() {
            // Rails that come in several ways: the best of those that the budget pays for.
            ways.retain(|draft| !is_over_budget(query, draft.net));
            ways.truncate(1);
        }
        drafts.extend(ways);
    }
    if 1 < each {
        drafts.retain(|draft| !is_over_budget(query, draft.net));
        drafts.sort_by_cached_key(Draft::rank);
    }
    let mut told = BTreeSet::new();
    drafts.retain(|draft| told.insert(draft.parts()));
    drafts.truncate(wanted);
    drafts.iter().filter_map(|draft| written(query, &spots, draft)).collect()
}

/// A rail with one way to complete it.
type Completed = (ChosenRail, Completion);

/// Parts of a rail, and the quantities of its accessories.
type Bought = (Vec<PartRef>, Vec<u32>);

/// The walls that the rails of a choice may hang on: as chosen, or, where any difference makes another option, all ways.
fn hangings(query: &Query<'_>, rails: &[ChosenRail]) -> Vec<Vec<ChosenRail>> {
    let walls = query.demands.sought.walls.len();
    if walls == 0 || query.demands.sought.variety == Variety::Rails {
        return vec![rails.to_vec()];
    }
    let mut begun: Vec<Vec<ChosenRail>> = vec![Vec::new()];
    for rail in rails {
        let grown = begun.iter().flat_map(|hung| {
            let free = (0..walls).filter(|wall| hung.iter().all(|one| one.wall != Some(*wall)));
            free.map(|wall| {
                let next = ChosenRail { wall: Some(wall), ..*rail };
                hung.iter().copied().chain([next]).collect()
            })
        });
        begun = grown.collect();
    }
    for hung in &mut begun {
        hung.sort_unstable();
    }
    begun.sort();
    begun.dedup();
    begun
}

/// A bill that is not written yet.
#[derive(Debug, Clone)]
struct Draft {
    cost: i64,
    net: Minor,
    delivered: Deciwatts,
    rails: Vec<Completed>,
}

/// What ranks a draft: cost, price, fewer rails, surplus, rails, then what completes them.
type Rank = (i64, Minor, usize, Deciwatts, Vec<ChosenRail>, Vec<Added>);

/// How many controls a rail has, and its parts.
type Added = (usize, Vec<PartRef>);

impl Draft {
    fn rank(&self) -> Rank {
        let rails = self.rails.iter().map(|(rail, _)| *rail).collect();
        let added = self.rails.iter().map(|(_, done)| (done.controls.controls.len(), done.parts()));
        (self.cost, self.net, self.rails.len(), self.delivered, rails, added.collect())
    }

    /// Its parts with their quantities, rails in no order: the same rails on other walls are the same bill.
    fn parts(&self) -> Vec<Bought> {
        let bought = self.rails.iter().map(|(_, done)| {
            let quantities = done.accessories.iter().map(|chosen| chosen.quantity);
            (done.parts(), quantities.collect())
        });
        let mut parts: Vec<Bought> = bought.collect();
        parts.sort();
        parts
    }
}

/// A wall space, and how rails on it are completed.
struct Spot<'a> {
    query: &'a Query<'a>,
    /// The compiled catalogue, where it completes rails as they are wanted here.
    compiled: Option<Question<'a>>,
    remembered: Remembered,
}

impl<'a> Spot<'a> {
    fn new(query: &'a Query<'a>, wanted: usize) -> Self {
        let is_cheapest = wanted == 1 && query.demands.sought.order != Order::FewestParts;
        let index = query.served().filter(|_| is_cheapest);
        let compiled = index.and_then(|index| Question::new(query, (index, wanted)));
        Self { query, compiled, remembered: Remembered::default() }
    }

    /// The best completions of a rail here.
    fn variants(&mut self, rail: &ChosenRail, wanted: usize) -> Option<Vec<Completed>> {
        let pair = pair_of(self.query, [rail.body, rail.element])?;
        let found = match &self.compiled {
            Some(question) => look_up(question, &pair).into_iter().collect(),
            None => completions(self.query, &pair, &mut self.remembered, wanted),
        };
        Some(found.into_iter().map(|done| (*rail, done)).collect())
    }
}

/// Rails put together, each in one of its ways, the best of them.
fn joined(query: &Query<'_>, rails: &[Vec<Completed>], wanted: usize) -> Vec<Draft> {
    let none =
        Draft { cost: 0, net: Minor::ZERO, delivered: Deciwatts::default(), rails: Vec::new() };
    let mut begun = vec![none];
    for ways in rails {
        let grown =
            begun.iter().flat_map(|draft| ways.iter().filter_map(|way| draft.with(query, way)));
        begun = grown.collect();
        if 1 < begun.len() {
            begun.sort_by_cached_key(Draft::rank);
            shortlist(query, &mut begun, wanted.saturating_mul(ORDERS), |draft| draft.net);
        }
    }
    begun
}

impl Draft {
    fn with(&self, query: &Query<'_>, way: &Completed) -> Option<Self> {
        let (_, done) = way;
        let own = match query.demands.sought.order {
            Order::Price => 0,
            Order::LowestRunningCost => energy_tenths(query, &done.pair),
            Order::WarmestWithinBudget => done.pair.delivered.value().saturating_neg(),
            Order::FewestParts => done.pieces().into(),
        };
        let mut rails = self.rails.clone();
        rails.push(way.clone());
        let heat = self.delivered.value().saturating_add(done.pair.delivered.value());
        Some(Self {
            cost: self.cost.saturating_add(own),
            net: self.net.plus(done.net).ok()?,
            delivered: Deciwatts::new(heat),
            rails,
        })
    }
}

/// A draft as a bill. A total too large to be held was no price in the search either, so nothing is lost here.
fn written(query: &Query<'_>, spots: &[Demands<'_>], draft: &Draft) -> Option<Bill> {
    let begun = draft.rails.iter().map(|(rail, done)| {
        let spot = spots.get(rail.wall.unwrap_or_default())?;
        Some((spot, done, rail.wall))
    });
    let begun: Vec<Begun<'_>> = begun.collect::<Option<_>>()?;
    let bill = bill(query, &begun)?.ok()?;
    Some(Bill { energy_tenths_wh_day: energy(query, &begun), ..bill })
}

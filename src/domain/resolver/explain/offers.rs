//! The cheapest bill for other demands: what every explanation is proved by, and how often it may be asked for.

use std::collections::BTreeMap;

use crate::domain::catalogue::PartRef;
use crate::domain::conflict::Demand;
use crate::domain::money::Minor;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::finding::Met;
use crate::domain::resolver::finding::by_price_within;
use crate::domain::resolver::finding::gross;
use crate::domain::resolver::finding::met;
use crate::domain::resolver::finding::nearest;
use crate::domain::resolver::query::Query;
use crate::domain::resolver::reach::Goal;

/// The most searches that explain one request.
pub const EXPLANATION_SEARCHES_MAX: usize = 2_000;

/// The most pairs and combinations that one such search may look at.
pub const EXPLANATION_NODES_MAX: usize = 200_000;

/// The searches have run out, or one of them reached its limit: nothing more can be proved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Exhausted;

/// The cheapest bill for some demands, by the first of its rails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Offer {
    pub net: Minor,
    pub gross: Minor,
    pub body: PartRef,
    pub element: PartRef,
}

/// One way to change a demand, with the bill that proves it.
#[derive(Debug, Clone)]
pub(super) struct Step<'a> {
    /// The new value; nothing when the demand has to go.
    pub to: Option<String>,
    /// The new value of a demand that is measured.
    pub measure: Option<i64>,
    pub demands: Demands<'a>,
    pub offer: Offer,
}

impl Step<'_> {
    /// The part that decides about a demand.
    pub(super) const fn part(&self, demand: Demand) -> PartRef {
        match demand {
            Demand::ConnectionDistance | Demand::Zone | Demand::Regulation | Demand::WaterJets => {
                self.offer.element
            }
            Demand::Output
            | Demand::WallWidth
            | Demand::WallHeight
            | Demand::Walls
            | Demand::Rails
            | Demand::Plan
            | Demand::Side
            | Demand::Finish
            | Demand::WallControl
            | Demand::TimeControl
            | Demand::FlexCover
            | Demand::Budget
            | Demand::Accessory(_)
            | Demand::Children
            | Demand::Vulnerable
            | Demand::PublicBuilding => self.offer.body,
        }
    }
}

/// Asks for offers, a limited number of times.
#[derive(Debug)]
pub(super) struct Offers<'a> {
    query: Query<'a>,
    left: usize,
    reached: BTreeMap<Demand, Reached>,
}

/// A value of a demand that is known to help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Reached {
    pub value: i64,
    /// What a bill costs net at most that meets it.
    pub known: i64,
}

impl<'a> Offers<'a> {
    pub(super) const fn new(query: &Query<'a>) -> Self {
        Self { query: *query, left: EXPLANATION_SEARCHES_MAX, reached: BTreeMap::new() }
    }

    /// Notes the nearest value of a demand beside all others of the request: beside fewer of them it helps as well.
    pub(super) fn note(&mut self, demand: Demand, reached: Reached) {
        self.reached.insert(demand, reached);
    }

    /// A value of a demand that is known to help beside some of the others.
    pub(super) fn reached(&self, demand: Demand) -> Option<Reached> {
        self.reached.get(&demand).copied()
    }

    /// The impossible request.
    pub(super) const fn query(&self) -> &Query<'a> {
        &self.query
    }

    /// What it demands.
    pub(super) const fn demands(&self) -> &'a Demands<'a> {
        self.query.demands
    }

    /// Whether there is any bill for other demands, and what one comes to.
    pub(super) fn met(&mut self, demands: &Demands<'_>) -> Result<Met, Exhausted> {
        self.left = self.left.checked_sub(1).ok_or(Exhausted)?;
        met(&self.query, demands).map_err(|_cut| Exhausted)
    }

    /// What comes nearest to a goal beside other demands, the price of several rails left aside.
    pub(super) fn nearest(&mut self, demands: &Demands<'_>, goal: Goal) -> Result<Met, Exhausted> {
        self.left = self.left.checked_sub(1).ok_or(Exhausted)?;
        nearest(&self.query, demands, goal).map_err(|_cut| Exhausted)
    }

    /// The cheapest bill for other demands, if there is one.
    pub(super) fn cheapest(&mut self, demands: &Demands<'_>) -> Result<Option<Offer>, Exhausted> {
        self.cheapest_within(demands, i64::MAX)
    }

    /// [`Offers::cheapest`] among bills that cost net no more than this, which is sooner told when one is known.
    pub(super) fn cheapest_within(
        &mut self,
        demands: &Demands<'_>,
        known: i64,
    ) -> Result<Option<Offer>, Exhausted> {
        self.left = self.left.checked_sub(1).ok_or(Exhausted)?;
        let found = by_price_within(&self.query, demands, known);
        let Ok(choice) = found else { return Err(Exhausted) };
        // A total too large to be held is no offer.
        Ok(choice.and_then(|choice| {
            let rail = choice.rails.first()?;
            let gross = gross(&self.query, choice.net)?;
            Some(Offer { net: choice.net, gross, body: rail.body, element: rail.element })
        }))
    }
}

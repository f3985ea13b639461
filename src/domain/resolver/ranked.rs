//! The best choices of rails from a snapshot, and the bills they make.

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::compatibility::Catalogue;
use crate::domain::money::Minor;
use crate::domain::snapshot::Index;
use crate::domain::snapshot::Snapshot;
use crate::domain::units::Deciwatts;

use super::allowance::Allowance;
use super::allowance::Limit;
use super::allowance::Nodes;
use super::best::Best;
use super::best::Bundle;
use super::best::Rail;
use super::demands::Demands;
use super::demands::OPTIONS_MAX;
use super::measures::Measures;
use super::query::Query;
use super::question::Question;
use super::reach::Goal;
use super::reach::reach;
use super::scan::scan;
use super::several::floor;
use super::several::several;
use super::sought::RAILS_MAX;

/// How far a search goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scope {
    /// Rails that a bill may hold, 1 to 3; more counts as 3.
    pub rails_max: usize,
    /// Pairs and combinations that may be looked at.
    pub nodes_max: usize,
}

/// Body and element of one rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ChosenRail {
    /// The body.
    pub body: PartRef,
    /// The element.
    pub element: PartRef,
    /// Place of its wall space among those of the request; nothing on the wall that all rails share.
    pub wall: Option<usize>,
}

/// One choice, without its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Net price of the whole bill.
    pub net: Minor,
    /// What its rails deliver together.
    pub delivered: Deciwatts,
    /// One to three rails, in order of part numbers.
    pub rails: Vec<ChosenRail>,
}

/// The best choices, as far as the search went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ranked {
    /// Best first.
    pub choices: Vec<Choice>,
    /// Net price that no choice still unseen can undercut, when the search reached its limit.
    pub undecided_from: Option<Minor>,
}

/// The best choices from a snapshot that serves the demands: net price, fewer rails, smaller surplus, part numbers.
///
/// Each rail of a bill is a finished job: it has its own accessories and its own controls, because a connection unit
/// takes one flex and a fitter isolates each rail by itself; wishes hold for every rail. Rails of one bill share the
/// finish, stand side by side on the wall space 100 mm apart, and add up their heat.
pub fn rank(
    (snapshot, catalogue): (&Snapshot, &Catalogue),
    list: &PriceList,
    demands: &Demands<'_>,
    scope: Scope,
) -> Ranked {
    let allowance = Allowance::nodes(scope.nodes_max);
    let query = Query { catalogue, list, demands, compiled: Some(snapshot), allowance: &allowance };
    let wanted = demands.options_max.clamp(1, OPTIONS_MAX);
    let found = search(&query, snapshot.index(), [scope.rails_max, wanted]);
    Ranked { choices: found.choices, undecided_from: found.cut.map(|cut| cut.least) }
}

/// Where a search was cut short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cut {
    pub limit: Limit,
    /// The least net price of what was not seen.
    pub least: Minor,
}

/// The best choices, best first, and what cut the search short.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Found {
    pub choices: Vec<Choice>,
    pub cut: Option<Cut>,
}

/// The best choices of no more than so many rails, no more than are wanted.
pub(super) fn search(query: &Query<'_>, index: &Index, [rails_max, wanted]: [usize; 2]) -> Found {
    within(query, index, [rails_max, wanted], i64::MAX)
}

/// The cheapest choice of no more than so many rails among those that cost net no more than this.
pub(super) fn cheapest(
    query: &Query<'_>,
    index: &Index,
    (rails_max, net_max): (usize, i64),
) -> Found {
    within(query, index, [rails_max, 1], net_max)
}

/// [`search`] among choices that cost net no more than this.
fn within(
    query: &Query<'_>,
    index: &Index,
    [rails_max, wanted]: [usize; 2],
    net_max: i64,
) -> Found {
    let Some(question) = Question::new(query, (index, wanted)) else { return Found::default() };
    let mut best = Best::new(wanted, question.net_max.min(net_max));
    let cut = fill(query, (&question, rails_max), &mut best);
    let choices = best.into_kept().iter().map(|bundle| choice(index, bundle)).collect();
    Found { choices, cut }
}

/// What any bill of no more than so many rails comes to, the first that is found; nothing when there is none.
pub(super) fn any(
    query: &Query<'_>,
    index: &Index,
    rails_max: usize,
) -> Result<Option<Measures>, Cut> {
    let Some(question) = Question::new(query, (index, 1)) else { return Ok(None) };
    // What cannot be had at any price is told sooner without prices.
    let at_any_price = reached(query, (&question, rails_max), Goal::Any)?;
    if rails_max == 1 || question.net_max == i64::MAX || at_any_price.is_none() {
        return Ok(at_any_price);
    }
    let mut best = Best::any(question.net_max);
    let cut = fill(query, (&question, rails_max), &mut best);
    let found = best.into_kept();
    match (cut, found.first()) {
        (Some(cut), None) => Err(cut),
        (_, found) => Ok(found.map(|bundle| Measures::of(&question, bundle))),
    }
}

/// What the bill of no more than so many rails comes to that is nearest to a goal, be the price of several what it may.
pub(super) fn nearest(
    query: &Query<'_>,
    index: &Index,
    (rails_max, goal): (usize, Goal),
) -> Result<Option<Measures>, Cut> {
    let Some(question) = Question::new(query, (index, 1)) else { return Ok(None) };
    reached(query, (&question, rails_max), goal)
}

fn reached(
    query: &Query<'_>,
    (question, rails_max): (&Question<'_>, usize),
    goal: Goal,
) -> Result<Option<Measures>, Cut> {
    let mut nodes = Nodes::new(query.allowance);
    let found = reach(question, (rails_max.min(RAILS_MAX), goal), &mut nodes);
    match nodes.limit() {
        Some(limit) => Err(Cut { limit, least: Minor::ZERO }),
        None => Ok(found.map(|bundle| Measures::of(question, &bundle))),
    }
}

/// Looks for bills of one rail, then of more; says what cut the search short.
fn fill(
    query: &Query<'_>,
    (question, rails_max): (&Question<'_>, usize),
    best: &mut Best,
) -> Option<Cut> {
    let mut nodes = Nodes::new(query.allowance);
    scan(question, best, &mut nodes);
    for count in 2..=rails_max.min(RAILS_MAX) {
        if nodes.is_spent() {
            // What was not even begun bounds as well: two small rails may cost less than one large one.
            if let Some(least) = floor(question, count) {
                nodes.leave(least);
            }
        } else {
            several(question, count, best, &mut nodes);
        }
    }
    let least = Minor::new(nodes.lower_bound().unwrap_or_default());
    nodes.limit().map(|limit| Cut { limit, least })
}

fn choice(index: &Index, bundle: &Bundle) -> Choice {
    let rails = bundle.rails.iter().take(bundle.count);
    Choice {
        net: Minor::new(bundle.net),
        delivered: Deciwatts::new(bundle.delivered),
        rails: rails.filter_map(|rail| chosen(index, *rail)).collect(),
    }
}

fn chosen(index: &Index, rail: Rail) -> Option<ChosenRail> {
    let body = index.bodies.get(rail.body)?.index;
    Some(ChosenRail {
        body: PartRef { kind: PartKind::Body, index: body },
        element: PartRef { kind: PartKind::Element, index: rail.element },
        wall: None,
    })
}

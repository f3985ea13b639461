//! One pass over the pairs: how many make a bill and the least that one costs, by body, by element, by wish.

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::resolver::allowance::Nodes;
use crate::domain::resolver::query::Query;
use crate::domain::resolver::query::net_max;

use super::pricing::NOTHING;
use super::pricing::Pricing;
use super::pricing::WAYS;
use super::standing::Broken;
use super::standing::Standing;

/// How many bills, and the least net price of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tally {
    pub bills: usize,
    /// [`NOTHING`] while there is none.
    pub least: i64,
}

impl Tally {
    /// No bill.
    pub(super) const NONE: Self = Self { bills: 0, least: NOTHING };

    /// Counts another bill.
    pub(super) fn add(&mut self, net: i64) {
        self.join(Self { bills: 1, least: net });
    }

    /// Counts others with these.
    pub(super) fn join(&mut self, others: Self) {
        self.bills = self.bills.saturating_add(others.bills);
        self.least = self.least.min(others.least);
    }
}

/// What a pass counted.
#[derive(Debug, Clone)]
pub(super) struct Counted {
    /// With everything that is chosen; then with each wish otherwise.
    pub ways: [Tally; WAYS],
    /// By body: with elements that break nothing.
    pub bodies: Vec<Tally>,
    /// By element: in bodies that break nothing.
    pub elements: Vec<Tally>,
}

/// Goes through the pairs whose parts together break no more than one of the choices that sort them.
pub(super) fn count<P: Pricing>(
    query: &Query<'_>,
    standing: &Standing,
    pricing: &mut P,
    nodes: &mut Nodes<'_>,
) -> Counted {
    let mut counted = Counted {
        ways: [Tally::NONE; WAYS],
        bodies: vec![Tally::NONE; standing.bodies.len()],
        elements: vec![Tally::NONE; standing.elements.len()],
    };
    let most = net_max(query);
    for (body, broken) in standing.bodies.iter().enumerate() {
        if nodes.is_spent() {
            break;
        }
        let elements = match broken {
            Broken::Nothing => &standing.nearly,
            Broken::One(_) => &standing.sound,
            Broken::Several => continue,
        };
        let part = PartRef { kind: PartKind::Body, index: body };
        let mut fitting = query.catalogue.index().partners(part, PartKind::Element);
        fitting.intersect_with(elements);
        pricing.begin(body);
        for element in fitting.ones() {
            nodes.spend(1);
            nodes.watch(P::WORK);
            if nodes.is_spent() {
                break;
            }
            let other = standing.elements.get(element);
            let is_whole = *broken == Broken::Nothing && other == Some(&Broken::Nothing);
            if is_whole {
                counted.whole((body, element), most, pricing);
                continue;
            }
            let net = pricing.standing(element);
            if is_bill(net, most) {
                counted.part((body, element), *broken, net);
            }
        }
    }
    counted
}

impl Counted {
    /// Counts a pair that breaks nothing.
    fn whole<P: Pricing>(&mut self, (body, element): (usize, usize), most: i64, pricing: &mut P) {
        let nets = pricing.all(element);
        for (tally, net) in self.ways.iter_mut().zip(nets) {
            if is_bill(net, most) {
                tally.add(net);
            }
        }
        let [net, ..] = nets;
        if is_bill(net, most) {
            add(&mut self.bodies, body, net);
            add(&mut self.elements, element, net);
        }
    }

    /// Counts a pair of which one part breaks one choice: for that part alone.
    fn part(&mut self, (body, element): (usize, usize), broken: Broken, net: i64) {
        match broken {
            Broken::Nothing => add(&mut self.elements, element, net),
            Broken::One(_) | Broken::Several => add(&mut self.bodies, body, net),
        }
    }
}

const fn is_bill(net: i64, most: i64) -> bool {
    net < NOTHING && net <= most
}

fn add(tallies: &mut [Tally], place: usize, net: i64) {
    if let Some(tally) = tallies.get_mut(place) {
        tally.add(net);
    }
}

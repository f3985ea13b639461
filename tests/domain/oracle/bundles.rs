//! Bills of one to three rails by brute force: every rail on every wall, every two, every three, sorted at the end.
//!
//! Rails of one bill share the finish, hang side by side with 100 mm between two, or each on a wall of its own.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use rungwright::domain::catalogue::Sku;
use rungwright::domain::compatibility::Place;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Order;
use rungwright::domain::resolver::Variety;
use rungwright::domain::units::Deciwatts;

use super::Answer;
use super::Ask;
use super::PartKind;
use super::bills_of;
use super::parts_of;
use super::rounded;

/// Width between two rails.
const GAP_MM: i32 = 100;

/// A finished rail.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Rail {
    wall: usize,
    finish: Box<str>,
    width: i32,
    net: i64,
    delivered: i64,
    /// Part number and quantity, body and element first.
    parts: Vec<(String, u32)>,
    control_count: usize,
}

/// A bill by rank under the order asked for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Bundle {
    pub cost: i64,
    pub net: i64,
    pub count: usize,
    pub delivered: i64,
    /// Body and element of each rail, and its wall.
    pub pairs: Vec<(Vec<String>, usize)>,
    /// What completes each rail: how many controls, and all its parts.
    pub added: Vec<(usize, Vec<String>)>,
    /// Parts of each rail with their quantities, in no order.
    pub parts: Vec<Vec<(String, u32)>>,
}

/// Every valid bill that the demands allow, best first: one for any rails, or one for any parts.
pub(crate) fn bundles(ask: Ask<'_>) -> Vec<Bundle> {
    let rails = rails(ask);
    let mut all = Vec::new();
    let walls = &ask.demands.sought.walls;
    let most = ask.demands.sought.rails_max;
    let most = if walls.is_empty() { most } else { most.min(walls.len()) };
    extend(ask, (&rails, most), &mut Vec::new(), &mut all);
    all.sort();
    let mut seen: BTreeSet<Vec<Vec<(String, u32)>>> = BTreeSet::new();
    all.retain(|bundle: &Bundle| {
        seen.insert(match ask.demands.sought.variety {
            Variety::Rails => {
                let pair = |parts: &Vec<(String, u32)>| parts[..2].to_vec();
                bundle.parts.iter().map(pair).collect()
            }
            Variety::Any => bundle.parts.clone(),
        })
    });
    all
}

/// The bills that no other beats in price and heat, one for each price, cheapest first: net price and heat.
pub(crate) fn frontier(all: &[Bundle]) -> Vec<(i64, i64)> {
    let mut best: BTreeMap<i64, i64> = BTreeMap::new();
    for bundle in all {
        let is_beaten = all.iter().any(|other| {
            other.net <= bundle.net
                && bundle.delivered <= other.delivered
                && (other.net < bundle.net || bundle.delivered < other.delivered)
        });
        if !is_beaten {
            best.insert(bundle.net, bundle.delivered);
        }
    }
    best.into_iter().collect()
}

fn extend(
    ask: Ask<'_>,
    (rails, most): (&[Rail], usize),
    chosen: &mut Vec<usize>,
    all: &mut Vec<Bundle>,
) {
    let from = chosen.last().copied().unwrap_or(0);
    for place in from..rails.len() {
        let is_own = !ask.demands.sought.walls.is_empty();
        if is_own && chosen.iter().any(|other| rails[*other].wall == rails[place].wall) {
            continue;
        }
        chosen.push(place);
        all.extend(bundle(ask, chosen.iter().map(|one| &rails[*one]).collect()));
        if chosen.len() < most {
            extend(ask, (rails, most), chosen, all);
        }
        chosen.pop();
    }
}

fn bundle(ask: Ask<'_>, mut rails: Vec<&Rail>) -> Option<Bundle> {
    let wished = &ask.demands.preferences;
    let net: i64 = rails.iter().map(|rail| rail.net).sum();
    let delivered: i64 = rails.iter().map(|rail| rail.delivered).sum();
    let gaps = GAP_MM * i32::try_from(rails.len() - 1).unwrap();
    let width = rails.iter().map(|rail| rail.width).sum::<i32>() + gaps;
    let rate = i64::from(ask.demands.surroundings.market.tax_rate.basis_points());
    let gross = net + rounded(net * rate, 10_000);
    let wall = ask.demands.surroundings.place.wall_width;
    let is_valid = rails.iter().all(|rail| rail.finish == rails[0].finish)
        && (!ask.demands.sought.walls.is_empty() || wall.is_none_or(|wall| width <= wall.value()))
        && ask.demands.required.is_none_or(|required| required.value() <= delivered)
        && wished.budget.is_none_or(|budget| gross <= budget.value());
    let names = |rail: &Rail| rail.parts.iter().map(|(sku, _)| sku.clone()).collect::<Vec<_>>();
    let pair = |rail: &Rail| (names(rail)[..2].to_vec(), rail.wall);
    rails.sort_by_key(|rail| (pair(rail), rail.control_count, names(rail)));
    let mut parts: Vec<_> = rails.iter().map(|rail| rail.parts.clone()).collect();
    parts.sort();
    is_valid.then(|| Bundle {
        cost: cost(ask, &rails),
        net,
        count: rails.len(),
        delivered,
        pairs: rails.iter().map(|rail| pair(rail)).collect(),
        added: rails.iter().map(|rail| (rail.control_count, names(rail))).collect(),
        parts,
    })
}

/// What the order goes by before the price. Always on, what is used is what is delivered.
fn cost(ask: Ask<'_>, rails: &[&Rail]) -> i64 {
    let delivered: i64 = rails.iter().map(|rail| rail.delivered).sum();
    match ask.demands.sought.order {
        Order::Price => 0,
        Order::WarmestWithinBudget => -delivered,
        Order::LowestRunningCost => delivered,
        Order::FewestParts => {
            rails.iter().flat_map(|rail| &rail.parts).map(|(_, count)| i64::from(*count)).sum()
        }
    }
}

/// Every finished rail on every wall, with whatever completes it.
fn rails(ask: Ask<'_>) -> Vec<Rail> {
    let mut found = Vec::new();
    for (wall, demands) in spots(ask.demands).iter().enumerate() {
        let spot = Ask { demands, ..ask };
        for body in parts_of(ask.edition, PartKind::Body) {
            for element in parts_of(ask.edition, PartKind::Element) {
                let bills = bills_of(spot, body, element);
                let bills = without_needless_controls(ask, &bills);
                let rail = &ask.edition.bodies()[body.index];
                found.extend(bills.into_iter().map(|bill| Rail {
                    wall,
                    finish: rail.finish.clone(),
                    width: rail.size.width.value(),
                    net: net(ask, &bill),
                    delivered: bill.surplus,
                    parts: bill.parts,
                    control_count: bill.control_count,
                }));
            }
        }
    }
    let is_traded =
        ask.demands.sought.order == Order::FewestParts && ask.demands.preferences.budget.is_some();
    if is_traded {
        // More pieces that are cheaper may be what the budget pays for; three rails in every way are too many to go through.
        let all = found.clone();
        found.retain(|rail| {
            let is_same =
                |other: &&Rail| (&other.parts[..2], other.wall) == (&rail.parts[..2], rail.wall);
            ask.demands.sought.variety == Variety::Any
                || all.iter().filter(is_same).all(|other| {
                    let (other, own) = (rank(ask, other), rank(ask, rail));
                    own <= other || own.1 < other.1
                })
        });
    } else if ask.demands.sought.variety == Variety::Rails {
        // Of one pair on one wall only the best completion can stand in a bill.
        found.sort_by_key(|rail| (rail.parts[..2].to_vec(), rail.wall, rank(ask, rail)));
        found.dedup_by_key(|rail| (rail.parts[..2].to_vec(), rail.wall));
    }
    found
}

/// What ranks a completion among those of its pair.
fn rank(ask: Ask<'_>, rail: &Rail) -> (i64, i64, usize, Vec<(String, u32)>) {
    (cost(ask, &[rail]), rail.net, rail.control_count, rail.parts.clone())
}

fn net(ask: Ask<'_>, bill: &Answer) -> i64 {
    let price = |(sku, count): &(String, u32)| {
        ask.list.prices[&Sku::parse(sku).unwrap()].value() * i64::from(*count)
    };
    bill.parts.iter().map(|part| rounded(price(part), 100)).sum()
}

/// Takes out bills with a control that another bill of the same pair goes without.
fn without_needless_controls(ask: Ask<'_>, bills: &[Answer]) -> Vec<Answer> {
    let controls = |bill: &Answer| -> Vec<String> {
        let skus = bill.parts.iter().map(|(sku, _)| sku);
        let is_control = |sku: &&String| {
            ask.edition.find(&Sku::parse(sku).unwrap()).unwrap().kind == PartKind::Control
        };
        skus.filter(is_control).cloned().collect()
    };
    let sets: Vec<Vec<String>> = bills.iter().map(controls).collect();
    let is_needless = |set: &Vec<String>| {
        sets.iter()
            .any(|other| other.len() < set.len() && other.iter().all(|one| set.contains(one)))
    };
    let kept = bills.iter().zip(&sets).filter(|(_, set)| !is_needless(set));
    kept.map(|(bill, _)| bill.clone()).collect()
}

/// What is asked of one rail on each wall: no heat, which they bear together, and no budget, which they share.
fn spots<'a>(demands: &Demands<'a>) -> Vec<Demands<'a>> {
    let place = demands.surroundings.place.clone();
    let mut places = vec![place.clone()];
    if !demands.sought.walls.is_empty() {
        let own = demands.sought.walls.iter().map(|wall| Place {
            wall_width: wall.width.or(place.wall_width),
            wall_bottom: wall.bottom.or(place.wall_bottom),
            wall_height: wall.height.or(place.wall_height),
            zone: wall.zone.or(place.zone),
            connection_distance: wall.connection_distance.or(place.connection_distance),
            side: wall.side.unwrap_or(place.side),
            ..place.clone()
        });
        places = own.collect();
    }
    let spots = places.into_iter().map(|own| {
        let mut spot = demands.clone();
        spot.surroundings.place = own;
        spot.required = Some(Deciwatts::new(0));
        spot.preferences.budget = None;
        spot
    });
    spots.collect()
}

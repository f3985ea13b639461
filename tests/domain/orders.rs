//! Every order, every variety, walls of the rails' own, and price against heat, each held to brute force.
#![expect(clippy::indexing_slicing, reason = "kinds that were just counted")]

use std::iter;

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::money::Minor;
use rungwright::domain::pricing::Total;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::BillRail;
use rungwright::domain::resolver::Cheapest;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Limit;
use rungwright::domain::resolver::Order;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Sought;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::Variety;
use rungwright::domain::resolver::WallSpace;
use rungwright::domain::resolver::cheapest;
use rungwright::domain::resolver::frontier_from;
use rungwright::domain::resolver::resolve_at_once;
use rungwright::domain::resolver::resolve_from;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;

use crate::oracle::Ask;
use crate::oracle::bundles::Bundle;
use crate::oracle::bundles::bundles;
use crate::oracle::bundles::frontier;
use crate::random_catalogue::Case;
use crate::random_catalogue::Dice;
use crate::serving::heated;

const PLENTY: usize = 50_000_000;

const ORDERS: [Order; 4] =
    [Order::Price, Order::WarmestWithinBudget, Order::FewestParts, Order::LowestRunningCost];

/// A wall with a few things of its own.
fn wall(dice: &mut Dice) -> WallSpace {
    WallSpace {
        width: length(dice, 60, &[400, 500, 600, 700]),
        bottom: length(dice, 20, &[100, 600]),
        height: length(dice, 30, &[900, 1_100, 1_300]),
        zone: dice.maybe(20, &[Zone::Two, Zone::Outside]),
        connection_distance: length(dice, 40, &[300, 600, 900]),
        side: None,
    }
}

fn length(dice: &mut Dice, percent: usize, from: &[i32]) -> Option<Millimetres> {
    dice.maybe(percent, from).map(Millimetres::new)
}

/// How bills are looked for in the case of a seed.
fn sought(seed: u64, rails_max: usize) -> Sought {
    let mut dice = Dice::new(seed ^ 0x0A11);
    let order = dice.pick(&ORDERS);
    let walls = if dice.happens(50) { dice.pick(&[1, 2, 3]) } else { 0 };
    // Every way to complete three rails is more than brute force goes through.
    let variety = dice.happens(40) && rails_max < 3;
    Sought {
        rails_max,
        walls: (0..walls).map(|_| wall(&mut dice)).collect(),
        order,
        variety: if variety { Variety::Any } else { Variety::Rails },
        ..Sought::default()
    }
}

/// Both ways to search for the case.
fn both<'a>(case: &'a Case, compiled: Option<&'a Snapshot>) -> Vec<Source<'a>> {
    let plain = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
    let quick = compiled.map(|_| Source { compiled, ..plain });
    iter::once(plain).chain(quick).collect()
}

/// Net price, heat, rails with their walls, and the parts of each rail in no order.
type Told = (i64, i64, Vec<(Vec<String>, usize)>, Vec<Vec<(String, u32)>>);

fn told(bill: &Bill) -> Told {
    let pair = |rail: &BillRail| {
        let pair = [&rail.body, &rail.element].map(ToString::to_string).to_vec();
        (pair, rail.wall.unwrap_or(0))
    };
    let own = |rail: &BillRail| {
        let lines = bill.lines[rail.lines.clone()].iter();
        let bought = lines.filter(|line| line.included_with.is_none());
        bought.map(|line| (line.sku.to_string(), line.quantity)).collect::<Vec<_>>()
    };
    let mut parts: Vec<_> = bill.rails.iter().map(own).collect();
    parts.sort();
    let pairs = bill.rails.iter().map(pair).collect();
    (bill.total.net.value(), bill.delivered.value(), pairs, parts)
}

fn expected(all: &[Bundle], wanted: usize) -> Vec<Told> {
    let told = |bundle: &Bundle| {
        (bundle.net, bundle.delivered, bundle.pairs.clone(), bundle.parts.clone())
    };
    all.iter().take(wanted).map(told).collect()
}

/// The bills of an answer; none for a refusal.
fn bills(resolution: &Resolution) -> Vec<Told> {
    match resolution {
        Resolution::Resolved(bills) => bills.iter().map(told).collect(),
        Resolution::Impossible(_) | Resolution::Unexplained => Vec::new(),
        Resolution::Undecided { limit, .. } => panic!("{limit:?}"),
    }
}

/// What brute force says and both searches must say as well; how many rails the best bill has.
fn check(seed: u64, sought: &Sought, times: i64) -> usize {
    let case = Case::of(seed);
    let mut demands = Demands { options_max: 5, ..heated(&case, sought, times) };
    if sought.order == Order::FewestParts {
        demands.preferences.budget = tight_budget(&case, &demands, seed);
    }
    let all = bundles(Ask { edition: case.edition(), list: case.list(), demands: &demands });
    let rules = demands.surroundings.rules;
    let compiled = Snapshot::compile(&case.catalogue, case.list(), rules);
    for source in both(&case, compiled.as_ref()) {
        let allowance = Allowance::nodes(PLENTY);
        let answer = resolve_from(&source, &demands, &allowance);
        assert_eq!(bills(&answer), expected(&all, 5), "seed {seed} {sought:?}");
        check_cheapest(&source, &demands, &all);
        check_frontier(&source, &demands, &all);
        check_short(&source, &demands, &answer);
        check_brief(&source, &demands, answer);
    }
    all.first().map_or(0, |bundle| bundle.pairs.len())
}

/// What a bill of one rail costs, or two or three such: if there is one, a bill that other ways to complete the same rail
/// outdo in pieces and not in price.
fn tight_budget(case: &Case, demands: &Demands<'_>, seed: u64) -> Option<Minor> {
    let mut dice = Dice::new(seed ^ 0x0B06);
    let one = Sought { rails_max: 1, variety: Variety::Any, ..demands.sought.clone() };
    let mut free = Demands { sought: one, ..demands.clone() };
    free.preferences.budget = None;
    let all = bundles(Ask { edition: case.edition(), list: case.list(), demands: &free });
    let is_traded = |bundle: &&Bundle| {
        let same = all.iter().filter(|other| other.pairs == bundle.pairs);
        let mut fewer = same.filter(|other| other.cost < bundle.cost);
        fewer.any(|other| bundle.net < other.net)
    };
    let mut nets: Vec<i64> = all.iter().filter(is_traded).map(|bundle| bundle.net).collect();
    if nets.is_empty() || dice.happens(20) {
        nets = all.iter().map(|bundle| bundle.net).collect();
    }
    if nets.is_empty() || dice.happens(20) {
        return None;
    }
    let one_rail = demands.sought.rails_max == 1;
    let net = dice.pick(&nets).saturating_mul(if one_rail { 1 } else { dice.pick(&[1, 2, 3]) });
    let rate = demands.surroundings.market.tax_rate;
    Some(Total::of(Minor::new(net), rate, case.list().currency).unwrap().gross)
}

/// The least price of any bill, whatever the order.
fn check_cheapest(source: &Source<'_>, demands: &Demands<'_>, all: &[Bundle]) {
    let found = cheapest(source, demands, &Allowance::nodes(PLENTY));
    let rate = demands.surroundings.market.tax_rate;
    let net = all.iter().map(|bundle| bundle.net).min();
    let gross =
        net.map(|net| Total::of(Minor::new(net), rate, source.list.currency).unwrap().gross);
    // Fewer pieces may cost more: then the cheapest bill is not among those that brute force kept.
    if demands.sought.order != Order::FewestParts {
        assert_eq!(found, gross.map_or(Cheapest::Nothing, Cheapest::At));
    }
}

fn check_frontier(source: &Source<'_>, demands: &Demands<'_>, all: &[Bundle]) {
    let found = frontier_from(source, demands, &Allowance::nodes(PLENTY));
    assert!(!found.has_more && found.limit.is_none());
    let points = found.choices.iter();
    let points: Vec<_> =
        points.map(|choice| (choice.net.value(), choice.delivered.value())).collect();
    if demands.sought.order != Order::FewestParts {
        assert_eq!(points, frontier(all), "{demands:?}");
    }
}

/// Without reasons a refusal is a bare one, and every other answer is the same.
fn check_brief(source: &Source<'_>, demands: &Demands<'_>, explained: Resolution) {
    let sought = Sought { is_explained: false, ..demands.sought.clone() };
    let brief = Demands { sought, ..demands.clone() };
    let expected = match explained {
        Resolution::Impossible(_) => Resolution::Unexplained,
        other @ (Resolution::Resolved(_)
        | Resolution::Unexplained
        | Resolution::Undecided { .. }) => other,
    };
    assert_eq!(resolve_from(source, &brief, &Allowance::nodes(PLENTY)), expected);
    let at_once = resolve_at_once(source, &brief, &|| false);
    assert!(at_once.is_none_or(|answer| answer == expected), "{brief:?}");
}

/// A search that may look at little gives the whole answer, or says so and claims no more than is true.
fn check_short(source: &Source<'_>, demands: &Demands<'_>, whole: &Resolution) {
    for nodes_max in [0, 1, 3, 10, 40] {
        match resolve_from(source, demands, &Allowance::nodes(nodes_max)) {
            Resolution::Undecided { limit, lower_bound, .. } => {
                assert_eq!(limit, Limit::Nodes);
                if let Resolution::Resolved(bills) = whole {
                    let least = bills.iter().map(|bill| bill.total.gross).min();
                    assert!(lower_bound.is_none_or(|bound| Some(bound) <= least), "{nodes_max}");
                }
            }
            answer @ (Resolution::Resolved(_)
            | Resolution::Impossible(_)
            | Resolution::Unexplained) => {
                assert_eq!(answer, *whole, "{nodes_max} nodes");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn every_order_variety_and_wall_is_answered_as_by_brute_force(seed in any::<u64>(), rails_max in 1_usize..=3, times in 1_i64..=3) {
        check(seed, &sought(seed, rails_max), times);
    }
}

#[test]
fn the_cases_have_several_rails_on_walls_of_their_own_in_every_order() {
    let mut counts = [[0_u32; 2]; 4];
    for seed in 0..240 {
        let sought = sought(seed, 3);
        let rails = check(seed, &sought, 1 + i64::try_from(seed.rem_euclid(3)).unwrap());
        let order = ORDERS.iter().position(|order| *order == sought.order).unwrap();
        let is_own = usize::from(!sought.walls.is_empty());
        counts[order][is_own] = counts[order][is_own].saturating_add(u32::from(1 < rails));
    }
    assert!(counts.iter().flatten().all(|count| 0 < *count), "too few of a kind: {counts:?}");
}

/// Bills with the fewest pieces, without a budget and with a tight one.
fn fewest(seed: u64, rails_max: usize) -> [Vec<Told>; 2] {
    let case = Case::of(seed);
    let sought = Sought { rails_max, order: Order::FewestParts, ..Sought::default() };
    let mut demands = Demands { options_max: 20, ..heated(&case, &sought, 1) };
    let budget = tight_budget(&case, &demands, seed);
    let source = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
    [None, budget].map(|budget| {
        demands.preferences.budget = budget;
        bills(&resolve_from(&source, &demands, &Allowance::nodes(PLENTY)))
    })
}

#[test]
fn a_tight_budget_takes_more_pieces_of_the_same_rails_in_some_cases() {
    let pieces = |(_, _, _, parts): &Told| parts.iter().flatten().map(|(_, count)| *count).sum();
    let mut traded = [0_u32; 2];
    for seed in 0..300 {
        let [free, tight] = fewest(seed, 1 + usize::from(seed.rem_euclid(2) == 1));
        for bill in &tight {
            let same = free.iter().find(|other| other.2 == bill.2);
            let fewer: Option<u32> = same.map(pieces);
            if fewer.is_some_and(|fewer| fewer < pieces(bill)) {
                let place = usize::from(1 < bill.2.len());
                traded[place] = traded[place].saturating_add(1);
            }
        }
    }
    assert!(traded.iter().all(|count| 10 <= *count), "one rail, several: {traded:?}");
}

#[test]
fn time_that_is_up_gives_no_answer_and_a_true_lower_bound() {
    let case = Case::of(3);
    let demands = case.demands();
    let source = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
    let answer = resolve_from(&source, &demands, &Allowance::until(&|| true));
    let Resolution::Undecided { limit, lower_bound, .. } = answer else { panic!("{answer:?}") };
    assert_eq!(limit, Limit::Time);
    let whole = cheapest(&source, &demands, &Allowance::nodes(PLENTY));
    if let Cheapest::At(gross) = whole {
        assert!(lower_bound.is_some_and(|bound| bound <= gross), "{lower_bound:?} {gross:?}");
    }
    let unsure = cheapest(&source, &demands, &Allowance::until(&|| true));
    assert_eq!(unsure, Cheapest::Undecided(Limit::Time));
}

#[test]
fn a_rail_more_or_a_wall_more_never_raises_the_price() {
    for seed in 0..60 {
        let case = Case::of(seed);
        let price = |sought: &Sought| {
            let mut demands = heated(&case, sought, 2);
            demands.preferences.budget = None;
            let source = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
            match cheapest(&source, &demands, &Allowance::nodes(PLENTY)) {
                Cheapest::At(gross) => gross,
                Cheapest::Nothing => Minor::new(i64::MAX),
                Cheapest::Undecided(limit) => panic!("{limit:?}"),
            }
        };
        let wide = WallSpace { width: Some(Millimetres::new(700)), ..WallSpace::default() };
        let with = |rails_max, walls| {
            let walls = vec![wide.clone(); walls];
            price(&Sought { rails_max, walls, ..Sought::default() })
        };
        assert!(with(2, 0) <= with(1, 0) && with(3, 0) <= with(2, 0), "seed {seed}");
        assert!(with(2, 2) <= with(2, 1) && with(3, 3) <= with(3, 2), "seed {seed}");
        assert_eq!(with(3, 1), with(1, 1), "one wall takes one rail: seed {seed}");
    }
}

#[test]
fn a_requirement_of_nothing_is_no_requirement() {
    let case = Case::of(1);
    let mut demands = case.demands();
    demands.required = Some(Deciwatts::new(0));
    let source = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
    let zero = cheapest(&source, &demands, &Allowance::nodes(PLENTY));
    demands.required = None;
    assert_eq!(zero, cheapest(&source, &demands, &Allowance::nodes(PLENTY)));
}

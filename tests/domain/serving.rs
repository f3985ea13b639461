//! Whole answers, bills and refusals alike: from the compiled catalogue, from the pairs one by one, and by brute force.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "counts and short lists"
)]

use std::sync::OnceLock;

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::Tier;
use rungwright::domain::money::Minor;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::BillRail;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Limit;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Sought;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::enumerate;
use rungwright::domain::resolver::resolve_from;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;
use rungwright::operations::Held;
use rungwright::operations::compiled_lists::CompiledLists;
use rungwright::operations::resolve_room::HeatQuestion;
use rungwright::operations::resolve_room::Purpose;
use rungwright::operations::resolve_room::Question;
use rungwright::operations::resolve_room::resolve_room;
use rungwright::store::rule_packs::load_all;

use crate::demo_questions::Dice;
use crate::demo_questions::demo;
use crate::demo_questions::question;
use crate::demo_questions::rules_of;
use crate::random_catalogue::Case;

/// Combinations for searches that are to be whole.
const PLENTY: usize = 50_000_000;

/// A bill as brute force tells it: net price, heat, rails.
fn told(bill: &Bill) -> (i64, i64, Vec<[String; 2]>) {
    let pair = |rail: &BillRail| [&rail.body, &rail.element].map(ToString::to_string);
    let rails = bill.rails.iter().map(pair).collect();
    (bill.total.net.value(), bill.delivered.value(), rails)
}

fn bills(resolution: Resolution) -> Vec<Bill> {
    match resolution {
        Resolution::Resolved(bills) => bills,
        Resolution::Impossible(_) | Resolution::Unexplained => Vec::new(),
        Resolution::Undecided { limit, .. } => panic!("{limit:?}"),
    }
}

/// What must be true of any bill, whatever its price.
fn check_bill(bill: &Bill) {
    let net: i64 = bill.lines.iter().map(|line| line.net.value()).sum();
    assert_eq!(net, bill.total.net.value());
    let heat: i64 = bill.rails.iter().map(|rail| rail.delivered.value()).sum();
    assert_eq!(heat, bill.delivered.value());
    let mut place = 0;
    for rail in &bill.rails {
        assert_eq!(rail.lines.start, place, "lines without a rail");
        place = rail.lines.end;
        assert_eq!(bill.lines[rail.lines.start].sku, rail.body);
    }
    assert_eq!(place, bill.lines.len());
    assert!(bill.checks.iter().all(|check| !check.refuses()), "{:?}", bill.checks);
}

/// The demands of a case with several times the heat, the money and the wall, so that several rails are called for.
pub(crate) fn heated<'a>(case: &'a Case, sought: &Sought, times: i64) -> Demands<'a> {
    let mut demands = Demands { sought: sought.clone(), ..case.demands() };
    if 1 < times {
        let more = |tenths: Deciwatts| Deciwatts::new(tenths.value() * times - 300);
        demands.required = demands.required.map(more);
        let place = &mut demands.surroundings.place;
        place.wall_width = place.wall_width.map(|width| Millimetres::new(width.value() + 1_300));
        let budget = &mut demands.preferences.budget;
        *budget = budget.map(|most| Minor::new(most.value() * times));
    }
    demands
}

/// The hard little catalogue of a seed: both ways and brute force name the same bills, or all none.
fn check_case(seed: u64, sought: &Sought, times: i64) -> usize {
    let case = Case::of(seed);
    let demands = heated(&case, sought, times);
    let rules = demands.surroundings.rules;
    let snapshot = Snapshot::compile(&case.catalogue, case.list(), rules);
    let answer = |compiled| {
        let source = Source { catalogue: &case.catalogue, list: case.list(), compiled };
        resolve_from(&source, &demands, &Allowance::nodes(PLENTY))
    };
    let plain = answer(None);
    if let Some(snapshot) = &snapshot {
        assert!(snapshot.serves(case.list(), &demands.surroundings));
        assert_eq!(answer(Some(snapshot)), plain, "seed {seed}");
    }
    let found = bills(plain);
    found.iter().for_each(check_bill);
    let sku = |part| case.edition().card(part).unwrap().sku.to_string();
    let expected = enumerate(&case.catalogue, case.list(), &demands, sought.rails_max);
    let expected: Vec<_> = expected
        .iter()
        .map(|choice| {
            let rails = choice.rails.iter();
            let rails = rails.map(|rail| [sku(rail.body), sku(rail.element)]).collect();
            (choice.net.value(), choice.delivered.value(), rails)
        })
        .collect();
    let found: Vec<_> = found.iter().map(told).collect();
    assert_eq!(found, expected, "seed {seed}");
    found.first().map_or(0, |(_, _, rails)| rails.len())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn on_hard_little_catalogues_whole_answers_are_those_of_brute_force(seed in any::<u64>(), rails_max in 1_usize..=3, times in 1_i64..=3) {
        check_case(seed, &Sought { rails_max, ..Sought::default() }, times);
    }
}

#[test]
fn the_hard_little_catalogues_have_best_bills_of_one_two_and_three_rails() {
    let mut counts = [0; 4];
    let sought = Sought { rails_max: 3, ..Sought::default() };
    for (seed, times) in (0..150).zip([1, 2, 3].into_iter().cycle()) {
        counts[check_case(seed, &sought, times)] += 1;
    }
    assert!(counts.iter().all(|count| 2 < *count), "too few of a kind: {counts:?}");
}

/// The demonstration with its compiled lists, and without.
fn both_held() -> [Held; 2] {
    let compiled = Held::compile(demo(), load_all().unwrap());
    let bare = Held {
        catalogue: demo(),
        wiring_rules: load_all().unwrap(),
        compiled_lists: OnceLock::from(CompiledLists::default()),
    };
    [compiled, bare]
}

fn asked(demands: Demands<'_>) -> Question<'_> {
    let watts = demands.required.map(|required| Watts::new(required.watts()));
    let heat = watts.map_or(HeatQuestion::Nothing, HeatQuestion::Given);
    Question {
        heat,
        purpose: Purpose::SoleHeating,
        share_percent: None,
        tier: Tier::Retail,
        price_per_kwh: None,
        is_frontier_wanted: false,
        demands,
    }
}

const fn is_out_of_time(resolution: &Resolution) -> bool {
    matches!(resolution, Resolution::Undecided { limit: Limit::Time, .. })
}

#[test]
fn on_the_demonstration_the_whole_operation_answers_alike_compiled_and_not() {
    let [compiled, bare] = both_held();
    assert!(0 < compiled.lists().count());
    let today = jiff::civil::date(2026, 6, 1);
    let [compiled, bare] =
        [compiled, bare].map(|held| rungwright::operations::Snapshot::of(held, today));
    let mut counts = [0; 4];
    for market in ["gb", "ie", "de"] {
        let catalogue = compiled.catalogue();
        let rules = rules_of(catalogue, market);
        let mut dice = Dice::new(31);
        for number in 0..20 {
            let mut demands = question(&mut dice, catalogue, market, &rules);
            demands.options_max = [1, 3, 20][number % 3];
            demands.sought.rails_max = 1 + number % 3;
            let [one, other] = [&compiled, &bare]
                .map(|snapshot| resolve_room(snapshot, asked(demands.clone())).unwrap());
            // On a slow machine the time may run out on the longer way, and is then said to have.
            if [&one, &other].iter().any(|answer| is_out_of_time(&answer.resolution)) {
                continue;
            }
            assert_eq!(one, other, "{market} {number}");
            let found = bills(one.resolution);
            found.iter().for_each(check_bill);
            counts[found.first().map_or(0, |bill| bill.rails.len())] += 1;
        }
    }
    assert!(counts[1..3].iter().all(|count| 2 < *count), "too few of a kind: {counts:?}");
}

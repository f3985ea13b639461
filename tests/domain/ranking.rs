//! The compiled search against the one that enumerates, answer for answer.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::shadow_unrelated,
    reason = "counts and short lists"
)]

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Users;
use rungwright::domain::resolver::Choice;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::enumerate;
use rungwright::domain::resolver::rank;
use rungwright::domain::resolver::resolve;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Millimetres;

use crate::demo_questions::Dice;
use crate::demo_questions::demo;
use crate::demo_questions::question;
use crate::demo_questions::rules_of;
use crate::generator;
use crate::random_catalogue::Case;

/// What two answers must agree on: net, delivered, body and element of each option.
type Told = Vec<(i64, i64, Vec<Sku>)>;

fn enumerated(catalogue: &Catalogue, demands: &Demands<'_>) -> Told {
    let market = &demands.surroundings.market.code;
    let list = catalogue.edition().price_list(market, demands.day).unwrap();
    let bills = match resolve(catalogue, list, demands) {
        Resolution::Resolved(bills) => bills,
        Resolution::Impossible(_) | Resolution::Unexplained => Vec::new(),
        Resolution::Undecided { .. } => panic!("a demonstration that cannot be decided"),
    };
    let heart = |kind| kind == PartKind::Body || kind == PartKind::Element;
    bills
        .into_iter()
        .map(|bill| {
            let parts = bill.lines.into_iter().filter(|line| heart(line.kind));
            let parts = parts.map(|line| line.sku).collect();
            (bill.total.net.value(), bill.delivered.value(), parts)
        })
        .collect()
}

fn told(catalogue: &Catalogue, choices: &[Choice]) -> Told {
    let sku = |part| catalogue.edition().card(part).unwrap().sku.clone();
    let parts = |choice: &Choice| {
        choice.rails.iter().flat_map(|rail| [sku(rail.body), sku(rail.element)]).collect()
    };
    choices
        .iter()
        .map(|choice| (choice.net.value(), choice.delivered.value(), parts(choice)))
        .collect()
}

#[test]
fn on_the_demonstration_both_searches_name_the_same_bills() {
    let catalogue = demo();
    let mut answered = 0;
    for market in ["gb", "ie", "de"] {
        let rules = rules_of(&catalogue, market);
        let mut dice = Dice::new(7);
        let first = question(&mut dice, &catalogue, market, &rules);
        let list = catalogue.edition().price_list(market, first.day).unwrap();
        let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
        for number in 0..120 {
            let mut demands = question(&mut dice, &catalogue, market, &rules);
            demands.options_max = [1, 2, 3, 5, 20][number % 5];
            assert!(snapshot.serves(list, &demands.surroundings));
            let scope = Scope { rails_max: 1, nodes_max: 1_000_000 };
            let ranked = rank((&snapshot, &catalogue), list, &demands, scope);
            let expected = enumerated(&catalogue, &demands);
            answered += usize::from(!expected.is_empty());
            assert_eq!(
                told(&catalogue, &ranked.choices),
                expected,
                "{market} {number} {demands:#?}"
            );
        }
    }
    assert!(100 < answered, "too few questions have an answer: {answered}");
}

/// Takes demands back until a small catalogue has a chance.
fn ease(dice: &mut generator::Dice, demands: &mut Demands<'_>) {
    let place = &mut demands.surroundings.place;
    if dice.chance(80) {
        demands.surroundings.users = Users::default();
        place.zone = None;
        demands.preferences.time_control = false;
        demands.preferences.wall_control = false;
        demands.preferences.regulation = RegulationWish::Either;
        place.region = Some("england".into());
    }
    if dice.chance(80) {
        demands.preferences.finish = None;
        demands.preferences.accessories.clear();
        place.connection_distance = None;
    }
    if dice.chance(50) {
        demands.preferences.budget = None;
        place.side = Side::Either;
        place.wall_height = None;
    }
    // Wide walls, so that rails have room beside each other.
    place.wall_width = place.wall_width.map(|width| Millimetres::new(width.value().max(1_000)));
}

/// Both searches on a made-up catalogue; how many rails the best bills had.
fn compare(parts: usize, seed: u64, questions: usize) -> [usize; 4] {
    let catalogue = Catalogue::compile(Edition::new(1, generator::content(parts, seed)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let rules = rules_of(&catalogue, "gb");
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let mut dice = generator::Dice::new(seed ^ 0x5EED);
    let mut counts = [0; 4];
    for number in 0..questions {
        let mut asked = generator::asked(&mut dice, parts, market, &rules);
        asked.demands.options_max = [1, 2, 3, 5, 20][number % 5];
        ease(&mut dice, &mut asked.demands);
        let scope = Scope { rails_max: asked.rails_max, nodes_max: 10_000_000 };
        let ranked = rank((&snapshot, &catalogue), list, &asked.demands, scope);
        let expected = enumerate(&catalogue, list, &asked.demands, asked.rails_max);
        assert_eq!(ranked.choices, expected, "{parts} {seed} {number} {asked:#?}");
        counts[expected.first().map_or(0, |choice| choice.rails.len())] += 1;
    }
    counts
}

#[test]
fn on_made_up_catalogues_one_to_three_rails_come_out_as_if_all_were_tried() {
    let mut counts = [0; 4];
    for seed in 0..100 {
        let parts = [30, 50, 70, 90, 120][usize::try_from(seed % 5).unwrap()];
        for (sum, count) in counts.iter_mut().zip(compare(parts, seed, 15)) {
            *sum += count;
        }
    }
    assert!(counts.iter().all(|count| 10 < *count), "too few of a kind: {counts:?}");
}

/// Both searches and the oracle's own order on the hard little catalogue of a seed; whether the snapshot took it.
fn compare_case(seed: u64) -> bool {
    let case = Case::of(seed);
    let demands = case.demands();
    let Some(snapshot) =
        Snapshot::compile(&case.catalogue, case.list(), demands.surroundings.rules)
    else {
        return false;
    };
    assert!(snapshot.serves(case.list(), &demands.surroundings), "seed {seed}");
    for rails_max in 1..=3 {
        for options_max in [1, 2, 5, 20] {
            let demands = Demands { options_max, ..case.demands() };
            let scope = Scope { rails_max, nodes_max: 10_000_000 };
            let ranked = rank((&snapshot, &case.catalogue), case.list(), &demands, scope);
            let expected = enumerate(&case.catalogue, case.list(), &demands, rails_max);
            assert_eq!(ranked.choices, expected, "seed {seed}, {rails_max} rails, {options_max}");
        }
    }
    true
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn on_hard_little_catalogues_one_to_three_rails_come_out_as_if_all_were_tried(seed in any::<u64>()) {
        compare_case(seed);
    }
}

#[test]
fn a_search_that_may_look_at_little_says_so_and_never_claims_too_much() {
    let catalogue = Catalogue::compile(Edition::new(1, generator::content(300, 5)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let rules = rules_of(&catalogue, "gb");
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let mut dice = generator::Dice::new(11);
    let mut undecided = 0;
    for _ in 0..300 {
        let asked = generator::asked(&mut dice, 300, market, &rules);
        let answer = |nodes_max| {
            let scope = Scope { rails_max: asked.rails_max, nodes_max };
            rank((&snapshot, &catalogue), list, &asked.demands, scope)
        };
        let (short, full) = (answer(3), answer(10_000_000));
        assert_eq!(full.undecided_from, None);
        match short.undecided_from {
            None => assert_eq!(short, full),
            Some(least) => {
                undecided += 1;
                let best = full.choices.first().map(|choice| choice.net);
                let had = short.choices.first().map(|choice| choice.net);
                assert!(best.is_none_or(|best| had == Some(best) || least <= best), "{asked:?}");
            }
        }
    }
    assert!(20 < undecided, "too few searches were cut short: {undecided}");
}

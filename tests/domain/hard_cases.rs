//! That the generator of random catalogues makes the cases in which a wrong resolver would be seen.
#![expect(clippy::arithmetic_side_effects, reason = "counts of a few hundred cases")]

use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::money::Minor;
use rungwright::domain::units::Deciwatts;

use crate::oracle::Answer;
use crate::random_catalogue::Case;

const CASES: u64 = 400;

/// How many of [`CASES`] are of a kind.
#[derive(Debug, Default)]
struct Shares {
    infeasible: u32,
    near_misses: u32,
    ties: u32,
    combinations: u32,
    dearer_pairs: u32,
    several_options: u32,
    tied_parts: u32,
    with_conditions: u32,
}

/// Net price of body and element alone.
fn pair_price(case: &Case, answer: &Answer) -> i64 {
    let price = |(sku, _): &(String, u32)| case.list().prices[&Sku::parse(sku).unwrap()].value();
    answer.parts[..2].iter().map(price).sum()
}

fn does_two_things(case: &Case, answer: &Answer) -> bool {
    let parts =
        answer.parts.iter().filter_map(|(sku, _)| case.edition().find(&Sku::parse(sku).unwrap()));
    let mut controls = parts.filter(|part| part.kind == PartKind::Control);
    controls.any(|part| 1 < case.edition().controls()[part.index].roles.iter().count())
}

/// Impossible, but possible with a penny more or a tenth of a watt less.
fn is_near_miss(case: &Case) -> bool {
    let mut demands = case.demands();
    let nudge = |minor: Minor| Minor::new(minor.value() + 1);
    demands.preferences.budget = demands.preferences.budget.map(nudge);
    let richer = !case.oracle(&demands).is_empty();
    let mut demands = case.demands();
    demands.required = demands.required.map(|tenths| Deciwatts::new(tenths.value() - 1));
    richer || !case.oracle(&demands).is_empty()
}

fn count(shares: &mut Shares, case: &Case) {
    let answers = case.oracle(&case.demands());
    let Some(first) = answers.first() else {
        shares.infeasible += 1;
        shares.near_misses += u32::from(is_near_miss(case));
        return;
    };
    shares.several_options += u32::from(1 < answers.len());
    shares.combinations += u32::from(does_two_things(case, first));
    let cheapest_pair = answers.iter().map(|answer| pair_price(case, answer)).min();
    shares.dearer_pairs += u32::from(cheapest_pair < Some(pair_price(case, first)));
    let second = answers.get(1);
    shares.ties += u32::from(second.is_some_and(|second| second.gross == first.gross));
    let same = |second: &Answer| (second.gross, second.surplus) == (first.gross, first.surplus);
    shares.tied_parts += u32::from(second.is_some_and(same));
    shares.with_conditions +=
        u32::from(case.edition().rules().iter().any(|rule| !rule.when.is_empty()));
}

#[test]
fn the_generator_makes_ties_near_misses_and_traps() {
    let mut shares = Shares::default();
    for seed in 0..CASES {
        count(&mut shares, &Case::of(seed));
    }
    let enough = |found: u32, percent: u32| percent * u32::try_from(CASES).unwrap() <= 100 * found;
    assert!(enough(shares.infeasible, 20), "{shares:?}");
    assert!(!enough(shares.infeasible, 70), "{shares:?}");
    assert!(enough(shares.near_misses, 3), "{shares:?}");
    assert!(enough(shares.several_options, 20), "{shares:?}");
    assert!(enough(shares.ties, 4), "{shares:?}");
    assert!(enough(shares.tied_parts, 1), "{shares:?}");
    assert!(enough(shares.combinations, 5), "{shares:?}");
    assert!(enough(shares.dearer_pairs, 3), "{shares:?}");
    assert!(enough(shares.with_conditions, 30), "{shares:?}");
}

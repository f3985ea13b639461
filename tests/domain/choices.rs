//! Next choices against brute force: every value shown has its count and price, and every other leads nowhere.
#![expect(clippy::arithmetic_side_effects, clippy::indexing_slicing, reason = "short lists")]

use std::collections::BTreeMap;

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::typed_names;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::Cheapest;
use rungwright::domain::resolver::Choices;
use rungwright::domain::resolver::ChosenValue;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::NextValue;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::WallSpace;
use rungwright::domain::resolver::Wish;
use rungwright::domain::resolver::WishValue;
use rungwright::domain::resolver::cheapest;
use rungwright::domain::resolver::choices;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Millimetres;

use crate::random_catalogue::Case;
use crate::random_catalogue::Dice;

/// The least gross price of every pair that makes a bill, by brute force, on the wall where it is least.
type Pairs = BTreeMap<[PartRef; 2], i64>;

/// How many, and the least price.
type Count = (usize, i64);

fn pairs(case: &Case, demands: &Demands<'_>) -> Pairs {
    let walls = &demands.sought.walls;
    let shared = &demands.surroundings.place;
    let own = walls.iter().map(|wall| wall.place(shared));
    let places = if walls.is_empty() { vec![shared.clone()] } else { own.collect() };
    let mut pairs = Pairs::new();
    for place in places {
        let mut there = demands.clone();
        there.surroundings.place = place;
        for answer in case.oracle(&there) {
            let part = |line: usize| {
                let sku = Sku::parse(&answer.parts[line].0).unwrap();
                case.edition().find(&sku).unwrap()
            };
            let least = pairs.entry([part(0), part(1)]).or_insert(answer.gross);
            *least = answer.gross.min(*least);
        }
    }
    pairs
}

fn value_of(
    edition: &Edition,
    [body, element]: [PartRef; 2],
    name: &AttributeName,
) -> Option<Value> {
    let part = if name.kind == PartKind::Body { body } else { element };
    edition.attribute(part, name.name())
}

/// The pairs that have all chosen values but one.
fn keeping(
    edition: &Edition,
    pairs: &Pairs,
    chosen: &[ChosenValue],
    free: Option<&AttributeName>,
) -> Pairs {
    let has = |pair: &[PartRef; 2], one: &ChosenValue| {
        Some(&one.attribute) == free
            || value_of(edition, *pair, &one.attribute).as_ref() == Some(&one.value)
    };
    let kept = pairs.iter().filter(|(pair, _)| chosen.iter().all(|one| has(pair, one)));
    kept.map(|(pair, gross)| (*pair, *gross)).collect()
}

fn count<'a, I: IntoIterator<Item = &'a i64>>(prices: I) -> Option<Count> {
    let mut prices: Vec<i64> = prices.into_iter().copied().collect();
    prices.sort_unstable();
    prices.first().map(|least| (prices.len(), *least))
}

fn told<V: Clone>(values: &[NextValue<V>]) -> Vec<(V, bool, Count)> {
    let told = values.iter();
    told.map(|next| (next.value.clone(), next.is_chosen, (next.bills, next.cheapest.value())))
        .collect()
}

/// Demands with another value of a wish.
fn wishing<'a>(demands: &Demands<'a>, wish: Wish, value: &WishValue) -> Demands<'a> {
    let mut other = demands.clone();
    let wished = &mut other.preferences;
    match (wish, value) {
        (Wish::Finish, WishValue::AnyFinish) => wished.finish = None,
        (Wish::Finish, WishValue::Finish(finish)) => wished.finish = Some(finish.clone()),
        (Wish::Regulation, WishValue::Regulation(regulation)) => wished.regulation = *regulation,
        (Wish::WallControl, WishValue::Flag(flag)) => wished.wall_control = *flag,
        (Wish::TimeControl, WishValue::Flag(flag)) => wished.time_control = *flag,
        (Wish::FlexCover, WishValue::Flag(flag)) => wished.flex_cover = *flag,
        (Wish::Accessory(kind), WishValue::Pieces(pieces)) => {
            wished.accessories.retain(|own| *own != kind);
            wished.accessories.extend((0..*pieces).map(|_| kind));
        }
        (wish, value) => panic!("{wish:?} has no value {value:?}"),
    }
    other
}

/// Every value that a wish can have, whether it leads anywhere or not, and whether it is the one in force.
fn values(edition: &Edition, demands: &Demands<'_>, wish: Wish) -> Vec<(WishValue, bool)> {
    let wished = &demands.preferences;
    let flags = |now: bool| [false, true].map(|flag| (WishValue::Flag(flag), flag == now)).to_vec();
    match wish {
        Wish::Finish => {
            let any = [(WishValue::AnyFinish, wished.finish.is_none())].into_iter();
            let finishes = edition.content().finishes.keys();
            let each = finishes.map(|finish| {
                (WishValue::Finish(finish.clone()), wished.finish.as_ref() == Some(finish))
            });
            any.chain(each).collect()
        }
        Wish::Regulation => {
            [RegulationWish::Either, RegulationWish::Fixed, RegulationWish::Adjustable]
                .map(|regulation| {
                    (WishValue::Regulation(regulation), regulation == wished.regulation)
                })
                .to_vec()
        }
        Wish::WallControl => flags(wished.wall_control),
        Wish::TimeControl => flags(wished.time_control),
        Wish::FlexCover => flags(wished.flex_cover),
        Wish::Accessory(kind) => {
            let now = wished.accessories.iter().filter(|other| **other == kind).count();
            let now = u32::try_from(now).unwrap();
            [0, now.max(1)].map(|pieces| (WishValue::Pieces(pieces), pieces == now)).to_vec()
        }
    }
}

fn ask(case: &Case, demands: &Demands<'_>, chosen: &[ChosenValue]) -> Choices {
    let rules = demands.surroundings.rules;
    let snapshot = Snapshot::compile(&case.catalogue, case.list(), rules);
    let answer = |compiled| {
        let source = Source { catalogue: &case.catalogue, list: case.list(), compiled };
        choices(&source, demands, chosen, &Allowance::nodes(usize::MAX))
    };
    let plain = answer(None);
    if let Some(snapshot) = &snapshot {
        assert_eq!(answer(Some(snapshot)), plain, "compiled and pair by pair");
    }
    assert_eq!(plain.limit, None);
    plain
}

fn names(edition: &Edition) -> Vec<AttributeName> {
    let typed = [PartKind::Body, PartKind::Element].into_iter().flat_map(|kind| {
        typed_names(kind).iter().map(move |name| AttributeName { kind, name: (*name).into() })
    });
    let declared = edition.content().attributes.iter().map(|row| row.attribute.clone());
    typed.chain(declared).collect()
}

/// Some values that parts have, each attribute once.
fn chosen(dice: &mut Dice, edition: &Edition) -> Vec<ChosenValue> {
    let mut chosen: Vec<ChosenValue> = Vec::new();
    for _ in 0..dice.pick(&[0, 0, 0, 1, 1, 2]) {
        let attribute = dice.pick(&names(edition));
        let part =
            PartRef { kind: attribute.kind, index: dice.below(edition.count(attribute.kind)) };
        let Some(value) = edition.attribute(part, attribute.name()) else { continue };
        if chosen.iter().all(|other| other.attribute != attribute) {
            chosen.push(ChosenValue { attribute, value });
        }
    }
    chosen
}

fn check_wishes(case: &Case, demands: &Demands<'_>, chosen: &[ChosenValue], found: &Choices) {
    let edition = case.edition();
    assert_eq!(found.wishes.len(), 5 + AccessoryKind::ALL.len());
    for wish in &found.wishes {
        let expected: Vec<_> = values(edition, demands, wish.wish)
            .into_iter()
            .filter_map(|(value, is_chosen)| {
                let other = wishing(demands, wish.wish, &value);
                let kept = keeping(edition, &pairs(case, &other), chosen, None);
                Some((value, is_chosen, count(kept.values())?))
            })
            .collect();
        assert_eq!(told(&wish.values), expected, "{:?}", wish.wish);
    }
}

fn check_attributes(case: &Case, all: &Pairs, chosen: &[ChosenValue], found: &Choices) {
    let edition = case.edition();
    for name in names(edition) {
        let kept = keeping(edition, all, chosen, Some(&name));
        let mut by_value: BTreeMap<Option<Value>, Vec<i64>> = BTreeMap::new();
        for (pair, gross) in &kept {
            by_value.entry(value_of(edition, *pair, &name)).or_default().push(*gross);
        }
        let not_stated = by_value.remove(&None).map_or(0, |prices| prices.len());
        let one = chosen.iter().find(|one| one.attribute == name).map(|one| &one.value);
        let expected: Vec<_> = by_value
            .into_iter()
            .map(|(value, prices)| {
                let value = value.unwrap();
                let is_chosen = one == Some(&value);
                (value, is_chosen, count(&prices).unwrap())
            })
            .collect();
        let shown = found.attributes.iter().find(|shown| shown.attribute == name);
        let Some(shown) = shown else {
            assert!(expected.is_empty() && one.is_none(), "{name} is not shown");
            continue;
        };
        assert_eq!(told(&shown.values), expected, "{name}");
        assert_eq!((shown.has_more, shown.bills_not_stated), (false, not_stated), "{name}");
    }
}

/// Everything shown for the case of a seed, held to brute force; how many bills there are.
fn check(seed: u64, walls: usize) -> usize {
    let case = Case::of(seed);
    let mut dice = Dice::new(seed ^ 0xC401);
    let chosen = chosen(&mut dice, case.edition());
    let mut demands = case.demands();
    let mut wall = || WallSpace {
        width: dice.maybe(60, &[400, 550, 700]).map(Millimetres::new),
        connection_distance: dice.maybe(40, &[300, 900]).map(Millimetres::new),
        ..WallSpace::default()
    };
    demands.sought.walls = (0..walls).map(|_| wall()).collect();
    let found = ask(&case, &demands, &chosen);
    let all = pairs(&case, &demands);
    let kept = keeping(case.edition(), &all, &chosen, None);
    let base = found.cheapest.map(|cheapest| (found.bills, cheapest.value()));
    assert_eq!(base, count(kept.values()), "seed {seed}");
    check_wishes(&case, &demands, &chosen, &found);
    check_attributes(&case, &all, &chosen, &found);
    found.bills
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_value_shown_has_the_count_and_price_of_brute_force_and_no_other_leads_anywhere(seed in any::<u64>()) {
        check(seed, 0);
    }

    #[test]
    fn on_walls_of_their_own_pairs_count_once_where_they_cost_least(seed in any::<u64>(), walls in 1_usize..=3) {
        check(seed, walls);
    }
}

#[test]
fn the_hard_little_catalogues_leave_something_to_choose_often_enough() {
    let bills: Vec<usize> = (0..60).map(|seed| check(seed, 0)).collect();
    assert!(10 < bills.iter().filter(|bills| 1 < **bills).count(), "{bills:?}");
    assert!(5 < bills.iter().filter(|bills| **bills == 0).count(), "{bills:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn whoever_takes_a_value_that_is_shown_gets_its_bills_at_its_price(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let chosen = chosen(&mut Dice::new(seed ^ 0xC402), case.edition());
        let found = ask(&case, &demands, &chosen);
        let follow = |asked: &Demands<'_>, taken: &[ChosenValue], told: (usize, i64)| {
            let next = ask(&case, asked, taken);
            assert_eq!((next.bills, next.cheapest.unwrap().value()), told);
        };
        for wish in &found.wishes {
            for next in &wish.values {
                let told = (next.bills, next.cheapest.value());
                follow(&wishing(&demands, wish.wish, &next.value), &chosen, told);
            }
        }
        for shown in &found.attributes {
            for next in shown.values.iter().take(4) {
                let mut other = chosen.clone();
                other.retain(|one| one.attribute != shown.attribute);
                let (attribute, value) = (shown.attribute.clone(), next.value.clone());
                other.push(ChosenValue { attribute, value });
                follow(&demands, &other, (next.bills, next.cheapest.value()));
            }
        }
    }

    #[test]
    fn the_cheapest_bill_is_that_of_the_search(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let allowance = Allowance::nodes(usize::MAX);
        let source = Source { catalogue: &case.catalogue, list: case.list(), compiled: None };
        let expected = match cheapest(&source, &demands, &allowance) {
            Cheapest::At(gross) => Some(gross),
            Cheapest::Nothing => None,
            Cheapest::Undecided(limit) => panic!("{limit:?}"),
        };
        assert_eq!(ask(&case, &demands, &[]).cheapest, expected);
    }
}

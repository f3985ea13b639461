//! What must follow when a question or a catalogue is changed in a known way, for the compiled search and the
//! enumerating one: nobody need know the right answer to see a wrong one.
#![expect(clippy::arithmetic_side_effects, reason = "sums of a few small prices")]

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Rule;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::When;
use rungwright::domain::conflict::Demand;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::money::Minor;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::rank;
use rungwright::domain::resolver::resolve;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;

use crate::random_catalogue::Case;
use crate::random_catalogue::Dice;
use crate::random_catalogue::compiled;

/// One option: net price, what is delivered, body and element of each rail.
type Option3 = (i64, i64, Vec<(Sku, Sku)>);

/// The options of a case by the compiled search; nothing when its catalogue cannot be compiled.
fn ranked(case: &Case, demands: &Demands<'_>, rails_max: usize) -> Option<Vec<Option3>> {
    let list = case.list();
    let snapshot = Snapshot::compile(&case.catalogue, list, demands.surroundings.rules)?;
    let scope = Scope { rails_max, nodes_max: 10_000_000 };
    let found = rank((&snapshot, &case.catalogue), list, demands, scope);
    assert_eq!(found.undecided_from, None);
    let sku = |part: PartRef| case.edition().card(part).unwrap().sku.clone();
    let told = found.choices.iter().map(|choice| {
        let rails = choice.rails.iter().map(|rail| (sku(rail.body), sku(rail.element)));
        (choice.net.value(), choice.delivered.value(), rails.collect())
    });
    Some(told.collect())
}

/// The options of a case by the search that serves.
fn resolved(case: &Case, demands: &Demands<'_>) -> Vec<Option3> {
    let bills = match resolve(&case.catalogue, case.list(), demands) {
        Resolution::Resolved(bills) => bills,
        Resolution::Impossible(_) | Resolution::Unexplained => Vec::new(),
        Resolution::Undecided { limit, .. } => panic!("{limit:?}"),
    };
    let first =
        |bill: &Bill, kind| bill.lines.iter().find(|line| line.kind == kind).unwrap().sku.clone();
    bills
        .iter()
        .map(|bill| {
            let rail = (first(bill, PartKind::Body), first(bill, PartKind::Element));
            (bill.total.net.value(), bill.delivered.value(), vec![rail])
        })
        .collect()
}

/// Every way to ask: the search that serves, and the compiled one for one to three rails.
fn answers(case: &Case, demands: &Demands<'_>) -> Vec<Vec<Option3>> {
    let several = (1..=3).filter_map(|rails_max| ranked(case, demands, rails_max));
    std::iter::once(resolved(case, demands)).chain(several).collect()
}

/// The case with a changed catalogue.
fn changed<F: FnOnce(&mut EditionContent)>(case: &Case, change: F) -> Case {
    let mut content = case.edition().content().clone();
    change(&mut content);
    Case { catalogue: compiled(content), question: case.question.clone() }
}

/// Prices of the best options, before and after: no rank got dearer, and no option was lost.
fn never_dearer(before: &[Vec<Option3>], after: &[Vec<Option3>], what: &str) {
    assert_eq!(before.len(), after.len());
    for (olds, news) in before.iter().zip(after) {
        assert!(olds.len() <= news.len(), "{what}: {olds:?} became {news:?}");
        for (old, new) in olds.iter().zip(news) {
            assert!(new.0 <= old.0, "{what}: {olds:?} became {news:?}");
        }
    }
}

/// Adds a price to every list, the twin's price of the first one's and so much more.
fn price_like(content: &mut EditionContent, twin: &Sku, first: &Sku, more: i64) {
    for list in &mut content.price_lists {
        if let Some(price) = list.prices.get(first).copied() {
            list.prices.insert(twin.clone(), UnitPrice::new(price.value() + more));
        }
    }
}

/// A body that is as good as another and dearer.
fn with_a_dearer_twin(case: &Case, dice: &mut Dice) -> (Case, Sku) {
    let twin = Sku::parse("Z-TWIN").unwrap();
    let name = twin.clone();
    let changed = changed(case, |content| {
        let first: Body = dice.pick(&content.bodies);
        let mut body = first.clone();
        body.card.sku = name.clone();
        content.bodies.push(body);
        price_like(content, &name, &first.card.sku, 50_000);
    });
    (changed, twin)
}

/// A row about a body, asked only of a body that nobody makes.
fn idle_rule() -> Rule {
    let name = |kind, name: &str| AttributeName { kind, name: name.into() };
    Rule {
        code: "never-asked".into(),
        left: name(PartKind::Element, "watts"),
        relation: Relation::AtMost,
        right: Right::Constant(PartKind::Body, Value::whole(1)),
        table: None,
        when: vec![When {
            attribute: name(PartKind::Body, "finish"),
            is: Value::text("no such finish"),
        }],
        severity: Severity::Refuse,
        sentence: "Nothing is refused by this.".into(),
        source: Source::new("made up for a test", Evidence::Invented),
    }
}

/// All part numbers with another first letter, the order of each kind kept.
fn renamed(case: &Case) -> Case {
    let rename = |sku: &Sku| Sku::parse(&format!("N{}", sku.as_str())).unwrap();
    changed(case, |content| {
        let bodies = content.bodies.iter_mut();
        for body in bodies {
            body.card.sku = rename(&body.card.sku);
            body.included.iter_mut().for_each(|row| row.sku = rename(&row.sku));
        }
        content.elements.iter_mut().for_each(|part| part.card.sku = rename(&part.card.sku));
        content.controls.iter_mut().for_each(|part| part.card.sku = rename(&part.card.sku));
        content.accessories.iter_mut().for_each(|part| part.card.sku = rename(&part.card.sku));
        for list in &mut content.price_lists {
            let prices = list.prices.iter().map(|(sku, price)| (rename(sku), *price));
            list.prices = prices.collect();
        }
    })
}

fn shuffle(case: &Case, dice: &mut Dice) -> Case {
    changed(case, |content| {
        dice.shuffle(&mut content.bodies);
        dice.shuffle(&mut content.elements);
        dice.shuffle(&mut content.controls);
        dice.shuffle(&mut content.accessories);
        dice.shuffle(&mut content.rules);
    })
}

/// Prices in whole minor units, so that a doubled price is a doubled line.
fn times(case: &Case, factor: i64) -> Case {
    changed(case, |content| {
        for price in content.price_lists.iter_mut().flat_map(|list| list.prices.values_mut()) {
            *price = UnitPrice::new(price.value().div_euclid(100) * 100 * factor);
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::default())]

    #[test]
    fn a_dearer_twin_moves_no_option_up_or_down(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = Demands { options_max: 20, ..case.demands() };
        let (more, twin) = with_a_dearer_twin(&case, &mut Dice::new(!seed));
        let asked = Demands { options_max: 20, ..more.demands() };
        for (before, after) in answers(&case, &demands).iter().zip(answers(&more, &asked)) {
            let is_of_twin = |option: &Option3| option.2.iter().any(|rail| rail.0 == twin);
            assert_eq!(before.first(), after.first());
            let rest: Vec<_> = after.into_iter().filter(|option| !is_of_twin(option)).collect();
            assert!(before.starts_with(&rest), "{before:?}, without the twin {rest:?}");
        }
    }

    #[test]
    fn a_larger_budget_keeps_every_option(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = Demands { options_max: 20, ..case.demands() };
        let before = answers(&case, &demands);
        let mut richer = demands.clone();
        richer.preferences.budget =
            demands.preferences.budget.map(|budget| Minor::new(budget.value() + 1_234));
        for (fewer, more) in before.iter().zip(answers(&case, &richer)) {
            assert!(more.starts_with(fewer), "{fewer:?} became {more:?}");
        }
    }

    #[test]
    fn no_demand_dropped_makes_any_rank_dearer(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let before = answers(&case, &demands);
        for dropped in demands.active() {
            let kept: Vec<Demand> =
                demands.active().into_iter().filter(|demand| *demand != dropped).collect();
            never_dearer(&before, &answers(&case, &demands.keeping(&kept)), &format!("{dropped:?}"));
        }
    }

    #[test]
    fn less_heat_or_a_wider_wall_makes_no_rank_dearer(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let before = answers(&case, &demands);
        let (mut colder, mut wider) = (demands.clone(), demands);
        colder.required = colder.required.map(|least| Deciwatts::new((least.value() - 37).max(1)));
        let place = &mut wider.surroundings.place;
        place.wall_width = place.wall_width.map(|width| Millimetres::new(width.value() + 83));
        never_dearer(&before, &answers(&case, &colder), "less heat");
        never_dearer(&before, &answers(&case, &wider), "a wider wall");
    }

    #[test]
    fn more_rails_make_no_rank_dearer(seed in any::<u64>()) {
        let case = Case::of(seed);
        let demands = case.demands();
        let found: Vec<_> = (1..=3).filter_map(|most| ranked(&case, &demands, most)).collect();
        for (fewer, more) in found.iter().zip(found.iter().skip(1)) {
            never_dearer(std::slice::from_ref(fewer), std::slice::from_ref(more), "more rails");
        }
    }

    #[test]
    fn one_option_more_extends_the_list(seed in any::<u64>()) {
        let case = Case::of(seed);
        let mut before: Vec<Vec<Option3>> = Vec::new();
        for options_max in 1..=8 {
            let now = answers(&case, &Demands { options_max, ..case.demands() });
            for (fewer, more) in before.iter().zip(&now) {
                assert!(more.starts_with(fewer), "{options_max}: {fewer:?} became {more:?}");
            }
            before = now;
        }
    }

    #[test]
    fn the_order_of_the_rows_changes_nothing(seed in any::<u64>()) {
        let case = Case::of(seed);
        let other = shuffle(&case, &mut Dice::new(seed));
        assert_eq!(answers(&case, &case.demands()), answers(&other, &other.demands()));
    }

    #[test]
    fn other_part_numbers_in_the_same_order_change_nothing_else(seed in any::<u64>()) {
        let case = Case::of(seed);
        let other = renamed(&case);
        let strip = |sku: &Sku| Sku::parse(sku.as_str().strip_prefix('N').unwrap()).unwrap();
        let mut back = answers(&other, &other.demands());
        for rail in back.iter_mut().flatten().flat_map(|option| &mut option.2) {
            *rail = (strip(&rail.0), strip(&rail.1));
        }
        assert_eq!(answers(&case, &case.demands()), back);
    }

    #[test]
    fn doubled_prices_double_every_net_price_and_name_the_same_parts(seed in any::<u64>()) {
        let (single, double) = (times(&Case::of(seed), 1), times(&Case::of(seed), 2));
        let free = |case: &Case| {
            let mut demands = case.question.clone();
            demands.preferences.budget = None;
            Case { catalogue: case.catalogue.clone(), question: demands }
        };
        let (single, double) = (free(&single), free(&double));
        let mut expected = answers(&single, &single.demands());
        expected.iter_mut().flatten().for_each(|option| option.0 *= 2);
        assert_eq!(expected, answers(&double, &double.demands()));
    }

    #[test]
    fn a_rule_that_is_never_asked_changes_nothing(seed in any::<u64>()) {
        let case = Case::of(seed);
        let other = changed(&case, |content| content.rules.push(idle_rule()));
        assert_eq!(answers(&case, &case.demands()), answers(&other, &other.demands()));
    }

    #[test]
    fn a_part_that_is_no_longer_made_is_as_good_as_gone(seed in any::<u64>()) {
        let case = Case::of(seed);
        let place = Dice::new(seed).below(case.edition().bodies().len());
        let ended = changed(&case, |content| content.bodies[place].card.stock = Stock::Discontinued);
        let gone = changed(&case, |content| {
            let body = content.bodies.remove(place);
            for list in &mut content.price_lists {
                list.prices.remove(&body.card.sku);
            }
        });
        assert_eq!(answers(&ended, &ended.demands()), answers(&gone, &gone.demands()));
    }
}

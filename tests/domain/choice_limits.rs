//! What next choices show of large catalogues, and what they say when they are cut short.

use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Value;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Users;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::AttributeChoices;
use rungwright::domain::resolver::ChosenValue;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Limit;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::VALUES_MAX;
use rungwright::domain::resolver::WISHES_MAX;
use rungwright::domain::resolver::Wish;
use rungwright::domain::resolver::WishValue;
use rungwright::domain::resolver::choices;
use rungwright::domain::snapshot::Snapshot;

use crate::demo_questions::rules_of;
use crate::generator;

/// A made-up catalogue of many parts, its list, rules, and a question that wishes for nothing.
fn with_many_parts<T, F: FnOnce(&Source<'_>, &Demands<'_>) -> T>(ask: F) -> T {
    let catalogue = Catalogue::compile(Edition::new(1, generator::content(1_000, 5)).unwrap());
    let list = catalogue.edition().content().price_lists.first().unwrap();
    let rules = rules_of(&catalogue, "gb");
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let mut demands = generator::asked(&mut generator::Dice::new(3), 1_000, market, &rules).demands;
    demands.required = None;
    demands.preferences = Preferences::default();
    demands.surroundings.place = Place::default();
    demands.surroundings.users = Users::default();
    let source = Source { catalogue: &catalogue, list, compiled: Some(&snapshot) };
    ask(&source, &demands)
}

#[test]
fn of_more_values_than_an_answer_shows_the_chosen_one_and_the_cheapest_are_shown_in_their_order() {
    with_many_parts(|source, demands| {
        let asked = |chosen: &[ChosenValue]| {
            let found = choices(source, demands, chosen, &Allowance::nodes(usize::MAX));
            let is_it = |shown: &&AttributeChoices| shown.attribute.to_string() == "body.sku";
            found.attributes.iter().find(is_it).unwrap().clone()
        };
        let first = asked(&[]);
        assert!(first.has_more);
        assert_eq!(first.values.len(), VALUES_MAX);
        assert!(first.values.is_sorted_by_key(|next| &next.value));
        let dearest = first.values.iter().map(|next| next.cheapest).max().unwrap();
        let hidden = source.catalogue.edition().bodies().iter().find_map(|body| {
            let value = Value::text(body.card.sku.as_str());
            let is_shown = first.values.iter().any(|next| next.value == value);
            let chosen = [ChosenValue { attribute: first.attribute.clone(), value }];
            let own = (!is_shown).then(|| asked(&chosen))?;
            own.values.iter().find(|next| next.is_chosen).cloned()
        });
        let hidden = hidden.expect("a body that is dear and can be had");
        assert!(dearest <= hidden.cheapest, "{hidden:?}");
    });
}

#[test]
fn a_pass_cut_short_says_so_and_shows_nothing_that_is_not_true() {
    with_many_parts(|source, demands| {
        let full = choices(source, demands, &[], &Allowance::nodes(usize::MAX));
        let short = choices(source, demands, &[], &Allowance::nodes(500));
        assert_eq!((full.limit, short.limit), (None, Some(Limit::Nodes)));
        assert!(0 < short.bills && short.bills < full.bills);
        assert!(full.cheapest <= short.cheapest);
        for (part, whole) in short.wishes.iter().zip(&full.wishes) {
            for next in &part.values {
                let same = whole.values.iter().find(|other| other.value == next.value).unwrap();
                assert!(next.bills <= same.bills && same.cheapest <= next.cheapest);
            }
        }
        let late = choices(source, demands, &[], &Allowance::until(&|| true));
        assert_eq!((late.bills, late.limit), (0, Some(Limit::Time)));
    });
}

#[test]
fn what_a_request_could_not_ask_for_is_not_offered() {
    with_many_parts(|source, demands| {
        let mut full = demands.clone();
        full.preferences.accessories = vec![AccessoryKind::Hook; WISHES_MAX];
        let found = choices(source, &full, &[], &Allowance::nodes(usize::MAX));
        for wish in &found.wishes {
            let Wish::Accessory(kind) = wish.wish else { continue };
            let values: Vec<_> = wish.values.iter().map(|next| next.value.clone()).collect();
            let most = if kind == AccessoryKind::Hook { WISHES_MAX } else { 0 };
            let most = u32::try_from(most).unwrap();
            assert_eq!(values.last(), Some(&WishValue::Pieces(most)), "{kind:?}");
        }
    });
}

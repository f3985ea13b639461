//! Catalogues and questions that a search could drown in, or that leave it nothing to find.

use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Rule;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::When;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Users;
use rungwright::domain::conflict::Demand;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source as Origin;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::SEARCH_NODES_MAX;
use rungwright::domain::resolver::Sought;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::resolve_from;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;

use crate::demo_questions::rules_of;
use crate::generator;

/// What a plain question is answered from the compiled catalogue of a content.
fn answer(content: EditionContent, wish: fn(&mut Demands<'_>)) -> Resolution {
    let catalogue = Catalogue::compile(Edition::new(1, content).unwrap());
    let rules = rules_of(&catalogue, "gb");
    let list = catalogue.edition().content().price_lists.first().unwrap();
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let mut demands = generator::asked(&mut generator::Dice::new(1), 100, market, &rules).demands;
    demands.surroundings.place = Place { region: Some("england".into()), ..Place::default() };
    demands.surroundings.users = Users::default();
    demands.preferences = Preferences::default();
    demands.required = None;
    demands.options_max = 5;
    demands.sought = Sought { rails_max: 3, ..Sought::default() };
    wish(&mut demands);
    let source = Source { catalogue: &catalogue, list, compiled: Some(&snapshot) };
    resolve_from(&source, &demands, &Allowance::nodes(SEARCH_NODES_MAX))
}

/// A rule of one kind of part alone that no part meets.
fn never(attribute: (PartKind, &str), is: Value) -> Rule {
    let (kind, name) = attribute;
    Rule {
        code: "never-met".into(),
        left: AttributeName { kind, name: name.into() },
        relation: Relation::Equal,
        right: Right::Constant(kind, is),
        table: None,
        when: Vec::new(),
        severity: Severity::Refuse,
        sentence: "Nothing meets this.".into(),
        source: Origin::new("made up for a test", Evidence::Invented),
    }
}

#[test]
fn rules_that_exclude_everything_leave_nothing_to_ask_for() {
    let mut content = generator::content(60, 3);
    content.rules.push(never((PartKind::Body, "finish"), Value::text("no-such-finish")));
    let resolution = answer(content, |demands| demands.required = Some(Deciwatts::new(3_000)));
    let Resolution::Impossible(explanation) = resolution else { panic!("{resolution:?}") };
    let [conflict] = explanation.conflicts.as_slice() else { panic!("{explanation:?}") };
    let relaxations = &explanation.relaxations;
    assert!(conflict.demands.is_empty() && relaxations.is_empty(), "{conflict:?}");
    assert!(conflict.sentence.starts_with("Nothing in this catalogue"), "{}", conflict.sentence);
}

#[test]
fn an_accessory_that_exists_and_fits_nothing_is_the_conflict_alone() {
    let mut content = generator::content(100, 3);
    let mut rule = never((PartKind::Accessory, "kind"), Value::text("none"));
    rule.when = vec![When {
        attribute: AttributeName { kind: PartKind::Accessory, name: "kind".into() },
        is: Value::text(AccessoryKind::Shelf.word()),
    }];
    content.rules.push(rule);
    let resolution = answer(content, |demands| {
        demands.preferences.accessories = vec![AccessoryKind::Hook, AccessoryKind::Shelf];
    });
    let Resolution::Impossible(explanation) = resolution else { panic!("{resolution:?}") };
    let [conflict] = explanation.conflicts.as_slice() else { panic!("{explanation:?}") };
    let relaxations = &explanation.relaxations;
    assert_eq!(conflict.demands, [Demand::Accessory(1)]);
    assert!(
        relaxations.iter().all(|one| one.changes.iter().all(|change| change.to.is_none())),
        "{relaxations:?}"
    );
}

#[test]
fn a_body_that_ten_thousand_elements_fit_is_answered_within_the_limits() {
    let mut content = generator::content(60, 3);
    let list = content.price_lists.first_mut().unwrap();
    for number in 0..10_000_u32 {
        let place = usize::try_from(number).unwrap().rem_euclid(12);
        let mut element = content.elements[place].clone();
        let price = list.prices.get(&element.card.sku).copied();
        element.card.sku = Sku::parse(&format!("TEN-E-{number:05}")).unwrap();
        list.prices.extend(price.map(|price| (element.card.sku.clone(), price)));
        content.elements.push(element);
    }
    let resolution = answer(content, |demands| demands.required = Some(Deciwatts::new(2_000)));
    let Resolution::Resolved(bills) = resolution else { panic!("{resolution:?}") };
    assert_eq!(bills.len(), 5);
}

//! The demonstration catalogue put to work: its rules let the right parts through, hold the twins back, and the rooms
//! of the example can be furnished.

use std::collections::BTreeSet;

use jiff::civil::date;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Surroundings;
use rungwright::domain::compatibility::Users;
use rungwright::domain::money::Minor;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Sought;
use rungwright::domain::resolver::resolve;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;
use rungwright::store::rule_packs;

use crate::demo::edition;

fn find(edition: &Edition, sku: &str) -> PartRef {
    let found = edition.find(&Sku::parse(sku).unwrap());
    found.unwrap_or_else(|| panic!("{sku} is not in the catalogue"))
}

/// Number of parts of a kind that fit a body.
fn partners(catalogue: &Catalogue, body: PartRef, kind: PartKind) -> usize {
    catalogue.index().partners(body, kind).count_ones(..)
}

fn is_electric(body: &Body) -> bool {
    body.heat_source == HeatSource::Electric
}

#[test]
fn a_body_that_is_plumbed_takes_no_element_and_nearly_every_other_takes_some() {
    let catalogue = Catalogue::compile(edition());
    let mut alone = Vec::new();
    for (index, body) in catalogue.edition().bodies().iter().enumerate() {
        let part = PartRef { kind: PartKind::Body, index };
        let elements = partners(&catalogue, part, PartKind::Element);
        if !is_electric(body) {
            assert_eq!(elements, 0, "{}", body.card.sku);
        } else if elements == 0 {
            alone.push(body.card.sku.as_str());
        }
    }
    let electric = catalogue.edition().bodies().iter().filter(|body| is_electric(body)).count();
    assert!(alone.len() * 6 < electric, "no element for {alone:?}");
}

#[test]
fn every_body_finds_brackets_and_plugs() {
    let catalogue = Catalogue::compile(edition());
    for (index, body) in catalogue.edition().bodies().iter().enumerate() {
        if !is_electric(body) {
            continue;
        }
        let part = PartRef { kind: PartKind::Body, index };
        let fitting = catalogue.index().partners(part, PartKind::Accessory);
        for kind in [AccessoryKind::Bracket, AccessoryKind::PlugCover, AccessoryKind::Hook] {
            let has = |found: usize| catalogue.edition().accessories()[found].kind == kind;
            assert!(fitting.ones().any(has), "{} for {}", kind.word(), body.card.sku);
        }
    }
}

#[test]
fn the_rules_tell_twins_apart() {
    let catalogue = Catalogue::compile(edition());
    let check = |left: &str, right: &str, wanted: bool| {
        let (left, right) = (find(catalogue.edition(), left), find(catalogue.edition(), right));
        assert_eq!(catalogue.index().fits(left, right), wanted, "{left:?} with {right:?}");
    };
    let gleed = "SRW-E-GLEED-400-BK";
    check("SRW-B-HAAR-500.1200-BK", gleed, true);
    check("SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-BK-34", false);
    check("SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-BK-R12", false);
    check("SRW-B-HAAR-500.1200-BK-34", gleed, false);
    check("SRW-B-HAAR-500.1200-BK-34", "SRW-E-GLEED-400-BK-34", true);
    check("SRW-B-HAAR-500.1200-BK-DF", gleed, false);
    check("SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-CH", false);
    check("SRW-B-CALLO-500.1200-BK", gleed, true);
    check("SRW-B-CALLO-500.1200-BK-SH", gleed, false);
    check("SRW-B-CALLO-500.1200-WH-NB", "SRW-E-GLEED-400-WH", false);
    check("SRW-B-CALLO-500.1200-WH", "SRW-E-GLEED-400-WH", true);
    let (timer, thermostat) = ("SRW-C-KLOKK-16-BK", "SRW-C-LIPPN-16-BK");
    check("SRW-E-LUNTK-400-BK", timer, true);
    check("SRW-E-LUNTK-400-BK-NR", timer, false);
    check("SRW-E-LUNTK-400-BK-NS", timer, false);
    check(gleed, thermostat, true);
    check("SRW-E-DIMRI-400-BK", thermostat, false);
    check("SRW-E-GLEED-500-BK", "SRW-C-KLOKK-16-BK-L2", false);
    check("SRW-E-GLEED-800-BK", "SRW-C-KIST-3-BK", false);
    check("SRW-E-GLEED-600-BK", "SRW-C-KIST-3-BK", true);
    check("SRW-B-HAAR-500.1200-BK", "SRW-A-HOOK-ROUND-22-BK", true);
    check("SRW-B-HAAR-500.1200-BK", "SRW-A-HOOK-ROUND-25-BK", false);
    check("SRW-B-HAAR-500.1200-BK", "SRW-A-PLUG-G34-BK", false);
    check("SRW-B-HAAR-500.1200-BK", "SRW-A-PLUG-G12-AN", false);
}

#[test]
fn a_finish_listed_one_way_does_not_hold_the_other_way_round() {
    let catalogue = Catalogue::compile(edition());
    let fits = |body: &str, element: &str| {
        let edition = catalogue.edition();
        catalogue.index().fits(find(edition, body), find(edition, element))
    };
    assert!(fits("SRW-B-HORNF-500.1000-AN", "SRW-E-DIMRI-400-BK"));
    assert!(!fits("SRW-B-HORNF-500.1000-BK", "SRW-E-DIMRI-400-AN"));
}

/// The family bathroom of the example request: a child's bath, its heat requirement given.
fn family_bathroom(surroundings: Surroundings<'_>) -> Demands<'_> {
    Demands {
        surroundings,
        day: date(2026, 6, 1),
        required: Some(Deciwatts::new(3_133)),
        preferences: Preferences {
            finish: Some("matt-black".into()),
            time_control: true,
            flex_cover: true,
            budget: Some(Minor::new(45_000)),
            accessories: vec![AccessoryKind::PlugCover, AccessoryKind::Hook],
            ..Preferences::default()
        },
        options_max: 5,
        sought: Sought::default(),
    }
}

fn bills(market: &str, budget: Option<Minor>) -> Vec<Bill> {
    let catalogue = Catalogue::compile(edition());
    let packs = rule_packs::load_all().unwrap();
    let market = catalogue.edition().market(market).unwrap();
    let rules = packs.iter().find(|pack| pack.id == *market.wiring_rules);
    let mut demands = family_bathroom(Surroundings {
        market,
        rules,
        room: Celsius::new(22.0),
        towels_factor: 1.0,
        users: Users { children: true, ..Users::default() },
        place: Place {
            region: market.regions.first().cloned(),
            wall_width: Some(Millimetres::new(700)),
            wall_bottom: Some(Millimetres::new(600)),
            wall_height: Some(Millimetres::new(1_300)),
            zone: Zone::parse("2"),
            water_jets: false,
            connection_distance: Some(Millimetres::new(900)),
            side: Side::Either,
            wall_type: None,
        },
        plan: None,
    });
    demands.preferences.budget = budget;
    let list = catalogue.edition().price_list(&market.code, demands.day).unwrap();
    match resolve(&catalogue, list, &demands) {
        Resolution::Resolved(bills) => bills,
        refused @ (Resolution::Impossible(_)
        | Resolution::Unexplained
        | Resolution::Undecided { .. }) => {
            panic!("{} is not furnished: {refused:?}", market.code)
        }
    }
}

#[test]
fn the_family_bathroom_is_furnished_within_its_budget() {
    let bills = bills("gb", Some(Minor::new(45_000)));
    assert_eq!(bills.len(), 5);
    let bodies: BTreeSet<String> = bills.iter().map(|bill| bill.lines[0].sku.to_string()).collect();
    assert!(3 <= bodies.len(), "the options are hardly a choice: {bodies:?}");
    for bill in &bills {
        let has = |sku: &str| bill.lines.iter().any(|line| line.sku.as_str() == sku);
        assert!(!has("SRW-E-DIMRI-400-BK-F8"), "its flex is too short");
        assert!(!has("SRW-E-DIMRI-400-BK-NL"), "children could turn it up");
        assert!(Deciwatts::new(3_133) <= bill.delivered);
        assert!(bill.total.gross <= Minor::new(45_000));
    }
}

#[test]
fn the_same_bathroom_is_furnished_in_every_market() {
    for market in ["gb", "ie", "de"] {
        assert!(!bills(market, None).is_empty(), "{market}");
    }
}

//! Wiring rules as rows of an edition and as a catalogue's file: what goes in comes out, and what is not sound stays out.

use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::sample::select;
use proptest::sample::subsequence;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::Fault;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::regime::BasinReach;
use rungwright::domain::zones::regime::PartitionPolicy;
use rungwright::domain::zones::regime::PlaneDatum;
use rungwright::domain::zones::regime::Regime;
use rungwright::domain::zones::regime::TraylessRadius;
use rungwright::domain::zones::regime::WashbasinZone;
use rungwright::domain::zones::regime::ZoneThree;
use rungwright::domain::zones::regime::ZoneTwo;
use rungwright::domain::zones::rules::CircuitRules;
use rungwright::domain::zones::rules::PlaceRule;
use rungwright::domain::zones::rules::ProtectiveDevice;
use rungwright::domain::zones::rules::Refusal;
use rungwright::domain::zones::rules::Requirements;
use rungwright::domain::zones::rules::ResidualDuty;
use rungwright::domain::zones::rules::Ruling;
use rungwright::domain::zones::rules::WiringRules;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::StoreError;
use rungwright::store::catalogue_files;
use rungwright::store::content_hash;
use rungwright::store::demo::demo_edition;
use rungwright::store::demo::demo_files;
use rungwright::store::load_edition;
use rungwright::store::rule_packs;
use rungwright::store::save_edition;
use tokio::runtime::Builder;
use tokio::runtime::Runtime;

use crate::edits::only;
use crate::edits::replaced;

fn source() -> impl Strategy<Value = Source> {
    (".{0,20}", select(&Evidence::ALL[..]))
        .prop_map(|(text, evidence)| Source::stated(text, evidence))
}

fn length() -> impl Strategy<Value = i32> {
    prop_oneof![Just(0), Just(20_000), 0..=20_000_i32]
}

fn maybe<S: Strategy>(inner: S) -> impl Strategy<Value = Option<S::Value>> {
    (any::<bool>(), inner).prop_map(|(is_there, value)| is_there.then_some(value))
}

fn reach() -> impl Strategy<Value = BasinReach> {
    (length(), length()).prop_map(|(plan_mm, above_mm)| BasinReach { plan_mm, above_mm })
}

fn zone_two() -> impl Strategy<Value = ZoneTwo> {
    (length(), maybe(length()), any::<bool>(), maybe(length())).prop_map(
        |(width_mm, top_mm, trayless, over_zone1_to_mm)| ZoneTwo {
            width_mm,
            top_mm,
            trayless,
            over_zone1_to_mm,
        },
    )
}

fn zone_three() -> impl Strategy<Value = ZoneThree> {
    (length(), length(), maybe(length())).prop_map(|(width_mm, top_mm, over_zone2_to_mm)| {
        ZoneThree { width_mm, top_mm, over_zone2_to_mm }
    })
}

fn basin() -> impl Strategy<Value = WashbasinZone> {
    (length(), reach(), reach()).prop_map(|(small_litres, small, large)| WashbasinZone {
        small_litres,
        small,
        large,
    })
}

fn regime() -> impl Strategy<Value = Regime> {
    let under = || select(vec![Zone::One, Zone::Hidden, Zone::Outside]);
    let figures = [(); 6].map(|()| length());
    let words = (select(&PlaneDatum::ALL[..]), select(&PartitionPolicy::ALL[..]), under(), under());
    (figures, words, any::<bool>(), zone_two(), maybe(zone_three()), maybe(basin())).prop_map(
        |(figures, words, plane_raised_by_head, zone2, zone3, washbasin)| {
            let [plane_mm, demountable, fixed, over_basin_radius_mm, trayless_zone0_mm, immersion] =
                figures;
            let (plane_datum, partitions, under_tool, under_no_tool) = words;
            Regime {
                plane_mm,
                plane_datum,
                plane_raised_by_head,
                trayless_radius_mm: TraylessRadius { demountable, fixed },
                over_basin_radius_mm,
                trayless_zone0_mm,
                immersion_below_mm: immersion,
                zone2,
                zone3,
                under_tool,
                under_no_tool,
                partitions,
                washbasin,
            }
        },
    )
}

fn requirements() -> impl Strategy<Value = Requirements> {
    let ip = || maybe(select(vec!["IPX4", "IP44", "IPX5/IPX7", "IP6XD"]));
    let classes = subsequence(ProtectionClass::ALL.to_vec(), 0..=ProtectionClass::ALL.len());
    let flags = [any::<bool>(), any::<bool>(), any::<bool>()];
    (flags, ip(), ip(), classes, maybe(length()), maybe(length()), maybe(".{0,20}")).prop_map(
        |([permanent, declared, unit_outside], ip, ip_jets, classes, height, gap, caution)| {
            let code = |text: &str| IpCode::parse(text).unwrap();
            Requirements {
                permanent,
                declared,
                unit_outside,
                ip: ip.map(code),
                ip_jets: ip_jets.map(code),
                classes,
                height_min_mm: height,
                from_zone1_min_mm: gap,
                caution,
            }
        },
    )
}

fn rule() -> impl Strategy<Value = PlaceRule> {
    let ruling = prop_oneof![
        select(&Refusal::ALL[..]).prop_map(Ruling::Refused),
        requirements().prop_map(Ruling::Allowed),
        Just(Ruling::NotEstablished),
    ];
    let zones: Vec<Zone> =
        Zone::ALL.into_iter().filter(|zone| *zone != Zone::NotEstablished).collect();
    let kinds = subsequence(EquipmentKind::ALL.to_vec(), 1..=EquipmentKind::ALL.len());
    let count = zones.len();
    (kinds, subsequence(zones, 1..=count), ruling, source())
        .prop_map(|(kinds, zones, ruling, source)| PlaceRule { kinds, zones, ruling, source })
}

fn circuit() -> impl Strategy<Value = CircuitRules> {
    let words = (select(&ResidualDuty::ALL[..]), select(&ProtectiveDevice::ALL[..]));
    (words, ".{0,30}", source(), source(), source()).prop_map(
        |((residual, device), bonding, residual_source, device_source, bonding_source)| {
            CircuitRules {
                residual,
                residual_source,
                device,
                device_source,
                bonding,
                bonding_source,
            }
        },
    )
}

fn rules(id: &'static str) -> impl Strategy<Value = WiringRules> {
    let sentences = || prop::collection::vec(".{0,30}", 0..3);
    let days = maybe(select(vec![("2018-07-01", "2018-07-01"), ("2018-07-01", "2027-12-06")]));
    let shape = maybe((regime(), prop::collection::vec(rule(), 1..6)));
    let texts = (".{0,30}", ".{0,30}", prop::collection::vec("[a-z]{1,9}", 0..3));
    (texts, days, source(), shape, circuit(), [sentences(), sentences()]).prop_map(
        move |((title, edition, places), days, source, shape, circuit, conflicts)| {
            let (regime, rows) = shape.unzip();
            let [conflicts, drawing_conflicts] = conflicts;
            WiringRules {
                id: id.to_owned(),
                title,
                edition,
                valid_from: days.map(|(from, _until)| from.to_owned()),
                valid_until: days.map(|(_from, until)| until.to_owned()),
                places,
                source,
                regime,
                rows: rows.unwrap_or_default(),
                circuit,
                conflicts,
                drawing_conflicts,
                is_stand_in: false,
            }
        },
    )
}

fn pair() -> impl Strategy<Value = Vec<WiringRules>> {
    (rules("aa-1"), rules("bb-2")).prop_map(|(one, other)| vec![one, other])
}

fn edition_of(wiring_rules: Vec<WiringRules>) -> EditionContent {
    EditionContent { wiring_rules, ..EditionContent::default() }
}

/// One database for all cases: to open one takes longer than to use it.
static SHARED: LazyLock<(Runtime, Database)> = LazyLock::new(|| {
    let runtime = Builder::new_current_thread().enable_all().build().unwrap();
    let database = runtime.block_on(Database::open_in_memory()).unwrap();
    (runtime, database)
});

proptest! {
    #[test]
    fn made_up_rules_come_back_from_the_database_and_from_their_file_as_they_were(packs in pair()) {
        prop_assert_eq!(&rule_packs::read_list(&rule_packs::write_list(&packs)).unwrap(), &packs);
        let (runtime, database) = &*SHARED;
        let loaded = runtime.block_on(async {
            let content = edition_of(packs.clone());
            let number = save_edition(database, &content, EditionState::Published).await.unwrap();
            load_edition(database, number).await.unwrap()
        });
        prop_assert_eq!(loaded.wiring_rules(), packs);
    }

    #[test]
    fn two_made_up_rules_that_differ_have_different_hashes(one in rules("aa-1"), other in rules("aa-1")) {
        let [left, right] =
            [&one, &other].map(|rules| content_hash(&edition_of(vec![rules.clone()])).unwrap());
        prop_assert_eq!(one == other, left == right);
    }
}

#[test]
fn a_catalogue_without_rules_of_its_own_is_given_those_of_the_program_and_keeps_them() {
    let mut own = rule_packs::load_all().unwrap();
    own.sort_by(|left, right| left.id.cmp(&right.id));
    let mut given = demo_edition().unwrap().wiring_rules;
    given.sort_by(|left, right| left.id.cmp(&right.id));
    assert_eq!(given, own);
}

#[test]
fn a_catalogue_with_a_file_of_rules_has_those_alone() {
    let only_one: Vec<_> = rule_packs::load_all()
        .unwrap()
        .into_iter()
        .filter(|rules| rules.id == "ie-is10101")
        .collect();
    let text = rule_packs::write_list(&only_one);
    let read = catalogue_files::read(&replaced(rule_packs::FILE, text.as_bytes())).unwrap();
    assert_eq!(read.wiring_rules, only_one);
    let marked = ["\u{feff}", &text].concat();
    let with_mark = catalogue_files::read(&replaced(rule_packs::FILE, marked.as_bytes())).unwrap();
    assert_eq!(with_mark.wiring_rules, only_one);
    let none = catalogue_files::read(&replaced(rule_packs::FILE, b"[]")).unwrap();
    assert_eq!(none.wiring_rules, Vec::new());
}

#[test]
fn a_file_of_rules_with_a_fault_names_the_pack_and_what_is_wrong() {
    let text = rule_packs::write_list(&rule_packs::load_all().unwrap());
    for (from, to, told) in [
        ("\"floor\"", "\"ceiling\"", "the rule pack gb-bs7671 says \"ceiling\" as plane_datum"),
        ("\"title\"", "\"tittle\"", "the rule pack gb-bs7671 could not be read"),
    ] {
        let fault = only(&replaced(rule_packs::FILE, text.replacen(from, to, 1).as_bytes()));
        assert_eq!(&*fault.file, rule_packs::FILE);
        assert!(fault.allowed.starts_with(told), "{fault}");
    }
    let fault = only(&replaced(rule_packs::FILE, &[b'[', 0xFF, b']']));
    assert!(fault.allowed.starts_with("the file is not UTF-8"), "{fault}");
}

/// Makes rules unsound.
type Spoil = fn(&mut WiringRules);

/// What is said of an edition whose British rules were spoilt.
async fn told(spoil: impl Fn(&mut WiringRules)) -> Vec<String> {
    let mut content = demo_edition().unwrap();
    let british = content.wiring_rules.iter_mut().find(|rules| rules.id == "gb-bs7671").unwrap();
    spoil(british);
    let database = Database::open_in_memory().await.unwrap();
    match save_edition(&database, &content, EditionState::Draft).await {
        Err(StoreError::Edition(faults)) => faults.0.iter().map(ToString::to_string).collect(),
        other => panic!("the edition was taken: {other:?}"),
    }
}

#[tokio::test]
async fn rules_that_are_not_sound_are_not_saved_and_every_fault_is_told() {
    let faults = told(|rules| {
        rules.valid_until = Some("2000-01-01".to_owned());
        rules.places.push("two words".to_owned());
        let regime = rules.regime.as_mut().unwrap();
        regime.plane_mm = -1;
        regime.zone2.width_mm = 20_001;
        regime.under_tool = Zone::Two;
        rules.rows[0].kinds.clear();
        rules.rows[1].zones.push(Zone::NotEstablished);
    })
    .await;
    insta::assert_snapshot!(faults.join("\n"), @r#"
    wiring rules gb-bs7671: below a bath is zone 1, hidden or outside, not "2"
    wiring rules gb-bs7671: row 0, from 0: it names no kind or no zone
    wiring rules gb-bs7671: row 1, from 0: nothing is ruled where the zone is not established
    wiring rules gb-bs7671: the figure -1 is not 0 to 20000
    wiring rules gb-bs7671: the figure 20001 is not 0 to 20000
    wiring rules gb-bs7671: the place "two words" is empty or has a space in it
    wiring rules gb-bs7671: they end on 2000-01-01, before they begin on 2022-03-28
    "#);
    let spoils: [(Spoil, &str); 5] = [
        (|rules| rules.rows.clear(), "figures of the zones and rows go together"),
        (|rules| rules.valid_from = Some("soon".to_owned()), "\"soon\" is no day"),
        (
            |rules| rules.id = "de-2025".to_owned(),
            "wiring rules de-2025 stand in the edition twice",
        ),
        (|rules| rules.id = "GB".to_owned(), "the id \"GB\" is not"),
        (
            |rules| rules.id = "gb-own".to_owned(),
            "market gb follows the wiring rules gb-bs7671, which the edition does not hold",
        ),
    ];
    for (spoil, sentence) in spoils {
        let told = told(spoil).await;
        assert!(told.iter().any(|fault| fault.contains(sentence)), "{sentence}: {told:?}");
    }
}

#[test]
fn an_edition_without_any_rules_is_sound_whatever_its_markets_name() {
    let mut content = demo_edition().unwrap();
    content.wiring_rules.clear();
    let edition = Edition::new(1, content);
    assert_eq!(edition.map(|edition| edition.wiring_rules().len()), Ok::<_, Vec<Fault>>(0));
    assert!(demo_files().keys().all(|name| name != rule_packs::FILE));
}

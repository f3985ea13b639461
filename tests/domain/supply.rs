//! Currents, fuses, flexes, voltage drop and duties against the shared tables, row by row.
#![expect(clippy::arithmetic_side_effects, reason = "the figures of the cases are small")]

use csv::StringRecord;
use rungwright::domain::supply;
use rungwright::domain::supply::Circuit;
use rungwright::domain::supply::Feed;
use rungwright::domain::supply::draw;
use rungwright::domain::supply::flex;
use rungwright::domain::supply::flex::FixedCable;
use rungwright::domain::supply::flex::FlexSize;
use rungwright::domain::supply::fuse;
use rungwright::domain::supply::fuse::Fuse;
use rungwright::domain::supply::fuse::FuseFault;
use rungwright::domain::supply::notification::Duty;
use rungwright::domain::supply::notification::Region;
use rungwright::domain::supply::notification::Site;
use rungwright::domain::supply::notification::Work;
use rungwright::domain::supply::notification::duty;
use rungwright::domain::supply::voltage_drop::Run;
use rungwright::domain::supply::voltage_drop::drop_of;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::zones::length::Length;
use rungwright::domain::zones::scene::Basin;
use rungwright::domain::zones::scene::Fixture;
use rungwright::domain::zones::scene::FixtureKind;
use rungwright::domain::zones::scene::Head;
use rungwright::domain::zones::scene::Outlet;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Rect;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::scene::Solid;
use rungwright::domain::zones::scene::UnderAccess;

use crate::drawing::pack;

fn rows(text: &str, count: usize) -> Vec<StringRecord> {
    let rows: Vec<_> =
        csv::Reader::from_reader(text.as_bytes()).into_records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), count);
    rows
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text:?} is no number"))
}

fn watts(text: &str) -> Deciwatts {
    Deciwatts::new(text.parse::<i64>().unwrap() * 10)
}

fn close(own: f64, written: &str, tolerance: f64, row: &StringRecord) {
    assert!((own - number(written)).abs() <= tolerance + 1e-9, "{own} is not {written}: {row:?}");
}

#[test]
fn every_power_row_has_its_currents_and_fuses() {
    for row in rows(include_str!("../fixtures/electrical/power_fuse.csv"), 18) {
        let rating = watts(&row[0]);
        close(draw(rating, supply::NOMINAL_V).current_a, &row[1], 0.0005, &row);
        close(draw(rating, supply::STATUTORY_HIGH_V).power_w, &row[2], 0.05, &row);
        close(draw(rating, supply::STATUTORY_LOW_V).power_w, &row[3], 0.05, &row);
        close(draw(rating, supply::CHARACTERISTIC_LOW_V).power_w, &row[4], 0.05, &row);
        close(draw(rating, supply::STATUTORY_HIGH_V).current_a, &row[5], 0.0005, &row);
        let written = |column: usize| Fuse::of(row[column].parse().unwrap());
        assert_eq!(fuse::smallest(rating, &fuse::PREFERRED), written(6), "{row:?} exact limit");
        assert_eq!(fuse::customary(rating), written(7), "{row:?} custom [S51]");
        assert_eq!(fuse::smallest(rating, &fuse::WITH_FIVE), written(8), "{row:?} with 5 A");
    }
}

#[test]
fn every_flex_carries_and_drops_what_the_tables_say() {
    let rows = rows(include_str!("../fixtures/electrical/flex.csv"), FlexSize::ALL.len());
    for (row, size) in rows.iter().zip(FlexSize::ALL) {
        assert_eq!(size.code(), &row[0]);
        assert_eq!(size.table_ampere().to_string(), row[1], "{row:?} 4F3A");
        if !row[3].is_empty() {
            assert_eq!(size.cord_ampere().to_string(), row[3], "{row:?} appliance cord");
        }
        assert_eq!(size.millivolts().to_string(), row[4], "{row:?} 4F3B");
    }
}

#[test]
fn every_pair_of_flex_and_fuse_is_judged_as_written() {
    for row in rows(include_str!("../fixtures/electrical/flex_fuse.csv"), 16) {
        let size = FlexSize::parse(&row[0]).unwrap();
        assert_eq!(size.cord_ampere().to_string(), row[1], "{row:?}");
        let fuse = Fuse::of(row[2].parse().unwrap()).unwrap();
        let expected = match &row[3] {
            "yes" => true,
            "no" => false,
            other => panic!("unknown answer {other:?}"),
        };
        assert_eq!(fuse::may_guard(fuse, size), expected, "{row:?}");
        // What a maker fits in a plug is the maker's word, which the choice takes over and still names.
        let feed = Feed { maker_fuse: Some(fuse), ..feed(500, Some(size)) };
        let choice = fuse::choose(&feed);
        assert_eq!((choice.chosen, choice.is_makers), (Some(fuse), true));
        assert_eq!(choice.faults == [FuseFault::AboveFlex], &row[4] != "yes", "{row:?}");
    }
}

fn feed(power_w: i64, flex: Option<FlexSize>) -> Feed {
    Feed {
        rating: Deciwatts::new(power_w * 10),
        flex,
        flex_length_mm: 1_500,
        maker_fuse: None,
        maker_fuse_max: None,
    }
}

#[test]
fn every_row_of_table_11_names_the_least_conductor() {
    for row in rows(include_str!("../fixtures/electrical/iec60335_1_table11.csv"), 5) {
        let most = row[0].split_once("..").unwrap().1.parse::<i64>().unwrap();
        let (long, short) = match &row[1] {
            // Half a square millimetre only up to 2 m; beyond, the next row's size.
            "0.5 (cord <=2 m only)" => ("0.75", "0.5"),
            "0.75" => ("0.75", "0.75"),
            "1.0 (0.75 if <=2 m)" => ("1.0", "0.75"),
            "1.5 (1.0 if <=2 m)" => ("1.5", "1.0"),
            "2.5" => ("2.5", "2.5"),
            other => panic!("unknown conductor {other:?}"),
        };
        let rating = Deciwatts::new(most * 2_300);
        assert_eq!(flex::least(rating, 2_001), FlexSize::parse(long), "{row:?}");
        assert_eq!(flex::least(rating, 2_000), FlexSize::parse(short), "{row:?}");
    }
    assert_eq!(flex::least(Deciwatts::new(25 * 2_300 + 1), 1_000), None);
}

#[test]
fn every_fixed_cable_carries_and_drops_what_the_table_says() {
    let rows =
        rows(include_str!("../fixtures/electrical/twin_and_earth_4D5.csv"), FixedCable::ALL.len());
    for (row, cable) in rows.iter().zip(FixedCable::ALL) {
        assert_eq!(cable.code(), &row[0]);
        let tenths = |text: &str| {
            let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
            format!("{whole}{fraction}").parse::<i64>().unwrap()
        };
        assert_eq!(cable.clipped_deciampere(), tenths(&row[5]), "{row:?} method C");
        assert_eq!(cable.insulated_deciampere(), tenths(&row[7]), "{row:?} method A");
        assert_eq!(cable.millivolts().to_string(), row[8], "{row:?}");
    }
}

fn run(text: &str) -> Run {
    let (millivolts, metres) = text.split_once("mV x ").unwrap();
    let metres = number(metres.strip_suffix('m').unwrap());
    let length_mm = format!("{:.0}", metres * 1000.0).parse().unwrap();
    Run { millivolts: millivolts.parse().unwrap(), length_mm }
}

#[test]
fn every_voltage_drop_case_has_its_volts_and_verdict() {
    for row in rows(include_str!("../fixtures/electrical/vdrop_cases.csv"), 6) {
        let rating = watts(&row[1]);
        close(draw(rating, supply::NOMINAL_V).current_a, &row[2], 0.00005, &row);
        let runs: Vec<_> = row[3].split("; ").map(run).collect();
        let drop = drop_of(&[(&runs, rating)]);
        close(drop.volts, &row[4], 0.0005, &row);
        close(drop.percent, &row[5], 0.0005, &row);
        let expected = match &row[6] {
            "pass" => true,
            "fail" => false,
            other => panic!("unknown verdict {other:?}"),
        };
        assert_eq!(drop.is_within_limit, expected, "{row:?} BS 7671 appendix 4");
    }
}

#[test]
fn every_notification_case_has_its_duty() {
    let basin = |mm: i64, z_mm: i32| Site {
        z_mm,
        head_mm: Some(2_000),
        from_basin: Some(Length::straight(mm * mm)),
        from_head: None,
    };
    let head = |mm: i64| Site {
        from_basin: None,
        from_head: Some(Length::straight(mm * mm)),
        ..basin(0, 1_000)
    };
    for row in rows(include_str!("../fixtures/electrical/notification_cases.csv"), 10) {
        let (work, site) = match &row[2] {
            "FCU 700 mm from bath, existing circuit" => (Work::Addition, Some(basin(700, 1_000))),
            "FCU 500 mm from bath, existing circuit" => (Work::Addition, Some(basin(500, 1_000))),
            "new circuit from board, any place"
            | "new circuit in dwelling"
            | "flat, new circuit" => (Work::NewCircuit, None),
            "replace existing rail, same connection point" => (Work::Replacement, None),
            "trayless: outlet plate 1100 mm from head" => (Work::Addition, Some(head(1_100))),
            "trayless: outlet plate 1300 mm from head" => (Work::Addition, Some(head(1_300))),
            "outlet at z 2400 over bath edge, head at 2000" => {
                (Work::Addition, Some(basin(0, 2_400)))
            }
            "FCU in bathroom outside zones" => (Work::Addition, Some(basin(900, 1_000))),
            other => panic!("unknown work {other:?}"),
        };
        let region = Region::parse(&row[1].to_lowercase()).unwrap();
        let expected = match &row[3] {
            "not_notifiable" => Duty::NotNotifiable,
            "notifiable" => Duty::Notifiable,
            "treat_as_notifiable" => Duty::TreatAsNotifiable,
            "restricted+certificate" => Duty::RestrictedWithCertificate,
            "check_warrant" => Duty::CheckWarrant,
            other => panic!("unknown duty {other:?}"),
        };
        let (answer, source) = duty(region, work, site.as_ref());
        assert_eq!(answer, expected, "{row:?} [{source}]");
    }
}

#[test]
fn exactly_690_w_takes_3_a_and_700_w_only_by_custom() {
    let choice = |power_w: i64| fuse::choose(&feed(power_w, Some(FlexSize::OneAndQuarter)));
    assert_eq!(choice(690).chosen, Some(Fuse::Three));
    let custom = choice(700);
    assert_eq!(
        (custom.exact, custom.customary, custom.chosen),
        (Some(Fuse::Thirteen), Some(Fuse::Three), Some(Fuse::Thirteen))
    );
    // A 0.75 mm2 flex carries 6 A: 13 A is too much, 5 A holds 800 W.
    let thin = fuse::choose(&feed(800, Some(FlexSize::ThreeQuarters)));
    assert_eq!((thin.chosen, thin.faults), (Some(Fuse::Five), vec![]));
}

#[test]
fn several_rails_share_one_circuit_and_germany_has_no_cartridge_fuse() {
    let cables = vec![Run { millivolts: 29, length_mm: 20_000 }];
    let rails = vec![feed(600, Some(FlexSize::One)), feed(1_000, None), feed(1_000, None)];
    let circuit = Circuit { rails, cables, device_a: Some(10) };
    let british = supply::feed(&circuit, &pack("gb-bs7671"));
    assert_eq!((british.breaker_least_a, british.is_device_enough), (Some(16), Some(false)));
    assert!(british.feeds.iter().all(|feed| feed.fuse.is_some()));
    assert_eq!(british.notices[0].code, "electrician-decides");
    let german = supply::feed(&circuit, &pack("de-2025"));
    assert!(german.feeds.iter().all(|feed| feed.fuse.is_none()));
    // Every rail adds to the drop in the cable they share: 2600 W over 20 m is 6.56 V.
    assert!(german.feeds.iter().all(|feed| 6.55 < feed.drop.volts));
}

#[test]
fn a_drawing_says_how_far_a_rail_is_from_the_bath_but_not_from_a_shower_head() {
    let at = Point::new;
    let basin = Basin {
        outline: Rect::new(at(0, 0), at(1_700, 700)),
        bottom_mm: 150,
        rim_mm: 560,
        under: UnderAccess::Tool,
    };
    let fixture = |kind| Fixture { id: "bath".to_owned(), kind };
    let scene = |fixtures: Vec<Fixture>| Scene {
        corners: vec![at(0, 0), at(4_000, 0), at(4_000, 4_000), at(0, 4_000)],
        ceiling_mm: 2_600,
        fixtures,
        outlets: Vec::new(),
        partitions: Vec::new(),
        openings: Vec::new(),
    };
    let with_bath = scene(vec![fixture(FixtureKind::Bath(basin))]);
    let is_special = |drawn: &Scene, [x, y]: [i32; 2], low_mm: i32| {
        let plan = Rect::new(at(x, y), at(x + 500, y + 100));
        let solid = Solid { plan, low_mm, high_mm: low_mm + 100 };
        Site::in_scene(drawn, &solid).map(|site| site.is_special_location())
    };
    // Straight over: at 600 mm the boundary belongs to it. Cornerwise 360 and 480 mm are 600 mm.
    assert_eq!(is_special(&with_bath, [600, 1_300], 600), Some(true));
    assert_eq!(is_special(&with_bath, [600, 1_301], 600), Some(false));
    assert_eq!(is_special(&with_bath, [2_060, 1_180], 600), Some(true));
    assert_eq!(is_special(&with_bath, [2_061, 1_180], 600), Some(false));
    // Above 2,250 mm it ends, unless a head is higher.
    assert_eq!(is_special(&with_bath, [600, 700], 2_250), Some(true));
    assert_eq!(is_special(&with_bath, [600, 700], 2_251), Some(false));
    let outlet = Outlet {
        at: at(0, 350),
        z_mm: 2_400,
        serves: "bath".to_owned(),
        is_fixed: true,
        head: Head::NotStated,
    };
    let high = Scene { outlets: vec![outlet], ..with_bath };
    assert_eq!(is_special(&high, [600, 700], 2_251), Some(true));
    assert_eq!(is_special(&scene(Vec::new()), [600, 700], 600), Some(false));
    assert_eq!(is_special(&scene(vec![fixture(FixtureKind::Trayless)]), [0, 3_800], 600), None);
}

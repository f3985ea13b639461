//! Mechanical fit: the rows of the verdict table that are not zones, and the worked examples of wall loading.

use rungwright::domain::mounting::Attachment;
use rungwright::domain::mounting::Burden;
use rungwright::domain::mounting::Finding;
use rungwright::domain::mounting::WallType;
use rungwright::domain::mounting::check_head_room;
use rungwright::domain::mounting::check_lowest_tube;
use rungwright::domain::mounting::check_surface;
use rungwright::domain::mounting::check_wall;
use rungwright::domain::mounting::short_flex_advice;

#[test]
fn the_rows_of_the_verdict_table_that_are_not_zones_hold() {
    let text = include_str!("../fixtures/electrical/placement_verdicts.csv");
    let mut seen = Vec::new();
    for row in csv::Reader::from_reader(text.as_bytes()).into_records().map(Result::unwrap) {
        let check = match &row[2] {
            "lowest heated rail 450 mm, very young children = yes" => {
                check_lowest_tube(450, Some(true))
            }
            "surface 60 C, vulnerable users = yes" => check_surface(Some(60.0), false),
            _ if &row[1] != "any" => continue,
            other => panic!("unknown item {other:?}"),
        };
        let expected = match &row[4] {
            "warn" => Finding::Warns,
            "refuse" => Finding::Refused,
            other => panic!("unknown verdict {other:?}"),
        };
        assert_eq!(check.finding, expected, "{row:?} [{}]", check.source);
        seen.push(row[0].to_owned());
    }
    assert_eq!(seen, ["R30", "R31"]);
}

#[test]
fn a_surface_nobody_knows_is_not_called_cool() {
    assert_eq!(check_surface(None, false).finding, Finding::NotEstablished);
    assert_eq!(check_surface(Some(43.0), false).finding, Finding::Holds);
    assert_eq!(check_surface(Some(60.0), true).finding, Finding::Holds);
}

#[test]
fn the_worked_examples_of_wall_loading_come_out() {
    // Masses of the reference figures (illustrative), the towels there being 3 kg and 4 kg in all.
    let towels_g = |dry_g: i64, fluid_g: i64, extra_g: i64| Burden {
        dry_g,
        fluid_g: fluid_g + extra_g,
        towels: 0,
        fixings: 4,
    };
    assert_eq!(towels_g(10_000, 6_200, 3_000).per_fixing_g(), 4_800);
    assert_eq!(towels_g(18_000, 11_300, 4_000).per_fixing_g(), 8_325);
}

#[test]
fn board_warns_above_twenty_kilograms_a_fixing_and_an_unknown_wall_asks_a_person() {
    let burden = |dry_g, fixings| Burden { dry_g, fluid_g: 0, towels: 0, fixings };
    assert_eq!(check_wall(&burden(80_000, 4), WallType::Board).finding, Finding::Holds);
    assert_eq!(check_wall(&burden(80_001, 4), WallType::Board).finding, Finding::Warns);
    assert_eq!(check_wall(&burden(80_001, 4), WallType::BoardWithBacking).finding, Finding::Holds);
    assert_eq!(check_wall(&burden(25_000, 4), WallType::Unknown).finding, Finding::Warns);
    assert_eq!(check_wall(&burden(25_001, 4), WallType::Unknown).finding, Finding::NotEstablished);
    assert_eq!(check_wall(&burden(1_000, 1), WallType::Masonry).finding, Finding::Refused);
}

#[test]
fn the_head_must_clear_the_floor() {
    assert_eq!(check_head_room(120, 120).finding, Finding::Holds);
    assert_eq!(check_head_room(119, 120).finding, Finding::Refused);
}

#[test]
fn a_short_flex_of_type_y_is_never_the_fitters_to_change() {
    assert_eq!(short_flex_advice(Some(Attachment::Y)).finding, Finding::Refused);
    assert_eq!(short_flex_advice(None).finding, Finding::NotEstablished);
}

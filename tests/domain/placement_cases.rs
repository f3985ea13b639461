//! The shared drawings: zone, distance and boundary of every point and box, case by case.
//!
//! The expectations were written by hand from IEC 60364-7-701 as adopted in BS 7671; no authority has confirmed them.
#![expect(clippy::arithmetic_side_effects, reason = "the figures of the cases are small")]

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use rungwright::domain::zones::Zone;
use rungwright::domain::zones::placement::Placement;
use rungwright::domain::zones::placement::Plan;
use rungwright::domain::zones::scene::Basin;
use rungwright::domain::zones::scene::Fixture;
use rungwright::domain::zones::scene::FixtureKind;
use rungwright::domain::zones::scene::Partition;
use rungwright::domain::zones::scene::PartitionKind;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Rect;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::scene::Solid;
use rungwright::domain::zones::scene::UnderAccess;
use rungwright::store::rule_packs;
use serde_json::Value;

use crate::drawing;
use crate::drawing::text;
use crate::drawing::wholes;

const SOURCE: &str =
    "hand-written from IEC 60364-7-701:2006 / BS 7671 section 701, interpretation of 701.32";

fn place(regime: &str, scene: &Scene, solid: &Solid) -> Placement {
    Plan::new(scene, &drawing::regime(regime)).place(solid)
}

/// The case's zone in our words: a room with no bath or shower is one to which the section does not apply.
fn expected_zone(scene: &Scene, word: &str) -> Zone {
    let has_water = scene.fixtures.iter().any(|fixture| match fixture.kind {
        FixtureKind::Bath(_) | FixtureKind::Tray(_) | FixtureKind::Trayless => true,
        FixtureKind::Washbasin(_) => false,
    });
    let zone = Zone::parse(word).unwrap_or_else(|| panic!("unknown zone {word:?}"));
    if zone == Zone::Outside && !has_water { Zone::NotApplicable } else { zone }
}

fn point_of(case: &Value) -> Solid {
    let [x, y, z] = wholes(&case["point_mm"]);
    Solid::of(Point::new(x, y), z)
}

fn point_cases() -> Vec<Value> {
    drawing::cases(include_str!("../fixtures/placement/point_cases.json"))
}

#[test]
fn every_point_case_has_its_zone_distance_and_boundary() {
    let cases = point_cases();
    assert_eq!(cases.len(), 34);
    for case in &cases {
        let scene = drawing::scene_of(text(case, "scene"));
        for regime in ["gb-bs7671", "iec-2006"] {
            let id = format!("{} {regime}: {} [{SOURCE}]", text(case, "id"), text(case, "reason"));
            let placement = place(regime, &scene, &point_of(case));
            assert_eq!(placement.zone, expected_zone(&scene, text(case, "expect")), "{id}");
            assert_eq!(Some(placement.on_boundary), case["on_boundary"].as_bool(), "{id}");
            check_distance(&placement, &case["plan_dist_mm"], &id);
        }
    }
}

fn check_distance(placement: &Placement, expected: &Value, id: &str) {
    let own = placement.path.as_ref().map(|path| path.length.mm());
    match (own, expected.as_f64()) {
        (Some(own), Some(expected)) => {
            assert!((own - expected).abs() <= 0.05 + 1e-9, "{own} mm: {id}");
        }
        (own, expected) => assert_eq!(own, expected, "{id}"),
    }
}

/// What the cases say of other countries, in the words of our packs. Every remark must be listed here.
fn other_regimes() -> BTreeMap<(&'static str, &'static str), Vec<(&'static str, Zone)>> {
    let all_de = |zone| vec![("de-2008", zone), ("de-2025", zone)];
    BTreeMap::from([
        (("Z05", "IEC_2006"), vec![("iec-2006", Zone::One)]),
        (("Z16", "UK_16"), vec![("gb-16th", Zone::Three)]),
        (("Z16", "FR"), vec![("fr-a5", Zone::Two)]),
        (("Z17", "UK_16"), vec![("gb-16th", Zone::Three)]),
        (("Z17", "IT"), vec![("it-cei64-8", Zone::Three)]),
        (("Z17", "ES"), vec![("es-itc-bt-27", Zone::Three)]),
        (("Z17", "AU_NZ"), vec![("au-nz-3000", Zone::Three)]),
        (("Z24", "DE"), all_de(Zone::Two)),
        (("Z24", "FR"), vec![("fr-a5", Zone::Two)]),
        (("Z29", "FR"), vec![("fr-a5", Zone::Two)]),
        (("Z32", "DE"), all_de(Zone::One)),
        // "0 only below 50 mm": the point is at 50, and boundaries belong to the stricter zone.
        (("Z32", "ES"), vec![("es-itc-bt-27", Zone::Zero)]),
        // An advice on hoses, no zone.
        (("Z43", "note"), vec![]),
        (("Z52", "AU_NZ"), vec![("au-nz-3000", Zone::Two)]),
    ])
}

#[test]
fn every_remark_on_another_country_holds_under_its_pack() {
    let mut known = other_regimes();
    let cases = point_cases();
    for case in &cases {
        let scene = drawing::scene_of(text(case, "scene"));
        for (country, remark) in case["other_regimes"].as_object().into_iter().flatten() {
            let id = text(case, "id");
            let expected = known
                .remove(&(id, country.as_str()))
                .unwrap_or_else(|| panic!("{id}: no expectation written for {country}: {remark}"));
            for (pack, zone) in expected {
                let placement = place(pack, &scene, &point_of(case));
                assert_eq!(placement.zone, zone, "{id} {pack}: {remark} [{SOURCE}]");
            }
        }
    }
    assert!(known.is_empty(), "{known:?}");
}

#[test]
fn the_lowest_layer_of_a_german_trayless_shower_asks_for_immersion() {
    let scene = drawing::scene_of("W1");
    for (height, immersion) in [(50, true), (100, true), (101, false)] {
        let solid = Solid::of(Point::new(1000, 1000), height);
        assert_eq!(
            place("de-2008", &scene, &solid).spot.immersion,
            immersion,
            "{height} mm, Z32 DE"
        );
        assert!(!place("iec-2006", &scene, &solid).spot.immersion, "{height} mm");
    }
}

#[test]
fn every_box_case_has_its_worst_zone_and_the_zones_it_touches() {
    let cases = drawing::cases(include_str!("../fixtures/placement/box_cases.json"));
    assert_eq!(cases.len(), 4);
    for case in &cases {
        let scene = drawing::scene_of(text(case, "scene"));
        let [x0, y0, z0] = wholes(&case["min_mm"]);
        let [x1, y1, z1] = wholes(&case["max_mm"]);
        let plan = Rect::new(Point::new(x0, y0), Point::new(x1, y1));
        let id = format!("{}: {} [{SOURCE}]", text(case, "id"), text(case, "reason"));
        let worst = place("gb-bs7671", &scene, &Solid { plan, low_mm: z0, high_mm: z1 });
        assert_eq!(worst.zone.code(), text(case, "expect_worst"), "{id}");
        let corners = plan.corners().into_iter().flat_map(|corner| [(corner, z0), (corner, z1)]);
        let touched: BTreeSet<_> = corners
            .map(|(corner, z)| place("gb-bs7671", &scene, &Solid::of(corner, z)).zone)
            .chain([worst.zone])
            .map(Zone::code)
            .collect();
        let expected: BTreeSet<_> =
            case["zones_touched"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        assert_eq!(touched, expected, "{id}");
    }
}

/// A low partition on the edge of a tray that ends where the partition ends, in a long room.
fn string_scene(case: &Value) -> (Scene, Solid) {
    let number = |key: &str| drawing::whole(&case[key]);
    let end_mm = number("to_free_end_mm") + 100;
    let outline = Rect::new(Point::new(0, 0), Point::new(900, end_mm));
    let tray = Basin { outline, bottom_mm: 20, rim_mm: 80, under: UnderAccess::Tool };
    let room = Rect::new(Point::new(0, 0), Point::new(6000, end_mm + 3000));
    let scene = Scene {
        corners: room.corners().to_vec(),
        ceiling_mm: 2600,
        fixtures: vec![Fixture { id: "tray".to_owned(), kind: FixtureKind::Tray(tray) }],
        outlets: Vec::new(),
        partitions: vec![Partition {
            a: Point::new(900, 0),
            b: Point::new(900, end_mm),
            ends_joined: [true, false],
            top_mm: number("partition_top_mm"),
            is_fixed: true,
            is_floor_joined: true,
            kind: PartitionKind::GlassPanel,
        }],
        openings: Vec::new(),
    };
    (scene, Solid::of(Point::new(900 + number("beyond_mm"), 100), number("z_mm")))
}

#[test]
fn every_string_case_has_its_length_and_zone_in_germany_and_britain() {
    let cases = drawing::cases(include_str!("../fixtures/placement/de_string_cases.json"));
    assert_eq!(cases.len(), 4);
    for case in &cases {
        let (scene, solid) = string_scene(case);
        let id = format!("{} [DIN VDE 0100-701, string rule, interpretation]", text(case, "id"));
        for pack in ["de-2008", "de-2025"] {
            let placement = place(pack, &scene, &solid);
            assert_eq!(placement.zone.code(), text(case, "expect_DE"), "{id} {pack}");
            check_distance(&placement, &case["string_mm"], &id);
        }
        let british = place("gb-bs7671", &scene, &solid);
        assert_eq!(british.zone.code(), text(case, "expect_UK_policy"), "{id}");
    }
}

/// A tray in a corner behind two low panes that meet, and a thing beyond one of them.
fn two_panes(item: (i32, i32, i32)) -> Placement {
    let outline = Rect::new(Point::new(0, 0), Point::new(900, 900));
    let tray = Basin { outline, bottom_mm: 20, rim_mm: 80, under: UnderAccess::Tool };
    let pane = |a, b, ends_joined| Partition {
        a,
        b,
        ends_joined,
        top_mm: 2000,
        is_fixed: true,
        is_floor_joined: true,
        kind: PartitionKind::GlassPanel,
    };
    let corner = Point::new(900, 900);
    let scene = Scene {
        corners: Rect::new(Point::new(0, 0), Point::new(4000, 4000)).corners().to_vec(),
        ceiling_mm: 2600,
        fixtures: vec![Fixture { id: "tray".to_owned(), kind: FixtureKind::Tray(tray) }],
        outlets: Vec::new(),
        partitions: vec![
            pane(Point::new(900, 0), corner, [true, true]),
            pane(corner, Point::new(300, 900), [true, false]),
        ],
        openings: Vec::new(),
    };
    let (x, y, z) = item;
    place("de-2025", &scene, &Solid::of(Point::new(x, y), z))
}

#[test]
fn past_two_low_panes_the_string_over_the_one_in_the_way_is_sure() {
    // Straight over the first pane, 250 mm above the thing: hypot(200, 500) mm, as in the case with one pane.
    let placement = two_panes((1100, 400, 1500));
    assert_eq!((placement.zone, placement.unclear), (Zone::Two, None));
    assert!((placement.path.unwrap().length.mm() - 538.516).abs() < 0.001);
    // Low down the string is longer than zone 2 is wide, over or round.
    assert_eq!(two_panes((1100, 300, 300)).zone, Zone::Outside);
}

#[test]
fn where_the_bounds_of_a_string_past_two_panes_are_of_different_zones_nothing_is_established() {
    let placement = two_panes((1000, 1000, 1800));
    assert_eq!(placement.zone, Zone::NotEstablished, "{placement:?}");
    assert!(placement.unclear.unwrap().contains("between two bounds"), "{placement:?}");
}

#[test]
fn a_closed_cubicle_leaves_no_way_out_but_round_its_outside() {
    let scene = drawing::scene_of("T6");
    let placement = place("gb-bs7671", &scene, &Solid::of(Point::new(1100, 450), 1500));
    assert_eq!(placement.zone, Zone::Outside);
    assert_eq!(placement.path, None);
}

#[test]
fn a_wall_from_wall_to_wall_keeps_the_shower_out() {
    let scene = drawing::scene_of("W6");
    let placement = place("gb-bs7671", &scene, &Solid::of(Point::new(400, 1800), 1500));
    assert_eq!(placement.zone, Zone::Outside);
}

fn mirrored(scene: &Scene) -> Scene {
    let flip = |point: Point| Point::new(point.y_mm, point.x_mm);
    let flip_rect = |rect: Rect| Rect::new(flip(rect.min), flip(rect.max));
    let mut scene = scene.clone();
    scene.corners.iter_mut().for_each(|corner| *corner = flip(*corner));
    scene.outlets.iter_mut().for_each(|outlet| outlet.at = flip(outlet.at));
    scene.partitions.iter_mut().for_each(|part| (part.a, part.b) = (flip(part.b), flip(part.a)));
    for fixture in &mut scene.fixtures {
        match &mut fixture.kind {
            FixtureKind::Bath(basin) | FixtureKind::Tray(basin) => {
                basin.outline = flip_rect(basin.outline);
            }
            FixtureKind::Washbasin(washbasin) => washbasin.outline = flip_rect(washbasin.outline),
            FixtureKind::Trayless => {}
        }
    }
    scene
}

#[test]
fn a_mirrored_drawing_has_the_same_zones_and_lengths_in_every_country() {
    for rules in rule_packs::load_all().unwrap() {
        let Some(regime) = &rules.regime else { continue };
        for case in point_cases() {
            let scene = drawing::scene_of(text(&case, "scene"));
            let solid = point_of(&case);
            let Point { x_mm, y_mm } = solid.plan.min;
            let own = Plan::new(&scene, regime).place(&solid);
            let other = Plan::new(&mirrored(&scene), regime)
                .place(&Solid::of(Point::new(y_mm, x_mm), solid.low_mm));
            assert_eq!(
                (own.zone, own.on_boundary),
                (other.zone, other.on_boundary),
                "{} {case}",
                rules.id
            );
            let mm = |placement: &Placement| {
                placement.path.as_ref().map_or(-1.0, |path| path.length.mm())
            };
            assert!((mm(&own) - mm(&other)).abs() < 1e-6, "{} {case}", rules.id);
        }
    }
}

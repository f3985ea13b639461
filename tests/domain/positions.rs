//! The best places on the walls.

use rungwright::domain::ip_code::IpCode;
use rungwright::domain::positions;
use rungwright::domain::positions::Hanging;
use rungwright::domain::positions::POSITIONS_MAX;
use rungwright::domain::positions::Positions;
use rungwright::domain::positions::Survey;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::scene::Opening;
use rungwright::domain::zones::scene::OpeningKind;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Rect;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::validity;
use rungwright::domain::zones::verdict::Connection;
use rungwright::domain::zones::verdict::Equipment;
use rungwright::domain::zones::verdict::Outcome;
use rungwright::domain::zones::verdict::Residual;

use crate::drawing;

fn hanging() -> Hanging {
    Hanging {
        width_mm: 500,
        height_mm: 1_200,
        depth_mm: 100,
        head_length_mm: 120,
        lowest_heated_mm: 60,
        flex_length_mm: 1_200,
        equipment: Equipment {
            ip: IpCode::parse("IP44").ok(),
            class: Some(ProtectionClass::I),
            declared_zones: Some(vec![Zone::Two]),
            connection: Connection::Permanent,
            residual: Residual::Protected,
            ..Equipment::unknown(EquipmentKind::Rail)
        },
        young_children: Some(true),
        port: None,
    }
}

fn door(from: (i32, i32), to: (i32, i32), swept: Option<Rect>) -> Opening {
    Opening {
        kind: OpeningKind::Door,
        a: Point::new(from.0, from.1),
        b: Point::new(to.0, to.1),
        low_mm: 0,
        high_mm: 2_000,
        swept,
    }
}

fn best(scene: &Scene, pack: &str, hanging: &Hanging) -> Positions {
    assert_eq!(validity::faults(scene), []);
    let rules = drawing::pack(pack);
    let found = positions::best(scene, &rules, hanging);
    // The best place alone is the first of the best, however much was found out about the room before.
    let survey = Survey::new(scene, &rules);
    for _time in 0..2 {
        assert_eq!(survey.first(hanging, None).as_ref(), found.best.first());
        assert_eq!(survey.best(hanging, None), found);
    }
    found
}

#[test]
fn places_outside_the_zones_come_first_and_every_one_is_allowed_and_right() {
    let scene = drawing::scene_of("B1");
    let answer = best(&scene, "gb-bs7671", &hanging());
    assert!(2 <= answer.best.len() && answer.best.len() <= POSITIONS_MAX);
    assert_eq!(answer.best[0].placement.zone, Zone::Outside);
    let zones: Vec<_> = answer.best.iter().map(|position| position.placement.zone).collect();
    assert!(zones.is_sorted_by(|one, other| other <= one), "{zones:?}");
    for position in &answer.best {
        assert_eq!(validity::solid_faults("", &position.solid, &scene), []);
        assert_eq!(position.verdict.outcome, Outcome::Allowed);
        assert_eq!(position.bottom_mm + hanging().lowest_heated_mm, 600, "children are about");
        assert!(position.unit.unwrap().flex_needed_mm <= 1_200);
    }
    assert_eq!(answer.notices[0].code, "electrician-decides");
    assert_eq!(
        best(&scene, "gb-bs7671", &hanging()),
        answer,
        "the same question has the same answer"
    );
}

#[test]
fn every_wall_without_a_place_says_why() {
    // 900 mm deep, a bath on one long wall: the short walls hold 500 mm only beside the bath.
    let scene = drawing::scene_of("E2");
    let wide = Hanging { width_mm: 1_000, ..hanging() };
    let answer = best(&scene, "gb-bs7671", &wide);
    let short: Vec<_> = answer
        .refused
        .iter()
        .filter(|refusal| refusal.reasons.contains_key("wall-too-narrow"))
        .collect();
    assert_eq!(short.len(), 2, "{:?}", answer.refused);
    assert!(answer.refused.iter().all(|refusal| !refusal.reasons.is_empty()));
}

#[test]
fn doors_their_swing_and_windows_are_kept_clear() {
    let mut scene = drawing::scene_of("B1");
    scene.openings.push(door(
        (3000, 900),
        (3000, 2300),
        Some(Rect::new(Point::new(2000, 900), Point::new(3000, 2300))),
    ));
    let swept = Rect::new(Point::new(2000, 900), Point::new(3000, 2300));
    for position in best(&scene, "gb-bs7671", &hanging()).best {
        let plan = position.solid.plan;
        let apart = plan.max.x_mm <= swept.min.x_mm
            || plan.max.y_mm <= swept.min.y_mm
            || swept.max.y_mm <= plan.min.y_mm;
        assert!(apart, "{position:?}");
    }
}

#[test]
fn a_flex_that_reaches_no_unit_outside_the_zones_leaves_no_place() {
    let short = Hanging { flex_length_mm: 150, ..hanging() };
    let answer = best(&drawing::scene_of("B1"), "gb-bs7671", &short);
    assert_eq!(answer.best, []);
    assert!(
        answer
            .refused
            .iter()
            .any(|refusal| refusal.reasons.contains_key("connection-unit-out-of-reach"))
    );
}

#[test]
fn a_country_without_figures_proposes_nothing_and_one_with_units_outside_says_none() {
    let scene = drawing::scene_of("B1");
    let belgian = best(&scene, "be-arei", &hanging());
    assert_eq!((belgian.best.len(), belgian.refused.len()), (0, 4));
    assert!(
        belgian.refused.iter().all(|refusal| refusal.reasons.contains_key("rules-not-established"))
    );
    let irish = best(&scene, "ie-is10101", &hanging());
    assert!(!irish.best.is_empty() && irish.best.iter().all(|position| position.unit.is_none()));
}

#[test]
fn a_room_too_low_for_the_body_says_so_on_every_wall() {
    let tall = Hanging { height_mm: 1_800, ..hanging() };
    let answer = best(&drawing::scene_of("B1"), "gb-bs7671", &tall);
    assert!(answer.best.is_empty());
    assert!(answer.refused.iter().all(|refusal| refusal.reasons.contains_key("too-high-for-room")));
}

//! Drawings that cannot be, and laws of the placement engine.

use rungwright::domain::zones::Zone;
use rungwright::domain::zones::placement::Plan;
use rungwright::domain::zones::scene::Partition;
use rungwright::domain::zones::scene::PartitionKind;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Rect;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::scene::Solid;
use rungwright::domain::zones::validity;
use rungwright::domain::zones::validity::PARTITIONS_MAX;

use crate::drawing;

fn codes(scene: &Scene) -> Vec<(String, &'static str)> {
    validity::faults(scene).into_iter().map(|fault| (fault.pointer, fault.code)).collect()
}

fn check(change: impl FnOnce(&mut Scene), expected: &[(&str, &str)]) {
    let mut scene = drawing::scene_of("T2");
    change(&mut scene);
    let found = codes(&scene);
    let found: Vec<_> = found.iter().map(|(pointer, code)| (pointer.as_str(), *code)).collect();
    assert_eq!(found, expected);
}

fn panel(from: (i32, i32), to: (i32, i32)) -> Partition {
    Partition {
        a: Point::new(from.0, from.1),
        b: Point::new(to.0, to.1),
        ends_joined: [false, false],
        top_mm: 2300,
        is_fixed: true,
        is_floor_joined: true,
        kind: PartitionKind::GlassPanel,
    }
}

#[test]
fn every_shared_drawing_makes_sense() {
    for (id, scene) in drawing::scenes() {
        assert_eq!(codes(&scene), [], "{id}");
    }
}

#[test]
fn a_room_that_crosses_itself_is_named() {
    check(|scene| scene.corners.swap(1, 2), &[("/room", "room-crosses-itself")]);
    check(|scene| scene.corners.truncate(2), &[("/room", "room-too-few-corners")]);
    let spike = |scene: &mut Scene| scene.corners.insert(1, Point::new(9000, 0));
    check(spike, &[("/room", "room-crosses-itself"); 2]);
}

#[test]
fn every_fault_is_collected_not_the_first_alone() {
    check(
        |scene| {
            scene.outlets[0].at = Point::new(-50, 450);
            scene.outlets[0].z_mm = 2500;
            scene.outlets[0].serves = "sink".to_owned();
            scene.partitions[0].a = Point::new(450, 0);
            scene.partitions.push(panel((2900, 1000), (3100, 1000)));
        },
        &[
            ("/outlets/0", "height-above-ceiling"),
            ("/outlets/0", "outlet-in-wall"),
            ("/outlets/0/serves", "outlet-serves-nothing"),
            ("/partitions/0", "partition-through-fixture"),
            ("/partitions/1", "partition-outside-room"),
        ],
    );
}

#[test]
fn a_partition_said_to_be_joined_must_touch_something() {
    check(
        |scene| scene.partitions[0].a = Point::new(900, 8),
        &[("/partitions/0", "partition-end-not-joined")],
    );
}

#[test]
fn ten_thousand_partitions_are_told_at_once() {
    let many = |scene: &mut Scene| scene.partitions = vec![panel((1000, 1), (1000, 2)); 10_000];
    check(many, &[("/partitions", "too-many-parts")]);
    let most =
        |scene: &mut Scene| scene.partitions = vec![panel((1000, 1), (1000, 2)); PARTITIONS_MAX];
    check(most, &[]);
}

#[test]
fn a_thing_partly_behind_a_wall_or_above_the_ceiling_is_named() {
    let scene = drawing::scene_of("T2");
    let solid = |from: (i32, i32), to: (i32, i32), heights: (i32, i32)| Solid {
        plan: Rect::new(Point::new(from.0, from.1), Point::new(to.0, to.1)),
        low_mm: heights.0,
        high_mm: heights.1,
    };
    let found = |thing: &Solid| -> Vec<_> {
        validity::solid_faults("/items/0", thing, &scene)
            .into_iter()
            .map(|fault| fault.code)
            .collect()
    };
    assert_eq!(found(&solid((2900, 900), (3100, 1000), (600, 1400))), ["item-partly-behind-wall"]);
    assert_eq!(
        found(&solid((800, 100), (1100, 200), (600, 2500))),
        ["height-above-ceiling", "item-across-partition"]
    );
    assert_eq!(found(&solid((900, 100), (1000, 500), (600, 1400))), [""; 0]);
}

fn zone_at(scene: &Scene, point: (i32, i32)) -> Zone {
    let plan = Plan::new(scene, &drawing::regime("gb-bs7671"));
    plan.place(&Solid::of(Point::new(point.0, point.1), 1500)).zone
}

#[test]
fn the_far_corner_of_an_l_shaped_room_is_reached_round_its_inner_corner() {
    let mut scene = drawing::scene_of("W1");
    // The outlet is at (0, 1000); a notch with its corner at (700, 1200) takes the upper right of the room.
    let l_shape = [(0, 0), (3000, 0), (3000, 1200), (700, 1200), (700, 2500), (0, 2500)];
    scene.corners = l_shape.map(|(x, y)| Point::new(x, y)).to_vec();
    assert_eq!(codes(&scene), []);
    let plan = Plan::new(&scene, &drawing::regime("gb-bs7671"));
    let placement = plan.place(&Solid::of(Point::new(1100, 1200), 1500));
    assert_eq!((placement.zone, placement.path.unwrap().points.len()), (Zone::One, 2));
    // Behind the notch's corner there is no room: the straight line of 1063 mm would pass through the wall.
    assert_eq!(zone_at(&scene, (700, 2100)), Zone::Outside);
    assert_eq!(zone_at(&scene, (700, 1900)), Zone::One);
}

#[test]
fn a_path_bends_round_the_outer_corner_of_two_joined_panels() {
    let mut scene = drawing::scene_of("W1");
    scene.partitions = vec![panel((0, 1300), (400, 1300)), panel((400, 1300), (400, 1600))];
    // From (0, 1000): 500 mm to the free corner (400, 1300), then behind the second panel.
    let plan = Plan::new(&scene, &drawing::regime("gb-bs7671"));
    let behind = plan.place(&Solid::of(Point::new(300, 1400), 1500)).path.unwrap();
    let expected =
        [(0, 1000), (400, 1300), (400, 1600), (300, 1400)].map(|(x, y)| Point::new(x, y));
    assert_eq!(behind.points, expected);
    assert!((behind.length.mm() - (500.0 + 300.0 + 100.0_f64.hypot(200.0))).abs() < 1e-9);
}

#[test]
fn a_thing_on_the_outer_face_of_a_panel_is_not_in_the_tray() {
    let scene = drawing::scene_of("T2");
    let plan = Plan::new(&scene, &drawing::regime("gb-bs7671"));
    let on_face = |from: (i32, i32), to: (i32, i32)| {
        let rect = Rect::new(Point::new(from.0, from.1), Point::new(to.0, to.1));
        plan.place(&Solid { plan: rect, low_mm: 600, high_mm: 1400 })
    };
    let outer = on_face((900, 100), (980, 500));
    assert_eq!(outer.zone, Zone::Two, "400 mm round the free end");
    assert!((outer.path.unwrap().length.mm() - 400.0).abs() < 1e-9);
    assert_eq!(on_face((820, 100), (900, 500)).zone, Zone::One);
    assert_eq!(on_face((900, 0), (980, 299)).zone, Zone::Outside, "601 mm round the free end");
}

#[test]
fn a_shower_without_a_fixed_outlet_leaves_the_zone_open() {
    let mut scene = drawing::scene_of("W1");
    scene.outlets[0].is_fixed = false;
    assert_eq!(zone_at(&scene, (1000, 1000)), Zone::NotEstablished);
}

#[test]
fn behind_a_wall_is_outside_and_said_to_be_so() {
    let scene = drawing::scene_of("E1");
    let plan = Plan::new(&scene, &drawing::regime("gb-bs7671"));
    let beyond = plan.place(&Solid::of(Point::new(3200, 300), 1500));
    assert_eq!((beyond.zone, beyond.spot.in_room, beyond.path), (Zone::Outside, false, None));
}

//! Whether a drawing makes sense: every fault is collected, each at its place in the drawing.
//!
//! Absent here: zones. A drawing without faults is compiled by `placement`.

use std::collections::BTreeSet;

use crate::domain::fault::Fault;
use crate::domain::units::ROOM_HEIGHT_MM;
use crate::domain::zones::plane;
use crate::domain::zones::plane::COORDINATE_MAX_MM;
use crate::domain::zones::plane::Direction;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::scene::Basin;
use crate::domain::zones::scene::Fixture;
use crate::domain::zones::scene::FixtureKind;
use crate::domain::zones::scene::Opening;
use crate::domain::zones::scene::Outlet;
use crate::domain::zones::scene::Partition;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;

/// Heights are measured from the finished floor.
const FLOOR_MM: i32 = 0;

/// Fewest corners of a room.
pub const CORNERS_MIN: usize = 3;
/// Most corners of a room.
pub const CORNERS_MAX: usize = 32;
/// Most fixtures of a room.
pub const FIXTURES_MAX: usize = 16;
/// Most outlets of a room.
pub const OUTLETS_MAX: usize = 32;
/// Most partitions of a room.
pub const PARTITIONS_MAX: usize = 24;
/// Most doors and windows of a room.
pub const OPENINGS_MAX: usize = 24;

/// Every fault of a drawing, in the order of its fields; none when it makes sense.
///
/// Counts beyond their limit are told alone: the parts of such a drawing are not looked at.
pub fn faults(scene: &Scene) -> Vec<Fault> {
    let counts = count_faults(scene);
    if !counts.is_empty() {
        return counts;
    }
    let outline = outline_faults(&scene.corners);
    if !outline.is_empty() {
        return outline;
    }
    let room = Room::new(&scene.corners);
    let ceiling = Fault::of_range("", &ROOM_HEIGHT_MM, f64::from(scene.ceiling_mm));
    let mut faults: Vec<_> = ceiling.into_iter().collect();
    let mut names = BTreeSet::new();
    for (index, fixture) in scene.fixtures.iter().enumerate() {
        let at = format!("/fixtures/{index}");
        if !names.insert(fixture.id.as_str()) {
            let text = format!("another fixture is already named {:?}", fixture.id);
            faults.push(Fault::new(format!("{at}/id"), "fixture-named-twice", text));
        }
        faults.extend(fixture_faults(&at, fixture, &room, scene.ceiling_mm));
    }
    for (index, outlet) in scene.outlets.iter().enumerate() {
        faults.extend(outlet_faults(&format!("/outlets/{index}"), outlet, &room, scene));
    }
    for (index, partition) in scene.partitions.iter().enumerate() {
        faults.extend(partition_faults(&format!("/partitions/{index}"), partition, &room, scene));
    }
    for (index, opening) in scene.openings.iter().enumerate() {
        faults.extend(opening_faults(
            &format!("/openings/{index}"),
            opening,
            &room,
            scene.ceiling_mm,
        ));
    }
    faults
}

/// Every fault of a thing that is to be placed in a right drawing.
pub fn solid_faults(at: &str, solid: &Solid, scene: &Scene) -> Vec<Fault> {
    let room = Room::new(&scene.corners);
    let corners = solid.plan.corners();
    if corners.iter().any(|corner| is_far(*corner)) {
        return vec![far_fault(at)];
    }
    let mut faults = height_faults(at, (solid.low_mm, solid.high_mm), scene.ceiling_mm);
    let outside = corners.iter().filter(|corner| !room.holds(**corner)).count();
    let is_whole = room.holds_rect(&solid.plan);
    if !is_whole && outside < corners.len() {
        let text = "part of it lies behind a wall".to_owned();
        faults.push(Fault::new(at, "item-partly-behind-wall", text));
    }
    for (index, partition) in scene.partitions.iter().enumerate() {
        if plane::enters(&solid.plan, (partition.a, partition.b)) {
            let text = format!("partition {index} runs through it");
            faults.push(Fault::new(at, "item-across-partition", text));
        }
    }
    faults
}

fn count_faults(scene: &Scene) -> Vec<Fault> {
    [
        ("/room", "room-corners", scene.corners.len(), CORNERS_MAX),
        ("/fixtures", "fixtures", scene.fixtures.len(), FIXTURES_MAX),
        ("/outlets", "outlets", scene.outlets.len(), OUTLETS_MAX),
        ("/partitions", "partitions", scene.partitions.len(), PARTITIONS_MAX),
        ("/openings", "openings", scene.openings.len(), OPENINGS_MAX),
    ]
    .into_iter()
    .filter(|(_at, _what, count, most)| most < count)
    .map(|(at, what, count, most)| {
        Fault::new(
            at,
            "too-many-parts",
            format!("there are {count} {what}, allowed are at most {most}"),
        )
    })
    .collect()
}

fn outline_faults(corners: &[Point]) -> Vec<Fault> {
    if corners.len() < CORNERS_MIN {
        let text =
            format!("a room has at least {CORNERS_MIN} corners, there are {}", corners.len());
        return vec![Fault::new("/room", "room-too-few-corners", text)];
    }
    if corners.iter().any(|corner| is_far(*corner)) {
        return vec![far_fault("/room")];
    }
    let walls: Vec<_> = plane::edges(corners).collect();
    let mut faults = Vec::new();
    for (index, wall) in walls.iter().enumerate() {
        if wall.0 == wall.1 {
            let text = format!("corner {index} stands twice in a row");
            faults.push(Fault::new("/room", "room-corner-twice", text));
        }
        for (other_index, other) in walls.iter().enumerate().skip(index.saturating_add(1)) {
            if clashes(*wall, *other) {
                let text =
                    format!("wall {index} meets wall {other_index} where they are no neighbours");
                faults.push(Fault::new("/room", "room-crosses-itself", text));
            }
        }
    }
    if faults.is_empty() && plane::doubled_area(corners) == 0 {
        faults.push(Fault::new("/room", "room-without-area", "the room has no area".to_owned()));
    }
    faults
}

/// Whether two walls have more in common than the corner of neighbours.
fn clashes(one: Segment, other: Segment) -> bool {
    let shared = if one.1 == other.0 {
        Some((one.0, one.1, other.1))
    } else if other.1 == one.0 {
        Some((other.0, other.1, one.1))
    } else {
        None
    };
    match shared {
        // Neighbours clash when the second folds back over the first.
        Some((before, at, after)) => {
            plane::is_on(after, (before, at)) && after != at
                || plane::is_on(before, (at, after)) && before != at
        }
        None => plane::meet(one, other),
    }
}

fn is_far(point: Point) -> bool {
    let limit = COORDINATE_MAX_MM.unsigned_abs();
    limit < point.x_mm.unsigned_abs() || limit < point.y_mm.unsigned_abs()
}

fn far_fault(at: &str) -> Fault {
    let text = format!("a coordinate is beyond {COORDINATE_MAX_MM} mm");
    Fault::new(at, "coordinate-too-large", text)
}

fn height_faults(at: &str, (low_mm, high_mm): (i32, i32), ceiling_mm: i32) -> Vec<Fault> {
    let mut faults = Vec::new();
    if low_mm < FLOOR_MM {
        let text = format!("its lower edge is {low_mm} mm, below the finished floor");
        faults.push(Fault::new(at, "height-below-floor", text));
    }
    if high_mm < low_mm {
        let text = format!("its upper edge at {high_mm} mm is below its lower edge at {low_mm} mm");
        faults.push(Fault::new(at, "heights-reversed", text));
    }
    if ceiling_mm < high_mm {
        let text = format!("it reaches {high_mm} mm, the ceiling is at {ceiling_mm} mm");
        faults.push(Fault::new(at, "height-above-ceiling", text));
    }
    faults
}

fn fixture_faults(at: &str, fixture: &Fixture, room: &Room, ceiling_mm: i32) -> Vec<Fault> {
    let mut faults = Vec::new();
    if let Some(outline) = fixture.kind.outline() {
        faults.extend(outline_in_room(at, &outline, room));
    }
    match fixture.kind {
        FixtureKind::Bath(Basin { bottom_mm, rim_mm, .. })
        | FixtureKind::Tray(Basin { bottom_mm, rim_mm, .. }) => {
            faults.extend(height_faults(at, (bottom_mm, rim_mm), ceiling_mm));
        }
        FixtureKind::Washbasin(washbasin) => {
            let rim_mm = washbasin.rim_mm.unwrap_or_default();
            faults.extend(height_faults(at, (FLOOR_MM, rim_mm), ceiling_mm));
        }
        FixtureKind::Trayless => {}
    }
    faults
}

fn outline_in_room(at: &str, outline: &Rect, room: &Room) -> Option<Fault> {
    if outline.corners().iter().any(|corner| is_far(*corner)) {
        return Some(far_fault(at));
    }
    if !outline.has_area() {
        return Some(Fault::new(at, "fixture-without-area", "it covers no area".to_owned()));
    }
    let text = "it is not wholly inside the room".to_owned();
    (!room.holds_rect(outline)).then(|| Fault::new(at, "fixture-outside-room", text))
}

fn outlet_faults(at: &str, outlet: &Outlet, room: &Room, scene: &Scene) -> Vec<Fault> {
    let mut faults = height_faults(at, (outlet.z_mm, outlet.z_mm), scene.ceiling_mm);
    if is_far(outlet.at) {
        faults.push(far_fault(at));
    } else if !room.holds(outlet.at) {
        let text = "it lies in a wall or behind it".to_owned();
        faults.push(Fault::new(at, "outlet-in-wall", text));
    }
    if !scene.fixtures.iter().any(|fixture| fixture.id == outlet.serves) {
        let text = format!("there is no fixture named {:?}", outlet.serves);
        faults.push(Fault::new(format!("{at}/serves"), "outlet-serves-nothing", text));
    }
    faults
}

fn partition_faults(at: &str, partition: &Partition, room: &Room, scene: &Scene) -> Vec<Fault> {
    let mut faults = height_faults(at, (FLOOR_MM, partition.top_mm), scene.ceiling_mm);
    let Partition { a, b, .. } = *partition;
    if is_far(a) || is_far(b) {
        faults.push(far_fault(at));
        return faults;
    }
    if a == b {
        let text = "its two ends are the same point".to_owned();
        faults.push(Fault::new(at, "partition-without-length", text));
        return faults;
    }
    if !room.holds_segment((a, b)) {
        let text = "it is not wholly inside the room".to_owned();
        faults.push(Fault::new(at, "partition-outside-room", text));
    }
    for fixture in &scene.fixtures {
        if fixture.kind.outline().is_some_and(|outline| plane::enters(&outline, (a, b))) {
            let text = format!("it runs through {:?}", fixture.id);
            faults.push(Fault::new(at, "partition-through-fixture", text));
        }
    }
    for (end, joined) in [a, b].into_iter().zip(partition.ends_joined) {
        if joined && !is_joined(end, partition, room, scene) {
            let text = format!(
                "its end at ({}, {}) is said to be joined, and no wall or partition is there",
                end.x_mm, end.y_mm
            );
            faults.push(Fault::new(at, "partition-end-not-joined", text));
        }
    }
    faults
}

fn is_joined(end: Point, own: &Partition, room: &Room, scene: &Scene) -> bool {
    let others = scene.partitions.iter().filter(|other| *other != own);
    room.walls().any(|wall| plane::is_on(end, wall))
        || others.map(|other| (other.a, other.b)).any(|other| plane::is_on(end, other))
}

fn opening_faults(at: &str, opening: &Opening, room: &Room, ceiling_mm: i32) -> Vec<Fault> {
    let mut faults = height_faults(at, (opening.low_mm, opening.high_mm), ceiling_mm);
    let Opening { a, b, .. } = *opening;
    if is_far(a) || is_far(b) {
        faults.push(far_fault(at));
    } else if !room.walls().any(|wall| plane::is_on(a, wall) && plane::is_on(b, wall))
        || is_point(a, b)
    {
        let text = "its two jambs are not on one wall of the room".to_owned();
        faults.push(Fault::new(at, "opening-not-in-wall", text));
    }
    faults
}

fn is_point(a: Point, b: Point) -> bool {
    Direction::between(a, b) == Direction::NONE
}

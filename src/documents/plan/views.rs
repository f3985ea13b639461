//! The drawn room as views for the sheets: plan and walls as plain boxes in whole millimetres, to be kept with a quote.
//!
//! Absent here: how a view is drawn on paper (`paper::place`), and the sheet of its own as SVG.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::quote::sheet::Look;
use crate::domain::quote::sheet::View;
use crate::domain::quote::sheet::ViewPart;
use crate::domain::quote::sheet::ZonePatch;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::placement::Plan;
use crate::domain::zones::plane::Room;
use crate::domain::zones::scene::OpeningKind;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Solid;

use super::Drawing;
use super::DrawnItem;
use super::Placing;
use super::elevation::hung_walls;
use super::elevation::openings;
use super::elevation::standing;
use super::floor::cut;
use super::floor::face;
use super::raster;
use super::raster::Face;
use super::raster::Row;
use super::wall::Wall;

/// Most walls of the sheets.
const WALLS_MAX: usize = 2;

/// Plan of a drawing, and the elevations of some of its walls, by their index.
pub fn views(drawing: &Drawing<'_>, shown: &[usize]) -> Vec<View> {
    let plan = drawing.rules.regime.as_ref().map(|regime| Plan::new(drawing.scene, regime));
    let placing =
        |solid: &Solid| plan.as_ref().map_or(Zone::NotEstablished, |plan| plan.place(solid).zone);
    let mut views = vec![from_above(drawing, &placing)];
    let walls = hung_walls(drawing.scene, &drawing.items);
    let walls = walls.iter().filter(|wall| shown.contains(&wall.index));
    views.extend(walls.take(WALLS_MAX).map(|wall| of_wall(drawing, &placing, wall)));
    views
}

/// Turns a point of a face into one from the upper left corner of the view.
#[derive(Clone, Copy)]
struct Turn {
    face: Face,
    is_mirrored: bool,
}

impl Turn {
    fn across(self, x: i32) -> i32 {
        let ([left, _bottom], [right, _top]) = self.face;
        if self.is_mirrored { right - x } else { x - left }
    }

    fn down(self, y: i32) -> i32 {
        let (_, [_right, top]) = self.face;
        top - y
    }

    /// Corner and size of a box between two points of the face.
    fn boxed(self, (one, other): Face) -> ([i32; 2], [i32; 2]) {
        let ([x0, y0], [x1, y1]) = (one, other);
        let (left, right) = (self.across(x0), self.across(x1));
        let (low, high) = (self.down(y0), self.down(y1));
        ([left.min(right), low.min(high)], [(left - right).abs(), (low - high).abs()])
    }

    fn part(self, name: String, face: Face, look: Look) -> ViewPart {
        let (corner_mm, size_mm) = self.boxed(face);
        ViewPart { name, corner_mm, size_mm, look }
    }

    fn size_mm(self) -> [i32; 2] {
        self.boxed(self.face).1
    }
}

fn from_above(drawing: &Drawing<'_>, placing: Placing<'_>) -> View {
    let scene = drawing.scene;
    let room = Room::new(&scene.corners);
    let turn = Turn { face: face(scene), is_mirrored: false };
    let (cut_mm, _of) = cut(drawing, placing);
    let zone_at = |x: i32, y: i32| {
        let point = Point::new(x, y);
        room.holds(point).then(|| placing(&Solid::of(point, cut_mm)))
    };
    let rows = raster::rows(turn.face, &zone_at);
    let mut parts: Vec<ViewPart> = Vec::new();
    for fixture in &scene.fixtures {
        let outline = fixture.kind.outline();
        let of = |rect| turn.part(fixture.id.clone(), face_of(&rect), Look::Fitting);
        parts.extend(outline.map(of));
    }
    parts.extend(scene.openings.iter().map(|opening| {
        let name = opening_word(opening.kind).to_owned();
        turn.part(name, face_of(&Rect::new(opening.a, opening.b)), Look::Fitting)
    }));
    parts.extend(scene.partitions.iter().map(|partition| {
        let place = |point: Point| [turn.across(point.x_mm), turn.down(point.y_mm)];
        let (from, to) = (place(partition.a), place(partition.b));
        let size_mm = [to[0] - from[0], to[1] - from[1]];
        let name = "partition".to_owned();
        ViewPart { name, corner_mm: from, size_mm, look: Look::Route }
    }));
    parts.extend(
        drawing
            .items
            .iter()
            .map(|item| turn.part(named(item), face_of(&item.solid.plan), look(item))),
    );
    let title = format!("Plan, zones cut {cut_mm} mm above the floor");
    let taken: Vec<Face> = drawing.items.iter().map(|item| face_of(&item.solid.plan)).collect();
    View { title, size_mm: turn.size_mm(), zones: patches(turn, &rows, &taken), parts }
}

fn of_wall(drawing: &Drawing<'_>, placing: Placing<'_>, wall: &Wall) -> View {
    let scene = drawing.scene;
    // Seen from the room, a wall begins on the right.
    let turn = Turn { face: ([0, 0], [wall.length, scene.ceiling_mm]), is_mirrored: true };
    let zone_at = |along: i32, up: i32| Some(placing(&Solid::of(wall.at(along), up)));
    let rows = raster::rows(turn.face, &zone_at);
    let mut parts: Vec<ViewPart> = Vec::new();
    let before = standing(scene, wall).into_iter();
    parts.extend(before.map(|(face, name)| turn.part(name, face, Look::Fitting)));
    let gaps = openings(scene, wall).into_iter();
    parts.extend(gaps.map(|face| turn.part("door or window".to_owned(), face, Look::Fitting)));
    let hung = drawing.items.iter().filter_map(|item| {
        let [from, to] = wall.stretch(&item.solid.plan)?;
        Some((item, ([from, item.solid.low_mm], [to, item.solid.high_mm])))
    });
    let hung: Vec<(&DrawnItem, Face)> = hung.collect();
    for (item, face) in &hung {
        let low = face.0[1] + item.head_mm;
        let name = format!("{}, lower edge {low} mm above the floor", named(item));
        parts.push(turn.part(name, *face, look(item)));
    }
    parts.extend(route(turn, &hung));
    let taken: Vec<Face> = hung.iter().map(|(_item, face)| *face).collect();
    View {
        title: format!("Wall {}, seen from the room", wall.index),
        size_mm: turn.size_mm(),
        zones: patches(turn, &rows, &taken),
        parts,
    }
}

/// The flex from the nearer lower corner of the rail: along the wall, then up or down to the connection point.
fn route(turn: Turn, hung: &[(&DrawnItem, Face)]) -> Vec<ViewPart> {
    let of = |kinds: &[EquipmentKind]| {
        hung.iter().find(|(item, _)| item.kind.is_some_and(|kind| kinds.contains(&kind)))
    };
    let rail = of(&[EquipmentKind::Rail]);
    let unit = of(&[EquipmentKind::ConnectionUnit, EquipmentKind::FlexOutlet]);
    let (Some((_, rail)), Some((_, unit))) = (rail, unit) else { return Vec::new() };
    let ([from, low], [to, _high]) = *rail;
    let ([unit_from, unit_low], [unit_to, _]) = *unit;
    let goal = unit_from.midpoint(unit_to);
    let port = if (goal - from).abs() <= (goal - to).abs() { from } else { to };
    let name = "route of the flex".to_owned();
    let mut parts = vec![turn.part(name, ([port, low], [goal, low]), Look::Route)];
    if low != unit_low {
        // The same route round its corner: named once.
        parts.push(turn.part(String::new(), ([goal, low], [goal, unit_low]), Look::Route));
    }
    parts
}

fn named(item: &DrawnItem) -> String {
    format!("{} (zone {})", item.name, item.zone)
}

fn look(item: &DrawnItem) -> Look {
    if item.kind == Some(EquipmentKind::Rail) { Look::Rail } else { Look::Unit }
}

const fn face_of(rect: &Rect) -> Face {
    ([rect.min.x_mm, rect.min.y_mm], [rect.max.x_mm, rect.max.y_mm])
}

const fn opening_word(kind: OpeningKind) -> &'static str {
    match kind {
        OpeningKind::Door => "door",
        OpeningKind::Window => "window",
    }
}

/// What is painted, strictest first; nothing stands for what is beyond the walls.
const PAINTED: [Option<Zone>; 7] = [
    Some(Zone::Zero),
    Some(Zone::Hidden),
    Some(Zone::One),
    Some(Zone::Two),
    Some(Zone::Three),
    Some(Zone::NotEstablished),
    None,
];

fn patches(turn: Turn, rows: &[Row], taken: &[Face]) -> Vec<ZonePatch> {
    PAINTED.into_iter().filter_map(|zone| patch(turn, (rows, taken), zone)).collect()
}

fn patch(turn: Turn, (rows, taken): (&[Row], &[Face]), zone: Option<Zone>) -> Option<ZonePatch> {
    let boxes = merged(rows, zone);
    let ([left, bottom], [right, top]) = *boxes.first()?;
    let first = [left.midpoint(right), bottom.midpoint(top)];
    let spot = zone.and_then(|zone| raster::label_spot(rows, zone, taken)).unwrap_or(first);
    let (name, look) = meaning(zone)?;
    Some(ZonePatch {
        name: name.to_owned(),
        look,
        label_mm: [turn.across(spot[0]), turn.down(spot[1])],
        boxes_mm: boxes
            .into_iter()
            .map(|face| {
                let ([x, y], [across, down]) = turn.boxed(face);
                [x, y, across, down]
            })
            .collect(),
    })
}

const fn meaning(zone: Option<Zone>) -> Option<(&'static str, Look)> {
    match zone {
        Some(Zone::Zero) => Some(("zone 0", Look::InnerZone)),
        Some(Zone::Hidden) => Some(("hidden space under the bath", Look::InnerZone)),
        Some(Zone::One) => Some(("zone 1", Look::InnerZone)),
        Some(Zone::Two) => Some(("zone 2", Look::OuterZone)),
        Some(Zone::Three) => Some(("zone 3", Look::OuterZone)),
        Some(Zone::NotEstablished) => Some(("zone not established", Look::InnerZone)),
        None => Some(("beyond the walls", Look::Beyond)),
        Some(Zone::Outside | Zone::NotApplicable) => None,
    }
}

/// The stretches of a zone, rows of equal stretches taken together.
fn merged(rows: &[Row], zone: Option<Zone>) -> Vec<Face> {
    let mut boxes: Vec<Face> = Vec::new();
    for row in rows {
        for run in row.runs.iter().filter(|run| run.zone == zone && run.from < run.to) {
            let below = boxes
                .iter_mut()
                .find(|(min, max)| min[0] == run.from && max[0] == run.to && max[1] == row.low);
            match below {
                Some((_min, max)) => max[1] = row.high,
                None => boxes.push(([run.from, row.low], [run.to, row.high])),
            }
        }
    }
    boxes
}

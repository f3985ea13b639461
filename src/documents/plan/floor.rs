//! The room from above: zones at one height, fixtures, outlets, partitions, openings, things and the paths to them.
//!
//! Absent here: the walls seen from the room (`elevation`).
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use maud::Markup;
use maud::html;

use crate::documents::svg;
use crate::documents::svg::Anchor;
use crate::documents::svg::Point;
use crate::documents::svg::Stroke;
use crate::documents::svg::at;
use crate::documents::svg::number;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::scene::OpeningKind;
use crate::domain::zones::scene::Outlet;
use crate::domain::zones::scene::Partition;
use crate::domain::zones::scene::Point as PlanPoint;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;

use super::Drawing;
use super::DrawnItem;
use super::Placing;
use super::flex;
use super::paint;
use super::paint::View;
use super::raster;
use super::raster::Face;

/// Height at which the zones are cut where nothing is placed.
const CUT_USUAL_MM: i32 = 1_000;
/// How far inside the wall a flex is drawn, in pixels.
const FLEX_INSET: f64 = 8.0;

/// Height at which the zones are cut, and the number of the thing that hangs there: the first rail, else the first thing,
/// half way up if that height is in its zone, else at the end that is.
pub(super) fn cut(drawing: &Drawing<'_>, placing: Placing<'_>) -> (i32, Option<usize>) {
    let is_rail = |item: &&DrawnItem| item.kind == Some(EquipmentKind::Rail);
    let place = drawing.items.iter().position(|item| is_rail(&item)).unwrap_or(0);
    drawing.items.get(place).map_or((CUT_USUAL_MM, None), |item| {
        let Solid { plan, low_mm, high_mm } = item.solid;
        let middle_mm = low_mm.midpoint(high_mm);
        let is_telling =
            |mm: &i32| placing(&Solid { plan, low_mm: *mm, high_mm: *mm }) == item.zone;
        let cut_mm = [middle_mm, low_mm, high_mm].into_iter().find(is_telling);
        (cut_mm.unwrap_or(middle_mm), Some(place.saturating_add(1)))
    })
}

/// The room from above in a space of the paper: upper left corner and size.
pub(super) fn draw(drawing: &Drawing<'_>, placing: Placing<'_>, space: (Point, Point)) -> Markup {
    let scene = drawing.scene;
    let room = Room::new(&scene.corners);
    let (corner, size) = space;
    let mut view = View::fit(face(scene), (corner, size), false);
    // The space is given by its upper left corner; a wide room leaves its lower part free.
    let [upper, lower] = view.corners();
    view.corner.y += lower.y - upper.y;
    let (cut_mm, _of) = cut(drawing, placing);
    let zone_at = |x: i32, y: i32| {
        let point = PlanPoint::new(x, y);
        room.holds(point).then(|| placing(&Solid::of(point, cut_mm)))
    };
    let rows = raster::rows(view.face, &zone_at);
    let outlined = || scene.fixtures.iter().filter_map(|fixture| fixture.kind.outline());
    let things: Vec<Face> = drawing.items.iter().map(|item| face_of(&item.solid.plan)).collect();
    let fixtures: Vec<Face> = outlined().map(|outline| face_of(&outline)).collect();
    html! {
        (paint::zones(&view, &rows))
        @for outline in outlined() { (paint::fixture(low(&view, &outline), high(&view, &outline))) }
        (walls(&view, scene))
        @for partition in &scene.partitions { (partition_line(&view, partition)) }
        @for outlet in &scene.outlets { (outlet_mark(&view, outlet)) }
        (paint::labels(&view, &rows, (&things, &fixtures)))
        (names(&view, scene))
        (flex_along_walls(&view, drawing))
        (items(&view, drawing))
        (sizes(&view, scene))
    }
}

pub(super) fn face(scene: &Scene) -> Face {
    let xs = scene.corners.iter().map(|corner| corner.x_mm);
    let ys = scene.corners.iter().map(|corner| corner.y_mm);
    let (left, right) = (xs.clone().min(), xs.max());
    let (bottom, top) = (ys.clone().min(), ys.max());
    let figure = Option::unwrap_or_default;
    ([figure(left), figure(bottom)], [figure(right), figure(top)])
}

const fn face_of(rect: &Rect) -> Face {
    ([rect.min.x_mm, rect.min.y_mm], [rect.max.x_mm, rect.max.y_mm])
}

fn low(view: &View, rect: &Rect) -> Point {
    view.place(rect.min.x_mm, rect.min.y_mm)
}

fn high(view: &View, rect: &Rect) -> Point {
    view.place(rect.max.x_mm, rect.max.y_mm)
}

/// Walls thick; a door is a gap with the floor its leaf sweeps, a window two thin lines. Walls carry their number.
fn walls(view: &View, scene: &Scene) -> Markup {
    let room = Room::new(&scene.corners);
    let segments: Vec<_> = room.walls().collect();
    html! {
        @for (a, b) in &segments {
            (paint::line(&[view.place(a.x_mm, a.y_mm), view.place(b.x_mm, b.y_mm)], "4", "none"))
        }
        @for opening in &scene.openings {
            @let (a, b) = (view.place(opening.a.x_mm, opening.a.y_mm), view.place(opening.b.x_mm, opening.b.y_mm));
            @if let Some(swept) = opening.swept {
                @let (one, other) = (low(view, &swept), high(view, &swept));
                rect x=(number(one.x)) y=(number(other.y)) width=(number(other.x - one.x)) height=(number(one.y - other.y))
                    fill="none" stroke="#000" stroke-width="0.8" stroke-dasharray="3 3" {}
            }
            line x1=(number(a.x)) y1=(number(a.y)) x2=(number(b.x)) y2=(number(b.y)) stroke="#fff" stroke-width="3" {}
            @if opening.kind == OpeningKind::Window { (svg::path(&[a, b], Stroke::Axis)) }
        }
        @for (index, (a, b)) in segments.iter().enumerate() {
            @let (a, b) = (view.place(a.x_mm, a.y_mm), view.place(b.x_mm, b.y_mm));
            @let middle = at(a.x + (b.x - a.x) * 0.78, a.y + (b.y - a.y) * 0.78);
            (wall_number(outward(middle, (a, b)), index))
        }
    }
}

/// How far outside a wall its number stands, in pixels.
const OUTWARD: f64 = 15.0;

/// A point a little outside a wall; corners run counter-clockwise, so the outside is on the right of the way.
fn outward(point: Point, (a, b): (Point, Point)) -> Point {
    let (along, up) = (b.x - a.x, b.y - a.y);
    let length = libm::hypot(along, up).max(1.0);
    at(point.x - up / length * OUTWARD, point.y + along / length * OUTWARD)
}

fn wall_number(middle: Point, index: usize) -> Markup {
    html! {
        rect x=(number(middle.x - 8.0)) y=(number(middle.y - 8.0)) width="16" height="16" fill="#fff" stroke="#000"
            stroke-width="0.8" {}
        (svg::text(at(middle.x, middle.y + 4.0), svg::SMALL, Anchor::Middle, &index.to_string()))
    }
}

/// A partition that can count is thick, one that never does is dashed.
fn partition_line(view: &View, partition: &Partition) -> Markup {
    let ends = [partition.a, partition.b].map(|end| view.place(end.x_mm, end.y_mm));
    let lasting = partition.is_fixed && partition.is_floor_joined && partition.kind.is_lasting();
    let [a, b] = ends;
    let middle = at(f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y));
    let is_level = (a.y - b.y).abs() < (a.x - b.x).abs();
    let words = format!("to {}", partition.top_mm);
    html! {
        (paint::hollow(ends, if lasting { "none" } else { "5 4" }))
        (height_note(at(middle.x, middle.y + if is_level { 13.0 } else { 0.0 }), &words))
    }
}

fn height_note(middle: Point, words: &str) -> Markup {
    let width = svg::text_width(words, 9.5) + 4.0;
    html! {
        rect x=(number(middle.x - width / 2.0)) y=(number(middle.y - 6.5)) width=(number(width)) height="13" fill="#fff" {}
        (svg::text(at(middle.x, middle.y + 3.5), 9.5, Anchor::Middle, words))
    }
}

/// A fixed outlet is a full drop, one on a hose a ring.
fn outlet_mark(view: &View, outlet: &Outlet) -> Markup {
    let point = view.place(outlet.at.x_mm, outlet.at.y_mm);
    html! {
        circle cx=(number(point.x)) cy=(number(point.y)) r="5" fill="#fff" stroke="#000" stroke-width="1.6" {}
        @if outlet.is_fixed { circle cx=(number(point.x)) cy=(number(point.y)) r="2.2" fill="#000" {} }
    }
}

fn names(view: &View, scene: &Scene) -> Markup {
    let outlined = scene.fixtures.iter().filter_map(|fixture| {
        let outline = fixture.kind.outline()?;
        let (one, other) = (low(view, &outline), high(view, &outline));
        Some((fixture, at(one.x, other.y), (other.x - one.x).abs()))
    });
    html! {
        @for (fixture, corner, width) in outlined {
            @let words = svg::fitted(&fixture.id, svg::SMALL, width - 14.0);
            @let size = svg::text_width(&words, svg::SMALL) + 4.0;
            rect x=(number(corner.x + 5.0)) y=(number(corner.y + 5.0)) width=(number(size)) height="14" fill="#fff" {}
            (svg::text(at(corner.x + 7.0, corner.y + 16.0), svg::SMALL, Anchor::Start, &words))
        }
    }
}

/// The things with their numbers, and the shortest path from the water to each that is in reach of a zone.
fn items(view: &View, drawing: &Drawing<'_>) -> Markup {
    html! {
        @for item in &drawing.items {
            @let points: Vec<Point> = item.path.iter().map(|point| view.place(point.x_mm, point.y_mm)).collect();
            @if 1 < points.len() { (paint::line(&points, "1.4", "2 3")) }
        }
        @for item in &drawing.items {
            (paint::thing(low(view, &item.solid.plan), high(view, &item.solid.plan)))
        }
        @for (count, item) in (1..).zip(&drawing.items) {
            @let (one, other) = (low(view, &item.solid.plan), high(view, &item.solid.plan));
            (paint::numbered(paint::number_spot(one, other), count))
        }
    }
}

/// The flex along the walls, a little inside the room.
fn flex_along_walls(view: &View, drawing: &Drawing<'_>) -> Markup {
    let Some(way) = flex::way(drawing.scene, &drawing.items) else { return html! {} };
    let mut points = Vec::new();
    let mut before = at(0.0, 0.0);
    for leg in &way.legs {
        let inward = inward(view, leg.wall.segment);
        let (from, to) = (leg.wall.at(leg.from), leg.wall.at(leg.to));
        let (from, to) = (view.place(from.x_mm, from.y_mm), view.place(to.x_mm, to.y_mm));
        // At a corner the two insets add up.
        if let Some(corner) = points.last_mut() {
            *corner = at(from.x + before.x + inward.x, from.y + before.y + inward.y);
        } else {
            points.push(at(from.x + inward.x, from.y + inward.y));
        }
        points.push(at(to.x + inward.x, to.y + inward.y));
        before = inward;
    }
    paint::line(&points, "2.4", "7 3")
}

/// From a wall into the room, as long as a flex is inset.
fn inward(view: &View, (a, b): Segment) -> Point {
    let (a, b) = (view.place(a.x_mm, a.y_mm), view.place(b.x_mm, b.y_mm));
    let out = outward(at(0.0, 0.0), (a, b));
    at(-out.x * FLEX_INSET / OUTWARD, -out.y * FLEX_INSET / OUTWARD)
}

/// The room's two sizes.
fn sizes(view: &View, scene: &Scene) -> Markup {
    let ([left, bottom], [right, top]) = face(scene);
    let [upper, lower] = view.corners();
    let (below, beside) = (lower.y + 30.0, upper.x - 30.0);
    html! {
        (paint::dimension(at(upper.x, below), at(lower.x, below), &right.saturating_sub(left).to_string()))
        (paint::dimension(at(beside, lower.y), at(beside, upper.y), &top.saturating_sub(bottom).to_string()))
    }
}

//! A wall as it is seen from the room: zones on its face, what stands before it, openings, things with their sizes.
//!
//! Absent here: the room from above (`floor`).
#![expect(
    clippy::arithmetic_side_effects,
    clippy::integer_division,
    clippy::default_numeric_fallback,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use maud::Markup;
use maud::html;

use crate::documents::svg;
use crate::documents::svg::Anchor;
use crate::documents::svg::Point as Paper;
use crate::documents::svg::at;
use crate::documents::svg::number;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::scene::FixtureKind;
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
use super::wall::Wall;
use super::wall::walls_along_axes;

/// Below this height the name of a fixture stands above it.
const LOW_MM: i32 = 300;

/// The walls on which something hangs, in their order.
pub(super) fn hung_walls(scene: &Scene, items: &[DrawnItem]) -> Vec<Wall> {
    let holds = |wall: &Wall| items.iter().any(|item| wall.stretch(&item.solid.plan).is_some());
    walls_along_axes(scene).into_iter().filter(holds).collect()
}

/// A wall seen from the room, in a space of the paper: lower left corner and size.
pub(super) fn draw(
    drawing: &Drawing<'_>,
    placing: Placing<'_>,
    wall: &Wall,
    space: (Paper, Paper),
) -> Markup {
    let scene = drawing.scene;
    let view = View::fit(([0, 0], [wall.length, scene.ceiling_mm]), space, true);
    let zone_at = |along: i32, up: i32| Some(placing(&Solid::of(wall.at(along), up)));
    let rows = raster::rows(view.face, &zone_at);
    let hung: Vec<Hung<'_>> = hung(drawing, wall);
    let mut things: Vec<Face> = hung.iter().map(Hung::kept_clear).collect();
    things.extend(hung.iter().filter_map(|thing| thing.dimension_face(&view)));
    let fixtures: Vec<Face> = standing(scene, wall).into_iter().map(|(face, _name)| face).collect();
    let [upper, lower] = view.corners();
    html! {
        (svg::bold(at(upper.x, upper.y - 10.0), svg::TEXT, Anchor::Start,
            &format!("Wall {}, seen from the room", wall.index)))
        (paint::zones(&view, &rows))
        @for (face, name) in standing(scene, wall) {
            (paint::fixture(view.place(face.0[0], face.0[1]), view.place(face.1[0], face.1[1])))
            @let left = view.place(face.1[0], face.1[1]);
            @let width = view.place(face.0[0], face.0[1]).x - left.x;
            @let is_above = face.1[1] - face.0[1] < LOW_MM || width < svg::text_width(&name, svg::SMALL) + 12.0;
            (note(at(left.x + 6.0, left.y + if is_above { -6.0 } else { 15.0 }), &name))
        }
        @for face in openings(scene, wall) {
            @let (one, other) = (view.place(face.1[0], face.1[1]), view.place(face.0[0], face.0[1]));
            rect x=(number(one.x)) y=(number(one.y)) width=(number(other.x - one.x)) height=(number(other.y - one.y))
                fill="#fff" stroke="#000" stroke-width="1.2" stroke-dasharray="6 3" {}
        }
        rect x=(number(upper.x)) y=(number(upper.y)) width=(number(lower.x - upper.x)) height=(number(lower.y - upper.y))
            fill="none" stroke="#000" stroke-width="3" {}
        (panes(&view, scene, wall))
        (paint::labels(&view, &rows, (&things, &fixtures)))
        (flex(&view, drawing, wall))
        @for thing in &hung { (thing.draw(&view)) }
        @for thing in &hung { (thing.sizes(&view)) }
        (paint::dimension(at(upper.x, lower.y + 24.0), at(lower.x, lower.y + 24.0), &wall.length.to_string()))
        (paint::dimension(at(lower.x + 20.0, lower.y), at(lower.x + 20.0, upper.y), &format!("{}", scene.ceiling_mm)))
    }
}

/// Partitions that meet the wall, seen edge on.
fn panes(view: &View, scene: &Scene, wall: &Wall) -> Markup {
    let ends = scene.partitions.iter().flat_map(|part| [(part.a, part), (part.b, part)]);
    let on_wall = ends.filter_map(|(end, part)| {
        let [along, _same] = wall.stretch(&Rect::of(end))?;
        let lasting = part.is_fixed && part.is_floor_joined && part.kind.is_lasting();
        Some(([view.place(along, 0), view.place(along, part.top_mm)], lasting))
    });
    html! { @for (pane, lasting) in on_wall { (paint::hollow(pane, if lasting { "none" } else { "5 4" })) } }
}

/// A word on white.
fn note(start: Paper, words: &str) -> Markup {
    let width = svg::text_width(words, svg::SMALL) + 4.0;
    html! {
        rect x=(number(start.x - 2.0)) y=(number(start.y - 11.0)) width=(number(width)) height="14" fill="#fff" {}
        (svg::text(start, svg::SMALL, Anchor::Start, words))
    }
}

/// A thing on the wall.
struct Hung<'a> {
    count: usize,
    item: &'a DrawnItem,
    along: [i32; 2],
}

fn hung<'a>(drawing: &'a Drawing<'_>, wall: &Wall) -> Vec<Hung<'a>> {
    let numbered = (1..).zip(&drawing.items);
    numbered
        .filter_map(|(count, item)| {
            Some(Hung { count, item, along: wall.stretch(&item.solid.plan)? })
        })
        .collect()
}

impl Hung<'_> {
    const fn face(&self) -> Face {
        let [from, to] = self.along;
        ([from, self.item.solid.low_mm], [to, self.item.solid.high_mm])
    }

    /// The thing with the space down to the floor, where its height is written.
    const fn kept_clear(&self) -> Face {
        let ([from, _low], upper) = self.face();
        ([from, 0], upper)
    }

    fn draw(&self, view: &View) -> Markup {
        let ([from, low], [to, high]) = self.face();
        let (one, other) = (view.place(from, low), view.place(to, high));
        let body_low = low + self.item.head_mm;
        html! {
            (paint::thing(one, other))
            @if 0_i32 < self.item.head_mm {
                (paint::line(&[view.place(from, body_low), view.place(to, body_low)], "1.2", "none"))
                (tubes(view, (self.along, [body_low, high])))
            }
            (paint::numbered(paint::number_spot(one, other), self.count))
        }
    }

    /// Where the distance of a rail to the left end of the wall is written: how high up.
    fn level(&self, view: &View) -> Option<i32> {
        let ([_from, _low], [to, high]) = self.face();
        let ([_left, _bottom], [end, top]) = view.face;
        // One above the other, so that the lines of several rails do not run into each other.
        let order = i32::try_from(self.count).unwrap_or(1);
        let level = (high + 130 * order).min(top - 60);
        let is_rail = self.item.kind == Some(EquipmentKind::Rail);
        (is_rail && 0 < end - to && high < level).then_some(level)
    }

    /// The strip of that dimension.
    fn dimension_face(&self, view: &View) -> Option<Face> {
        let level = self.level(view)?;
        let ([_left, _bottom], [end, _top]) = view.face;
        Some(([self.along[1], level - 70], [end, level + 70]))
    }

    /// Height of a rail above the floor, and its distance to the left end of the wall above it.
    fn sizes(&self, view: &View) -> Markup {
        let ([_from, low], [to, high]) = self.face();
        let ([_left, _bottom], [end, _top]) = view.face;
        if self.item.kind != Some(EquipmentKind::Rail) {
            return html! {};
        }
        let foot = view.place(to, low);
        let words = (end - to).to_string();
        html! {
            @if 150_i32 < low {
                (paint::dimension(at(foot.x + 12.0, view.place(to, 0).y), at(foot.x + 12.0, foot.y), &low.to_string()))
            }
            @if let Some(level) = self.level(view) {
                (paint::line(&[view.place(to, high), view.place(to, level)], "0.8", "2 2"))
                (paint::dimension(view.place(end, level), view.place(to, level), &words))
            }
        }
    }
}

/// Tubes of a rail, a few, so that it is seen for what it is.
fn tubes(view: &View, ([from, to], [low, high]): ([i32; 2], [i32; 2])) -> Markup {
    let levels = (1..8_i32).map(|part| low + (high - low) * part / 8);
    html! {
        @for level in levels { (paint::line(&[view.place(from, level), view.place(to, level)], "0.8", "none")) }
    }
}

/// The flex on this wall, dashed: along it at the height of the rail's port, and on the last wall up or down to the unit.
fn flex(view: &View, drawing: &Drawing<'_>, wall: &Wall) -> Markup {
    let Some(way) = flex::way(drawing.scene, &drawing.items) else { return html! {} };
    let last = way.legs.len().saturating_sub(1);
    let here = way.legs.iter().enumerate().filter(|(_index, leg)| leg.wall.index == wall.index);
    let lines = here.map(|(index, leg)| {
        let mut points = vec![view.place(leg.from, way.low), view.place(leg.to, way.low)];
        if index == last {
            points.push(view.place(leg.to, way.goal_low));
        }
        points
    });
    html! { @for points in lines { (paint::line(&points, "2.4", "7 3")) } }
}

/// What stands with its back to the wall.
pub(super) fn standing(scene: &Scene, wall: &Wall) -> Vec<(Face, String)> {
    let with_height = scene.fixtures.iter().filter_map(|fixture| {
        let (outline, rim) = match fixture.kind {
            FixtureKind::Bath(basin) | FixtureKind::Tray(basin) => (basin.outline, basin.rim_mm),
            FixtureKind::Washbasin(washbasin) => (washbasin.outline, washbasin.rim_mm?),
            FixtureKind::Trayless => return None,
        };
        let [from, to] = wall.stretch(&outline)?;
        Some((([from, 0], [to, rim]), fixture.id.clone()))
    });
    with_height.collect()
}

pub(super) fn openings(scene: &Scene, wall: &Wall) -> Vec<Face> {
    let in_wall = scene.openings.iter().filter_map(|opening| {
        let [from, to] = wall.stretch(&Rect::new(opening.a, opening.b))?;
        Some(([from, opening.low_mm], [to, opening.high_mm]))
    });
    in_wall.collect()
}

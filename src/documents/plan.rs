//! A bathroom as a drawing: the room from above and the walls on which things hang, with the zones of a country's rules.
//!
//! One sheet that fits A4 upright, in black, white and patterns. Walls carry their number in a square, things theirs in
//! a black disc. Absent here: zones and verdicts, which come from the domain.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

mod raster;
mod paint;
mod wall;
mod flex;
mod floor;
mod elevation;
pub mod views;

use maud::Markup;
use maud::html;

use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::placement::Plan;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict::Outcome;

use super::svg;
use super::svg::Anchor;
use super::svg::at;

/// Width of the sheet; with [`HEIGHT`] the shape of A4.
const WIDTH: f64 = 760.0;
/// Height of the sheet.
const HEIGHT: f64 = 1_075.0;
const MARGIN: f64 = 24.0;
/// Where the legend begins.
const LEGEND: f64 = 536.0;
/// Most things listed in the legend.
pub const LISTED_MAX: usize = 14;
/// Most things that have room for three lines each.
const ROOMY_MAX: usize = 5;
/// Size of the smallest text.
const FINE: f64 = 9.5;
/// Most walls drawn from the room.
pub const WALLS_MAX: usize = 6;

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing<'a> {
    /// What stands above it.
    pub title: &'a str,
    /// The room, found right.
    pub scene: &'a Scene,
    /// The rules whose zones are painted.
    pub rules: &'a WiringRules,
    /// The things, numbered from 1 in this order.
    pub items: Vec<DrawnItem>,
}

/// A thing in the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnItem {
    /// What the legend calls it.
    pub name: String,
    /// What it is.
    pub kind: Option<EquipmentKind>,
    /// What it takes up, its head included.
    pub solid: Solid,
    /// How much of its height is the head of an element.
    pub head_mm: i32,
    /// The shortest path from the water.
    pub path: Vec<Point>,
    /// Length of that path.
    pub distance_mm: Option<f64>,
    /// Its zone.
    pub zone: Zone,
    /// What the rules say.
    pub outcome: Outcome,
}

/// What zone a solid is in.
type Placing<'a> = &'a dyn Fn(&Solid) -> Zone;

/// Draws a room as SVG.
pub fn draw_plan(drawing: &Drawing<'_>) -> String {
    let plan = drawing.rules.regime.as_ref().map(|regime| Plan::new(drawing.scene, regime));
    let placing =
        |solid: &Solid| plan.as_ref().map_or(Zone::NotEstablished, |plan| plan.place(solid).zone);
    let rules = format!("{}, {}", drawing.rules.title, drawing.rules.edition);
    let content = html! {
        (paint::patterns())
        (svg::bold(at(MARGIN, 34.0), svg::TITLE, Anchor::Start, &svg::fitted(drawing.title, svg::TITLE, WIDTH - 2.0 * MARGIN)))
        (svg::text(at(MARGIN, 54.0), svg::SMALL, Anchor::Start, &svg::fitted(&rules, svg::SMALL, WIDTH - 2.0 * MARGIN)))
        (svg::bold(at(74.0, 84.0), svg::TEXT, Anchor::Start,
            &above(drawing, &placing)))
        (floor::draw(drawing, &placing, (at(74.0, 114.0), at(430.0, 376.0))))
        (legend(drawing))
        (walls(drawing, &placing))
        (foot(drawing))
    };
    svg::sheet(at(WIDTH, HEIGHT), drawing.title, &content)
}

fn walls(drawing: &Drawing<'_>, placing: Placing<'_>) -> Markup {
    let walls = elevation::hung_walls(drawing.scene, &drawing.items);
    // One wall or two have the lower part of the sheet to themselves.
    let (spaces, size) = match walls.len() {
        0 | 1 => (vec![at(74.0, 980.0)], at(590.0, 390.0)),
        2 => (vec![at(40.0, 960.0), at(410.0, 960.0)], at(296.0, 370.0)),
        3 | 4 => (in_rows(&[40.0, 410.0]), at(296.0, 170.0)),
        _ => (in_rows(&[34.0, 280.0, 526.0]), at(170.0, 170.0)),
    };
    html! {
        @for (wall, corner) in walls.iter().zip(spaces).take(WALLS_MAX) { (elevation::draw(drawing, placing, wall, (corner, size))) }
    }
}

/// Two rows of lower left corners.
fn in_rows(lefts: &[f64]) -> Vec<svg::Point> {
    [770.0, 1_000.0].into_iter().flat_map(|y| lefts.iter().map(move |x| at(*x, y))).collect()
}

/// What the plan shows, and at which height its zones are cut.
fn above(drawing: &Drawing<'_>, placing: Placing<'_>) -> String {
    let (cut_mm, of) = floor::cut(drawing, placing);
    let of = of
        .map_or_else(|| " above the floor".to_owned(), |number| format!(", where {number} hangs"));
    format!("From above; zones at {cut_mm} mm{of}")
}

fn legend(drawing: &Drawing<'_>) -> Markup {
    let rows = (0_u32..).map(|row| 100.0 + f64::from(row) * 22.0);
    let zones = paint::PAINTED.into_iter().chain([Zone::Outside]);
    html! {
        @for (zone, top) in zones.zip(rows) {
            (paint::swatch(at(LEGEND, top - 12.0), at(30.0, 15.0), zone))
            (svg::text(at(LEGEND + 38.0, top), svg::SMALL, Anchor::Start, meaning(zone)))
        }
        (signs(260.0))
        (listed(drawing, 356.0))
    }
}

const fn meaning(zone: Zone) -> &'static str {
    match zone {
        Zone::Zero => "0: zone 0",
        Zone::Hidden => "H: hidden space under a bath",
        Zone::One => "1: zone 1",
        Zone::Two => "2: zone 2",
        Zone::Three => "3: zone 3",
        Zone::Outside | Zone::NotApplicable => "outside the zones",
        Zone::NotEstablished => "?: not established",
    }
}

/// The signs of partitions, outlets, paths and flex.
fn signs(top: f64) -> Markup {
    let line = |row: f64, words: &str, sample: &Markup| {
        html! {
            (sample)
            (svg::text(at(LEGEND + 38.0, top + row + 4.0), svg::SMALL, Anchor::Start, words))
        }
    };
    let ends = |row: f64| [at(LEGEND, top + row), at(LEGEND + 30.0, top + row)];
    let hollow = |row: f64, dashes: &str| paint::hollow(ends(row), dashes);
    html! {
        (line(0.0, "fixed partition, height", &hollow(0.0, "none")))
        (line(19.0, "door, curtain: limits nothing", &hollow(19.0, "5 4")))
        (line(38.0, "shortest path from the water", &paint::line(&ends(38.0), "1.4", "2 3")))
        (line(57.0, "flex", &paint::line(&ends(57.0), "2.4", "7 3")))
    }
}

fn listed(drawing: &Drawing<'_>, top: f64) -> Markup {
    let count = drawing.items.len();
    let more = count.saturating_sub(LISTED_MAX);
    let is_roomy = count <= ROOMY_MAX;
    let rows = (0_u32..).map(|row| top + f64::from(row) * if is_roomy { 48.0 } else { 14.0 });
    html! {
        @for ((number, item), y) in (1..).zip(&drawing.items).take(LISTED_MAX).zip(rows) {
            @if is_roomy {
                (paint::numbered(at(LEGEND + 9.0, y - 4.0), number))
                (svg::bold(at(LEGEND + 24.0, y), svg::SMALL, Anchor::Start, &svg::fitted(&item.name, svg::SMALL, 176.0)))
                (svg::text(at(LEGEND + 24.0, y + 14.0), svg::SMALL, Anchor::Start, &whereabouts(item)))
                (svg::text(at(LEGEND + 24.0, y + 28.0), svg::SMALL, Anchor::Start, verdict(item)))
            } @else {
                (svg::text(at(LEGEND, y), FINE, Anchor::Start,
                    &svg::fitted(&format!("{number} {}: {}, {}", item.name, whereabouts(item), verdict(item)), FINE, 204.0)))
            }
        }
        @if 0 < more {
            (svg::text(at(LEGEND, top + 14.0 * 14.0), FINE, Anchor::Start, &format!("and {more} more")))
        }
    }
}

const fn verdict(item: &DrawnItem) -> &'static str {
    match item.outcome {
        Outcome::Allowed => "allowed",
        Outcome::AllowedIf => "allowed on conditions",
        Outcome::NotEstablished => "not established",
        Outcome::Refused => "refused",
    }
}

fn whereabouts(item: &DrawnItem) -> String {
    let zone = match item.zone {
        Zone::Outside => "outside the zones".to_owned(),
        Zone::NotApplicable => "a room without zones".to_owned(),
        Zone::NotEstablished => "zone not established".to_owned(),
        Zone::Hidden => "hidden space".to_owned(),
        Zone::Zero | Zone::One | Zone::Two | Zone::Three => format!("zone {}", item.zone),
    };
    let distance = item.distance_mm.filter(|mm| 0.0 < *mm);
    distance.map_or_else(|| zone.clone(), |mm| format!("{zone}, {mm:.0} mm"))
}

fn foot(drawing: &Drawing<'_>) -> Markup {
    let walls = elevation::hung_walls(drawing.scene, &drawing.items);
    let left_out: Vec<String> =
        walls.iter().skip(WALLS_MAX).map(|wall| wall.index.to_string()).collect();
    html! {
        @if !left_out.is_empty() {
            (svg::text(at(WIDTH - MARGIN, 54.0), svg::SMALL, Anchor::End,
                &svg::fitted(&format!("Not drawn: walls {}", left_out.join(", ")), svg::SMALL, 300.0)))
        }
        (svg::text(at(MARGIN, 1_046.0), svg::SMALL, Anchor::Start,
            "Millimetres. Zones are drawn by the figures given; boundaries belong to the stricter zone."))
        (svg::text(at(MARGIN, 1_062.0), svg::SMALL, Anchor::Start,
            "The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician."))
    }
}

//! The drawing's own marks: patterns of zones, dimensions, numbered items, and the way from millimetres to paper.
//!
//! Every zone has a pattern and a label, so that black and white loses nothing. Absent here: what is drawn.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use maud::Markup;
use maud::html;

use crate::documents::svg;
use crate::documents::svg::Anchor;
use crate::documents::svg::Point;
use crate::documents::svg::Stroke;
use crate::documents::svg::at;
use crate::documents::svg::number;
use crate::domain::zones::Zone;

use super::raster;
use super::raster::Face;
use super::raster::Row;

/// A face of the room on the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct View {
    /// Lower left corner on the paper.
    pub corner: Point,
    /// Pixels of a millimetre.
    pub scale: f64,
    /// The face in millimetres.
    pub face: Face,
    /// Whether its first axis runs to the left: a wall seen from the room.
    pub is_mirrored: bool,
}

impl View {
    /// The largest view of a face in a space of the paper, at its lower left.
    pub(super) fn fit(face: Face, (corner, space): (Point, Point), is_mirrored: bool) -> Self {
        let ([left, bottom], [right, top]) = face;
        let across = f64::from(right.saturating_sub(left)).max(1.0);
        let up = f64::from(top.saturating_sub(bottom)).max(1.0);
        let scale = (space.x / across).min(space.y / up);
        Self { corner, scale, face, is_mirrored }
    }

    /// A point of the face on the paper.
    pub(super) fn place(&self, x: i32, y: i32) -> Point {
        let ([left, bottom], [right, _top]) = self.face;
        let across =
            if self.is_mirrored { right.saturating_sub(x) } else { x.saturating_sub(left) };
        let up = y.saturating_sub(bottom);
        at(
            self.corner.x + f64::from(across) * self.scale,
            self.corner.y - f64::from(up) * self.scale,
        )
    }

    /// The face on the paper: its upper left and lower right corner.
    pub(super) fn corners(&self) -> [Point; 2] {
        let ([left, bottom], [right, top]) = self.face;
        let (one, other) = (self.place(left, top), self.place(right, bottom));
        [at(one.x.min(other.x), one.y), at(one.x.max(other.x), other.y)]
    }
}

/// Zones that have a pattern, strictest first.
pub(super) const PAINTED: [Zone; 6] =
    [Zone::Zero, Zone::Hidden, Zone::One, Zone::Two, Zone::Three, Zone::NotEstablished];

/// What a zone is called on the drawing.
pub(super) const fn label(zone: Zone) -> &'static str {
    match zone {
        Zone::Zero => "0",
        Zone::Hidden => "H",
        Zone::One => "1",
        Zone::Two => "2",
        Zone::Three => "3",
        Zone::Outside => "outside",
        Zone::NotApplicable => "no zones",
        Zone::NotEstablished => "?",
    }
}

const fn pattern(zone: Zone) -> Option<&'static str> {
    match zone {
        Zone::Zero => Some("zone-0"),
        Zone::Hidden => Some("zone-h"),
        Zone::One => Some("zone-1"),
        Zone::Two => Some("zone-2"),
        Zone::Three => Some("zone-3"),
        Zone::NotEstablished => Some("zone-u"),
        Zone::Outside | Zone::NotApplicable => None,
    }
}

/// The patterns, to be placed once in a drawing.
pub(super) fn patterns() -> Markup {
    let line = |id: &str, size: f64, (turn, width): (f64, f64)| {
        let size = number(size);
        html! {
            pattern id=(id) width=(size) height=(size) patternUnits="userSpaceOnUse"
                patternTransform={ "rotate(" (number(turn)) ")" } {
                rect width=(size) height=(size) fill="#fff" {}
                line x1="0" y1="0" x2="0" y2=(size) stroke="#555" stroke-width=(number(width)) {}
            }
        }
    };
    html! {
        defs {
            pattern id="zone-0" width="5" height="5" patternUnits="userSpaceOnUse" {
                rect width="5" height="5" fill="#fff" {}
                path d="M0 0H5M0 0V5" stroke="#444" stroke-width="2.2" {}
            }
            (line("zone-h", 4.0, (0.0, 1.4)))
            (line("zone-1", 5.0, (45.0, 1.8)))
            (line("zone-2", 11.0, (-45.0, 1.2)))
            pattern id="zone-3" width="9" height="9" patternUnits="userSpaceOnUse" {
                rect width="9" height="9" fill="#fff" {}
                circle cx="4.5" cy="4.5" r="1.1" fill="#555" {}
            }
            (line("zone-u", 8.0, (90.0, 1.0)))
        }
    }
}

/// A rectangle in a zone's pattern.
pub(super) fn swatch(from: Point, size: Point, zone: Zone) -> Markup {
    html! {
        rect x=(number(from.x)) y=(number(from.y)) width=(number(size.x)) height=(number(size.y))
            fill=(pattern(zone).map_or_else(|| "#fff".to_owned(), |id| format!("url(#{id})")))
            stroke="#000" stroke-width="0.8" {}
    }
}

/// The zones of a face with their boundaries, without labels.
pub(super) fn zones(view: &View, rows: &[Row]) -> Markup {
    let edges: String =
        raster::edges(rows).iter().map(|edge| drawn(view, edge.iter().copied())).collect();
    html! {
        @for zone in PAINTED {
            @let path = shade(view, rows, zone);
            @if !path.is_empty() {
                path d=(path) fill={ "url(#" (pattern(zone).unwrap_or_default()) ")" } {}
            }
        }
        @if !edges.is_empty() { path d=(edges) stroke="#000" stroke-width="1" fill="none" {} }
    }
}

/// The areas of one zone: up the left side of each and down the right.
fn shade(view: &View, rows: &[Row], zone: Zone) -> String {
    let mut path = String::new();
    for stack in raster::stacks(rows) {
        let runs = stack.first().map_or(&[][..], |row| &row.runs);
        let of_zone = runs.iter().zip(0_usize..).filter(|(run, _index)| run.zone == Some(zone));
        for (_run, index) in of_zone {
            let (left, right) =
                (raster::side(stack, index), raster::side(stack, index.saturating_add(1)));
            path.push_str(&drawn(view, left.into_iter().chain(right.into_iter().rev())));
            path.push('z');
        }
    }
    path
}

/// A line through points of the face.
fn drawn<I: Iterator<Item = [i32; 2]>>(view: &View, points: I) -> String {
    let placed = points.map(|[x, y]| view.place(x, y));
    let words: Vec<String> =
        placed.map(|point| format!("{} {}", number(point.x), number(point.y))).collect();
    format!("M{}", words.join("L"))
}

/// Boxes that labels keep clear of: things, and fixtures unless the zone is that inside or over them.
pub(super) type Taken<'a> = (&'a [Face], &'a [Face]);

/// The labels of the zones of a face.
pub(super) fn labels(view: &View, rows: &[Row], (things, fixtures): Taken<'_>) -> Markup {
    let both = [things, fixtures].concat();
    let spots = PAINTED.into_iter().chain([Zone::Outside, Zone::NotApplicable]);
    let spots = spots.filter_map(|zone| {
        let is_inside = matches!(zone, Zone::Zero | Zone::Hidden | Zone::One);
        let taken = if is_inside { things } else { &both };
        Some((zone, raster::label_spot(rows, zone, taken)?))
    });
    html! {
        @for (zone, [x, y]) in spots { (tag(view.place(x, y), label(zone))) }
    }
}

/// A word in a white box with round ends.
pub(super) fn tag(middle: Point, words: &str) -> Markup {
    let width = svg::text_width(words, svg::TEXT) + 10.0;
    html! {
        rect x=(number(middle.x - width / 2.0)) y=(number(middle.y - 9.0)) width=(number(width)) height="18"
            rx="9" fill="#fff" stroke="#000" stroke-width="0.8" {}
        (svg::bold(at(middle.x, middle.y + 4.6), svg::TEXT, Anchor::Middle, words))
    }
}

/// The number of an item in a black disc.
pub(super) fn numbered(middle: Point, count: usize) -> Markup {
    html! {
        circle cx=(number(middle.x)) cy=(number(middle.y)) r="8.5" fill="#000" stroke="#fff" stroke-width="1.5" {}
        text x=(number(middle.x)) y=(number(middle.y + 4.0)) font-size="11" text-anchor="middle" fill="#fff"
            font-weight="bold" { (count) }
    }
}

/// Where the number of a box stands: in its middle, or beside a box that it would hide.
pub(super) fn number_spot(one: Point, other: Point) -> Point {
    let middle = at(f64::midpoint(one.x, other.x), f64::midpoint(one.y, other.y));
    let (width, height) = ((other.x - one.x).abs(), (other.y - one.y).abs());
    if width < SMALL_BOX && height < SMALL_BOX {
        return at(middle.x + width / 2.0 + 12.0, middle.y - 9.0);
    }
    middle
}

/// A box smaller than this both ways would be hidden by its number.
const SMALL_BOX: f64 = 24.0;

/// A white box with a thick outline: something that is hung or placed.
pub(super) fn thing(one: Point, other: Point) -> Markup {
    // A point or a flat box would not be seen.
    let (width, height) = ((other.x - one.x).abs().max(5.0), (other.y - one.y).abs().max(5.0));
    let middle = at(f64::midpoint(one.x, other.x), f64::midpoint(one.y, other.y));
    html! {
        rect x=(number(middle.x - width / 2.0)) y=(number(middle.y - height / 2.0)) width=(number(width))
            height=(number(height)) fill="#fff" fill-opacity="0.85" stroke="#000" stroke-width="2" {}
    }
}

/// An outline with round corners: a fixture.
pub(super) fn fixture(one: Point, other: Point) -> Markup {
    html! {
        rect x=(number(one.x.min(other.x))) y=(number(one.y.min(other.y))) width=(number((other.x - one.x).abs()))
            height=(number((other.y - one.y).abs())) rx="7" fill="none" stroke="#000" stroke-width="1.4" {}
    }
}

/// An upright dimension shorter than this has its figure beside it.
const DIMENSION_MIN: f64 = 24.0;

/// A dimension: a thin line between two points with a dot at each end and the figure on white in its middle.
pub(super) fn dimension(from: Point, to: Point, words: &str) -> Markup {
    let width = svg::text_width(words, svg::SMALL) + 4.0;
    let mut middle = at(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
    let (across, up) = ((to.x - from.x).abs(), (to.y - from.y).abs());
    // On a line too short for it the figure would hide the line: it stands to its right.
    if across < width + 10.0 && up < across {
        middle.x = from.x.max(to.x) + width / 2.0 + 4.0;
    } else if up < DIMENSION_MIN && across <= up {
        middle.x += width / 2.0 + 5.0;
    }
    html! {
        (svg::path(&[from, to], Stroke::Axis))
        @for end in [from, to] { circle cx=(number(end.x)) cy=(number(end.y)) r="2" fill="#000" {} }
        rect x=(number(middle.x - width / 2.0)) y=(number(middle.y - 7.0)) width=(number(width)) height="14" fill="#fff" {}
        (svg::text(at(middle.x, middle.y + 4.0), svg::SMALL, Anchor::Middle, words))
    }
}

/// A partition: a hollow line, dashed inside where it limits nothing.
pub(super) fn hollow([from, to]: [Point; 2], dashes: &str) -> Markup {
    html! {
        (line(&[from, to], "7", "none"))
        line x1=(number(from.x)) y1=(number(from.y)) x2=(number(to.x)) y2=(number(to.y))
            stroke="#fff" stroke-width="4" stroke-dasharray=(dashes) {}
    }
}

/// A line of a style of its own.
pub(super) fn line(points: &[Point], width: &str, dashes: &str) -> Markup {
    let listed = points.iter().map(|point| format!("{},{}", number(point.x), number(point.y)));
    let listed: Vec<String> = listed.collect();
    html! {
        polyline points=(listed.join(" ")) fill="none" stroke="#000" stroke-width=(width) stroke-dasharray=(dashes) {}
    }
}

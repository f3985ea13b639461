//! A chart: a frame with two scales, their names and units, a grid, and a legend below that no curve can run into.
//!
//! Absent here: the curves.

use maud::Markup;
use maud::html;

use super::scale::Scale;
use super::svg;
use super::svg::Anchor;
use super::svg::Point;
use super::svg::Stroke;
use super::svg::at;

const LEFT: f64 = 84.0;
const RIGHT: f64 = 736.0;
/// From the top of the chart to the top of its frame, and on to its bottom.
const HEAD: f64 = 26.0;
const FRAME: f64 = 250.0;
/// From the bottom of the frame to the first row of the legend.
const BELOW: f64 = 66.0;
const LEGEND_ROW: f64 = 20.0;
/// Where the second column of the legend begins.
const LEGEND_COLUMN: f64 = 330.0;

/// A line of the legend: how it is drawn, if it is a line, and what it means.
pub(super) type LegendRow = (Option<Stroke>, String);

/// The name of a scale with its unit, and its first and last value.
pub(super) type Axis = (&'static str, [f64; 2]);

/// A chart at a height of the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chart {
    pub top: f64,
    pub title: &'static str,
    pub across: Axis,
    pub up: Axis,
}

impl Chart {
    /// Where a pair of values stands.
    pub(super) fn point(&self, across: f64, up: f64) -> Point {
        at(self.across().place(across), self.up().place(up))
    }

    fn across(&self) -> Scale {
        Scale { values: self.across.1, places: [LEFT, RIGHT] }
    }

    fn up(&self) -> Scale {
        Scale { values: self.up.1, places: [self.bottom(), self.top + HEAD] }
    }

    fn bottom(&self) -> f64 {
        self.top + HEAD + FRAME
    }

    /// Title, grid, scales and their names.
    pub(super) fn frame(&self) -> Markup {
        let (top, bottom) = (self.top + HEAD, self.bottom());
        let middle = f64::midpoint(LEFT, RIGHT);
        html! {
            (svg::bold(at(LEFT, self.top + 12.0), svg::TITLE, Anchor::Start, self.title))
            @for mark in self.across().marks(8.0) {
                @let x = self.across().place(mark);
                (svg::path(&[at(x, top), at(x, bottom)], Stroke::Grid))
                (svg::text(at(x, bottom + 18.0), svg::TEXT, Anchor::Middle, &round(mark)))
            }
            @for mark in self.up().marks(6.0) {
                @let y = self.up().place(mark);
                (svg::path(&[at(LEFT, y), at(RIGHT, y)], Stroke::Grid))
                (svg::text(at(LEFT - 8.0, y + 4.5), svg::TEXT, Anchor::End, &round(mark)))
            }
            (svg::path(&[at(LEFT, top), at(LEFT, bottom), at(RIGHT, bottom)], Stroke::Axis))
            (svg::text(at(middle, bottom + 38.0), svg::TEXT, Anchor::Middle, self.across.0))
            (svg::upright(at(28.0, f64::midpoint(top, bottom)), svg::TEXT, self.up.0))
        }
    }

    /// What the lines mean, in two columns.
    pub(super) fn legend(&self, rows: &[LegendRow]) -> Markup {
        let first = self.bottom() + BELOW;
        let places = (0_u32..).map(|index| {
            let column = f64::from(index % 2) * LEGEND_COLUMN;
            at(LEFT + column, first + f64::from(index.div_euclid(2)) * LEGEND_ROW)
        });
        html! {
            @for ((stroke, name), place) in rows.iter().zip(places) {
                @if let Some(stroke) = stroke {
                    (svg::path(&[at(place.x, place.y - 4.0), at(place.x + 34.0, place.y - 4.0)], *stroke))
                }
                (svg::text(at(place.x + if stroke.is_some() { 42.0 } else { 0.0 }, place.y),
                    svg::SMALL, Anchor::Start, &svg::fitted(name, svg::SMALL, LEGEND_COLUMN - 44.0)))
            }
        }
    }
}

/// A mark's value without needless decimals.
fn round(value: f64) -> String {
    let text = format!("{value:.2}");
    let trimmed = text.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

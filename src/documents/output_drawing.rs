//! A pair at work, in two charts: the fluid's temperature over time with the set point, and output against the fluid's
//! temperature, bare and with towels on.
//!
//! Absent here: cautions, which are in the answer's other form.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use maud::Markup;
use maud::html;

use crate::domain::emission::BOILING_FROM;
use crate::domain::emission::Emitter;
use crate::domain::emission::excess_over;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::question::OutputQuestion;
use crate::domain::units::Celsius;

use super::chart::Chart;
use super::chart::LegendRow;
use super::scale::round_up;
use super::svg;
use super::svg::Anchor;
use super::svg::Point;
use super::svg::Stroke;
use super::svg::at;
use super::warming_curve;

/// Width of the drawing.
const WIDTH: f64 = 760.0;
/// Upper edge of the first chart, or of the sentence in its place.
const FIRST: f64 = 24.0;
/// Height of a chart with its legend.
const CHART: f64 = 416.0;
/// Height of the sentence in a chart's place.
const SENTENCE: f64 = 46.0;

/// Draws a pair at work as SVG.
pub fn draw_output(question: &OutputQuestion, found: &InUse) -> String {
    let first = warming_curve::chart(question, found, FIRST);
    let second = FIRST + if first.is_some() { CHART } else { SENTENCE };
    let height = second + CHART + 4.0;
    let content = html! {
        @if let Some(first) = first {
            (first)
        } @else {
            (svg::text(at(MARGIN, FIRST + 12.0), svg::TEXT, Anchor::Start, warming_curve::refusal(question, found)))
        }
        (output_chart(question, found, second))
        (svg::text(at(MARGIN, height - 14.0), svg::SMALL, Anchor::Start,
            "An estimate by the data given. The local code and a licensed electrician decide."))
    };
    svg::sheet(at(WIDTH, height), "A body and its element at work", &content)
}

/// Left edge of what is written.
const MARGIN: f64 = 24.0;

/// Places of the fluid's temperature between which a curve is drawn.
const CURVE_POINTS: u32 = 60;

fn output_chart(question: &OutputQuestion, found: &InUse, top: f64) -> Markup {
    let room = question.room.value();
    let watts = question.drive.watts.value();
    let hottest = hottest(question, found);
    let bare = output_at(&question.emitter, question.room, hottest);
    let chart = Chart {
        top,
        title: "Output against the fluid's temperature",
        across: ("Temperature of the fluid, °C", [room, hottest]),
        up: ("Heat given to the room, W", [0.0, round_up(bare.max(watts) * 1.05, 5.0)]),
    };
    let covered = Emitter { towels_factor: found.towels_factor, ..question.emitter };
    let curve = |emitter: &Emitter| -> Vec<Point> {
        let span = hottest - room;
        let share = |index| f64::from(index) / f64::from(CURVE_POINTS);
        let fluids = (0..=CURVE_POINTS).map(|index| room + span * share(index));
        fluids.map(|fluid| chart.point(fluid, output_at(emitter, question.room, fluid))).collect()
    };
    let steady = &found.steady;
    let works = !steady.is_boiling();
    html! {
        (chart.frame())
        (svg::path(&curve(&question.emitter), Stroke::Curve))
        @if covered != question.emitter { (svg::path(&curve(&covered), Stroke::Dashed)) }
        (svg::path(&[chart.point(room, watts), chart.point(hottest, watts)], Stroke::Dotted))
        @if let Some(set_point) = question.drive.set_point.filter(|set| set.value() < hottest && room < set.value()) {
            (svg::path(&[chart.point(set_point.value(), 0.0), chart.point(set_point.value(), chart.up.1[1])], Stroke::Axis))
        }
        @if works { (svg::dot(chart.point(steady.fluid.value(), steady.delivered.value()))) }
        (chart.legend(&legend(question, found)))
    }
}

/// The end of the temperature scale: beyond what matters, at most where the law ends.
fn hottest(question: &OutputQuestion, found: &InUse) -> f64 {
    let set_point = question.drive.set_point.map_or(0.0, Celsius::value);
    let shown = [set_point, found.steady.fluid.value(), question.room.value() + 30.0];
    let most = shown.into_iter().fold(0.0, f64::max) + 5.0;
    most.min(BOILING_FROM.value())
}

fn output_at(emitter: &Emitter, room: Celsius, fluid: f64) -> f64 {
    emitter.output(excess_over(Celsius::new(fluid), room)).value()
}

fn legend(question: &OutputQuestion, found: &InUse) -> Vec<LegendRow> {
    let steady = &found.steady;
    let mut rows = vec![
        (Some(Stroke::Curve), curve_name(question)),
        (
            Some(Stroke::Dotted),
            format!("rating of the element, {:.0} W", question.drive.watts.value()),
        ),
    ];
    if is_bare(question) {
        let name = format!("with towels on, {:.0} % of it", found.towels_factor * 100.0);
        rows.push((Some(Stroke::Dashed), name));
    }
    if let Some(set_point) = question.drive.set_point {
        rows.push((Some(Stroke::Axis), format!("set point, {set_point}")));
    }
    rows.push(if steady.is_boiling() {
        (None, "no working point: the fluid would boil".to_owned())
    } else {
        let watts = steady.delivered.delivered().watts();
        (None, format!("○ works at {:.1} °C and gives {watts:.1} W", steady.fluid.value()))
    });
    rows
}

/// Whether the question is about a bare body.
fn is_bare(question: &OutputQuestion) -> bool {
    1.0 <= question.emitter.towels_factor
}

fn curve_name(question: &OutputQuestion) -> String {
    if is_bare(question) {
        "output of the bare body".to_owned()
    } else {
        format!("output with towels on ({:.0} %)", question.emitter.towels_factor * 100.0)
    }
}

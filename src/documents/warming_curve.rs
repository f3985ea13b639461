//! The fluid's temperature from switching on, through the set point, to some time after switching off.
//!
//! Absent here: schedules.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use maud::Markup;
use maud::html;

use crate::domain::emission::Operation;
use crate::domain::emission::in_use::InUse;
use crate::domain::emission::question::OutputQuestion;
use crate::domain::emission::warming::HungBody;
use crate::domain::emission::warming::WarmUp;
use crate::domain::emission::warming::fluid_when_off;
use crate::domain::emission::warming::fluid_when_on;
use crate::domain::emission::warming::warm_up;
use crate::domain::units::Celsius;
use crate::domain::units::Seconds;

use super::chart::Chart;
use super::chart::LegendRow;
use super::scale::round_up;
use super::svg;
use super::svg::Point;
use super::svg::Stroke;

/// Points of a curve before and after switching off.
const CURVE_POINTS: u32 = 90;

/// Time shown at the least, s.
const TIME_MIN: f64 = 1_800.0;

/// How much longer than the warm-up the rail is shown on.
const STRETCH: f64 = 1.5;

/// From here on time is marked in hours, s.
const HOURS_FROM: f64 = 14_400.0;

/// The chart; none where there is nothing to draw.
pub(super) fn chart(question: &OutputQuestion, found: &InUse, top: f64) -> Option<Markup> {
    let body = question.hung_body()?;
    (!found.steady.is_boiling() && !starts_too_warm(question, found))
        .then(|| curve(question, found, (&body, top)))
}

/// Why there is nothing to draw.
pub(super) fn refusal(question: &OutputQuestion, found: &InUse) -> &'static str {
    if found.steady.is_boiling() {
        "The fluid would boil, so no temperature over time is drawn."
    } else if starts_too_warm(question, found) {
        "The fluid starts warmer than the watts can hold it, so no temperature over time is drawn."
    } else {
        "What the filled body stores is not stated, so no temperature over time is drawn."
    }
}

/// A fluid that sinks with the element on is not covered by the closed form.
fn starts_too_warm(question: &OutputQuestion, found: &InUse) -> bool {
    found.steady.operation == Operation::Continuous && found.steady.fluid < question.start()
}

fn curve(question: &OutputQuestion, found: &InUse, (body, top): (&HungBody, f64)) -> Markup {
    let on = time_on(question, body);
    let (unit, name) = if on * 2.0 < HOURS_FROM {
        (60.0, "Time since switching on, min")
    } else {
        (3_600.0, "Time since switching on, h")
    };
    let set_point = question.drive.set_point;
    let chart = Chart {
        top,
        title: "The fluid's temperature over time",
        across: (name, [0.0, on * 2.0 / unit]),
        up: ("Temperature of the fluid, °C", temperatures(question, found)),
    };
    let points = points(question, body, on);
    let placed: Vec<Point> =
        points.iter().map(|(time, fluid)| chart.point(time / unit, *fluid)).collect();
    let [low, high] = chart.up.1;
    let across = |value: f64| [chart.point(0.0, value), chart.point(on * 2.0 / unit, value)];
    html! {
        (chart.frame())
        @if let Some(set_point) = set_point { (svg::path(&across(set_point.value()), Stroke::Dashed)) }
        (svg::path(&across(question.room.value()), Stroke::Dotted))
        (svg::path(&[chart.point(on / unit, low), chart.point(on / unit, high)], Stroke::Axis))
        (svg::path(&placed, Stroke::Curve))
        (chart.legend(&legend(question, body)))
    }
}

/// Time until the rail is switched off again, s.
fn time_on(question: &OutputQuestion, body: &HungBody) -> f64 {
    let after = match warm_up(body, question.drive, question.start()) {
        WarmUp::SetPoint { after }
        | WarmUp::NotReached { after, .. }
        | WarmUp::NoSetPoint { after, .. } => after.value(),
        WarmUp::StaysOff => 0.0,
    };
    round_up((after * STRETCH).max(TIME_MIN), 6.0)
}

/// From below the coldest to above the hottest that is drawn.
fn temperatures(question: &OutputQuestion, found: &InUse) -> [f64; 2] {
    let set_point = question.drive.set_point.map_or(question.room, |set_point| set_point);
    let drawn = [question.room, question.start(), found.steady.fluid, set_point];
    let values = drawn.into_iter().map(Celsius::value);
    let low = values.clone().fold(f64::INFINITY, f64::min);
    let high = values.fold(f64::NEG_INFINITY, f64::max);
    [libm::floor((low - 2.0) / 10.0) * 10.0, libm::ceil((high + 2.0) / 10.0) * 10.0]
}

fn points(question: &OutputQuestion, body: &HungBody, on: f64) -> Vec<(f64, f64)> {
    let share = |index| on * f64::from(index) / f64::from(CURVE_POINTS);
    let warming = (0..=CURVE_POINTS).map(share).map(|time| (time, fluid_on(question, body, time)));
    let hot = Celsius::new(fluid_on(question, body, on));
    let cooling = (1..=CURVE_POINTS)
        .map(share)
        .map(|time| (on + time, fluid_when_off(body, hot, Seconds::new(time)).value()));
    warming.chain(cooling).collect()
}

/// A fluid that starts above the set point cools to it with the element off.
fn fluid_on(question: &OutputQuestion, body: &HungBody, time: f64) -> f64 {
    let (start, after) = (question.start(), Seconds::new(time));
    let held = fluid_when_on(body, question.drive, start, after).value();
    if start.value() <= held { held } else { fluid_when_off(body, start, after).value().max(held) }
}

fn legend(question: &OutputQuestion, body: &HungBody) -> Vec<LegendRow> {
    let mut rows = vec![
        (Some(Stroke::Curve), "fluid".to_owned()),
        (Some(Stroke::Dotted), format!("room, {}", question.room)),
        (Some(Stroke::Axis), "switched off".to_owned()),
    ];
    if let Some(set_point) = question.drive.set_point {
        rows.push((Some(Stroke::Dashed), format!("set point, {set_point}")));
    }
    let minutes = |seconds: Seconds| format!("{:.0} min", seconds.value() / 60.0);
    rows.push((
        None,
        match warm_up(body, question.drive, question.start()) {
            WarmUp::SetPoint { after } if after.value() <= 0.0 => {
                "starts at the set point or above it".to_owned()
            }
            WarmUp::SetPoint { after } => format!("reaches the set point after {}", minutes(after)),
            WarmUp::NotReached { after, warm, .. } => {
                format!("not reached; {:.1} °C after {}", warm.value(), minutes(after))
            }
            WarmUp::NoSetPoint { after, warm } => {
                format!("{:.1} °C, 90 % of the way, after {}", warm.value(), minutes(after))
            }
            WarmUp::StaysOff => "the element stays off".to_owned(),
        },
    ));
    rows
}

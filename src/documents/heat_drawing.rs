//! Where a room's watts go: one bar for each step of the sum, losses dark, gains hollow, and the quick rule beside them.
//!
//! Absent here: cautions and sources, which are in the answer's other form.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use maud::Markup;
use maud::html;

use crate::domain::heat::HeatRequirement;
use crate::domain::heat::PrintedHeat;
use crate::domain::heat::Step;
use crate::domain::units::Deciwatts;

use super::scale::Scale;
use super::svg;
use super::svg::Anchor;
use super::svg::Fill;
use super::svg::Stroke;
use super::svg::at;

const WIDTH: f64 = 760.0;
const MARGIN: f64 = 24.0;
const HEAD: f64 = 70.0;
const ROW: f64 = 54.0;
const FOOT: f64 = 150.0;
/// Space on the right for the watts.
const FIGURES: f64 = 110.0;

/// Draws a heat requirement as SVG.
pub fn draw_heat(requirement: &HeatRequirement) -> String {
    let printed = requirement.printed();
    let rows = number_of(requirement.steps.len());
    let height = HEAD + rows * ROW + FOOT;
    let scale = scale(&printed);
    let steps = requirement.steps.iter().zip(&printed.steps).enumerate();
    let bars = steps.map(|(index, (step, watts))| {
        let top = HEAD + number_of(index) * ROW;
        step_row(step, *watts, &scale, top)
    });
    let end = HEAD + rows * ROW;
    let content = html! {
        (svg::bold(at(MARGIN, 34.0), svg::TITLE, Anchor::Start, "Where the watts go"))
        (svg::text(at(MARGIN, 54.0), svg::SMALL, Anchor::Start,
            "Steady-state heat loss by step, in watts. Dark: the room loses heat. Hollow: it gains heat."))
        (svg::all(bars))
        (totals(&printed, &scale, end))
    };
    svg::sheet(at(WIDTH, height), "Where the watts of a room go", &content)
}

/// From the largest gain to the largest figure, nought always inside.
fn scale(printed: &PrintedHeat) -> Scale {
    let totals = [printed.required, printed.quick_rule];
    let watts = printed.steps.iter().chain(&totals).map(|tenths| tenths.watts());
    let [low, high] =
        watts.fold([0.0, 1.0], |[low, high]: [f64; 2], watts| [low.min(watts), high.max(watts)]);
    Scale { values: [low, high], places: [MARGIN, WIDTH - MARGIN - FIGURES] }
}

fn step_row(step: &Step, watts: Deciwatts, scale: &Scale, top: f64) -> Markup {
    let name_width = WIDTH - 2.0 * MARGIN - FIGURES;
    let fill = if watts < Deciwatts::new(0) { Fill::Hollow } else { Fill::Solid };
    let zero = scale.place(0.0);
    html! {
        (svg::text(at(MARGIN, top + 14.0), svg::TEXT, Anchor::Start,
            &svg::fitted(&step.what, svg::TEXT, name_width)))
        (svg::bar(at(zero, top + 20.0), at(scale.place(watts.watts()), top + 32.0), fill))
        (svg::path(&[at(zero, top + 17.0), at(zero, top + 35.0)], Stroke::Axis))
        (svg::bold(at(WIDTH - MARGIN, top + 31.0), svg::TEXT, Anchor::End, &printed_watts(watts)))
        (svg::text(at(MARGIN, top + 45.0), svg::SMALL, Anchor::Start, &product(step)))
    }
}

/// The line as it is worked by hand.
fn product(step: &Step) -> String {
    let amount = format!("{} {}", short(step.amount.value), unit(step.amount.unit));
    let rate = format!("{} {}", short(step.rate.value), unit(step.rate.unit));
    let bare: f64 = step.factor - 1.0;
    let factor = if bare == 0.0 { String::new() } else { format!(" × {}", short(step.factor)) };
    let difference = step.difference.map(|kelvins| format!(" × {} K", short(kelvins.value())));
    format!("{amount} × {rate}{factor}{}", difference.unwrap_or_default())
}

/// At most three decimals, none that are nought.
fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    let trimmed = text.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { signed(trimmed) }
}

fn totals(printed: &PrintedHeat, scale: &Scale, top: f64) -> Markup {
    let rule = at(WIDTH - MARGIN, top + 8.0);
    html! {
        (svg::path(&[at(MARGIN, rule.y), rule], Stroke::Axis))
        (total(printed.required, scale, top + 14.0, ("Required: this figure governs", Fill::Solid)))
        (total(printed.quick_rule, scale, top + 64.0,
            ("Quick rule, 100 W per m\u{b2} of floor (common practice, no source): for comparison only", Fill::Hatched)))
        (svg::text(at(MARGIN, top + 134.0), svg::SMALL, Anchor::Start,
            "An estimate by the data given. The local code and a licensed electrician decide."))
    }
}

fn total(watts: Deciwatts, scale: &Scale, top: f64, (name, fill): (&str, Fill)) -> Markup {
    html! {
        (svg::bold(at(MARGIN, top + 14.0), svg::TEXT, Anchor::Start,
            &svg::fitted(name, svg::TEXT, WIDTH - 2.0 * MARGIN)))
        (svg::bar(at(scale.place(0.0), top + 20.0), at(scale.place(watts.watts()), top + 36.0), fill))
        (svg::bold(at(WIDTH - MARGIN, top + 33.0), svg::TEXT, Anchor::End,
            &printed_watts(watts)))
    }
}

fn printed_watts(watts: Deciwatts) -> String {
    signed(&format!("{:.1} W", watts.watts()))
}

/// With a minus that is as long as a plus.
fn signed(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

/// A unit with its exponent raised.
fn unit(symbol: &str) -> String {
    symbol.replace("m2", "m\u{b2}").replace("m3", "m\u{b3}")
}

/// A count of rows, at most some hundreds.
fn number_of(count: usize) -> f64 {
    u32::try_from(count).map_or(0.0, f64::from)
}

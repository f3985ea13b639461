//! The rules that no row of data can state: how threads mate, and how hot the fluid gets.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::HeatSource;
use crate::domain::catalogue::Mates;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Stated;
use crate::domain::emission::Emitter;
use crate::domain::emission::uncapped_fluid;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::thread::Thread;
use crate::domain::units::Celsius;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;

/// The body as a giver of heat.
pub fn emitter(body: &Body, towels_factor: f64) -> Emitter {
    Emitter { rated: body.heat.rated_output, exponent: body.heat.exponent, towels_factor }
}

/// Whether the threads of a body and an element make a joint, without the reasons.
pub(super) fn thread_fits(edition: &Edition, body: PartRef, element: PartRef) -> bool {
    let body = edition.bodies().get(body.index);
    let element = edition.elements().get(element.index);
    match (body, element) {
        (Some(body), Some(element)) => !check_thread(edition, body, element).refuses(),
        (None, _) | (_, None) => false,
    }
}

/// Rule `body-not-electric`: only bodies made for electric heating alone are what this service is for.
///
/// A body plumbed to central heating has valves, an expansion vessel and another fitter's liability; one for both has
/// an element that may be cut off by a closed valve. Neither is answered by these rules, so both are refused.
pub fn check_heat_source(body: &Body) -> Finding {
    let is_electric = body.heat_source == HeatSource::Electric;
    let left = StatedSide::part(
        &body.card.sku,
        "body.heat_source",
        Some(body.heat_source.word().to_owned()),
    );
    let right = StatedSide::demand("scope of this service", HeatSource::Electric.word().to_owned());
    Finding {
        rule: "body-not-electric".into(),
        outcome: if is_electric { Outcome::Holds } else { Outcome::Clashes },
        severity: Severity::Refuse,
        detail: format!(
            "Only bodies made for electric heating alone are answered for. Here {left}."
        ),
        left,
        right,
        source: Source::new("scope of this service: electric rails only", Evidence::Practice),
    }
}

/// Rule `thread-mates`: the element's thread and the port's make a joint by the mating table.
///
/// ISO 228 threads seal on a face, never on the thread, so a parallel external thread in a taper port is refused
/// although it can be screwed in; sizes are names, so `G 1/2` never mates with `G 3/4`.
pub fn check_thread(edition: &Edition, body: &Body, element: &Element) -> Finding {
    let (port, boss) = (body.ports.thread, element.shape.thread);
    let (outcome, remark, source) = thread_outcome(edition, port, boss);
    Finding {
        rule: "thread-mates".into(),
        outcome,
        severity: Severity::Refuse,
        detail: format!("The element's thread {boss} goes into the port {port}: {remark}."),
        left: StatedSide::part(&element.card.sku, "element.thread", Some(boss.to_string())),
        right: StatedSide::part(&body.card.sku, "body.thread", Some(port.to_string())),
        source,
    }
}

fn thread_outcome(edition: &Edition, port: Thread, boss: Thread) -> (Outcome, String, Source) {
    if port.size() != boss.size() {
        let remark = "different sizes never mate, and a reducer would add two seals".to_owned();
        let source = Source::new("ISO 228-1 and ISO 7-1 sizes; derived", Evidence::Computed);
        return (Outcome::Clashes, remark, source);
    }
    if port.side() == boss.side() {
        let source = Source::new("an external thread needs an internal one", Evidence::Computed);
        return (Outcome::Clashes, "both are on the same side of a joint".to_owned(), source);
    }
    let Some(row) = edition.thread_mating(port, boss) else {
        let source = Source::new("no row of the mating table", Evidence::Fallback);
        return (Outcome::NotEstablished, "the mating table has no row for it".to_owned(), source);
    };
    let outcome = match row.mates {
        Mates::Yes => Outcome::Holds,
        Mates::Conditional => Outcome::Warns,
        Mates::NotStandard => Outcome::NotEstablished,
        Mates::No => Outcome::Clashes,
    };
    (outcome, format!("{} ({})", answer(row.mates), row.seal), row.source.clone())
}

const fn answer(mates: Mates) -> &'static str {
    match mates {
        Mates::Yes => "they join",
        Mates::Conditional => "they join only if sealed so",
        Mates::NotStandard => "no standard says that they join",
        Mates::No => "they do not join",
    }
}

/// Rule `fluid-within-limit`: with nothing to switch it off, the element would not heat the fluid beyond what fluid,
/// body and element stand.
///
/// Beyond the limit an element with an independent thermal cut-out calls for a caution; one without, or one that does
/// not state it, is refused.
pub fn check_fluid(body: &Body, element: &Element, room: Celsius, towels_factor: f64) -> Finding {
    let limit = body.heat.fluid_limit.value().min(element.safety.fluid_limit.value());
    let fluid = uncapped_fluid(&emitter(body, towels_factor), element.watts, room).value();
    let heat = format!("{fluid:.1} °C");
    let (outcome, remark) = fluid_outcome(fluid <= limit, element.safety.thermal_cut_out);
    Finding {
        rule: "fluid-within-limit".into(),
        outcome,
        severity: Severity::Refuse,
        detail: format!(
            "Left on without regulation, {} would bring the fluid to {heat} in a room of {}; the limit is \
             {limit} °C. {remark}",
            element.watts, room
        ),
        left: StatedSide::part(&element.card.sku, "uncapped fluid temperature", Some(heat)),
        right: StatedSide::part(&body.card.sku, "fluid_limit_c", Some(format!("{limit} °C"))),
        source: Source::new(
            "emission law of EN 442 solved for the fluid; body and element limits are product data",
            Evidence::Computed,
        ),
    }
}

const fn fluid_outcome(is_within: bool, cut_out: Stated) -> (Outcome, &'static str) {
    match (is_within, cut_out) {
        (true, _) => (Outcome::Holds, "It stays within it."),
        (false, Stated::Yes) => {
            (Outcome::Warns, "Its independent thermal cut-out is what keeps it below.")
        }
        (false, Stated::No) => (Outcome::Clashes, "It has no independent thermal cut-out."),
        (false, Stated::NotStated) => {
            (Outcome::Clashes, "Whether it has an independent thermal cut-out is not stated.")
        }
    }
}

/// Whether [`check_fluid`] lets the pair pass, without the reasons.
pub fn fluid_passes(body: &Body, element: &Element, room: Celsius, towels_factor: f64) -> bool {
    let limit = body.heat.fluid_limit.value().min(element.safety.fluid_limit.value());
    element.safety.thermal_cut_out == Stated::Yes
        || uncapped_fluid(&emitter(body, towels_factor), element.watts, room).value() <= limit
}

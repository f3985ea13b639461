//! The element in its port, its flex, and what the household should know of both.

use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Side;
use crate::domain::compatibility::FLEX_SLACK;
use crate::domain::compatibility::hottest_fluid;
use crate::domain::compatibility::working;
use crate::domain::mounting::PortSide;
use crate::domain::quote::sheet::CareFigures;
use crate::domain::quote::sheet::Fitting;
use crate::domain::quote::sheet::Replacement;
use crate::domain::quote::sheet::SetPoint;
use crate::domain::thread::ThreadSide;
use crate::domain::units::Celsius;

use super::Rail;
use super::place::position;

/// How the element is fitted.
pub(super) fn fitting(rail: &Rail<'_>) -> Fitting {
    let (body, element) = (rail.body, rail.element);
    let (port, boss) = (body.ports.thread, element.shape.thread);
    let mating = rail.room.catalogue.edition().thread_mating(port, boss);
    Fitting {
        port: Some(port_words(rail)),
        thread: Some(format!("{port} in the body, {boss} on the element")),
        seal: mating.map(|row| row.seal.to_string()),
        flex_length_mm: Some(element.flex.length.value()),
        flex_route: route(rail),
        ip: element.safety.ip.as_ref().map(ToString::to_string),
        class: element.safety.class.map(|class| class.to_string()),
    }
}

fn port_words(rail: &Rail<'_>) -> String {
    let drawn = position(rail).and_then(|position| position.unit).map(|unit| unit.side);
    if let Some(side) = drawn {
        let side = match side {
            PortSide::Left => "left",
            PortSide::Right => "right",
        };
        return format!("lower {side} port, seen from the room");
    }
    let (offered, wanted) = (rail.body.ports.element_side, rail.room.around.place.side);
    match if wanted == Side::Either { offered } else { wanted } {
        Side::Left => "lower left port, seen from the room".to_owned(),
        Side::Right => "lower right port, seen from the room".to_owned(),
        Side::Either => {
            "lower left or lower right port, on the side of the connection point".to_owned()
        }
    }
}

fn route(rail: &Rail<'_>) -> Option<String> {
    if let Some(unit) = position(rail).and_then(|position| position.unit) {
        return Some(format!(
            "to wall {}, {} mm from its start, {} mm up: {} mm, {FLEX_SLACK} of slack included",
            unit.wall_index, unit.centre_mm, unit.low_mm, unit.flex_needed_mm
        ));
    }
    let stated = rail.room.around.place.connection_distance?;
    let needed = stated.value().saturating_add(FLEX_SLACK.value());
    Some(format!("stated as {stated}: {needed} mm, {FLEX_SLACK} of slack included"))
}

/// What the household should know.
pub(super) fn care(rail: &Rail<'_>) -> CareFigures {
    let (body, element) = (rail.body, rail.element);
    let users = rail.room.around.users;
    let held = working(body, element, users).set_point();
    // Held lower for those who need it; else the hottest that anybody may set, or that the watts reach under towels.
    let hottest = held.filter(|_| users.need_protection());
    let hottest = hottest.unwrap_or_else(|| hottest_fluid(body, Some(element)));
    CareFigures {
        regulation: match element.regulation {
            Regulation::Fixed { set_point } => set_point.map(|set| set_point_of(set, set)),
            Regulation::Adjustable { set_point_min, set_point_max, lockable_at } => {
                let locked = lockable_at.filter(|_| users.need_protection());
                Some(set_point_of(set_point_min, locked.unwrap_or(set_point_max)))
            }
        },
        surface_max_c: whole(libm::ceil(hottest.value())),
        is_for_vulnerable: users.need_protection(),
        replacement: Replacement {
            sku: Some(element.card.sku.to_string()),
            thread: Some(format!("{} ({})", element.shape.thread, side_word(rail))),
            power_w: whole(element.watts.value()).and_then(|watts| u32::try_from(watts).ok()),
            length_mm: Some(element.shape.immersed_length.value()),
            finish: Some(element.finish.to_string()),
            flex: Some(format!("{}, {}", element.flex.length, flex_words(rail))),
            ip: element.safety.ip.as_ref().map(ToString::to_string),
        },
    }
}

const fn side_word(rail: &Rail<'_>) -> &'static str {
    match rail.element.shape.thread.side() {
        ThreadSide::External => "external",
        ThreadSide::Internal => "internal",
    }
}

/// The conductors of the flex: `3 × 0.75 mm²`.
pub(super) fn flex_words(rail: &Rail<'_>) -> String {
    let hundredths = rail.element.flex.area_mm2_e2;
    let (whole, rest) = (hundredths.div_euclid(100), hundredths.rem_euclid(100));
    let area = format!("{whole}.{rest:02}");
    let cores = match rail.element.safety.class {
        Some(class) if class.code() == "II" => "2 × ",
        Some(class) if class.code() == "I" => "3 × ",
        Some(_) | None => "",
    };
    format!("{cores}{} mm²", area.trim_end_matches('0').trim_end_matches('.'))
}

fn set_point_of(low: Celsius, high: Celsius) -> SetPoint {
    let low_c = whole(libm::round(low.value())).unwrap_or_default();
    SetPoint { low_c, high_c: whole(libm::round(high.value())).unwrap_or_default() }
}

/// A figure as a whole number, where it is one of this trade's sizes.
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "some thousand at the most; the cast saturates"
)]
fn whole(figure: f64) -> Option<i32> {
    figure.is_finite().then(|| libm::round(figure) as i32)
}

//! Body and element in their room: thread, place, people, zone, heat.

use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::Mates;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Regulation;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Stated;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::thread::ThreadSide;
use rungwright::domain::units::Celsius;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::verdict::Connection;
use rungwright::domain::zones::verdict::Equipment;
use rungwright::domain::zones::verdict::Outcome;
use rungwright::domain::zones::verdict::Residual;
use rungwright::domain::zones::verdict::verdict_in_zone;

use super::Ask;

/// Slack of a flex beyond its route (common practice, no source).
const SLACK_MM: i32 = 100;
/// Least height of a heated tube where children are (IEC 60335-2-43, figure read in a sheet tested to AS/NZS 60335.2.43).
const CHILD_HEIGHT_MM: i32 = 600;
/// Hottest surface within reach of vulnerable people (HSE HSG220, read in a page that quotes it).
const LOW_SURFACE_C: f64 = 43.0;

/// What the pair gives the room, tenths of a watt rounded down; nothing when the two may not hang there together.
pub(super) fn delivered_tenths(ask: Ask<'_>, body: PartRef, element: PartRef) -> Option<i64> {
    let body = &ask.edition.bodies()[body.index];
    let element = &ask.edition.elements()[element.index];
    let may_hang = body.heat_source == HeatSource::Electric
        && is_wished(ask, body, element)
        && threads_join(ask.edition, body, element)
        && fits_the_wall(ask, body, element)
        && flex_reaches(ask, element)
        && zone_allows(ask, element)
        && fluid_stays_cool(ask, body, element);
    let set_point = set_point(ask, body, element).filter(|_| may_hang)?;
    let rated = element.watts.value();
    let watts = set_point.map_or(rated, |set_point| rated.min(shed(ask, body, set_point)));
    // Rounded down, with the noise of binary fractions taken off.
    Some(tenths(watts))
}

#[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "a few thousand")]
fn tenths(watts: f64) -> i64 {
    (watts * 10.0 + 1e-5).floor() as i64
}

/// The emission law of EN 442 at a fluid temperature.
fn shed(ask: Ask<'_>, body: &Body, fluid_c: f64) -> f64 {
    let around = &ask.demands.surroundings;
    let excess = f64::max(fluid_c - around.room.value(), 0.0);
    around.towels_factor
        * body.heat.rated_output.value()
        * libm::pow(excess / 50.0, body.heat.exponent)
}

fn is_wished(ask: Ask<'_>, body: &Body, element: &Element) -> bool {
    let wished = &ask.demands.preferences;
    let regulation = match (wished.regulation, element.regulation) {
        (RegulationWish::Either, _)
        | (RegulationWish::Fixed, Regulation::Fixed { .. })
        | (RegulationWish::Adjustable, Regulation::Adjustable { .. }) => true,
        (RegulationWish::Fixed, Regulation::Adjustable { .. })
        | (RegulationWish::Adjustable, Regulation::Fixed { .. }) => false,
    };
    regulation && wished.finish.as_ref().is_none_or(|finish| *finish == body.finish)
}

fn threads_join(edition: &Edition, body: &Body, element: &Element) -> bool {
    let (port, boss) = (body.ports.thread, element.shape.thread);
    let (external, internal) = match (port.side(), boss.side()) {
        (ThreadSide::Internal, ThreadSide::External) => (boss, port),
        (ThreadSide::External, ThreadSide::Internal) => (port, boss),
        (ThreadSide::Internal, ThreadSide::Internal)
        | (ThreadSide::External, ThreadSide::External) => return false,
    };
    let mut rows = edition.content().thread_matings.iter();
    let row = rows.find(|row| row.external == external.form() && row.internal == internal.form());
    let joins = row.is_some_and(|row| row.mates == Mates::Yes || row.mates == Mates::Conditional);
    joins && port.size() == boss.size()
}

fn fits_the_wall(ask: Ask<'_>, body: &Body, element: &Element) -> bool {
    let place = &ask.demands.surroundings.place;
    let (width, height) = (body.size.width.value(), body.size.height.value());
    let with_head = height + element.shape.head_length.value();
    let side = match (body.ports.element_side, place.side) {
        (Side::Either, _) | (_, Side::Either) => true,
        (offered, asked) => offered == asked,
    };
    let children =
        match (ask.demands.surroundings.users.children, place.wall_bottom, place.wall_height) {
            (true, Some(bottom), Some(wall)) => {
                let lowest = bottom.value() + wall.value() - height + body.size.lowest_tube.value();
                CHILD_HEIGHT_MM <= lowest
            }
            (false | true, ..) => true,
        };
    side && children
        && place.wall_width.is_none_or(|wall| width <= wall.value())
        && place.wall_height.is_none_or(|wall| with_head <= wall.value())
}

fn flex_reaches(ask: Ask<'_>, element: &Element) -> bool {
    let route = ask.demands.surroundings.place.connection_distance;
    route.is_none_or(|route| route.value() + SLACK_MM <= element.flex.length.value())
}

fn zone_allows(ask: Ask<'_>, element: &Element) -> bool {
    let around = &ask.demands.surroundings;
    let Some(zone) = around.place.zone else { return true };
    let declared = element.safety.declared_zones.iter().filter_map(|code| Zone::parse(code));
    let equipment = Equipment {
        kind: EquipmentKind::Rail,
        ip: element.safety.ip,
        class: element.safety.class,
        declared_zones: Some(declared.collect()),
        jets: around.place.water_jets,
        connection: if element.flex.has_plug { Connection::Plug } else { Connection::Permanent },
        residual: Residual::NotStated,
    };
    let outcome = around.rules.map(|rules| verdict_in_zone(rules, zone, &equipment).outcome);
    matches!(outcome, Some(Outcome::Allowed | Outcome::AllowedIf))
}

/// With nothing to switch it off, the element may not heat the fluid beyond the limit, unless a cut-out stops it.
fn fluid_stays_cool(ask: Ask<'_>, body: &Body, element: &Element) -> bool {
    let limit = f64::min(body.heat.fluid_limit.value(), element.safety.fluid_limit.value());
    element.safety.thermal_cut_out == Stated::Yes || element.watts.value() <= shed(ask, body, limit)
}

/// The fluid temperature at which it works for these people: `Some(None)` is an element without a set point, nothing
/// is a pair that does not protect them.
#[expect(clippy::option_option, reason = "no protection and no set point are two things")]
fn set_point(ask: Ask<'_>, body: &Body, element: &Element) -> Option<Option<f64>> {
    let users = ask.demands.surroundings.users;
    let highest = element.regulation.set_point_max().map(Celsius::value);
    if body.is_guarded || !(users.children || users.vulnerable || users.public_building) {
        return Some(highest);
    }
    match element.regulation {
        Regulation::Fixed { .. } => (highest? <= LOW_SURFACE_C).then_some(highest),
        Regulation::Adjustable { lockable_at, .. } => {
            let locked = lockable_at?.value();
            (!users.vulnerable || locked <= LOW_SURFACE_C).then_some(Some(locked))
        }
    }
}

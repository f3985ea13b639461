//! What a rail uses in a day: the running cost of a bill, before any tariff.
//!
//! The energy of a settled day on the schedule that is asked for, as `emission::energy` works it out: warmed up from
//! what the pause before has left, then held. A rail that is always on, or whose heat capacity is not stated, counts
//! what it delivers times the hours it is on, which is never too little. Standby of controls is not stated in the
//! catalogue and not counted; thermostats that switch off earlier are not either. Absent here: money.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::pair_capacity;
use crate::domain::compatibility::pair_fill;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::energy::Schedule;
use crate::domain::emission::energy::daily_energy;
use crate::domain::emission::warming::HungBody;
use crate::domain::units::Watts;

use super::pairs::Pair;
use super::query::Query;

/// Seconds in an hour.
const HOUR: f64 = 3_600.0;

/// Watt-hours in a kilowatt-hour.
const KILO: f64 = 1_000.0;

/// Tenths of a watt-hour that a pair uses in a day, rounded up.
pub(super) fn energy_tenths(query: &Query<'_>, pair: &Pair) -> i64 {
    let edition = query.catalogue.edition();
    let body = edition.bodies().get(pair.body.index);
    let parts = body.zip(edition.elements().get(pair.element.index));
    let stored = parts.and_then(|parts| on_schedule(query, pair, parts));
    let schedule = &query.demands.sought.schedule;
    let steady = || pair.delivered.watts() * schedule.on_time().value() / HOUR;
    // The same rounding as that of a requirement: up to a tenth.
    Watts::new(stored.unwrap_or_else(steady)).required().value()
}

/// Watt-hours of a settled day; nothing without a schedule or a heat capacity.
fn on_schedule(query: &Query<'_>, pair: &Pair, (body, element): (&Body, &Element)) -> Option<f64> {
    let demands = query.demands;
    let schedule = &demands.sought.schedule;
    if *schedule == Schedule::always() {
        return None;
    }
    let around = &demands.surroundings;
    let hung = HungBody {
        emitter: emitter(body, around.towels_factor),
        capacity: pair_capacity(body, &pair_fill(body, Some(element)))?,
        room: around.room,
    };
    let drive = ElementDrive { watts: element.watts, set_point: pair.working.set_point() };
    Some(daily_energy(&hung, drive, schedule, around.room).settled_day_kwh * KILO)
}

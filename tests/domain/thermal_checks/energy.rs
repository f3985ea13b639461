//! Rows about kilowatt-hours and running cost.

use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::energy::DailyEnergy;
use rungwright::domain::emission::energy::Schedule;
use rungwright::domain::emission::energy::daily_energy;
use rungwright::domain::emission::warming::HeatCapacity;
use rungwright::domain::emission::warming::HungBody;
use rungwright::domain::emission::warming::stored_heat_kwh;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Watts;

use super::row::Found;
use super::row::Row;
use super::row::leading_number;

pub(super) fn find(row: &Row) -> Option<Found> {
    Some(Found::Number(match row.quantity.as_str() {
        "kWh_day" => plain_day(row),
        "cost_day" => cost(row),
        "kWh_24h_hold" => worked_rail(row).settled_day_kwh,
        "kWh_24h_from_cold" => from_cold(row),
        "kWh_24h_uncapped" => worked_rail(row).first_day_kwh,
        "standby_kWh_year" | "networked_standby_kWh_year" => standby_year(row),
        "stored_heat" => stored(row),
        _ => return None,
    }))
}

const ROOM: Celsius = Celsius::new(22.0);

fn hung(capacity: f64) -> HungBody {
    let emitter = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
    HungBody { emitter, capacity: HeatCapacity::new(capacity), room: ROOM }
}

fn whole_day(watts: f64, set_point: Option<f64>) -> DailyEnergy {
    let drive = ElementDrive { watts: Watts::new(watts), set_point: set_point.map(Celsius::new) };
    daily_energy(&hung(24_462.5), drive, &Schedule::always(), ROOM)
}

/// `200 W;24 h`, nothing to switch it off.
fn plain_day(row: &Row) -> f64 {
    whole_day(leading_number(&row.inputs).unwrap(), None).settled_day_kwh
}

fn worked_rail(row: &Row) -> DailyEnergy {
    whole_day(row.after("P="), Some(row.after("Tset=")))
}

/// "same" is the row of the held rail before it.
fn from_cold(row: &Row) -> f64 {
    assert!(row.inputs.starts_with("same"), "{row:?}");
    let drive = ElementDrive { watts: Watts::new(300.0), set_point: Some(Celsius::new(50.0)) };
    daily_energy(&hung(row.after("C=")), drive, &Schedule::always(), ROOM).first_day_kwh
}

/// `4.8 kWh;0.28/kWh`: a day at the watts that use this energy.
fn cost(row: &Row) -> f64 {
    let kwh = leading_number(&row.inputs).unwrap();
    let price = leading_number(row.parts().last().unwrap()).unwrap();
    whole_day(kwh * 1_000.0 / 24.0, None).cost_per_day(price)
}

fn standby_year(row: &Row) -> f64 {
    let standby = Watts::new(leading_number(&row.inputs).unwrap());
    Schedule::parse(&[]).unwrap().with_standby(standby).standby_kwh_day() * 365.0
}

fn stored(row: &Row) -> f64 {
    let fluid = Celsius::new(ROOM.value() + row.after("dT="));
    stored_heat_kwh(&hung(row.after("C=")), fluid)
}

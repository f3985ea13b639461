//! Rows about what a body gives, how it warms, and how hot it may feel.

use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::delivered_output;
use rungwright::domain::emission::element_watts_max;
use rungwright::domain::emission::mean_excess::Mean;
use rungwright::domain::emission::mean_excess::WaterTemperatures;
use rungwright::domain::emission::mean_excess::emitter_of_rating;
use rungwright::domain::emission::mean_excess::mean_excess;
use rungwright::domain::emission::mean_excess::return_temperature;
use rungwright::domain::emission::steady_state;
use rungwright::domain::emission::surface::SURFACE_FACTS;
use rungwright::domain::emission::surface::check_surface;
use rungwright::domain::emission::uncapped_fluid;
use rungwright::domain::emission::warming::HeatCapacity;
use rungwright::domain::emission::warming::HungBody;
use rungwright::domain::emission::warming::METALS;
use rungwright::domain::emission::warming::WATER_SPECIFIC_HEAT;
use rungwright::domain::emission::warming::WarmedMass;
use rungwright::domain::emission::warming::time_to_reach;
use rungwright::domain::emission::warming::time_without_loss;
use rungwright::domain::fill::water::water_density;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Kelvins;
use rungwright::domain::units::Kilograms;
use rungwright::domain::units::Watts;

use super::row::Found;
use super::row::Row;
use super::row::number_after;

pub(super) fn find(row: &Row) -> Option<Found> {
    Some(Found::Number(match row.quantity.as_str() {
        "correction_factor_n1.3" => factor(row.after("dT="), 1.3),
        "correction_factor" => factor(row.after("dT="), row.after("n=")),
        "output" => body(row).output(Kelvins::new(row.after("dT="))).value(),
        "LMTD" => mean(row, Mean::Logarithmic),
        "AMTD" => mean(row, Mean::Arithmetic),
        "factor_arith" => factor(mean(row, Mean::Arithmetic), row.after("n=")),
        "return_T_AMTD" => return_at_half_load(Mean::Arithmetic),
        "return_T_GMTD" => return_at_half_load(Mean::Geometric),
        "return_T_LMTD" => return_at_half_load(Mean::Logarithmic),
        "steady_excess" => body(row).excess(Watts::new(row.after("P="))).value(),
        "steady_fluid_T" => identity_at_rated_output(row),
        "thermostat_output" => delivered_output(&body(row), drive(row), room(row)).value(),
        "thermostat_duty" => steady_state(&body(row), drive(row), room(row)).duty,
        "max_P_over_Phi50" => watts_bound(row),
        "heat_capacity" => capacity(row),
        "heatup_I" => warm_up_integral(row),
        "heatup_time" => warm_up_seconds(row),
        "heatup_lower_bound" => lossless_seconds(row),
        "lst_max_output_ratio" => low_surface_ratio(row),
        "lst_limit" => fact("vulnerable-surface-max"),
        "bath_water_limit" => fact("bath-water-max"),
        "astm_c1055_time" => fact(&format!("contact-time-{}", row.inputs)),
        _ => return None,
    }))
}

fn emitter(rated: f64, exponent: f64) -> Emitter {
    Emitter { rated: Watts::new(rated), exponent, towels_factor: 1.0 }
}

fn body(row: &Row) -> Emitter {
    emitter(row.after("Phi50="), row.after("n="))
}

fn drive(row: &Row) -> ElementDrive {
    let set_point = row.try_after("Tset=").map(Celsius::new);
    ElementDrive { watts: Watts::new(row.after("P=")), set_point }
}

fn room(row: &Row) -> Celsius {
    Celsius::new(row.after("Ti="))
}

fn factor(excess: f64, exponent: f64) -> f64 {
    emitter(1_000.0, exponent).output(Kelvins::new(excess)).value() / 1_000.0
}

fn mean(row: &Row, mean: Mean) -> f64 {
    mean_excess(water(row.triple()), mean).unwrap().value()
}

fn water([flow, back, room]: [f64; 3]) -> WaterTemperatures {
    let [flow, back, room] = [flow, back, room].map(Celsius::new);
    WaterTemperatures { flow, back, room }
}

/// Half of the design output at 90/70/20, exponent 1.3, the flow still at 90 °C.
fn return_at_half_load(mean: Mean) -> f64 {
    let design = mean_excess(water([90.0, 70.0, 20.0]), mean);
    let body = emitter_of_rating(Watts::new(1_000.0), 1.3, design).unwrap();
    let excess = body.excess(Watts::new(500.0));
    return_temperature(Celsius::new(90.0), Celsius::new(20.0), mean, excess).unwrap().value()
}

/// The same for every exponent; the one furthest off is shown.
fn identity_at_rated_output(row: &Row) -> f64 {
    let fluid =
        |exponent| uncapped_fluid(&emitter(450.0, exponent), Watts::new(450.0), room(row)).value();
    let off = |found: &f64| (found - 70.0).abs();
    let fluids = [1.0, 1.2, 1.25, 1.3, 1.5].map(fluid);
    fluids.into_iter().max_by(|left, right| off(left).total_cmp(&off(right))).unwrap()
}

fn watts_bound(row: &Row) -> f64 {
    let body = Emitter { towels_factor: row.after("f="), ..emitter(450.0, row.after("n=")) };
    element_watts_max(&body, Celsius::new(row.after("Tmax=")), room(row)).value() / 450.0
}

/// `steel 8 kg x 450 + water 5 L (998.207 kg/m3 x 4180)`.
fn capacity(row: &Row) -> f64 {
    let steel = METALS.iter().find(|metal| metal.code == "steel").unwrap();
    let water_kg = row.after("water ") * water_density(Celsius::new(20.0)) / 1_000.0;
    HeatCapacity::of(&[
        WarmedMass {
            mass: Kilograms::new(row.after("steel ")),
            specific_heat: steel.specific_heat,
        },
        WarmedMass { mass: Kilograms::new(water_kg), specific_heat: WATER_SPECIFIC_HEAT },
    ])
    .value()
}

/// The integral read back from a warm-up time: `t = C excess / P * I`.
fn warm_up_integral(row: &Row) -> f64 {
    let room = Celsius::new(20.0);
    let body = HungBody {
        emitter: emitter(450.0, row.after("n=")),
        capacity: HeatCapacity::new(20_000.0),
        room,
    };
    let watts = Watts::new(300.0);
    let excess = body.emitter.excess(watts).value();
    let goal = Celsius::new(20.0 + row.after("theta=") * excess);
    let time = time_to_reach(&body, watts, [room, goal]).unwrap().value();
    time * watts.value() / (body.capacity.value() * excess)
}

fn warm_up_seconds(row: &Row) -> f64 {
    let [start, end] = row.path().map(Celsius::new);
    let capacity = HeatCapacity::new(row.after("C="));
    let hung = HungBody { emitter: body(row), capacity, room: start };
    time_to_reach(&hung, Watts::new(row.after("P=")), [start, end]).unwrap().value()
}

/// "same" is the row of the warm-up time before it.
fn lossless_seconds(row: &Row) -> f64 {
    assert!(row.inputs.starts_with("same"), "{row:?}");
    let [start, end] = row.path();
    let capacity = HeatCapacity::new(24_462.5);
    let hung = HungBody { emitter: emitter(450.0, 1.25), capacity, room: Celsius::new(start) };
    time_without_loss(&hung, Watts::new(300.0), Kelvins::new(end - start)).value()
}

fn low_surface_ratio(row: &Row) -> f64 {
    assert_eq!(number_after(&row.inputs, "Tsurf="), Some(43.0));
    let strong = ElementDrive { watts: Watts::new(900.0), set_point: None };
    check_surface(&emitter(450.0, row.after("n=")), strong, room(row)).share_of_rated
}

fn fact(code: &str) -> f64 {
    SURFACE_FACTS.iter().find(|fact| fact.code == code).unwrap().value
}

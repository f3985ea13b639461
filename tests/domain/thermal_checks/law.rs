//! Rows about ecodesign.

use rungwright::domain::ecodesign::CONVERSION_TENTHS;
use rungwright::domain::ecodesign::ControlBase;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::ecodesign::ControlFunction;
use rungwright::domain::ecodesign::ControlFunctions;
use rungwright::domain::ecodesign::ControlledRail;
use rungwright::domain::ecodesign::MINIMUM_EFFICIENCIES;
use rungwright::domain::ecodesign::Regime;
use rungwright::domain::ecodesign::check_control;
use rungwright::domain::ecodesign::seasonal_efficiency;
use rungwright::domain::ecodesign::seasonal_efficiency_2015;
use rungwright::domain::units::Watts;

use super::row::Found;
use super::row::Row;

pub(super) fn find(row: &Row) -> Option<Found> {
    Some(Found::Number(match row.quantity.as_str() {
        "eta_s_min" => minimum(heater(&row.inputs)),
        "eta_s_min_2015" => return Some(Found::Text(minima_of_2015())),
        "F2_towel_rail" => thousandths(base(&row.inputs).factor_thousandths()),
        "F3_towel_rail" => thousandths(function(&row.inputs).factor_thousandths()),
        "CC" => f64::from(CONVERSION_TENTHS) / 10.0,
        "eta_s_towel_rail" => seasonal_efficiency(short_code(&row.inputs)).percent(),
        "eta_s_2015_fixed" => week_timer_with_open_window_2015(),
        "control_code" => return Some(Found::Text(printed_code())),
        "max_timer_le60W" => longest_working_time(),
        _ => return None,
    }))
}

fn heater(inputs: &str) -> &'static str {
    match inputs {
        "towel rail >250 W" => "towel-rail-above-250-w",
        "towel rail >60 and <=250 W" => "towel-rail-up-to-250-w",
        "fixed >250 W (not towel rail)" => "fixed-above-250-w",
        "fixed <=250 W (not towel rail)" => "fixed-up-to-250-w",
        "portable" => "portable",
        other => panic!("no such heater: {other}"),
    }
}

fn minimum(heater: &str) -> f64 {
    let row = MINIMUM_EFFICIENCIES.iter().find(|row| row.heater == heater).unwrap();
    row.efficiency.percent()
}

fn minima_of_2015() -> String {
    let heaters = ["fixed-above-250-w", "fixed-up-to-250-w", "portable", "storage"];
    heaters.map(|heater| minimum(&format!("2015-{heater}")).to_string()).join("/")
}

fn thousandths(value: u32) -> f64 {
    f64::from(value) / 1_000.0
}

fn base(text: &str) -> ControlBase {
    ControlBase::parse(text).unwrap()
}

fn function(text: &str) -> ControlFunction {
    let number = text.trim_start_matches('f').parse::<u8>().unwrap();
    ControlFunction::ALL.into_iter().find(|function| function.number() == number).unwrap()
}

/// `TE(f8)` or `TE alone`.
fn short_code(text: &str) -> ControlCode {
    if let Some(alone) = text.strip_suffix(" alone") {
        return ControlCode { base: base(alone), functions: ControlFunctions::NONE };
    }
    let (letters, added) = text.trim_end_matches(')').split_once('(').unwrap();
    ControlCode { base: base(letters), functions: ControlFunctions::of(&[function(added)]) }
}

fn week_timer_with_open_window_2015() -> f64 {
    let functions = ControlFunctions::of(&[ControlFunction::OpenWindow]);
    seasonal_efficiency_2015(ControlCode { base: ControlBase::Tw, functions }).percent()
}

fn printed_code() -> String {
    let functions =
        ControlFunctions::of(&[ControlFunction::OpenWindow, ControlFunction::WorkingTimeLimit]);
    ControlCode { base: ControlBase::Td, functions }.to_string()
}

/// The longest working-time limit, in half hours, that a heater of 60 W may have.
fn longest_working_time() -> f64 {
    let functions = ControlFunctions::of(&[ControlFunction::WorkingTimeLimit]);
    let is_met = |hours: &f64| {
        let code = ControlCode { base: ControlBase::Nc, functions };
        let rail =
            ControlledRail { watts: Watts::new(60.0), code, working_time_hours: Some(*hours) };
        check_control(Regime::Eu2024, rail).is_met
    };
    (1..=24).map(|halves| f64::from(halves) / 2.0).rfind(is_met).unwrap()
}

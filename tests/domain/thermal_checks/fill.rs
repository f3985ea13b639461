//! Rows about water, glycol and the sealed fill.

use rungwright::domain::fill::Fill;
use rungwright::domain::fill::FillAmount;
use rungwright::domain::fill::FillOutcome;
use rungwright::domain::fill::FillQuestion;
use rungwright::domain::fill::fluid::Fluid;
use rungwright::domain::fill::water::saturation_kpa;
use rungwright::domain::fill::water::water_density;
use rungwright::domain::fill::work_out_fill;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Litres;

use super::row::Found;
use super::row::Row;
use crate::water::kell_density;

pub(super) fn find(row: &Row) -> Option<Found> {
    Some(Found::Number(match row.quantity.as_str() {
        "water_density" => water_density(Celsius::new(row.after("T="))),
        "kell_density" => kell_density(row.after("T=")),
        "water_psat" => saturation_kpa(Celsius::new(row.after("T="))),
        "glycol_density" => glycol(row),
        "expansion" => fill(row).expansion_percent,
        "min_headspace" => fill(row).headspace_min_fraction * 100.0,
        "sealed_pressure_abs" => fill(row).pressures.sealed_cold.absolute_kpa(),
        "fill_mass" => fill(row).mass.value(),
        _ => return None,
    }))
}

fn glycol(row: &Row) -> f64 {
    let volume_fraction = row.after("vol_frac=");
    let fluid = if row.inputs.starts_with("APG") {
        Fluid::PropyleneGlycol { volume_fraction }
    } else {
        Fluid::EthyleneGlycol { volume_fraction }
    };
    fluid.density(Celsius::new(row.after("T="))).unwrap()
}

/// A body of the row's volume (else 5 l) with its headspace (else 10 %) on its path (else 20 to 70 °C).
fn fill(row: &Row) -> Fill {
    let headspace = row.try_after("headspace ").map_or(0.1, |percent| percent / 100.0);
    let [cold, hot] = if row.inputs.contains("->") { row.path() } else { [20.0, 70.0] };
    let question = FillQuestion {
        cold: Celsius::new(cold),
        hot: Celsius::new(hot),
        ..FillQuestion::new(
            Litres::new(row.try_after("V=").unwrap_or(5.0)),
            FillAmount::Headspace(headspace),
        )
    };
    match work_out_fill(&question).unwrap() {
        FillOutcome::Filled(fill) => *fill,
        FillOutcome::Refused(refusal) => panic!("{}: {}", row.id, refusal.sentence()),
    }
}

//! Voltage drop along cables and flex, against the limit for what is not lighting (BS 7671 appendix 4, 5 %).
//!
//! Absent here: which cable there is.
#![expect(
    clippy::as_conversions,
    clippy::cast_precision_loss,
    reason = "sums of a few hundred metres stay far below 2^53"
)]

use crate::domain::units::Deciwatts;

/// Longest run that is reckoned, in millimetres.
pub const RUN_MAX_MM: i64 = 500_000;
/// Highest drop, in tenths of a volt: 5 % of 230 V.
pub const LIMIT_DECIVOLTS: i128 = 115;
/// Volts, as whole number, by which a rating is turned into a current.
const NOMINAL_VOLTS: i128 = 230;

/// A run of cable or flex.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Run {
    /// Millivolts per ampere and metre.
    pub millivolts: i64,
    /// Its length one way.
    pub length_mm: i64,
}

/// Runs one after the other, and the load they all carry.
pub type Loaded<'runs> = (&'runs [Run], Deciwatts);

/// A voltage drop and what it is of the nominal voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VoltageDrop {
    /// In volts.
    pub volts: f64,
    /// In percent of 230 V.
    pub percent: f64,
    /// Whether it keeps the limit of 5 %; exactly the limit keeps it. Decided on whole numbers.
    pub is_within_limit: bool,
}

/// The drop over groups of runs, each carrying its own load.
///
/// ```
/// use rungwright::domain::supply::voltage_drop::{Run, drop_of};
/// use rungwright::domain::units::Deciwatts;
/// let cable = [Run { millivolts: 29, length_mm: 45_000 }];
/// let drop = drop_of(&[(&cable, Deciwatts::new(20_000))]);
/// assert!(drop.is_within_limit && (drop.volts - 11.348).abs() < 0.001);
/// ```
pub fn drop_of(groups: &[Loaded<'_>]) -> VoltageDrop {
    // Millivolts per ampere and metre, times millimetres, times tenths of a watt: volts times 230 times ten million.
    let scaled: i128 = groups
        .iter()
        .map(|(runs, load)| {
            let reach = runs
                .iter()
                .map(|run| i128::from(run.millivolts).saturating_mul(i128::from(run.length_mm)));
            reach.fold(0_i128, i128::saturating_add).saturating_mul(i128::from(load.value()))
        })
        .fold(0_i128, i128::saturating_add);
    let unit = NOMINAL_VOLTS.saturating_mul(10_000_000);
    let volts = scaled as f64 / unit as f64;
    VoltageDrop {
        volts,
        percent: volts / NOMINAL_VOLTS as f64 * 100.0,
        is_within_limit: scaled.saturating_mul(10) <= LIMIT_DECIVOLTS.saturating_mul(unit),
    }
}

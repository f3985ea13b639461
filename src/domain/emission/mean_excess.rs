//! Mean excess temperature of a body that is fed with hot water: how a maker's rating at other flow and return
//! temperatures is read.
//!
//! A sealed electric body has one fluid temperature and needs none of this; ratings taken from a leaflet do.
//! Absent here: the emission law itself.

use crate::domain::emission::Emitter;
use crate::domain::emission::RATED_EXCESS;
use crate::domain::units::Celsius;
use crate::domain::units::Kelvins;
use crate::domain::units::Watts;

/// Flow, return and room temperature of a rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterTemperatures {
    /// Water entering the body.
    pub flow: Celsius,
    /// Water leaving it.
    pub back: Celsius,
    /// Air of the room.
    pub room: Celsius,
}

/// Which mean a maker takes. They agree when flow and return are equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mean {
    /// Half way between flow and return (EN 442's own).
    Arithmetic,
    /// Logarithmic: exact for a body whose water cools steadily along its way.
    Logarithmic,
    /// Geometric: a close stand-in for the logarithmic mean that needs no logarithm.
    Geometric,
}

/// The mean excess over the room; `None` when flow or return is not warmer than the room.
///
/// ```
/// use rungwright::domain::emission::mean_excess::{Mean, WaterTemperatures, mean_excess};
/// use rungwright::domain::units::{Celsius, Kelvins};
/// let at = |flow, back| WaterTemperatures {
///     flow: Celsius::new(flow), back: Celsius::new(back), room: Celsius::new(20.0),
/// };
/// // The logarithmic mean at the rating point is 49.8 K, not 50 K.
/// let log = mean_excess(at(75.0, 65.0), Mean::Logarithmic).unwrap();
/// assert!((log.value() - 49.8329).abs() < 1e-4);
/// // Equal flow and return is the limit, not a division of nothing by nothing.
/// assert_eq!(mean_excess(at(60.0, 60.0), Mean::Logarithmic), Some(Kelvins::new(40.0)));
/// ```
pub fn mean_excess(water: WaterTemperatures, mean: Mean) -> Option<Kelvins> {
    let flow = water.flow.value() - water.room.value();
    let back = water.back.value() - water.room.value();
    if flow <= 0.0_f64 || back <= 0.0_f64 {
        return None;
    }
    Some(Kelvins::new(match mean {
        Mean::Arithmetic => f64::midpoint(flow, back),
        Mean::Logarithmic => logarithmic(flow, back),
        Mean::Geometric => libm::sqrt(flow * back),
    }))
}

/// The body that a maker's output at given water temperatures describes: its output at 50 K.
///
/// `None` as in [`mean_excess`].
pub fn emitter_of_rating(output: Watts, exponent: f64, excess: Option<Kelvins>) -> Option<Emitter> {
    let share = libm::pow(excess?.value() / RATED_EXCESS.value(), exponent);
    Some(Emitter { rated: Watts::new(output.value() / share), exponent, towels_factor: 1.0 })
}

/// The return temperature at which a flow and a mean excess go together; `None` where there is none above the room.
pub fn return_temperature(
    flow: Celsius,
    room: Celsius,
    mean: Mean,
    excess: Kelvins,
) -> Option<Celsius> {
    let entering = flow.value() - room.value();
    let wanted = excess.value();
    if wanted <= 0.0_f64 || entering < wanted {
        return None;
    }
    let leaving = match mean {
        Mean::Arithmetic => 2.0_f64 * wanted - entering,
        Mean::Geometric => wanted * wanted / entering,
        Mean::Logarithmic => logarithmic_return(entering, wanted),
    };
    (0.0_f64 < leaving).then(|| Celsius::new(room.value() + leaving))
}

/// Written with `log1p` so that nearly equal temperatures lose no digits.
fn logarithmic(flow: f64, back: f64) -> f64 {
    let spread = (flow - back) / back;
    if spread == 0.0_f64 {
        return back;
    }
    back * spread / libm::log1p(spread)
}

/// Halvings that shrink an excess of 100 K below the last bit that matters.
const HALVINGS: u32 = 60;

/// The logarithmic mean grows with the return, so halving the bracket finds it.
fn logarithmic_return(entering: f64, wanted: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, entering);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if logarithmic(entering, middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    #[test]
    fn a_rating_at_other_water_temperatures_is_brought_to_fifty_kelvins() {
        // 795 W at 50 K is 241.6 W at 20 K when the exponent is 1.3.
        let body = emitter_of_rating(Watts::new(241.6), 1.3, Some(Kelvins::new(20.0))).unwrap();
        assert!((body.rated.value() - 795.0).abs() < 0.2, "{body:?}");
        assert_eq!(emitter_of_rating(Watts::new(241.6), 1.3, None), None);
    }

    #[test]
    fn water_colder_than_the_room_has_no_mean() {
        let cold = WaterTemperatures {
            flow: Celsius::new(40.0),
            back: Celsius::new(19.0),
            room: Celsius::new(20.0),
        };
        assert_eq!(mean_excess(cold, Mean::Geometric), None);
    }
}

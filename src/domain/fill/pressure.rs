//! Pressure in a sealed body: air squeezed by the swelling fluid, plus the fluid's vapour.
//!
//! Air is an ideal gas, the body is rigid, the vapour is water's even over a glycol mixture. Air that dissolves or
//! comes out of solution and gas from corrosion are left out, so the true pressure can be higher.
//! Absent here: which case applies, which is the maker's datum.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use crate::domain::fill::water::ICE_POINT;
use crate::domain::fill::water::saturation_kpa;
use crate::domain::units::Celsius;

/// Pressure of the surrounding air, kPa absolute.
pub const ATMOSPHERE_KPA: f64 = 101.325;

/// A body closed with this much room for air; volumes are shares of the body's free volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sealed {
    /// Air at the fill temperature.
    pub headspace: f64,
    /// How many times denser the fluid is cold than hot.
    pub swelling: f64,
    /// Temperature at filling.
    pub cold: Celsius,
    /// Hottest temperature of the fluid.
    pub hot: Celsius,
}

impl Sealed {
    /// Air left when hot; zero or less is a body locked solid.
    pub(super) fn hot_headspace(&self) -> f64 {
        1.0 - (1.0 - self.headspace) * self.swelling
    }

    /// The smallest headspace that still leaves air when hot.
    pub(super) fn headspace_min(&self) -> f64 {
        1.0 - self.swelling.recip()
    }

    /// Closed cold at atmospheric pressure: absolute pressure when hot, kPa.
    pub(super) fn closed_cold_kpa(&self) -> f64 {
        self.squeezed_kpa(self.headspace)
    }

    /// The vent never opened: the air that the element pushed aside stays in as well. Absolute pressure when hot, kPa.
    pub(super) fn never_vented_kpa(&self, element_share: f64) -> f64 {
        self.squeezed_kpa(self.headspace + element_share)
    }

    /// Closed hot at atmospheric pressure: absolute pressure after cooling down, kPa, below atmospheric.
    pub(super) fn closed_hot_cooled_kpa(&self) -> f64 {
        let air = ATMOSPHERE_KPA - saturation_kpa(self.hot);
        air * self.hot_headspace() / self.headspace * self.kelvin_ratio().recip()
            + saturation_kpa(self.cold)
    }

    /// The headspace at which a body closed cold reaches this absolute pressure when hot; `None` if no headspace is large enough.
    pub(super) fn headspace_for(&self, limit_kpa: f64) -> Option<f64> {
        let air_max = limit_kpa - saturation_kpa(self.hot);
        let air_heated = (ATMOSPHERE_KPA - saturation_kpa(self.cold)) * self.kelvin_ratio();
        let gain = air_max * self.swelling - air_heated;
        let headspace = air_max * (self.swelling - 1.0) / gain;
        (0.0 < gain && headspace < 1.0).then_some(headspace)
    }

    /// Air that filled this share at closing, squeezed into what is left of the headspace when hot.
    fn squeezed_kpa(&self, share_at_closing: f64) -> f64 {
        let air = ATMOSPHERE_KPA - saturation_kpa(self.cold);
        air * share_at_closing / self.hot_headspace() * self.kelvin_ratio()
            + saturation_kpa(self.hot)
    }

    fn kelvin_ratio(&self) -> f64 {
        (self.hot.value() + ICE_POINT) / (self.cold.value() + ICE_POINT)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fill::water::water_density;

    fn water(headspace: f64, [cold, hot]: [f64; 2]) -> Sealed {
        let (cold, hot) = (Celsius::new(cold), Celsius::new(hot));
        let swelling = water_density(cold) / water_density(hot);
        Sealed { headspace, swelling, cold, hot }
    }

    #[test]
    fn closed_cold_bodies_reach_their_published_gauge_pressure() {
        let cases = [
            (0.02, [20.0, 60.0], 3.65),
            (0.05, [20.0, 70.0], 1.22),
            (0.10, [20.0, 70.0], 0.73),
            (0.10, [20.0, 80.0], 1.04),
            (0.04, [10.0, 95.0], 22.9),
            (0.08, [10.0, 95.0], 2.21),
            (0.20, [20.0, 60.0], 0.38),
        ];
        for (headspace, temperatures, bar) in cases {
            let bar: f64 = bar;
            let sealed = water(headspace, temperatures);
            let gauge = (sealed.closed_cold_kpa() - ATMOSPHERE_KPA) / 100.0;
            assert!(
                (gauge - bar).abs() < 0.005 + bar * 0.01,
                "{headspace} {temperatures:?} {gauge}"
            );
        }
    }

    #[test]
    fn the_headspace_for_a_pressure_gives_that_pressure() {
        // Published for 20 to 80 °C: 1 bar needs 10.77 %, 4 bar 3.56 %.
        for (bar, percent) in [(1.0, 10.77), (4.0, 3.56)] {
            let limit: f64 = ATMOSPHERE_KPA + bar * 100.0;
            let headspace = water(0.1, [20.0, 80.0]).headspace_for(limit).unwrap();
            assert!((headspace * 100.0 - percent).abs() < 0.01, "{bar} bar: {headspace}");
            let found = water(headspace, [20.0, 80.0]).closed_cold_kpa();
            assert!((found - limit).abs() < 1e-6, "{found}");
        }
    }

    #[test]
    fn a_body_closed_hot_pulls_a_vacuum_when_it_cools() {
        let cooled = water(0.1, [20.0, 70.0]).closed_hot_cooled_kpa();
        assert!((cooled - 50.98).abs() < 0.01, "{cooled}");
    }

    #[test]
    fn air_pushed_aside_by_the_element_raises_the_pressure() {
        let sealed = water(0.1, [20.0, 70.0]);
        assert!((sealed.never_vented_kpa(0.0) - sealed.closed_cold_kpa()).abs() < 1e-12);
        assert!(sealed.closed_cold_kpa() < sealed.never_vented_kpa(0.02));
    }
}

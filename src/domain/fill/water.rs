//! Water as a filling: density and saturation pressure in closed form.
//!
//! Density by the IAPWS supplementary release for liquid water at 100 kPa (SR6-08), within 0.001 kg/m3 of IAPWS-95 at
//! atmospheric pressure; saturation pressure by region 4 of IAPWS-IF97. Both are checked in the tests against an
//! implementation that we did not write.
//! Absent here: steam, and pressures that squeeze water noticeably.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use crate::domain::units::Celsius;

/// The coldest and the hottest temperature that the closed forms are used for.
pub const WATER_RANGE: [Celsius; 2] = [Celsius::new(1.0), Celsius::new(99.0)];

/// Kelvins at 0 °C.
pub(super) const ICE_POINT: f64 = 273.15;

/// Density of water at atmospheric pressure, kg/m3, inside [`WATER_RANGE`].
///
/// ```
/// use rungwright::domain::fill::water::water_density;
/// use rungwright::domain::units::Celsius;
/// // Densest near 4 °C: filling with very cold water does not leave more room, but less.
/// assert!(water_density(Celsius::new(1.0)) < water_density(Celsius::new(4.0)));
/// ```
pub fn water_density(temperature: Celsius) -> f64 {
    let kelvins = temperature.value() + ICE_POINT;
    let alpha = 10.0 / (593.0 - kelvins);
    let beta = 10.0 / (kelvins - 232.0);
    let high = HIGH.iter().rev().fold(0.0, |sum: f64, factor| sum * alpha + factor);
    let low = LOW.iter().rev().fold(0.0, |sum: f64, factor| sum * beta + factor);
    (GAS_VOLUME * (high + low)).recip()
}

/// Specific gas constant times 10 K over 100 kPa, m3/kg.
const GAS_VOLUME: f64 = 0.046_151_805;

/// Coefficients of 10 K / (593 K - T), from its power 0 to 9; the release has no powers 1, 2, 3 and 6.
const HIGH: [f64; 10] = [
    1.937_631_57e-2,
    0.0,
    0.0,
    0.0,
    6.744_584_46e3,
    -2.225_216_04e5,
    0.0,
    1.002_312_47e8,
    -1.635_521_18e9,
    8.322_996_58e9,
];

/// Coefficients of 10 K / (T - 232 K), from its power 0, which the release has none of, to 6.
const LOW: [f64; 7] = [
    0.0,
    5.785_452_92e-3,
    -1.531_956_65e-2,
    3.113_378_59e-2,
    -4.235_462_41e-2,
    3.387_135_07e-2,
    -1.199_467_61e-2,
];

/// Saturation pressure of water, kPa (IAPWS-IF97, region 4, equation 30).
pub fn saturation_kpa(temperature: Celsius) -> f64 {
    let kelvins = temperature.value() + ICE_POINT;
    let theta = kelvins - 0.238_555_575_678_49 / (kelvins - 650.175_348_447_98);
    let quadratic =
        |[square, linear, constant]: [f64; 3]| (square * theta + linear) * theta + constant;
    let leading = quadratic([1.0, 1_167.052_145_276_7, -724_213.167_032_06]);
    let middle = quadratic([-17.073_846_940_092, 12_020.824_702_470, -3_232_555.032_233_3]);
    let last = quadratic([14.915_108_613_530, -4_823.265_736_159_1, 405_113.405_420_57]);
    let root = libm::sqrt(middle * middle - 4.0 * leading * last);
    let fourth_root_mpa = 2.0 * last / (root - middle);
    1_000.0 * libm::pow(fourth_root_mpa, 4.0)
}

//! Water as a filling: density and saturation pressure in closed form.
//!
//! Density after Kell (1975), within 0.013 kg/m3 of IAPWS-95 from 4 to 95 °C; saturation pressure by region 4 of
//! IAPWS-IF97. Both are checked in the tests against an implementation that we did not write.
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
    let celsius = temperature.value();
    let series = KELL.iter().rev().fold(0.0, |sum: f64, factor| sum * celsius + factor);
    // A transposed digit here (0.016897850) is wrong by 0.27 kg/m3 at 20 °C; the tests would catch it.
    series / (1.0 + 0.016_879_850 * celsius)
}

/// Coefficients of Kell's numerator, constant first.
const KELL: [f64; 6] =
    [999.839_52, 16.945_176, -7.987_040_1e-3, -46.170_461e-6, 105.563_02e-9, -280.542_53e-12];

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

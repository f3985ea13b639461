//! Our closed forms for water against IAPWS-IF97 as another crate computes it.
#![expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]

use rungwright::domain::fill::water::WATER_RANGE;
use rungwright::domain::fill::water::saturation_kpa;
use rungwright::domain::fill::water::water_density;
use rungwright::domain::units::Celsius;

/// Kelvin by kelvin from 1 to 99 °C.
fn temperatures() -> impl Iterator<Item = f64> {
    (1..=99).map(f64::from)
}

#[test]
fn density_agrees_with_if97_over_the_whole_range() {
    assert_eq!(WATER_RANGE, [1.0, 99.0].map(Celsius::new));
    for celsius in temperatures() {
        let theirs = seuif97::pt(0.101_325, celsius, seuif97::OD);
        let ours = water_density(Celsius::new(celsius));
        assert!((ours - theirs).abs() < 0.016, "{celsius} °C: {ours} against {theirs}");
    }
}

#[test]
fn saturation_pressure_agrees_with_if97_over_the_whole_range() {
    for celsius in temperatures() {
        let theirs = 1_000.0 * seuif97::tx(celsius, 0.0, seuif97::OP);
        let ours = saturation_kpa(Celsius::new(celsius));
        assert!((ours - theirs).abs() < 1e-6 * theirs, "{celsius} °C: {ours} against {theirs}");
    }
}

/// Kell (1975), coefficients from memory: an older closed form of other make than ours.
pub(crate) fn kell_density(celsius: f64) -> f64 {
    kell_over(celsius, 0.016_879_850)
}

fn kell_over(celsius: f64, denominator: f64) -> f64 {
    let factors =
        [999.839_52, 16.945_176, -7.987_040_1e-3, -46.170_461e-6, 105.563_02e-9, -280.542_53e-12];
    let series: f64 = factors.iter().rev().fold(0.0, |sum, factor| sum * celsius + factor);
    series / (1.0 + denominator * celsius)
}

#[test]
fn density_agrees_with_an_older_closed_form() {
    for celsius in temperatures().filter(|celsius| (4.0..=95.0).contains(celsius)) {
        let (ours, kell) = (water_density(Celsius::new(celsius)), kell_density(celsius));
        assert!((ours - kell).abs() < 0.014, "{celsius} °C: {ours} against {kell}");
    }
}

#[test]
fn the_comparison_would_catch_a_transposed_digit() {
    // 0.016897850 for 0.016879850 is easily typed.
    let off = |celsius| kell_over(celsius, 0.016_897_850) - water_density(Celsius::new(celsius));
    assert!(off(20.0) < -0.25 && off(80.0) < -0.5, "{} {}", off(20.0), off(80.0));
}

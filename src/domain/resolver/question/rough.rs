//! A power worked out roughly, for bounds: most bodies are turned away by one, and an exact power takes far longer.

/// How far a rough power is from the power, as a share of it, at most; the error that was measured is 0.3 of this.
pub(crate) const ROUGHLY: f64 = 1e-4;

/// Binary digits of a figure's fraction.
const DIGITS: u32 = 52;

/// One, as it is written; its exponent is nought.
const ONE: u64 = 1.0_f64.to_bits();

/// The fraction of a figure.
const FRACTION: u64 = (1 << DIGITS) - 1;

/// Added to a figure it leaves whole numbers only, which stand in the last digits.
const WHOLE: f64 = 6_755_399_441_055_744.0;

/// Binary logarithm between 1 and 2, from the constant term on (Chebyshev; within 0.000015).
const LOGARITHM: [f64; 6] = [
    -2.794_153_676_535_731,
    5.069_756_316_632_125,
    -3.520_218_838_143_888,
    1.610_177_546_895_661,
    -0.409_475_585_766_073,
    0.043_928_627_847_901,
];

/// Powers of two between -1/2 and 1/2 (Chebyshev; within 0.000003).
const POWER: [f64; 5] = [
    1.000_000_075_495_349,
    0.693_121_033_991_547,
    0.240_221_073_558_304,
    0.055_922_035_647_261,
    0.009_676_037_097_870,
];

/// A power of a figure above nought, no further from it than [`ROUGHLY`].
pub(crate) fn rough_power(base: f64, exponent: f64) -> f64 {
    let is_common = (1e-3_f64..1e3_f64).contains(&base) && (-4.0_f64..4.0_f64).contains(&exponent);
    if !is_common {
        return libm::pow(base, exponent);
    }
    let bits = base.to_bits();
    let biased = u32::try_from(bits >> DIGITS).unwrap_or_default();
    let fraction = f64::from_bits(bits & FRACTION | ONE);
    let logarithm = f64::from(biased) - 1_023.0_f64 + polynomial(&LOGARITHM, fraction);
    let power = logarithm * exponent;
    let whole = power + WHOLE;
    let scale = f64::from_bits(ONE.wrapping_add(whole.to_bits() << DIGITS));
    scale * polynomial(&POWER, power - (whole - WHOLE))
}

fn polynomial(terms: &[f64], figure: f64) -> f64 {
    terms.iter().rev().fold(0.0, |sum, term| sum * figure + term)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rough_power_is_near_the_power() {
        let bases = (-200_i32..=200_i32).map(|step| libm::exp2(f64::from(step) / 19.0_f64));
        let more: [f64; 7] = [0.999_999, 1.0, 1.000_001, 1.999_999, 2.0, 1e-9, 1e9];
        for base in bases.chain(more) {
            for exponent in (-100_i32..=100_i32).map(|step| f64::from(step) / 23.0_f64) {
                let (rough, exact) = (rough_power(base, exponent), libm::pow(base, exponent));
                let error = (rough / exact - 1.0_f64).abs();
                assert!(error < ROUGHLY * 0.5_f64, "{base} ^ {exponent}: {rough}, not {exact}");
            }
        }
    }
}

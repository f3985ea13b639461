//! The warm-up integral `I(x) = integral from 0 to x of ds / (1 - s^n)` and its inverse.
//!
//! Warm-up needs nothing else: time is `I` times a constant. Near `x = 1` the integrand runs off, near 0 its slope is
//! rough when `n` is no whole number; the substitution `s = 1 - exp(-r^4)` cures both, and two panels of a 16-point
//! Gauss-Legendre rule then give ten digits. No fixed time step anywhere. Absent here: watts, kelvins, seconds.

/// Positive nodes of the 16-point Gauss-Legendre rule with their weights.
const NODES: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_4, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_73),
    (0.755_404_408_355_003, 0.124_628_971_255_533_87),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_79),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_894),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_096),
];

/// `I(x)` for `0 <= x < 1` and an exponent from 1 to 1.5; nothing at or below 0, infinite from 1 on.
pub(super) fn warm_up_integral(fraction: f64, exponent: f64) -> f64 {
    if fraction <= 0.0_f64 {
        return 0.0;
    }
    if 1.0_f64 <= fraction {
        return f64::INFINITY;
    }
    integral_to(-libm::log1p(-fraction), exponent)
}

/// Newton steps before giving up; five are enough in practice.
const STEPS_MAX: u32 = 50;

/// The fraction whose integral has this value: below 1 always.
pub(super) fn fraction_of_integral(value: f64, exponent: f64) -> f64 {
    if value <= 0.0_f64 {
        return 0.0;
    }
    // The integral's slope falls from 1 to 1/n along this axis, so Newton climbs from below and never overshoots.
    let mut depth = value;
    for _ in 0..STEPS_MAX {
        let step = (value - integral_to(depth, exponent)) / slope(depth, exponent);
        depth += step;
        if step <= 1e-13_f64 * depth {
            break;
        }
    }
    -libm::expm1(-depth)
}

/// The integral with `s = 1 - exp(-depth)` as its upper end.
fn integral_to(depth: f64, exponent: f64) -> f64 {
    let end = libm::sqrt(libm::sqrt(depth));
    let quarter = end * 0.25_f64;
    let panel = |centre: f64| -> f64 {
        let pair = |(node, weight): &(f64, f64)| {
            let offset = node * quarter;
            weight * (integrand(centre - offset, exponent) + integrand(centre + offset, exponent))
        };
        NODES.iter().map(pair).sum()
    };
    quarter * (panel(quarter) + panel(3.0 * quarter))
}

fn integrand(root: f64, exponent: f64) -> f64 {
    let cube = root * root * root;
    4.0 * cube * slope(cube * root, exponent)
}

/// `exp(-d) / (1 - (1 - exp(-d))^n)` without the cancellation that the plain form suffers for large `d`.
fn slope(depth: f64, exponent: f64) -> f64 {
    let left = libm::exp(-depth);
    if left == 0.0_f64 {
        return exponent.recip();
    }
    left / -libm::expm1(exponent * libm::log1p(-left))
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    #[test]
    fn the_integral_agrees_with_the_hypergeometric_function() {
        // theta * 2F1(1, 1/n; 1 + 1/n; theta^n), made with mpmath at 30 digits.
        let cases: [(f64, f64, f64); 7] = [
            (0.001, 1.25, 0.001_000_079_043_676_7),
            (0.5, 1.25, 0.630_536_422_099_04),
            (0.9, 1.25, 1.963_593_517_533_5),
            (0.99, 1.3, 3.693_864_317_435_8),
            (0.999_999, 1.2, 11.622_252_207_451),
            (0.75, 1.5, 1.103_859_438_575_9),
            (0.3, 1.01, 0.355_518_481_747_26),
        ];
        for (fraction, exponent, expected) in cases {
            let found = warm_up_integral(fraction, exponent);
            assert!(
                (found - expected).abs() < 1e-9 * expected,
                "I({fraction}; {exponent}) {found}"
            );
        }
    }

    #[test]
    fn an_exponent_of_one_is_a_plain_logarithm() {
        let found = warm_up_integral(0.9, 1.0);
        assert!((found - libm::log(10.0)).abs() < 1e-12, "{found}");
    }

    #[test]
    fn the_inverse_returns_the_fraction() {
        for exponent in [1.0, 1.2, 1.3, 1.5] {
            for fraction in [1e-6, 0.01, 0.5, 0.9, 0.999, 0.999_999] {
                let back = fraction_of_integral(warm_up_integral(fraction, exponent), exponent);
                assert!((back - fraction).abs() < 1e-11, "{fraction} {exponent} {back}");
            }
        }
    }
}

//! Computed figures as they are printed: rounded once, on the way out, to a stated number of decimals.
//!
//! Absent here: watts that are compared or ranked, which are whole tenths already in the domain, and money.

/// To two decimals: temperatures, kilopascals.
pub fn hundredths(value: f64) -> f64 {
    rounded(value, 100.0)
}

/// To three decimals: litres, bar, kilowatt-hours, shares.
pub fn thousandths(value: f64) -> f64 {
    rounded(value, 1_000.0)
}

/// To six decimals: factors of a product that a reader multiplies again.
pub fn millionths(value: f64) -> f64 {
    rounded(value, 1_000_000.0)
}

/// Half away from zero; adding nought turns a negative nought into a plain one.
fn rounded(value: f64, parts: f64) -> f64 {
    libm::round(value * parts) / parts + 0.0_f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn binary_noise_does_not_show() {
        assert_eq!(millionths(17.784_000_000_000_002).to_string(), "17.784");
        assert_eq!(thousandths(-0.000_1).to_string(), "0");
        assert_eq!(hundredths(56.149).to_string(), "56.15");
    }
}

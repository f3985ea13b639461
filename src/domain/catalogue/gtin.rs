//! Trade item numbers (GTIN) and their check digit.

/// Whether a text is a trade item number of 8, 12, 13 or 14 digits whose last one is its check digit.
///
/// Weights of 3 and 1 alternate from the right, the check digit having 1, and the sum is a multiple of ten (GS1 General
/// Specifications 7.9, remembered).
///
/// ```
/// use rungwright::domain::catalogue::gtin_holds;
/// assert!(gtin_holds("2990000100610"));
/// // Two neighbours changed places: what the check digit is for.
/// assert!(!gtin_holds("2990000106010"));
/// ```
pub fn gtin_holds(text: &str) -> bool {
    let digits: Vec<u32> = text.chars().filter_map(|digit| digit.to_digit(10)).collect();
    let weighted = digits.iter().rev().enumerate().map(|(index, digit)| {
        let weight = if index.is_multiple_of(2) { 1 } else { 3 };
        digit.saturating_mul(weight)
    });
    let sum: u32 = weighted.sum();
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit());
    is_plain && [8, 12, 13, 14].contains(&digits.len()) && sum.is_multiple_of(10)
}

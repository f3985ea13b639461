//! Money: whole minor units, unit prices with four decimals, and the only place that rounds.
//!
//! Half away from zero, once per line and once per tax rate (EN 16931 BR-CO-17). Overflow is a value, never a wrap.
//! Absent here: discounts, price lists and which tax applies (see `pricing`).
#![deny(clippy::float_arithmetic)]

use std::fmt;

use super::units::decimal;

/// A currency: ISO 4217 code and the number of its minor digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Currency {
    code: &'static str,
    digits: u8,
}

/// The currencies we know, with their exponents (ISO 4217 exponents from memory; the three-digit and zero-digit rows keep code from assuming two).
pub const CURRENCIES: &[Currency] = &[
    Currency { code: "EUR", digits: 2 },
    Currency { code: "GBP", digits: 2 },
    Currency { code: "JPY", digits: 0 },
    Currency { code: "KWD", digits: 3 },
];

impl Currency {
    /// Pounds sterling.
    pub const GBP: Self = Self { code: "GBP", digits: 2 };
    /// Euro.
    pub const EUR: Self = Self { code: "EUR", digits: 2 };

    /// The currency of an ISO 4217 code, if we know its minor digits.
    pub fn parse(code: &str) -> Option<Self> {
        CURRENCIES.iter().copied().find(|known| known.code() == code)
    }

    /// ISO 4217 code.
    pub const fn code(&self) -> &'static str {
        self.code
    }

    /// How many decimals an amount shows.
    pub const fn digits(self) -> u8 {
        self.digits
    }

    /// An amount as a decimal text with exactly the currency's digits.
    ///
    /// ```
    /// use rungwright::domain::money::{Currency, Minor};
    /// assert_eq!(Currency::GBP.format(Minor::new(-5)), "-0.05");
    /// ```
    pub fn format(self, amount: Minor) -> String {
        decimal(amount.0, self.digits)
    }

    /// The amount of a decimal text. More decimals than the currency has are refused, not rounded.
    ///
    /// ```
    /// use rungwright::domain::money::{Currency, Minor};
    /// assert_eq!(Currency::GBP.parse_amount("450"), Some(Minor::new(45_000)));
    /// assert_eq!(Currency::GBP.parse_amount("450.005"), None);
    /// ```
    pub fn parse_amount(self, text: &str) -> Option<Minor> {
        parse_scaled(text, self.digits).map(Minor)
    }
}

/// A whole number of minor units (pence, cents). The currency stands beside it, once per document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Minor(i64);

/// A price of one piece, in ten-thousandths of the currency's major unit: four decimals, not yet rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct UnitPrice(i64);

/// A tax rate in hundredths of a percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct TaxRate(u32);

/// A sum that does not fit the range of amounts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Overflow;

impl fmt::Display for Overflow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the amount is too large to be held")
    }
}

impl std::error::Error for Overflow {}

impl Minor {
    /// Nothing owed.
    pub const ZERO: Self = Self(0);

    /// An amount of minor units.
    pub const fn new(minor: i64) -> Self {
        Self(minor)
    }

    /// The number of minor units.
    pub const fn value(self) -> i64 {
        self.0
    }

    /// The sum, if it can be held.
    pub fn plus(self, other: Self) -> Result<Self, Overflow> {
        self.0.checked_add(other.0).map(Self).ok_or(Overflow)
    }

    /// The difference, if it can be held.
    pub fn minus(self, other: Self) -> Result<Self, Overflow> {
        self.0.checked_sub(other.0).map(Self).ok_or(Overflow)
    }

    /// The sum of many amounts.
    pub fn sum<I: IntoIterator<Item = Self>>(amounts: I) -> Result<Self, Overflow> {
        amounts.into_iter().try_fold(Self::ZERO, Self::plus)
    }

    /// Tax on this net amount, rounded half away from zero (EN 16931 BR-CO-17).
    ///
    /// ```
    /// use rungwright::domain::money::{Minor, TaxRate};
    /// // 1.50 at 23 % is 0.345: half goes away from zero, and a credit mirrors it.
    /// assert_eq!(Minor::new(150).tax(TaxRate::new(2300)), Ok(Minor::new(35)));
    /// assert_eq!(Minor::new(-150).tax(TaxRate::new(2300)), Ok(Minor::new(-35)));
    /// ```
    pub fn tax(self, rate: TaxRate) -> Result<Self, Overflow> {
        round_half_away(i128::from(self.0), i128::from(rate.0), 10_000)
    }

    /// A share of this amount in hundredths of a percent, rounded half away from zero: a discount.
    pub fn share(self, basis_points: u32) -> Result<Self, Overflow> {
        round_half_away(i128::from(self.0), i128::from(basis_points), 10_000)
    }
}

impl UnitPrice {
    /// Decimals that a unit price may carry.
    pub const DECIMALS: u8 = 4;

    /// A price of ten-thousandths.
    pub const fn new(ten_thousandths: i64) -> Self {
        Self(ten_thousandths)
    }

    /// The number of ten-thousandths.
    pub const fn value(self) -> i64 {
        self.0
    }

    /// The price of a decimal text with up to four decimals.
    pub fn parse(text: &str) -> Option<Self> {
        parse_scaled(text, Self::DECIMALS).map(Self)
    }

    /// The line's net amount, rounded once, half away from zero.
    ///
    /// ```
    /// use rungwright::domain::money::{Currency, Minor, UnitPrice};
    /// // Rounding the piece first would give 13.00 for a hundred pieces.
    /// assert_eq!(UnitPrice::new(1_250).times(100, Currency::GBP), Ok(Minor::new(1_250)));
    /// ```
    pub fn times(self, quantity: u32, currency: Currency) -> Result<Minor, Overflow> {
        let scale = power_of_ten(Self::DECIMALS.saturating_sub(currency.digits()));
        round_half_away(i128::from(self.0), i128::from(quantity), scale)
    }

    /// The net price in a price that contains tax, rounded to the currency's digits, half away from zero.
    ///
    /// ```
    /// use rungwright::domain::money::{Currency, Minor, TaxRate, UnitPrice};
    /// // 99.99 with 20 % in it: the net is 83.33, and its tax is 16.67, not the 16.66 left over: a penny moves.
    /// let net = UnitPrice::new(999_900).net_of_tax(TaxRate::new(2_000), Currency::GBP).unwrap();
    /// assert_eq!(net, UnitPrice::new(833_300));
    /// let net = net.times(1, Currency::GBP).unwrap();
    /// assert_eq!(net.tax(TaxRate::new(2_000)), Ok(Minor::new(1_667)));
    /// ```
    pub fn net_of_tax(self, rate: TaxRate, currency: Currency) -> Result<Self, Overflow> {
        let step = power_of_ten(Self::DECIMALS.saturating_sub(currency.digits()));
        let whole = i128::from(rate.0).saturating_add(10_000).saturating_mul(step);
        let net = round_half_away(i128::from(self.0), 10_000, whole)?;
        let step = i64::try_from(step).map_err(|_too_large| Overflow)?;
        net.0.checked_mul(step).map(Self).ok_or(Overflow)
    }

    /// Decimal text: at least the currency's digits, more only where they are needed.
    pub fn format(self, currency: Currency) -> String {
        let mut text = decimal(self.0, Self::DECIMALS);
        for _ in currency.digits()..Self::DECIMALS {
            if !text.ends_with('0') {
                break;
            }
            text.pop();
        }
        if text.ends_with('.') {
            text.pop();
        }
        text
    }
}

impl TaxRate {
    /// A rate of hundredths of a percent: 2000 is 20 %.
    pub const fn new(basis_points: u32) -> Self {
        Self(basis_points)
    }

    /// Hundredths of a percent.
    pub const fn basis_points(self) -> u32 {
        self.0
    }

    /// Percent as text without needless decimals: `20`, `13.5`.
    pub fn percent(self) -> String {
        let text = decimal(i64::from(self.0), 2);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

fn round_half_away(left: i128, right: i128, divisor: i128) -> Result<Minor, Overflow> {
    let product = left.checked_mul(right).ok_or(Overflow)?;
    let doubled = product.unsigned_abs().checked_mul(2).ok_or(Overflow)?;
    let step = divisor.unsigned_abs();
    let whole = doubled.checked_add(step).and_then(|sum| sum.checked_div(step.checked_mul(2)?));
    let whole = i64::try_from(whole.ok_or(Overflow)?).map_err(|_too_large| Overflow)?;
    Ok(Minor(if product < 0 { whole.checked_neg().ok_or(Overflow)? } else { whole }))
}

const fn power_of_ten(exponent: u8) -> i128 {
    match exponent {
        0 => 1,
        1 => 10,
        2 => 100,
        3 => 1_000,
        _ => 10_000,
    }
}

fn parse_scaled(text: &str, digits: u8) -> Option<i64> {
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let plain = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let too_fine = usize::from(digits) < fraction.len() || text.ends_with('.');
    if whole.is_empty() || too_fine || !plain(whole) || !plain(fraction) {
        return None;
    }
    let padded = format!("{whole}{fraction:0<width$}", width = usize::from(digits));
    padded.parse::<i64>().ok()?.checked_mul(sign)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_price_shows_only_the_decimals_it_needs() {
        assert_eq!(UnitPrice::new(1_490_000).format(Currency::GBP), "149.00");
        assert_eq!(UnitPrice::new(1_250).format(Currency::GBP), "0.125");
    }

    #[test]
    fn overflow_is_a_value() {
        assert_eq!(Minor::new(i64::MAX).plus(Minor::new(1)), Err(Overflow));
        assert_eq!(UnitPrice::new(i64::MAX).times(u32::MAX, Currency::GBP), Err(Overflow));
    }

    #[test]
    fn a_text_that_is_no_amount_is_refused() {
        for text in ["", ".", "1.", ".5", "1e3", "+1", "NaN", "1,00", "0.001", "--1", " 1"] {
            assert_eq!(Currency::GBP.parse_amount(text), None, "{text:?}");
        }
    }

    #[test]
    fn a_rate_prints_without_needless_decimals() {
        assert_eq!(TaxRate::new(2_000).percent(), "20");
        assert_eq!(TaxRate::new(1_350).percent(), "13.5");
    }
}

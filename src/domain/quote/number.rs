//! The number of a quote: market, year, place in that year.

use std::fmt;

/// A number such as `GB-2026-000123`: unique, given once, never used again. Gaps are allowed.
///
/// ```
/// use rungwright::domain::quote::QuoteNumber;
/// let number = QuoteNumber::parse("GB-2026-000123").unwrap();
/// assert_eq!((number.market(), number.to_string().as_str()), ("gb", "GB-2026-000123"));
/// // One number has one spelling.
/// assert_eq!(QuoteNumber::parse("gb-2026-000123"), None);
/// assert_eq!(QuoteNumber::parse("GB-2026-123"), None);
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct QuoteNumber {
    market: Box<str>,
    year: i16,
    ordinal: u32,
}

impl QuoteNumber {
    /// The number of an ordinal in a market and year.
    pub fn new(market: &str, year: i16, ordinal: u32) -> Self {
        Self { market: market.to_ascii_lowercase().into(), year, ordinal }
    }

    /// The number in a text.
    pub fn parse(text: &str) -> Option<Self> {
        let (rest, ordinal) = text.rsplit_once('-')?;
        let (market, year) = rest.rsplit_once('-')?;
        let number = Self::new(market, year.parse().ok()?, ordinal.parse().ok()?);
        (number.to_string() == text).then_some(number)
    }

    /// Code of the market.
    pub fn market(&self) -> &str {
        &self.market
    }

    /// The year, in the seller's time zone, in which it was given.
    pub const fn year(&self) -> i16 {
        self.year
    }
}

impl fmt::Display for QuoteNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let market = self.market.to_ascii_uppercase();
        write!(f, "{market}-{:04}-{:06}", self.year, self.ordinal)
    }
}

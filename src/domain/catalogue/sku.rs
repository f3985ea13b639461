//! The part number, and the four kinds of part.

use std::fmt;
use std::sync::Arc;

/// Longest part number.
pub const SKU_LENGTH_MAX: usize = 40;

/// A part number: a capital letter or digit, then up to 39 of capitals, digits, dots and hyphens.
///
/// ```
/// use rungwright::domain::catalogue::Sku;
/// assert!(Sku::parse("SRW-B-FARADAY-500.1200").is_ok());
/// // Lower case is refused rather than folded: two spellings of one part would price twice.
/// assert!(Sku::parse("srw-b").is_err());
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sku(Arc<str>);

/// A text that is no part number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotASku(String);

impl fmt::Display for NotASku {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is no SKU: a capital letter or digit, then up to 39 capitals, digits, dots or hyphens",
            self.0
        )
    }
}

impl std::error::Error for NotASku {}

impl Sku {
    /// The pattern, as the published description quotes it.
    pub const PATTERN: &'static str = "^[A-Z0-9][A-Z0-9.-]{0,39}$";

    /// The part number in a text.
    pub fn parse(text: &str) -> Result<Self, NotASku> {
        let plain = |byte: u8| byte.is_ascii_uppercase() || byte.is_ascii_digit();
        let inner = |byte: u8| plain(byte) || byte == b'.' || byte == b'-';
        let starts_plain = text.bytes().next().is_some_and(plain);
        if starts_plain && text.len() <= SKU_LENGTH_MAX && text.bytes().all(inner) {
            Ok(Self(text.into()))
        } else {
            Err(NotASku(text.chars().take(SKU_LENGTH_MAX * 2).collect()))
        }
    }

    /// The text of the part number.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Sku {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartKind {
    /// The empty rail.
    Body,
    /// The immersion heater with its head and flex.
    Element,
    /// A time switch, wall thermostat, fused connection unit, or a combination.
    Control,
    /// Anything else that belongs to the job.
    Accessory,
}

impl PartKind {
    /// The four kinds, in the order in which a bill lists them.
    pub const ALL: [Self; 4] = [Self::Body, Self::Element, Self::Control, Self::Accessory];

    /// The word for it in JSON, SQL and rule rows.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Element => "element",
            Self::Control => "control",
            Self::Accessory => "accessory",
        }
    }

    /// The kind of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

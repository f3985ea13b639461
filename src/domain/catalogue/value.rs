//! Attribute values: what a rule row compares. Typed columns and the catalogue keeper's own attributes look
//! the same from here.

use std::collections::BTreeSet;
use std::fmt;

/// A number in thousandths: exact to compare, and fine enough for every datum of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Thousandths(i64);

impl Thousandths {
    /// A count of thousandths.
    pub const fn new(thousandths: i64) -> Self {
        Self(thousandths)
    }

    /// A whole number.
    ///
    /// ```
    /// use rungwright::domain::catalogue::Thousandths;
    /// assert_eq!(Thousandths::whole(22).to_string(), "22");
    /// assert_eq!(Thousandths::parse("0.75").unwrap().to_string(), "0.75");
    /// ```
    pub fn whole(number: i32) -> Self {
        Self(i64::from(number).saturating_mul(1_000))
    }

    /// The nearest thousandth of a finite number of ordinary size.
    pub fn nearest(number: f64) -> Self {
        Self(rounded(number * 1_000.0))
    }

    /// The number of a decimal text with up to three decimals.
    pub fn parse(text: &str) -> Option<Self> {
        let (sign, digits) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
        let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
        let plain = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if whole.is_empty() || 3 < fraction.len() || !plain(whole) || !plain(fraction) {
            return None;
        }
        format!("{whole}{fraction:0<3}").parse::<i64>().ok()?.checked_mul(sign).map(Self)
    }

    /// The count of thousandths.
    pub const fn value(self) -> i64 {
        self.0
    }
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "the cast saturates; data of the trade lie far below 2^53 thousandths"
)]
fn rounded(number: f64) -> i64 {
    libm::round(number) as i64
}

impl fmt::Display for Thousandths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let digits = format!("{:0>4}", self.0.unsigned_abs());
        let (whole, fraction) = digits.split_at(digits.len().saturating_sub(3));
        let fraction = fraction.trim_end_matches('0');
        let point = if fraction.is_empty() { "" } else { "." };
        write!(f, "{sign}{whole}{point}{fraction}")
    }
}

/// The type that an attribute is declared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ValueType {
    /// Yes or no.
    Flag,
    /// A number with a unit, up to three decimals.
    Number,
    /// One word or phrase.
    Text,
    /// A set of words.
    Words,
}

impl ValueType {
    /// The four types.
    pub const ALL: [Self; 4] = [Self::Flag, Self::Number, Self::Text, Self::Words];

    /// The word for it in catalogue files and SQL.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flag => "flag",
            Self::Number => "number",
            Self::Text => "text",
            Self::Words => "words",
        }
    }

    /// The type of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|value_type| value_type.word() == word)
    }
}

/// One attribute value.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Value {
    /// Yes or no.
    Flag(bool),
    /// A number.
    Number(Thousandths),
    /// One word or phrase.
    Text(Box<str>),
    /// A set of words.
    Words(BTreeSet<Box<str>>),
}

impl Value {
    /// A text value.
    pub fn text(text: &str) -> Self {
        Self::Text(text.into())
    }

    /// A whole number.
    pub fn whole(number: i32) -> Self {
        Self::Number(Thousandths::whole(number))
    }

    /// The value of a text, read as the declared type. Words are separated by spaces.
    ///
    /// ```
    /// use rungwright::domain::catalogue::{Value, ValueType};
    /// assert_eq!(Value::parse("yes", ValueType::Flag), Some(Value::Flag(true)));
    /// // Not `true`, not `1`: one spelling, so that a typing slip is seen.
    /// assert_eq!(Value::parse("true", ValueType::Flag), None);
    /// ```
    pub fn parse(text: &str, value_type: ValueType) -> Option<Self> {
        match value_type {
            ValueType::Flag => match text {
                "yes" => Some(Self::Flag(true)),
                "no" => Some(Self::Flag(false)),
                _ => None,
            },
            ValueType::Number => Thousandths::parse(text).map(Self::Number),
            ValueType::Text => (!text.is_empty()).then(|| Self::text(text)),
            ValueType::Words => {
                Some(Self::Words(text.split_whitespace().map(Into::into).collect()))
            }
        }
    }

    /// The type of this value.
    pub const fn value_type(&self) -> ValueType {
        match self {
            Self::Flag(_) => ValueType::Flag,
            Self::Number(_) => ValueType::Number,
            Self::Text(_) => ValueType::Text,
            Self::Words(_) => ValueType::Words,
        }
    }
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Flag(flag) => f.write_str(if *flag { "yes" } else { "no" }),
            Self::Number(number) => number.fmt(f),
            Self::Text(text) => f.write_str(text),
            Self::Words(words) => {
                let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
                f.write_str(&words.join(" "))
            }
        }
    }
}

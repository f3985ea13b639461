//! One finding: a rule, how it came out, the values of both sides, and where the rule is from.

use std::borrow::Cow;
use std::fmt;

use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Sku;
use crate::domain::evidence::Source;

/// How a rule came out for given parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// The rule holds.
    Holds,
    /// It does not hold, and that calls for a caution.
    Warns,
    /// Whether it holds is not known: never the same as holding.
    NotEstablished,
    /// It does not hold, and the parts may not be sold together.
    Clashes,
}

impl Outcome {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Warns => "warns",
            Self::NotEstablished => "not_established",
            Self::Clashes => "clashes",
        }
    }
}

/// One side of a comparison: whose attribute, and its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatedSide {
    /// The part, if the side is a part and not a demand or a constant.
    pub sku: Option<Sku>,
    /// What was compared: `element.thread`, `place.zone`.
    pub attribute: Cow<'static, str>,
    /// The value, or nothing when it is not stated.
    pub value: Option<String>,
}

impl StatedSide {
    /// A side that is a part's attribute.
    pub fn part(sku: &Sku, attribute: &'static str, value: Option<String>) -> Self {
        Self { sku: Some(sku.clone()), attribute: Cow::Borrowed(attribute), value }
    }

    /// A side that is a demand or a constant.
    pub fn demand(attribute: &'static str, value: String) -> Self {
        Self { sku: None, attribute: Cow::Borrowed(attribute), value: Some(value) }
    }
}

impl fmt::Display for StatedSide {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = self.value.as_deref().unwrap_or("not stated");
        match &self.sku {
            Some(sku) => write!(f, "{} of {sku} is {value}", self.attribute),
            None => write!(f, "{} is {value}", self.attribute),
        }
    }
}

/// A rule, and how it came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Stable code of the rule.
    pub rule: Cow<'static, str>,
    /// How it came out.
    pub outcome: Outcome,
    /// Whether parts may be sold together although it does not hold or is not established.
    pub severity: Severity,
    /// What the rule demands, and the values that decided, as a sentence.
    pub detail: String,
    /// The left side.
    pub left: StatedSide,
    /// The right side.
    pub right: StatedSide,
    /// Where the rule is from and how it is known.
    pub source: Source,
}

impl Finding {
    /// Whether the parts may not be sold together because of this: a clash, or a refusing rule that nobody can
    /// say holds.
    pub fn refuses(&self) -> bool {
        match self.outcome {
            Outcome::Clashes => true,
            Outcome::NotEstablished => self.severity == Severity::Refuse,
            Outcome::Holds | Outcome::Warns => false,
        }
    }
}

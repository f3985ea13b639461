//! How a fact is known: the evidence mark that every rule, table row and check carries, and the source beside it.
//!
//! A reader who sees `memory` knows that nobody has opened the standard. Absent here: the facts themselves.

use std::borrow::Cow;
use std::fmt;

/// How a fact came to be known, from the firmest to the flimsiest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// Read in the standard, the law or the maker's own paper.
    Read,
    /// Read in a page that quotes the original.
    ReadSecondary,
    /// Computed from facts of a better kind, and reproduced independently.
    Computed,
    /// Deduced; the deduction can be shown, the original was not at hand.
    Inferred,
    /// Common practice of the trade, without a source.
    Practice,
    /// Remembered, not looked up: never law.
    Memory,
    /// A stand-in value where nothing was stated.
    Fallback,
    /// Made up, as demonstration goods are.
    Invented,
}

impl Evidence {
    /// Every kind, firmest first.
    pub const ALL: [Self; 8] = [
        Self::Read,
        Self::ReadSecondary,
        Self::Computed,
        Self::Inferred,
        Self::Practice,
        Self::Memory,
        Self::Fallback,
        Self::Invented,
    ];

    /// Stable code, as it stands in answers and data files.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::ReadSecondary => "read-secondary",
            Self::Computed => "computed",
            Self::Inferred => "inferred",
            Self::Practice => "practice",
            Self::Memory => "memory",
            Self::Fallback => "fallback",
            Self::Invented => "invented",
        }
    }

    /// The kind of a code.
    ///
    /// ```
    /// use rungwright::domain::evidence::Evidence;
    /// assert_eq!(Evidence::parse("read-secondary"), Some(Evidence::ReadSecondary));
    /// // Codes are exact: a data file with another spelling is wrong, not understood.
    /// assert_eq!(Evidence::parse("Read"), None);
    /// ```
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }

    /// The flimsier of two kinds: a figure made of two facts is known no better than the worse one.
    ///
    /// ```
    /// use rungwright::domain::evidence::Evidence;
    /// assert_eq!(Evidence::Memory.weaker(Evidence::Read), Evidence::Memory);
    /// ```
    #[must_use]
    pub fn weaker(self, other: Self) -> Self {
        self.max(other)
    }
}

impl fmt::Display for Evidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// Where a fact comes from, in words, and how it is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Standard, clause, page or custom, as a reader would look it up.
    pub text: Cow<'static, str>,
    /// How we know it.
    pub evidence: Evidence,
}

impl Source {
    /// A source known when the program was written.
    pub const fn new(text: &'static str, evidence: Evidence) -> Self {
        Self { text: Cow::Borrowed(text), evidence }
    }

    /// A source that came with data.
    pub const fn stated(text: String, evidence: Evidence) -> Self {
        Self { text: Cow::Owned(text), evidence }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.text, self.evidence)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_survives_its_code() {
        for kind in Evidence::ALL {
            assert_eq!(Evidence::parse(kind.code()), Some(kind));
        }
    }

    #[test]
    fn a_source_prints_with_its_evidence() {
        let source = Source::new("ISO 228-1", Evidence::Read);
        assert_eq!(source.to_string(), "ISO 228-1 (read)");
    }
}

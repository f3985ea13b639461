//! Compatibility rules as rows of data.
//!
//! A row compares an attribute of a left part with an attribute of a right part, or with a constant. Rows are
//! checked against the declared attributes when an edition is made; what they mean is in `compatibility`.

use crate::domain::evidence::Source;

use super::sku::PartKind;
use super::value::Value;

/// How a row compares left with right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Relation {
    /// Left equals right.
    Equal,
    /// Left is at most right.
    AtMost,
    /// Left is at least right.
    AtLeast,
    /// Left lies between two right attributes, ends included.
    Within,
    /// Left and right stand together in a named table, or are equal.
    ListedPair,
    /// Every word of right is among the words of left.
    Covers,
}

impl Relation {
    /// All relations.
    pub const ALL: [Self; 6] =
        [Self::Equal, Self::AtMost, Self::AtLeast, Self::Within, Self::ListedPair, Self::Covers];

    /// The word for it in catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Equal => "equal",
            Self::AtMost => "at_most",
            Self::AtLeast => "at_least",
            Self::Within => "within",
            Self::ListedPair => "listed_pair",
            Self::Covers => "covers",
        }
    }

    /// The relation of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|relation| relation.word() == word)
    }
}

/// What happens when a row does not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The parts may not be sold together.
    Refuse,
    /// They may, with a caution.
    Warn,
}

impl Severity {
    /// The two severities.
    pub const ALL: [Self; 2] = [Self::Refuse, Self::Warn];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Refuse => "refuse",
            Self::Warn => "warn",
        }
    }

    /// The severity of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|severity| severity.word() == word)
    }
}

/// An attribute of a kind of part: `element.thread`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct AttributeName {
    /// Which kind of part.
    pub kind: PartKind,
    /// Which attribute of it.
    pub name: Box<str>,
}

impl AttributeName {
    /// The attribute's name without its kind.
    pub fn name(&self) -> &str {
        &self.name
    }
}

impl std::fmt::Display for AttributeName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.kind.word(), self.name)
    }
}

/// What stands on the right of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Right {
    /// One attribute of the other part.
    Attribute(AttributeName),
    /// A range between two attributes of the other part: `within`.
    Range(AttributeName, AttributeName),
    /// A fixed value: the row then concerns the left part alone, beside any part of the kind named.
    Constant(PartKind, Value),
}

impl Right {
    /// The kind of the right part.
    pub const fn kind(&self) -> PartKind {
        match self {
            Self::Attribute(name) | Self::Range(name, _) => name.kind,
            Self::Constant(kind, _) => *kind,
        }
    }
}

/// A condition under which a row is asked at all: an attribute of either part has this value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct When {
    /// Whose attribute.
    pub attribute: AttributeName,
    /// The value it must have. A part that does not state it does not meet the condition.
    pub is: Value,
}

/// One compatibility rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// Stable code: `element-within-watts`.
    pub code: Box<str>,
    /// Left side.
    pub left: AttributeName,
    /// How the sides compare.
    pub relation: Relation,
    /// Right side.
    pub right: Right,
    /// Name of the pair table, for `listed_pair`.
    pub table: Option<Box<str>>,
    /// All of these must be met, or the row is not asked.
    pub when: Vec<When>,
    /// What happens when it does not hold.
    pub severity: Severity,
    /// What the rule demands, in a sentence.
    pub sentence: Box<str>,
    /// Where it is from.
    pub source: Source,
}

/// A pair of values that stand together in a table: which finishes go with which.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ListedPair {
    /// Name of the table: `finish`.
    pub table: Box<str>,
    /// Value of the left side.
    pub left: Box<str>,
    /// Value of the right side.
    pub right: Box<str>,
}

impl Rule {
    /// Every attribute that the row reads.
    pub fn attributes(&self) -> Vec<&AttributeName> {
        let mut named = vec![&self.left];
        match &self.right {
            Right::Attribute(name) => named.push(name),
            Right::Range(low, high) => named.extend([low, high]),
            Right::Constant(..) => {}
        }
        named.extend(self.when.iter().map(|condition| &condition.attribute));
        named
    }

    /// The kinds of part that the row is about: the left one, and the other unless it concerns one part alone.
    pub fn kinds(&self) -> (PartKind, Option<PartKind>) {
        let kinds = self.attributes().into_iter().map(|name| name.kind);
        let other = kinds.chain([self.right.kind()]).find(|kind| *kind != self.left.kind);
        (self.left.kind, other)
    }
}

//! Which thread forms join, and where the joint is sealed: rows of data.

use crate::domain::evidence::Source;
use crate::domain::thread::ThreadForm;

/// Whether two thread forms of one size make a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mates {
    /// They do.
    Yes,
    /// They do if the seal is made as the row says.
    Conditional,
    /// No standard says so: not a yes.
    NotStandard,
    /// They do not.
    No,
}

impl Mates {
    /// The four answers.
    pub const ALL: [Self; 4] = [Self::Yes, Self::Conditional, Self::NotStandard, Self::No];

    /// The word for it in catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::Conditional => "conditional",
            Self::NotStandard => "not_standard",
            Self::No => "no",
        }
    }

    /// The answer of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mates| mates.word() == word)
    }
}

/// One row of the mating table. Different sizes never mate and need no row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadMating {
    /// Form of the external thread.
    pub external: ThreadForm,
    /// Form of the internal thread.
    pub internal: ThreadForm,
    /// Whether they join.
    pub mates: Mates,
    /// Where and how the joint is sealed.
    pub seal: Box<str>,
    /// Where the row is from.
    pub source: Source,
}

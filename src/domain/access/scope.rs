//! What a key is good for.

use std::collections::BTreeSet;

/// A kind of work that a key opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// Reading the catalogue and asking what fits, what it costs and where it may hang. No quotes.
    Browse,
    /// Drafting, issuing and reading the quotes of an account.
    Quote,
    /// Loading, checking and publishing editions.
    Catalogue,
    /// Keys, the audit trail, figures of the running service.
    Operate,
}

/// What a key is good for, all in all: `browse` alone, which may stand in a web page, or any of the others, which are
/// secret and browse as well.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Scopes(BTreeSet<Scope>);

/// Why some scopes are no set that a key can have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoScopes {
    /// None at all.
    #[error("a key has at least one scope")]
    None,
    /// `browse` beside others.
    #[error(
        "browse stands alone: such a key may be read by everybody, and every other key browses anyway"
    )]
    BrowseWithOthers,
}

impl Scope {
    /// The four scopes.
    pub const ALL: [Self; 4] = [Self::Browse, Self::Quote, Self::Catalogue, Self::Operate];

    /// The word for it in JSON, SQL and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Browse => "browse",
            Self::Quote => "quote",
            Self::Catalogue => "catalogue",
            Self::Operate => "operate",
        }
    }

    /// The scope of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scope| scope.word() == word)
    }
}

impl Scopes {
    /// The set of some scopes.
    ///
    /// ```
    /// use rungwright::domain::access::{NoScopes, Scope, Scopes};
    /// let desk = Scopes::new([Scope::Quote]).unwrap();
    /// // Whoever may quote may look at the catalogue; whoever may look may not quote.
    /// assert!(desk.allow(Scope::Browse) && !desk.allow(Scope::Operate));
    /// assert!(!Scopes::new([Scope::Browse]).unwrap().allow(Scope::Quote));
    /// assert_eq!(Scopes::new([Scope::Browse, Scope::Quote]), Err(NoScopes::BrowseWithOthers));
    /// ```
    pub fn new<S: IntoIterator<Item = Scope>>(scopes: S) -> Result<Self, NoScopes> {
        let scopes: BTreeSet<Scope> = scopes.into_iter().collect();
        if scopes.is_empty() {
            return Err(NoScopes::None);
        }
        if scopes.contains(&Scope::Browse) && 1 < scopes.len() {
            return Err(NoScopes::BrowseWithOthers);
        }
        Ok(Self(scopes))
    }

    /// Every secret scope.
    pub fn all_secret() -> Self {
        Self(BTreeSet::from([Scope::Quote, Scope::Catalogue, Scope::Operate]))
    }

    /// Only looking.
    pub fn browse() -> Self {
        Self(BTreeSet::from([Scope::Browse]))
    }

    /// Whether work of this kind is open.
    pub fn allow(&self, needed: Scope) -> bool {
        needed == Scope::Browse || self.0.contains(&needed)
    }

    /// Whether the key may stand in a web page.
    pub fn are_publishable(&self) -> bool {
        self.0.contains(&Scope::Browse)
    }

    /// The scopes in their order.
    pub fn iter(&self) -> impl Iterator<Item = Scope> {
        self.0.iter().copied()
    }
}

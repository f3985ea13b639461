//! What a key grants to whoever holds it.

use std::collections::BTreeSet;

use thiserror::Error;

use crate::domain::catalogue::Tier;
use crate::domain::pricing::discount::DiscountCeiling;

use super::account::Account;
use super::origin::Origin;
use super::rate::PerMinute;
use super::scope::Scopes;

/// Most origins of a key.
pub const ORIGINS_MAX: usize = 20;
/// Most markets that a key names.
pub const MARKETS_MAX: usize = 50;

/// In which markets a key may be used.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Markets {
    /// In every market, also in those that a later edition adds.
    All,
    /// In these.
    Only(BTreeSet<Box<str>>),
}

/// What a key grants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grant {
    /// Whose quotes it reads and writes.
    pub account: Account,
    /// What it is good for.
    pub scopes: Scopes,
    /// From which web pages; a key that may stand in a page has at least one, a secret key none.
    pub origins: BTreeSet<Origin>,
    /// In which markets.
    pub markets: Markets,
    /// The price tier that is taken when a request names none.
    pub tier: Tier,
    /// The best price tier that a request may name.
    pub tier_best: Tier,
    /// Most that may be taken off.
    pub discount_ceiling: DiscountCeiling,
    /// Whether clashing parts may be quoted with a written reason.
    pub overrides: bool,
    /// How often.
    pub per_minute: PerMinute,
}

/// Why a key cannot grant this.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NoGrant {
    /// A key for web pages names none.
    #[error(
        "a browse key is bound to the origins of the pages that it stands in: name at least one"
    )]
    NoOrigin,
    /// A secret key would be shown to pages.
    #[error("only a browse key has origins: every other key is secret and stands in no page")]
    OriginOfSecret,
    /// More origins than allowed.
    #[error("a key has at most {ORIGINS_MAX} origins")]
    TooManyOrigins,
    /// A list of markets that opens none, or too many.
    #[error("a key names 1 to {MARKETS_MAX} markets, or all by naming none")]
    MarketCount,
    /// No code of a market.
    #[error("a market is named by its code: 1 to 20 lower-case letters, digits and hyphens")]
    MarketForm,
    /// What is taken unasked may not be asked for.
    #[error(
        "the price tier that is taken when nobody asks is better than the best that may be asked for"
    )]
    TierBeyondBest,
    /// Everybody would see the prices of a tier.
    #[error("a browse key can be read by everybody, so it shows retail prices")]
    TierOfPublic,
    /// Everybody could quote clashing parts.
    #[error("a browse key can be read by everybody, so it overrides nothing")]
    OverrideOfPublic,
}

impl Markets {
    /// Whether the market of this code is among them.
    pub fn include(&self, code: &str) -> bool {
        match self {
            Self::All => true,
            Self::Only(codes) => codes.contains(code),
        }
    }
}

impl Grant {
    /// What anybody may do where reading is open to all: look at everything, at retail prices.
    pub fn reading() -> Self {
        Self {
            account: Account::demo(),
            scopes: Scopes::browse(),
            origins: BTreeSet::new(),
            markets: Markets::All,
            tier: Tier::Retail,
            tier_best: Tier::Retail,
            discount_ceiling: DiscountCeiling::USUAL,
            overrides: false,
            per_minute: PerMinute::MAX,
        }
    }

    /// Every reason why no key can grant this.
    pub fn check(&self) -> Vec<NoGrant> {
        let is_public = self.scopes.are_publishable();
        let (market_count, is_named) = match &self.markets {
            Markets::All => (1, true),
            Markets::Only(codes) => (codes.len(), codes.iter().all(|code| is_code(code))),
        };
        let rules = [
            (is_public && self.origins.is_empty(), NoGrant::NoOrigin),
            (!is_public && !self.origins.is_empty(), NoGrant::OriginOfSecret),
            (ORIGINS_MAX < self.origins.len(), NoGrant::TooManyOrigins),
            (!(1..=MARKETS_MAX).contains(&market_count), NoGrant::MarketCount),
            (!is_named, NoGrant::MarketForm),
            (self.tier_best < self.tier, NoGrant::TierBeyondBest),
            (is_public && self.tier_best != Tier::Retail, NoGrant::TierOfPublic),
            (is_public && self.overrides, NoGrant::OverrideOfPublic),
        ];
        rules.into_iter().filter_map(|(is_broken, why)| is_broken.then_some(why)).collect()
    }
}

fn is_code(text: &str) -> bool {
    let is_plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    (1..=20).contains(&text.len()) && text.bytes().all(is_plain)
}

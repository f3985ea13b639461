//! Which ecodesign law a sale falls under: by market, and inside the United Kingdom by region.
//!
//! Where the region is not known the strictest law is taken, and a notice says so. Absent here: what the laws demand.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::notice::Notice;

/// A law, or its absence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Regime {
    /// Regulation (EU) 2024/1103.
    Eu2024,
    /// Regulation (EU) 2015/1188 as kept in British law.
    Gb2015,
    /// A market whose keeper has stated that no such law applies.
    Unregulated,
}

impl Regime {
    /// Every regime, strictest first.
    pub const ALL: [Self; 3] = [Self::Eu2024, Self::Gb2015, Self::Unregulated];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Eu2024 => "eu-2024",
            Self::Gb2015 => "gb-2015",
            Self::Unregulated => "none",
        }
    }

    /// The regime of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.code() == code)
    }

    /// Where it stands, and how well we know that it applies.
    pub const fn source(self) -> Source {
        match self {
            Self::Eu2024 => Source::new(
                "Regulation (EU) 2024/1103, applies since 1 July 2025, Annex I (13) towel rails",
                Evidence::Read,
            ),
            Self::Gb2015 => Source::new(
                "assimilated Regulation (EU) 2015/1188: that it still applies in Great Britain is from memory",
                Evidence::Memory,
            ),
            Self::Unregulated => Source::new("stated by the market's keeper", Evidence::Fallback),
        }
    }
}

/// The regime taken for a sale, with the cautions that go with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RegimeChoice {
    /// The law.
    pub regime: Regime,
    /// Why it was taken, where that is not plain.
    pub notice: Option<Notice>,
}

/// Countries of the European Union, by market code.
const UNION: [&str; 27] = [
    "at", "be", "bg", "cy", "cz", "de", "dk", "ee", "es", "fi", "fr", "gr", "hr", "hu", "ie", "it",
    "lt", "lu", "lv", "mt", "nl", "pl", "pt", "ro", "se", "si", "sk",
];

/// Parts of the United Kingdom where the British law applies.
const GREAT_BRITAIN: [&str; 3] = ["england", "scotland", "wales"];

/// Northern Ireland follows the Union's product law (from memory).
const NORTHERN_IRELAND: &str = "northern-ireland";

/// The regime of a market and region.
///
/// ```
/// use rungwright::domain::ecodesign::{Regime, choose_regime};
/// assert_eq!(choose_regime("gb", Some("scotland")).regime, Regime::Gb2015);
/// assert_eq!(choose_regime("gb", Some("northern-ireland")).regime, Regime::Eu2024);
/// // Nobody said where in the United Kingdom: the strictest law, and a word about it.
/// let unknown = choose_regime("gb", None);
/// assert_eq!(unknown.regime, Regime::Eu2024);
/// assert_eq!(unknown.notice.unwrap().code, "ecodesign-region-unknown");
/// ```
pub fn choose_regime(market: &str, region: Option<&str>) -> RegimeChoice {
    match market {
        "gb" => british(region),
        _ if UNION.contains(&market) => RegimeChoice { regime: Regime::Eu2024, notice: None },
        _ => strictest("ecodesign-market-unknown", MARKET_UNKNOWN),
    }
}

fn british(region: Option<&str>) -> RegimeChoice {
    match region {
        Some(region) if GREAT_BRITAIN.contains(&region) => RegimeChoice {
            regime: Regime::Gb2015,
            notice: Some(Notice::new("ecodesign-not-established", NOT_ESTABLISHED)),
        },
        Some(NORTHERN_IRELAND) => RegimeChoice {
            regime: Regime::Eu2024,
            notice: Some(Notice::new("ecodesign-northern-ireland", IRELAND)),
        },
        Some(_) | None => strictest("ecodesign-region-unknown", REGION_UNKNOWN),
    }
}

fn strictest(code: &'static str, text: &'static str) -> RegimeChoice {
    RegimeChoice { regime: Regime::Eu2024, notice: Some(Notice::new(code, text)) }
}

const NOT_ESTABLISHED: &str = "Great Britain keeps the older Regulation 2015/1188 (from memory). Whether it covers towel rails \
                               is not established here, so no control function is demanded on its account.";
const IRELAND: &str =
    "Northern Ireland is taken to follow the European Union's Regulation 2024/1103 (from memory).";
const REGION_UNKNOWN: &str = "The part of the United Kingdom is not known, so the strictest rule is taken: Regulation (EU) 2024/1103, \
                              which Northern Ireland follows (from memory).";
const MARKET_UNKNOWN: &str = "No ecodesign rule is known for this market, so the strictest is taken: Regulation (EU) 2024/1103.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_regime_survives_its_code() {
        for regime in Regime::ALL {
            assert_eq!(Regime::parse(regime.code()), Some(regime));
        }
    }

    #[test]
    fn a_market_nobody_knows_gets_the_strictest_law_with_a_notice() {
        let choice = choose_regime("xx", Some("scotland"));
        assert_eq!(choice.regime, Regime::Eu2024);
        assert!(choice.notice.is_some());
        assert_eq!(
            choose_regime("ie", None),
            RegimeChoice { regime: Regime::Eu2024, notice: None }
        );
    }
}

//! How a supply is taxed: category, rate, and where the tax is rounded.
//!
//! Absent here: the sums (`pricing::document`) and which category a customer falls under (`pricing::taxing`).

use crate::domain::money::TaxRate;

/// Why a supply is taxed as it is: the codes of UNCL 5305 that this trade meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TaxCategory {
    /// Taxed at the standard or a reduced rate.
    Standard,
    /// Taxed at nought.
    ZeroRated,
    /// Supply to a business in another country of the European Union.
    IntraCommunity,
    /// Export out of the tax territory.
    Export,
    /// The customer accounts for the tax; only where a row of the market says so.
    ReverseCharge,
}

impl TaxCategory {
    /// The categories.
    pub const ALL: [Self; 5] =
        [Self::Standard, Self::ZeroRated, Self::IntraCommunity, Self::Export, Self::ReverseCharge];

    /// The code of UNCL 5305.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Standard => "S",
            Self::ZeroRated => "Z",
            Self::IntraCommunity => "K",
            Self::Export => "G",
            Self::ReverseCharge => "AE",
        }
    }

    /// The category of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|category| category.code() == code)
    }
}

/// How a supply is taxed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taxation {
    /// Why.
    pub category: TaxCategory,
    /// At which rate; nought for every category but the standard one.
    pub rate: TaxRate,
}

/// Where tax is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum TaxRounding {
    /// Once a rate, on the summed net (EN 16931 BR-CO-17).
    #[default]
    PerRate,
    /// On every line, the rounded amounts then summed (a habit of retail).
    PerLine,
}

impl TaxRounding {
    /// The two ways.
    pub const ALL: [Self; 2] = [Self::PerRate, Self::PerLine];

    /// The word for it in JSON and on papers.
    pub const fn word(self) -> &'static str {
        match self {
            Self::PerRate => "per_rate",
            Self::PerLine => "per_line",
        }
    }

    /// The way of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.word() == word)
    }
}

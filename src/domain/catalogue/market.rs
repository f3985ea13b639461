//! Markets and their price lists.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::domain::evidence::Source;
use crate::domain::money::Currency;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;

use super::sku::Sku;

/// How a fixed appliance is connected in a market.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Connection {
    /// By a fused connection unit, which is part of the bill.
    FusedConnectionUnit,
    /// By a box on a circuit with its own breaker: installation work, no part of the bill.
    CircuitBreaker,
}

impl Connection {
    /// The two ways.
    pub const ALL: [Self; 2] = [Self::FusedConnectionUnit, Self::CircuitBreaker];

    /// The word for it in catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FusedConnectionUnit => "fused_connection_unit",
            Self::CircuitBreaker => "circuit_breaker",
        }
    }

    /// The way of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|connection| connection.word() == word)
    }
}

/// A country, its money and its rules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Market {
    /// Short code: `gb`.
    pub code: Box<str>,
    /// What prices are in.
    pub currency: Currency,
    /// Standard rate of tax.
    pub tax_rate: TaxRate,
    /// Where the rate is from.
    pub tax_source: Source,
    /// Language of the papers (BCP 47).
    pub language: Box<str>,
    /// Rule pack for rooms with a bath or shower: `gb-bs7671`.
    pub wiring_rules: Box<str>,
    /// How a fixed appliance is connected.
    pub connection: Connection,
    /// Why it is connected so.
    pub connection_source: Source,
    /// Regions that the market tells apart, as callers name them in `place.region`.
    pub regions: Vec<Box<str>>,
}

/// Prices of one market for a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceList {
    /// Its code: `gb-2026`.
    pub code: Box<str>,
    /// The market it is for.
    pub market: Box<str>,
    /// What its prices are in.
    pub currency: Currency,
    /// First day it holds.
    pub valid_from: Date,
    /// Last day it holds; open when absent.
    pub valid_to: Option<Date>,
    /// Net price of one piece.
    pub prices: BTreeMap<Sku, UnitPrice>,
}

impl PriceList {
    /// Whether the list holds on a day, first and last day included.
    pub fn holds_on(&self, day: Date) -> bool {
        self.valid_from <= day && self.valid_to.is_none_or(|last| day <= last)
    }
}

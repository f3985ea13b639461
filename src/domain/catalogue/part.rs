//! What every part carries, whatever its kind: the card.

use std::collections::BTreeMap;

use crate::domain::evidence::Evidence;

use super::sku::Sku;
use super::value::Value;

/// Whether a part can be had now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stock {
    /// On the shelf.
    InStock,
    /// Made or ordered when sold; the lead time says how long.
    ToOrder,
    /// Still answered about, no longer sold.
    Discontinued,
}

impl Stock {
    /// The three states.
    pub const ALL: [Self; 3] = [Self::InStock, Self::ToOrder, Self::Discontinued];

    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::InStock => "in_stock",
            Self::ToOrder => "to_order",
            Self::Discontinued => "discontinued",
        }
    }

    /// The state of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stock| stock.word() == word)
    }
}

/// What every part carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Card {
    /// Part number.
    pub sku: Sku,
    /// Name as it stands on a bill.
    pub name: Box<str>,
    /// Trade item number (GS1), digits only.
    pub gtin: Option<Box<str>>,
    /// Whether it can be had.
    pub stock: Stock,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
    /// How the part's figures are known.
    pub evidence: Evidence,
    /// The catalogue keeper's own attributes, beyond the typed columns.
    pub attributes: BTreeMap<Box<str>, Value>,
}

/// A datum that a maker may leave out: not stated is not yes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stated {
    /// Stated, and so.
    Yes,
    /// Stated, and not so.
    No,
    /// Not stated.
    NotStated,
}

impl Stated {
    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::NotStated => "not_stated",
        }
    }

    /// The datum of an optional flag.
    pub const fn from_flag(flag: Option<bool>) -> Self {
        match flag {
            Some(true) => Self::Yes,
            Some(false) => Self::No,
            None => Self::NotStated,
        }
    }

    /// As a rule sees it: absent when not stated.
    pub const fn value(self) -> Option<Value> {
        match self {
            Self::Yes => Some(Value::Flag(true)),
            Self::No => Some(Value::Flag(false)),
            Self::NotStated => None,
        }
    }
}

impl Card {
    /// The attributes of the card itself and the keeper's own.
    pub fn attribute(&self, name: &str) -> Option<Value> {
        match name {
            "sku" => Some(Value::text(self.sku.as_str())),
            "lead_days" => Some(Value::whole(i32::from(self.lead_days))),
            "stock" => Some(Value::text(self.stock.word())),
            _ => self.attributes.get(name).cloned(),
        }
    }
}

//! What can be wrong with an edition as a whole. What is wrong with one part alone is refused before.

use std::fmt;

use super::rule::AttributeName;
use super::sku::Sku;

/// Something in an edition that does not hang together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// One part number twice.
    DuplicateSku(Sku),
    /// A rule, condition or declaration names an attribute that its kind does not have.
    UnknownAttribute {
        /// Rule that names it.
        rule: Box<str>,
        /// The attribute.
        attribute: AttributeName,
    },
    /// A rule names a pair table that has no row, or forgets to name one.
    UnknownTable {
        /// The rule.
        rule: Box<str>,
        /// The table, empty when none is named.
        table: Box<str>,
    },
    /// A rule's range stands on the right of another relation than `within`, or the other way round.
    RangeMismatch(Box<str>),
    /// A rule compares values of types that its relation says nothing about.
    MixedTypes {
        /// The rule.
        rule: Box<str>,
        /// What is compared with what.
        sentence: Box<str>,
    },
    /// One sample request twice.
    DuplicateSample(Box<str>),
    /// One rule code twice.
    DuplicateRule(Box<str>),
    /// A rule reads attributes of three kinds of part; it may compare two.
    ThreeKinds(Box<str>),
    /// A part carries an attribute that is not declared for its kind, or of another type.
    UndeclaredAttribute {
        /// The part.
        sku: Sku,
        /// The attribute's name.
        attribute: Box<str>,
    },
    /// A part has a finish that the edition does not know.
    UnknownFinish {
        /// The part.
        sku: Sku,
        /// The finish.
        finish: Box<str>,
    },
    /// A body includes something that is no accessory of the edition.
    UnknownIncluded {
        /// The body.
        body: Sku,
        /// What it includes.
        included: Sku,
    },
    /// A price list prices a part that the edition does not hold.
    UnknownPriced {
        /// The list.
        list: Box<str>,
        /// The part number.
        sku: Sku,
    },
    /// A price list is for a market that the edition does not hold, or in another currency.
    UnknownMarket(Box<str>),
    /// The terms of sale do not hang together.
    Terms(Box<str>),
    /// One country's wiring rules are not sound.
    WiringRules {
        /// Their stable name.
        rules: Box<str>,
        /// What is wrong, a sentence.
        fault: Box<str>,
    },
    /// One stable name of wiring rules twice.
    DuplicateWiringRules(Box<str>),
    /// A market follows wiring rules that are not among those of the edition.
    UnknownWiringRules {
        /// The market.
        market: Box<str>,
        /// The rules it names.
        rules: Box<str>,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DuplicateSku(sku) => write!(f, "{sku} stands in the edition twice"),
            Self::UnknownAttribute { rule, attribute } => {
                write!(f, "rule {rule} names {attribute}, which no part of that kind has")
            }
            Self::UnknownTable { rule, table } => {
                write!(f, "rule {rule} names the pair table {table:?}, which has no row")
            }
            Self::RangeMismatch(rule) => {
                write!(f, "rule {rule}: a range belongs to `within` and to nothing else")
            }
            Self::ThreeKinds(rule) => {
                write!(f, "rule {rule} reads three kinds of part, two at most")
            }
            Self::MixedTypes { rule, sentence } => write!(f, "rule {rule} {sentence}"),
            Self::DuplicateSample(name) => {
                write!(f, "sample request {name} stands in the edition twice")
            }
            Self::DuplicateRule(rule) => write!(f, "rule {rule} stands in the edition twice"),
            Self::UndeclaredAttribute { sku, attribute } => {
                write!(f, "{sku} carries {attribute}, which is not declared with that type")
            }
            Self::UnknownFinish { sku, finish } => {
                write!(f, "{sku} has the finish {finish:?}, which the edition does not know")
            }
            Self::UnknownIncluded { body, included } => {
                write!(f, "{body} includes {included}, which is no accessory of the edition")
            }
            Self::UnknownPriced { list, sku } => {
                write!(f, "price list {list} prices {sku}, which the edition does not hold")
            }
            Self::UnknownMarket(list) => {
                write!(f, "price list {list} is for an unknown market or in another currency")
            }
            Self::Terms(sentence) => write!(f, "terms of sale: {sentence}"),
            Self::WiringRules { rules, fault } => write!(f, "wiring rules {rules}: {fault}"),
            Self::DuplicateWiringRules(rules) => {
                write!(f, "wiring rules {rules} stand in the edition twice")
            }
            Self::UnknownWiringRules { market, rules } => {
                write!(
                    f,
                    "market {market} follows the wiring rules {rules}, which the edition does not hold"
                )
            }
        }
    }
}

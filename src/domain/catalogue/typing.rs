//! The type of every attribute that a part has by itself, and whether the sides of a rule can be compared.
//!
//! Absent here: the types of the keeper's own attributes, which an edition's declarations state.

use super::accessory::Accessory;
use super::body::Body;
use super::control::Control;
use super::element::Element;
use super::rule::Relation;
use super::sku::PartKind;
use super::value::ValueType;

/// The type of an attribute that a kind of part has by itself; nothing for any other name.
///
/// ```
/// use rungwright::domain::catalogue::{PartKind, ValueType, typed_attribute};
/// assert_eq!(typed_attribute(PartKind::Element, "watts"), Some(ValueType::Number));
/// // A body has no watts of its own: what its maker allows is `watts_min` and `watts_max`.
/// assert_eq!(typed_attribute(PartKind::Body, "watts"), None);
/// ```
pub fn typed_attribute(kind: PartKind, name: &str) -> Option<ValueType> {
    if !typed_names(kind).contains(&name) {
        return None;
    }
    Some(if FLAGS.contains(&name) {
        ValueType::Flag
    } else if WORDS.contains(&name) {
        ValueType::Words
    } else if TEXTS.contains(&name) {
        ValueType::Text
    } else {
        ValueType::Number
    })
}

/// The attributes that a kind of part has by itself.
pub const fn typed_names(kind: PartKind) -> &'static [&'static str] {
    match kind {
        PartKind::Body => Body::ATTRIBUTES,
        PartKind::Element => Element::ATTRIBUTES,
        PartKind::Control => Control::ATTRIBUTES,
        PartKind::Accessory => Accessory::ATTRIBUTES,
    }
}

/// Whether a relation says something about values of these two types.
///
/// Only numbers have an order. A set of words covers another set, or one word. A number is never equal to a text,
/// however it is written, so comparing the two would refuse everything for ever.
pub(super) fn can_compare(relation: Relation, left: ValueType, right: ValueType) -> bool {
    match relation {
        Relation::AtMost | Relation::AtLeast | Relation::Within => {
            left == ValueType::Number && right == ValueType::Number
        }
        Relation::Covers if left == ValueType::Words => {
            right == ValueType::Words || right == ValueType::Text
        }
        Relation::Covers | Relation::Equal | Relation::ListedPair => left == right,
    }
}

/// The typed attributes that are yes or no.
const FLAGS: &[&str] = &[
    "filled",
    "guarded",
    "lockable",
    "plug",
    "thermal_cut_out",
    "timed_drying",
    "resumes_after_power_cut",
    "switches_supply",
    "wall_thermostat",
    "time_switch",
    "fused_connection_unit",
];

/// The typed attributes that are one word or phrase.
const TEXTS: &[&str] = &[
    "sku",
    "kind",
    "finish",
    "tube",
    "heat_source",
    "thread",
    "element_side",
    "head",
    "regulation",
    "attachment",
    "ip",
    "class",
    "control_code",
    "stock",
];

/// The typed attributes that are sets of words.
const WORDS: &[&str] = &["roles", "declared_zones"];

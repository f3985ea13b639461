//! The catalogue: parts of four kinds, rules, markets and price lists of one edition.
//!
//! Owns what an edition *holds* and whether it hangs together ([`Edition::new`]). What the rules *mean* is in
//! `compatibility`; where rows come from is the store's business.

mod sku;
mod value;
mod part;
mod body;
mod element;
mod control;
mod accessory;
mod market;
mod mating;
mod rule;
mod fault;
mod edition;

pub use accessory::Accessory;
pub use accessory::AccessoryKind;
pub use body::Body;
pub use body::BodyContent;
pub use body::BodyHeat;
pub use body::BodyPorts;
pub use body::BodySize;
pub use body::HeatSource;
pub use body::Included;
pub use body::Side;
pub use control::Control;
pub use control::Role;
pub use control::Roles;
pub use edition::AttributeDeclaration;
pub use edition::Edition;
pub use edition::EditionContent;
pub use edition::PartRef;
pub use element::Attachment;
pub use element::Element;
pub use element::ElementControl;
pub use element::ElementSafety;
pub use element::ElementShape;
pub use element::Flex;
pub use element::Regulation;
pub use fault::Fault;
pub use market::Connection;
pub use market::Market;
pub use market::PriceList;
pub use mating::Mates;
pub use mating::ThreadMating;
pub use part::Card;
pub use part::Stated;
pub use part::Stock;
pub use rule::AttributeName;
pub use rule::ListedPair;
pub use rule::Relation;
pub use rule::Right;
pub use rule::Rule;
pub use rule::Severity;
pub use rule::When;
pub use sku::NotASku;
pub use sku::PartKind;
pub use sku::SKU_LENGTH_MAX;
pub use sku::Sku;
pub use value::Thousandths;
pub use value::Value;
pub use value::ValueType;

//! Attributes: the keeper's own as `attributes.csv` declares them, and the types of the typed ones.

use crate::domain::catalogue::AttributeDeclaration;
use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::ValueType;
use crate::domain::catalogue::typed_attribute;
use crate::domain::catalogue::typed_names;

use super::columns::ACCESSORIES;
use super::columns::BODIES;
use super::columns::CARD;
use super::columns::CONTROLS;
use super::columns::Column;
use super::columns::ELEMENTS;
use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Declared;
use super::record::Record;

/// The declaration in a row of `attributes.csv`.
pub(super) fn declaration(record: &Record) -> RowResult<AttributeDeclaration> {
    let declaration = declared(record).map_err(|fault| vec![fault])?;
    let AttributeName { kind, name } = &declaration.attribute;
    let mut taken = CARD.iter().chain(columns(*kind)).map(|column: &Column| column.name);
    if typed_names(*kind).contains(&&**name) || taken.any(|column| column == &**name) {
        let allowed = "a name that no typed attribute of the kind has".to_owned();
        return Err(vec![CellFault::new("attribute", &declaration.attribute.to_string(), allowed)]);
    }
    if !declaration.unit.is_empty() && declaration.value_type != ValueType::Number {
        let allowed = "empty: only a number has a unit".to_owned();
        return Err(vec![CellFault::new("unit", &declaration.unit, allowed)]);
    }
    Ok(declaration)
}

fn declared(record: &Record) -> Result<AttributeDeclaration, CellFault> {
    Ok(AttributeDeclaration {
        attribute: record.attribute("attribute")?,
        value_type: record.word("value_type", ValueType::parse)?,
        unit: record.maybe_text("unit")?.unwrap_or_default(),
    })
}

fn columns(kind: PartKind) -> &'static [Column] {
    match kind {
        PartKind::Body => BODIES,
        PartKind::Element => ELEMENTS,
        PartKind::Control => CONTROLS,
        PartKind::Accessory => ACCESSORIES,
    }
}

/// The type of an attribute's values: a typed one's, or as the keeper declared it.
pub(super) fn value_type(attribute: &AttributeName, declared: &Declared) -> Option<ValueType> {
    typed_attribute(attribute.kind, attribute.name()).or_else(|| declared.get(attribute).copied())
}

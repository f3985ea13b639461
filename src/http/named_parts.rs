//! Parts named in a body by their numbers: found, or noted as unknown.

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Sku;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;

/// The body of a part number in the field `body`.
pub fn find_body<'a>(edition: &'a Edition, sku: &str, fields: &mut Fields) -> Option<&'a Body> {
    edition.bodies().get(position(edition, PartKind::Body, ("body", sku), fields)?)
}

/// The element of a part number in the field `element`.
pub fn find_element<'a>(
    edition: &'a Edition,
    sku: &str,
    fields: &mut Fields,
) -> Option<&'a Element> {
    edition.elements().get(position(edition, PartKind::Element, ("element", sku), fields)?)
}

/// The accessory of a part number in a field.
pub fn find_accessory<'a>(
    edition: &'a Edition,
    (field, sku): (&str, &str),
    fields: &mut Fields,
) -> Option<&'a Accessory> {
    edition.accessories().get(position(edition, PartKind::Accessory, (field, sku), fields)?)
}

fn position(
    edition: &Edition,
    kind: PartKind,
    (field, text): (&str, &str),
    fields: &mut Fields,
) -> Option<usize> {
    let found = Sku::parse(text).map_err(|error| error.to_string()).and_then(|sku| {
        let kind_word = kind.word();
        let missing = || format!("there is no {kind_word} {sku} in this catalogue");
        edition.position(&sku, kind).ok_or_else(missing)
    });
    fields.keep(field, FieldCode::Unknown, found)
}

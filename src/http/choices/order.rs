//! A partial choice as it comes over the wire, and its way into the domain.

use std::collections::BTreeSet;

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::AttributeName;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Value;
use crate::domain::catalogue::ValueType;
use crate::domain::resolver::ChosenValue;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::problem::Problem;
use crate::http::resolutions::NewResolution;
use crate::http::resolutions::Putting;
use crate::http::values::NewValue;
use crate::http::values::NotAValue;
use crate::http::values::type_phrase;
use crate::http::work;
use crate::operations::Snapshot;
use crate::operations::resolve_room::Question;

/// A room and wishes, and values of attributes that are chosen already.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "request": {
        "market": "gb",
        "room": {
            "use": "bathroom", "length_mm": 2600, "width_mm": 1900, "height_mm": 2400, "indoor_c": 22, "outdoor_c": -3,
            "air_changes_per_hour": 1.5,
            "boundaries": [
                { "kind": "external_wall", "area_m2": 6.2, "u_w_m2k": 0.45 },
                { "kind": "window", "area_m2": 0.8, "u_w_m2k": 1.6 },
                { "kind": "internal_wall", "area_m2": 9.0, "u_w_m2k": 1.8, "beyond_c": 18 }
            ]
        },
        "purpose": "sole_heating",
        "users": { "children": true, "vulnerable": false, "public_building": false },
        "place": {
            "region": "scotland", "wall_width_mm": 700, "wall_bottom_mm": 600, "wall_height_mm": 1300, "zone": "2",
            "water_jets": false, "connection_distance_mm": 900, "side": "either"
        },
        "preferences": {
            "finish": "matt-black", "regulation": "either", "wall_control": false, "time_control": true,
            "flex_cover": true, "rails_max": 1, "budget": "450.00", "accessories": ["plug_cover", "hook"]
        }
    },
    "chosen": [{ "attribute": "body.width_mm", "value": 500 }]
}))]
pub struct NewChoices {
    /// What is asked of every bill, as for `/v1/resolutions`.
    pub request: NewResolution,
    /// What is chosen already of body and element.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub chosen: Vec<NewChosen>,
}

/// A value that the body or the element must have. A part that does not state the attribute does not have it.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewChosen {
    /// `body` or `element`, a dot, and the name of an attribute; also a keeper's own.
    #[schema(max_length = 80, example = "body.width_mm")]
    pub attribute: String,
    /// The value, of the attribute's type.
    pub value: NewValue,
}

/// A partial choice that was found right.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    pub question: Question<'a>,
    pub chosen: Vec<ChosenValue>,
}

impl NewChoices {
    /// The question in the domain's words, or every field that is wrong.
    pub(super) fn asked<'a>(&self, snapshot: &'a Snapshot) -> Result<Asked<'a>, Problem> {
        let mut fields = Fields::default();
        let question = fields.within("request", |at| {
            at.take(work::check_edition(self.request.edition, snapshot));
            at.take(self.request.question(Putting::of(snapshot)))
        });
        let edition = snapshot.catalogue().edition();
        let mut named = BTreeSet::new();
        let chosen =
            fields.each("chosen", &self.chosen, |at, chosen| chosen.read(edition, &mut named, at));
        let chosen = chosen.into_iter().flatten().collect();
        let asked = question.map(|question| Asked { question, chosen });
        fields.finish(asked)?.ok_or_else(Problem::failed)
    }
}

impl NewChosen {
    fn read(
        &self,
        edition: &Edition,
        named: &mut BTreeSet<AttributeName>,
        at: &mut Fields,
    ) -> Option<ChosenValue> {
        let (attribute, value_type) = self.attribute(edition, at)?;
        if !named.insert(attribute.clone()) {
            at.push("attribute", FieldCode::Repeated, format!("{attribute} is chosen twice"));
        }
        let value = match self.value.read(value_type) {
            Ok(value) => value,
            Err(NotAValue::OtherType) => {
                let detail = format!("{attribute} is {}", type_phrase(value_type));
                at.push("value", FieldCode::WrongType, detail);
                return None;
            }
            Err(NotAValue::NoThousandths) => {
                let detail = format!("{attribute} is a number of up to three decimals");
                at.push("value", FieldCode::BadForm, detail);
                return None;
            }
        };
        if let Some(detail) = stranger(edition, attribute.name(), &value) {
            at.push("value", FieldCode::Unknown, detail);
            return None;
        }
        Some(ChosenValue { attribute, value })
    }

    fn attribute(&self, edition: &Edition, at: &mut Fields) -> Option<(AttributeName, ValueType)> {
        let named = self.attribute.split_once('.').and_then(|(kind, name)| {
            let attribute = AttributeName { kind: PartKind::parse(kind)?, name: name.into() };
            let value_type = edition.attribute_type(&attribute)?;
            Some((attribute, value_type))
        });
        let Some((attribute, value_type)) = named else {
            let detail = format!(
                "there is no attribute {:?}; it is body or element, a dot and a name that parts state",
                self.attribute
            );
            at.push("attribute", FieldCode::Unknown, detail);
            return None;
        };
        match attribute.kind {
            PartKind::Body | PartKind::Element => Some((attribute, value_type)),
            PartKind::Control | PartKind::Accessory => {
                let detail = format!(
                    "{attribute} cannot be chosen: controls and accessories are chosen by wishes, in preferences"
                );
                at.push("attribute", FieldCode::NotSupported, detail);
                None
            }
        }
    }
}

/// What is said of a name that refers to nothing: a finish or a part number that the edition does not know.
fn stranger(edition: &Edition, name: &str, value: &Value) -> Option<String> {
    let Value::Text(text) = value else { return None };
    match name {
        "finish" if !edition.knows_finish(text) => Some(format!("there is no finish {text:?}")),
        "sku" if Sku::parse(text).map_or(true, |sku| edition.find(&sku).is_none()) => {
            Some(format!("there is no part {text:?}"))
        }
        _ => None,
    }
}

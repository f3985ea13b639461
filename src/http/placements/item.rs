//! A thing to be placed, as it comes over the wire: a point, a box, or a part of the catalogue on a wall.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Control;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Sku;
use crate::domain::compatibility::equipment;
use crate::domain::ip_code::IpCode;
use crate::domain::positions::BoxSize;
use crate::domain::positions::UNIT_BOX;
use crate::domain::positions::WallSpot;
use crate::domain::positions::hang;
use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::validity;
use crate::domain::zones::verdict::Connection;
use crate::domain::zones::verdict::Equipment;
use crate::domain::zones::verdict::Residual;
use crate::http::fields::Fields;
use crate::http::named_parts::find_element;
use crate::http::placements::kinds::NewClass;
use crate::http::placements::kinds::NewConnection;
use crate::http::placements::kinds::NewEquipmentKind;
use crate::http::problem::FieldCode;
use crate::http::resolutions::NewZone;
use crate::http::scene::millimetres;
use crate::http::scene::optional_space_point_mm;
use crate::http::schema;
use crate::operations::place_items::Item;

/// A thing to be placed: `point_mm`, or `min_mm` and `max_mm`, or `sku` on a wall.
///
/// What is known of a thing without a part number is said by `kind`, `ip`, `class`, `declared_zones`; what nobody says
/// is never taken for enough.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewItem {
    /// Its name in this question.
    #[schema(min_length = 1, max_length = 60, example = "rail")]
    pub id: String,
    /// A point `[x, y, z]`.
    #[serde(default)]
    #[schema(schema_with = optional_space_point_mm, required = false)]
    pub point_mm: Option<[f64; 3]>,
    /// A box: its corner with the smaller figures `[x, y, z]`.
    #[serde(default)]
    #[schema(schema_with = optional_space_point_mm, required = false)]
    pub min_mm: Option<[f64; 3]>,
    /// The corner with the larger figures.
    #[serde(default)]
    #[schema(schema_with = optional_space_point_mm, required = false)]
    pub max_mm: Option<[f64; 3]>,
    /// A body or control of the catalogue; its box and rating come from its data.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub sku: Option<String>,
    /// With a body: the element in it, whose head hangs below the body and whose rating is the rail's.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub element: Option<String>,
    /// With `sku`: the wall, counted from 0 counter-clockwise from the first corner.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 31, required = false)]
    pub wall: Option<u32>,
    /// With `sku`: from the start of the wall, which is on the right for somebody who looks at the wall from the room.
    #[serde(default)]
    #[schema(schema_with = schema::optional::wall_offset_mm, required = false)]
    pub offset_mm: Option<f64>,
    /// With `sku`: height of the lower edge of body or plate; the head of an element hangs below it.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub height_mm: Option<f64>,
    /// What it is, where no `sku` is given.
    #[serde(default)]
    #[schema(required = false)]
    pub kind: Option<NewEquipmentKind>,
    /// Its IP code as marked, such as `IPX4` or `IPX5/IPX7`.
    #[serde(default)]
    #[schema(max_length = 20, required = false)]
    pub ip: Option<String>,
    /// Its protection class.
    #[serde(default)]
    #[schema(required = false)]
    pub class: Option<NewClass>,
    /// The zones its maker declares it for; not known when left out.
    #[serde(default)]
    #[schema(max_items = 6, required = false)]
    pub declared_zones: Option<Vec<NewZone>>,
    /// Whether water jets clean the room.
    #[serde(default)]
    #[schema(required = false)]
    pub jets: Option<bool>,
    /// How it is connected.
    #[serde(default)]
    #[schema(required = false)]
    pub connection: Option<NewConnection>,
    /// Whether its circuit has a residual current device of at most 30 mA; not known when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub rcd_30ma: Option<bool>,
}

/// A part of the catalogue as a box with equipment in it.
type Fitted = (BoxSize, Vec<Equipment>);

impl NewItem {
    /// The thing in the domain's words, with every fault noted.
    pub(super) fn item(
        &self,
        edition: &Edition,
        scene: Option<&Scene>,
        fields: &mut Fields,
    ) -> Option<Item> {
        let (solid, equipment, hung) = if let Some(sku) = &self.sku {
            let (size, equipment) = self.fitted(edition, sku, fields)?;
            let spot = self.spot(fields)?;
            let solid = hang(scene?, spot, &size).map_err(|fault| fault.obstacle().1);
            (fields.keep("", FieldCode::Contradiction, solid)?, equipment, Some((spot, size)))
        } else {
            (self.solid(fields)?, vec![self.stated(fields)?], None)
        };
        if let Some(scene) = scene {
            for fault in &validity::solid_faults("", &solid, scene) {
                fields.push_fault(fault);
            }
        }
        Some(Item { id: self.id.clone(), solid, equipment, hung })
    }

    fn solid(&self, fields: &mut Fields) -> Option<Solid> {
        for (field, is_given) in [
            ("element", self.element.is_some()),
            ("wall", self.wall.is_some()),
            ("offset_mm", self.offset_mm.is_some()),
            ("height_mm", self.height_mm.is_some()),
        ] {
            if is_given {
                fields.push(field, FieldCode::Contradiction, format!("{field} goes with sku only"));
            }
        }
        match (self.point_mm, self.min_mm, self.max_mm) {
            (Some(point), None, None) => {
                let [along, across, up] = point.map(millimetres);
                Some(Solid::of(Point::new(along, across), up))
            }
            (None, Some(min), Some(max)) => solid_between(min, max, fields),
            (None, Some(_), None) => missing("max_mm", "a box needs its other corner", fields),
            (None, None, Some(_)) => missing("min_mm", "a box needs its other corner", fields),
            (None, None, None) => {
                missing("point_mm", "give point_mm, or min_mm and max_mm, or sku", fields)
            }
            (Some(_), _, _) => {
                let detail = "give point_mm, or min_mm and max_mm, or sku";
                fields.push("point_mm", FieldCode::Contradiction, detail);
                None
            }
        }
    }

    /// The thing as its question states it.
    fn stated(&self, fields: &mut Fields) -> Option<Equipment> {
        let Some(kind) = self.kind else {
            return missing("kind", "say what it is, or give a sku", fields);
        };
        let ip = self.ip.as_deref().map(IpCode::parse);
        let ip = match ip {
            Some(ip) => Some(fields.keep("ip", FieldCode::BadForm, ip)?),
            None => None,
        };
        let declared = self.declared_zones.as_ref();
        Some(Equipment {
            ip,
            class: self.class.map(ProtectionClass::from),
            declared_zones: declared.map(|zones| zones.iter().copied().map(Into::into).collect()),
            ..self.around(Equipment::unknown(kind.into()))
        })
    }

    /// The same with what only the place can say.
    fn around(&self, piece: Equipment) -> Equipment {
        Equipment {
            jets: self.jets.unwrap_or(piece.jets),
            connection: self.connection.map_or(piece.connection, Connection::from),
            residual: match self.rcd_30ma {
                Some(true) => Residual::Protected,
                Some(false) => Residual::Unprotected,
                None => Residual::NotStated,
            },
            ..piece
        }
    }

    fn spot(&self, fields: &mut Fields) -> Option<WallSpot> {
        for (field, is_given) in [
            ("wall", self.wall.is_some()),
            ("offset_mm", self.offset_mm.is_some()),
            ("height_mm", self.height_mm.is_some()),
        ] {
            if !is_given {
                fields.push(field, FieldCode::Missing, format!("a part on a wall needs {field}"));
            }
        }
        Some(WallSpot {
            wall_index: usize::try_from(self.wall?).ok()?,
            offset_mm: millimetres(self.offset_mm?),
            bottom_mm: millimetres(self.height_mm?),
        })
    }

    fn fitted(&self, edition: &Edition, sku: &str, fields: &mut Fields) -> Option<Fitted> {
        for (field, is_given) in [
            ("point_mm", self.point_mm.is_some()),
            ("min_mm", self.min_mm.is_some()),
            ("max_mm", self.max_mm.is_some()),
            ("kind", self.kind.is_some()),
            ("ip", self.ip.is_some()),
            ("class", self.class.is_some()),
            ("declared_zones", self.declared_zones.is_some()),
        ] {
            if is_given {
                let detail = format!("the part's own data say {field}");
                fields.push(field, FieldCode::Contradiction, detail);
            }
        }
        let element = match &self.element {
            Some(named) => Some(find_element(edition, named, fields)?),
            None => None,
        };
        let found = Sku::parse(sku).ok().and_then(|sku| edition.find(&sku));
        let Some(part) = found else {
            let detail = format!("there is no part {sku} in this catalogue");
            fields.push("sku", FieldCode::Unknown, detail);
            return None;
        };
        match part.kind {
            PartKind::Body => edition.bodies().get(part.index).map(|body| self.rail(body, element)),
            PartKind::Control if element.is_none() => {
                edition.controls().get(part.index).map(|control| self.plate(control))
            }
            PartKind::Control => {
                let detail = "an element goes into a body, not into a control";
                fields.push("element", FieldCode::Contradiction, detail);
                None
            }
            PartKind::Element | PartKind::Accessory => {
                let detail = "only bodies and controls are placed; an element goes with its body";
                fields.push("sku", FieldCode::Contradiction, detail);
                None
            }
        }
    }

    fn rail(&self, body: &Body, element: Option<&Element>) -> Fitted {
        let size = BoxSize {
            width_mm: body.size.width.value(),
            height_mm: body.size.height.value(),
            depth_mm: body.size.depth.value(),
            below_mm: element.map_or(0_i32, |element| element.shape.head_length.value()),
        };
        let piece = element.map_or_else(
            || Equipment::unknown(EquipmentKind::Rail),
            |element| equipment(element, false),
        );
        (size, vec![self.around(piece)])
    }

    fn plate(&self, control: &Control) -> Fitted {
        let piece = |role: Role| {
            let kind = match role {
                Role::ConnectionUnit => EquipmentKind::ConnectionUnit,
                Role::TimeSwitch => EquipmentKind::TimeSwitch,
                Role::WallThermostat => EquipmentKind::WallControl,
            };
            let connection = Connection::Permanent;
            let (ip, class) = (control.ip, control.class);
            self.around(Equipment { ip, class, connection, ..Equipment::unknown(kind) })
        };
        (UNIT_BOX, control.roles.iter().map(piece).collect())
    }
}

fn missing<T>(field: &str, detail: &str, fields: &mut Fields) -> Option<T> {
    fields.push(field, FieldCode::Missing, detail);
    None
}

/// A box between two corners; a lower corner that is above the other is faulted by the drawing's checks.
fn solid_between(min: [f64; 3], max: [f64; 3], fields: &mut Fields) -> Option<Solid> {
    let ([x0, y0, low_mm], [x1, y1, high_mm]) = (min.map(millimetres), max.map(millimetres));
    if x1 < x0 || y1 < y0 {
        let detail = "min_mm has the smaller figures and max_mm the larger";
        fields.push("max_mm", FieldCode::Contradiction, detail);
        return None;
    }
    let plan = Rect::new(Point::new(x0, y0), Point::new(x1, y1));
    Some(Solid { plan, low_mm, high_mm })
}

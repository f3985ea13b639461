//! The room as it comes over the wire, and its way into the domain.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::heat::Allowances;
use crate::domain::heat::Bridges;
use crate::domain::heat::LinearBridge;
use crate::domain::room::Room;
use crate::domain::room::RoomUse;
use crate::domain::room::boundary::Beyond;
use crate::domain::room::boundary::Boundary;
use crate::domain::room::boundary::BoundaryKind;
use crate::domain::room::boundary::Transmittance;
use crate::domain::room::construction::find_construction;
use crate::domain::room::indoor::indoor_design;
use crate::domain::room::layers::Films;
use crate::domain::room::layers::Layer;
use crate::domain::room::layers::transmittance_of_layers;
use crate::domain::room::ventilation::AirExchange;
use crate::domain::room::ventilation::AirHeat;
use crate::domain::room::ventilation::Ventilation;
use crate::domain::units;
use crate::domain::units::Celsius;
use crate::domain::units::Millimetres;

use super::fields::Fields;
use super::problem::FieldCode;
use super::schema;

/// A room.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRoom {
    /// What it is for; a bathroom when left out.
    #[serde(default)]
    pub r#use: Option<NewRoomUse>,
    /// Inner length.
    #[schema(schema_with = schema::room_length_mm)]
    pub length_mm: f64,
    /// Inner width.
    #[schema(schema_with = schema::room_width_mm)]
    pub width_mm: f64,
    /// Inner height; needed with boundaries.
    #[serde(default)]
    #[schema(schema_with = schema::optional::room_height_mm, required = false)]
    pub height_mm: Option<f64>,
    /// Indoor design temperature; by use and market when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::indoor_c, required = false)]
    pub indoor_c: Option<f64>,
    /// Outdoor design temperature; needed with boundaries.
    #[serde(default)]
    #[schema(schema_with = schema::optional::outdoor_c, required = false)]
    pub outdoor_c: Option<f64>,
    /// Mean outdoor temperature of the year, which the ground follows.
    #[serde(default)]
    #[schema(schema_with = schema::optional::annual_mean_c, required = false)]
    pub annual_mean_c: Option<f64>,
    /// Air changes an hour. Give these or an extract flow.
    #[serde(default)]
    #[schema(schema_with = schema::optional::air_changes, required = false)]
    pub air_changes_per_hour: Option<f64>,
    /// Extract flow of a fan.
    #[serde(default)]
    #[schema(schema_with = schema::optional::extract_l_s, required = false)]
    pub extract_l_s: Option<f64>,
    /// Efficiency of a heat recovery unit.
    #[serde(default)]
    #[schema(schema_with = schema::optional::heat_recovery, required = false)]
    pub heat_recovery: Option<f64>,
    /// Heat that air carries: 0.33 in British practice, 0.34 in EN 12831, 0.3333 exactly for 1.2 kg/m3 and 1000 J/kgK. 0.33 when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::air_heat, required = false)]
    pub air_heat_wh_m3k: Option<f64>,
    /// Surfaces of the room; areas are net. Without any, only the quick rule can be given.
    #[serde(default)]
    #[schema(max_items = 64, required = false)]
    pub boundaries: Vec<NewBoundary>,
    /// How thermal bridges are counted; not at all when left out.
    #[serde(default)]
    pub bridges: Option<NewBridges>,
    /// Allowance for warming up, on the floor area.
    #[serde(default)]
    #[schema(schema_with = schema::optional::reheat_w_m2, required = false)]
    pub reheat_w_m2: Option<f64>,
}

macro_rules! wire_words {
    ($(#[$doc:meta])* $name:ident => $domain:ident { $($variant:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum $name {
            $(#[doc = concat!("`", stringify!($variant), "`.")] $variant,)+
        }

        impl From<$name> for $domain {
            fn from(word: $name) -> Self {
                match word { $($name::$variant => Self::$variant,)+ }
            }
        }
    };
}

wire_words! {
    /// What a room is for.
    NewRoomUse => RoomUse { Bathroom, Toilet, Kitchen, Utility, Bedroom, LivingRoom, Hall }
}

wire_words! {
    /// What a surface is.
    NewBoundaryKind => BoundaryKind {
        ExternalWall, Window, Door, Roof, GroundFloor, InternalWall, InternalFloor,
        InternalCeiling, PartyWall, Unheated,
    }
}

/// A surface of a room. Its U-value is given, built from layers, or chosen from the construction table.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewBoundary {
    /// What it is.
    pub kind: NewBoundaryKind,
    /// Net area.
    #[schema(schema_with = schema::boundary_area_m2)]
    pub area_m2: f64,
    /// Thermal transmittance.
    #[serde(default)]
    #[schema(schema_with = schema::optional::boundary_u, required = false)]
    pub u_w_m2k: Option<f64>,
    /// A row of the construction table, such as `scotland-rdsap/cavity/E`.
    #[serde(default)]
    #[schema(max_length = 80)]
    pub construction: Option<String>,
    /// Layers from inside to outside.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub layers: Option<Vec<NewLayer>>,
    /// Temperature beyond; outside when left out, for an internal surface as warm as the room.
    #[serde(default)]
    #[schema(schema_with = schema::optional::beyond_c, required = false)]
    pub beyond_c: Option<f64>,
    /// Unheated space: share of the difference to outside that stands across the surface, 0 to 1.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 1)]
    pub unheated_factor: Option<f64>,
}

/// A layer: thickness and conductivity, or a resistance.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewLayer {
    /// Thickness.
    #[serde(default)]
    #[schema(schema_with = schema::optional::layer_thickness_mm, required = false)]
    pub thickness_mm: Option<f64>,
    /// Conductivity.
    #[serde(default)]
    #[schema(schema_with = schema::optional::layer_conductivity, required = false)]
    pub conductivity_w_mk: Option<f64>,
    /// Resistance of an air gap or a bridged layer.
    #[serde(default)]
    #[schema(schema_with = schema::optional::layer_resistance, required = false)]
    pub resistance_m2k_w: Option<f64>,
}

/// How thermal bridges are counted: exactly one of the three.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewBridges {
    /// Share of the exposed area (British and Irish methods).
    #[serde(default)]
    #[schema(schema_with = schema::optional::bridge_share, required = false)]
    pub y_w_m2k: Option<f64>,
    /// Supplement to every U-value to the open air (EN 12831).
    #[serde(default)]
    #[schema(schema_with = schema::optional::bridge_added_u, required = false)]
    pub delta_u_w_m2k: Option<f64>,
    /// Each bridge by its length.
    #[serde(default)]
    #[schema(max_items = 64)]
    pub lengths: Option<Vec<NewLinearBridge>>,
}

/// One bridge along an edge.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewLinearBridge {
    /// Which edge.
    #[schema(max_length = 80)]
    pub what: String,
    /// Linear transmittance.
    #[schema(schema_with = schema::bridge_psi)]
    pub psi_w_mk: f64,
    /// Length.
    #[schema(schema_with = schema::bridge_length_m)]
    pub length_m: f64,
}

impl NewRoom {
    /// Floor area, m2.
    pub fn floor_m2(&self) -> f64 {
        self.length_mm * self.width_mm / 1_000_000.0_f64
    }

    /// Indoor temperature, stated or by use and market.
    pub fn indoor(&self, market: &str) -> Option<Celsius> {
        let room_use = self.r#use.map_or(RoomUse::Bathroom, Into::into);
        let designed = || indoor_design(room_use, market).map(|design| design.low);
        self.indoor_c.map(Celsius::new).or_else(designed)
    }

    /// The domain's room; what is wrong with it is noted.
    pub fn room(&self, market: &str, fields: &mut Fields) -> (Room, Allowances) {
        let missing = |noted: &mut Fields, field: &str| {
            noted.push(field, FieldCode::Missing, format!("{field} is needed with boundaries"));
        };
        for (field, value) in [("height_mm", self.height_mm), ("outdoor_c", self.outdoor_c)] {
            if value.is_none() {
                missing(fields, field);
            }
        }
        let indoor = self.indoor(market);
        if indoor.is_none() {
            missing(fields, "indoor_c");
        }
        let room = Room {
            room_use: self.r#use.map_or(RoomUse::Bathroom, Into::into),
            length: whole(self.length_mm),
            width: whole(self.width_mm),
            height: whole(self.height_mm.unwrap_or(units::ROOM_HEIGHT_MM.minimum)),
            indoor: indoor.unwrap_or_else(|| Celsius::new(units::INDOOR_C.maximum)),
            outdoor: Celsius::new(self.outdoor_c.unwrap_or(units::OUTDOOR_C.minimum)),
            annual_mean: self.annual_mean_c.map(Celsius::new),
            ventilation: self.ventilation(fields),
            boundaries: fields
                .each("boundaries", &self.boundaries, |at, boundary| boundary.boundary(at)),
        };
        let bridges = self.bridges.as_ref();
        let bridges = bridges.map_or(Bridges::Uncounted, |bridges| {
            fields.within("bridges", |at| bridges.bridges(at))
        });
        (room, Allowances { bridges, reheat_w_m2: self.reheat_w_m2.unwrap_or_default() })
    }

    fn ventilation(&self, fields: &mut Fields) -> Ventilation {
        let exchange = match (self.air_changes_per_hour, self.extract_l_s) {
            (Some(changes), None) => AirExchange::ChangesPerHour(changes),
            (None, Some(litres)) => AirExchange::ExtractLitresPerSecond(litres),
            (Some(changes), Some(_)) => {
                let detail = "give air changes or an extract flow, not both";
                fields.push("extract_l_s", FieldCode::Contradiction, detail);
                AirExchange::ChangesPerHour(changes)
            }
            (None, None) => {
                let detail = "air changes or an extract flow are needed with boundaries";
                fields.push("air_changes_per_hour", FieldCode::Missing, detail);
                AirExchange::ChangesPerHour(0.0)
            }
        };
        Ventilation {
            exchange,
            recovery: self.heat_recovery.unwrap_or_default(),
            air_heat: self.air_heat_wh_m3k.map_or(AirHeat::BRITISH, AirHeat::new),
        }
    }
}

impl NewBoundary {
    fn boundary(&self, fields: &mut Fields) -> Boundary {
        let kind = self.kind.into();
        let beyond = match (self.beyond_c, self.unheated_factor) {
            (Some(_), Some(_)) => {
                let detail = "give the temperature beyond or the unheated factor, not both";
                fields.push("unheated_factor", FieldCode::Contradiction, detail);
                None
            }
            (Some(beyond), None) => Some(Beyond::At(Celsius::new(beyond))),
            (None, Some(factor)) => Some(Beyond::Unheated { factor }),
            (None, None) => None,
        };
        Boundary {
            kind,
            area_m2: self.area_m2,
            transmittance: self.transmittance(kind, fields),
            beyond,
        }
    }

    fn transmittance(&self, kind: BoundaryKind, fields: &mut Fields) -> Transmittance {
        match (self.u_w_m2k, &self.construction, &self.layers) {
            (Some(w_m2k), None, None) => stated(w_m2k),
            (None, Some(id), None) => find_construction(id).map_or_else(
                || {
                    let detail = format!("the construction table has no row {id:?}");
                    fields.push("construction", FieldCode::Unknown, detail);
                    stated(units::BOUNDARY_U.maximum)
                },
                |row| row.transmittance,
            ),
            (None, None, Some(layers)) => from_layers(kind, layers, fields),
            (Some(_), Some(_), _) | (Some(_), _, Some(_)) | (_, Some(_), Some(_)) => {
                let detail = "give one of u_w_m2k, construction and layers, not several";
                fields.push("", FieldCode::Contradiction, detail);
                stated(units::BOUNDARY_U.maximum)
            }
            (None, None, None) => {
                let detail = "one of u_w_m2k, construction and layers is needed";
                fields.push("u_w_m2k", FieldCode::Missing, detail);
                stated(units::BOUNDARY_U.maximum)
            }
        }
    }
}

fn stated(w_m2k: f64) -> Transmittance {
    Transmittance { w_m2k, source: Source::new("stated in the request", Evidence::Fallback) }
}

fn from_layers(kind: BoundaryKind, layers: &[NewLayer], fields: &mut Fields) -> Transmittance {
    let layers: Vec<Layer> = fields.each("layers", layers, |at, layer| layer.layer(at));
    match transmittance_of_layers(Films::of(kind), &layers) {
        Ok(transmittance) => transmittance,
        Err(faults) => {
            for fault in faults {
                fields.push_fault(&fault);
            }
            stated(units::BOUNDARY_U.maximum)
        }
    }
}

impl NewLayer {
    fn layer(&self, fields: &mut Fields) -> Layer {
        match (self.thickness_mm, self.conductivity_w_mk, self.resistance_m2k_w) {
            (Some(thickness_mm), Some(conductivity_w_mk), None) => {
                Layer::Solid { thickness_mm, conductivity_w_mk }
            }
            (None, None, Some(resistance_m2k_w)) => Layer::Resistance { resistance_m2k_w },
            (_, _, resistance) => {
                let detail =
                    "a layer has thickness_mm and conductivity_w_mk, or resistance_m2k_w alone";
                fields.push("", FieldCode::Contradiction, detail);
                Layer::Resistance { resistance_m2k_w: resistance.unwrap_or(1.0) }
            }
        }
    }
}

impl NewBridges {
    fn bridges(&self, fields: &mut Fields) -> Bridges {
        match (self.y_w_m2k, self.delta_u_w_m2k, &self.lengths) {
            (Some(y_w_m2k), None, None) => Bridges::Share { y_w_m2k },
            (None, Some(delta_u_w_m2k), None) => Bridges::AddedTransmittance { delta_u_w_m2k },
            (None, None, Some(lengths)) => Bridges::Lengths(
                lengths
                    .iter()
                    .map(|bridge| LinearBridge {
                        what: bridge.what.clone(),
                        psi_w_mk: bridge.psi_w_mk,
                        length_m: bridge.length_m,
                    })
                    .collect(),
            ),
            (_, _, _) => {
                let detail = "give exactly one of y_w_m2k, delta_u_w_m2k and lengths";
                fields.push("", FieldCode::Contradiction, detail);
                Bridges::Uncounted
            }
        }
    }
}

/// Whole millimetres of a length whose schema says integer.
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "checked against its bounds before, and the cast saturates"
)]
pub(super) fn whole(millimetres: f64) -> Millimetres {
    Millimetres::new(libm::round(millimetres) as i32)
}

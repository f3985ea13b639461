//! Where a rail is to hang, as it comes over the wire. Absent here: whether it may hang there.

use std::rc::Rc;

use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Market;
use crate::domain::catalogue::Side;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Planned;
use crate::domain::compatibility::PlannedPlace;
use crate::domain::compatibility::PlannedSpot;
use crate::domain::mounting::WallType;
use crate::domain::positions::Survey;
use crate::domain::zones::Zone;
use crate::domain::zones::rules::WiringRules;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::room::whole;
use crate::http::scene::NewScene;
use crate::http::scene::NewWallPoint;
use crate::http::schema;

/// Where the rail is to hang.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewPlace {
    /// Part of the market with rules of its own.
    #[schema(max_length = 40)]
    pub region: Option<String>,
    /// Free width of wall.
    #[schema(schema_with = schema::optional::wall_width_mm, required = false)]
    pub wall_width_mm: Option<f64>,
    /// Lower edge of the free wall above the floor.
    #[schema(schema_with = schema::optional::wall_bottom_mm, required = false)]
    pub wall_bottom_mm: Option<f64>,
    /// Free height of wall above that edge.
    #[schema(schema_with = schema::optional::wall_height_mm, required = false)]
    pub wall_height_mm: Option<f64>,
    /// Zone of the position.
    pub zone: Option<NewZone>,
    /// Whether water jets clean the room.
    pub water_jets: bool,
    /// Route of the flex to its connection point.
    #[schema(schema_with = schema::optional::connection_distance_mm, required = false)]
    pub connection_distance_mm: Option<f64>,
    /// Side on which the element goes in.
    pub side: Option<NewSide>,
    /// What the wall is made of; decides what its fixings carry.
    pub wall_type: Option<NewWallType>,
    /// The drawn room, which then says zone and route of the flex.
    pub plan: Option<NewPlan>,
}

/// A drawn room in which the rail is to hang.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPlan {
    /// The room.
    pub scene: NewScene,
    /// Where the lower edge of the body begins; the best place for each rail when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub position: Option<NewPosition>,
    /// The connection point, if there is one already; else one is looked for.
    #[serde(default)]
    #[schema(required = false)]
    pub connection: Option<NewWallPoint>,
}

/// A place on a wall, or `best`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(untagged)]
pub enum NewPosition {
    /// The best place for each rail.
    Best(NewBestPlace),
    /// This place.
    At(NewWallPoint),
}

/// The best place for each rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewBestPlace {
    /// Outside the zones first, then the mildest zone that is allowed.
    Best,
}

/// What a wall is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewWallType {
    /// Brick, block or concrete, or fixings through to it.
    Masonry,
    /// Plasterboard with the fixings in studs, noggins or a plywood layer.
    BoardWithBacking,
    /// Plasterboard alone.
    Board,
    /// Gypsum-fibre board alone.
    FibreBoard,
    /// Nobody knows.
    Unknown,
}

/// A zone of a room with a bath or shower, by the market's wiring rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
pub enum NewZone {
    /// Inside the bath or tray.
    #[serde(rename = "0")]
    Zero,
    /// Above it.
    #[serde(rename = "1")]
    One,
    /// Round zone 1.
    #[serde(rename = "2")]
    Two,
    /// Round zone 2, where a country has it.
    #[serde(rename = "3")]
    Three,
    /// Outside every zone.
    #[serde(rename = "outside")]
    Outside,
    /// A room without bath or shower.
    #[serde(rename = "not_applicable")]
    NotApplicable,
}

/// Side of the connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewSide {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Either will do.
    Either,
}

impl NewPlace {
    /// The place in the domain's words; a region that the market does not have is noted.
    pub fn place(&self, market: &Market, fields: &mut Fields) -> Place {
        let region = self.region.as_deref();
        let is_known = |name: &str| market.regions.iter().any(|known| **known == *name);
        if region.is_some_and(|name| !is_known(name)) {
            let regions: Vec<&str> = market.regions.iter().map(AsRef::as_ref).collect();
            let regions = regions.join(", ");
            let detail =
                format!("the market {} has no such region; it has: {regions}", market.code);
            fields.within("place", |at| at.push("region", FieldCode::Unknown, detail));
        }
        Place {
            region: region.map(Into::into),
            wall_width: self.wall_width_mm.map(whole),
            wall_bottom: self.wall_bottom_mm.map(whole),
            wall_height: self.wall_height_mm.map(whole),
            zone: self.zone.map(Into::into),
            water_jets: self.water_jets,
            connection_distance: self.connection_distance_mm.map(whole),
            side: self.side.map_or(Side::Either, Into::into),
            wall_type: self.wall_type.map(Into::into),
        }
    }

    /// The drawn room; what it says itself may not be said beside it.
    pub fn planned<'a>(&self, rules: &'a WiringRules, fields: &mut Fields) -> Option<Planned<'a>> {
        let plan = self.plan.as_ref()?;
        fields.within("place", |at| {
            let said = [
                ("zone", self.zone.is_some()),
                ("connection_distance_mm", self.connection_distance_mm.is_some()),
            ];
            for (field, _) in said.into_iter().filter(|(_, is_given)| *is_given) {
                at.push(field, FieldCode::Contradiction, format!("the plan says {field}"));
            }
            at.within("plan", |at| plan.planned(rules, at))
        })
    }
}

impl From<NewZone> for Zone {
    fn from(zone: NewZone) -> Self {
        match zone {
            NewZone::Zero => Self::Zero,
            NewZone::One => Self::One,
            NewZone::Two => Self::Two,
            NewZone::Three => Self::Three,
            NewZone::Outside => Self::Outside,
            NewZone::NotApplicable => Self::NotApplicable,
        }
    }
}

impl From<NewSide> for Side {
    fn from(side: NewSide) -> Self {
        match side {
            NewSide::Left => Self::Left,
            NewSide::Right => Self::Right,
            NewSide::Either => Self::Either,
        }
    }
}

impl NewPlan {
    fn planned<'a>(&self, rules: &'a WiringRules, fields: &mut Fields) -> Option<Planned<'a>> {
        let scene = fields.within("scene", |at| self.scene.scene(at));
        let connection = fields.within("connection", |at| {
            self.connection.as_ref().and_then(|point| point.spot(scene.as_ref(), at))
        });
        let spot = match &self.position {
            None | Some(NewPosition::Best(_)) => PlannedSpot::Best,
            Some(NewPosition::At(point)) => {
                let spot = fields.within("position", |at| point.spot(scene.as_ref(), at));
                PlannedSpot::At(spot?)
            }
        };
        let survey = Survey::new(&scene?, rules);
        Some((Rc::new(PlannedPlace::new(survey, connection)), spot))
    }
}

impl From<NewWallType> for WallType {
    fn from(wall: NewWallType) -> Self {
        match wall {
            NewWallType::Masonry => Self::Masonry,
            NewWallType::BoardWithBacking => Self::BoardWithBacking,
            NewWallType::Board => Self::Board,
            NewWallType::FibreBoard => Self::FibreBoard,
            NewWallType::Unknown => Self::Unknown,
        }
    }
}

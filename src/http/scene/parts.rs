//! What stands in a drawn room, as it comes over the wire.

use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use super::millimetres;
use super::point_of;
use super::rect_of;
use super::schemas;
use crate::domain::zones::scene::Basin;
use crate::domain::zones::scene::Fixture;
use crate::domain::zones::scene::FixtureKind;
use crate::domain::zones::scene::Head;
use crate::domain::zones::scene::Opening;
use crate::domain::zones::scene::OpeningKind;
use crate::domain::zones::scene::Outlet;
use crate::domain::zones::scene::Partition;
use crate::domain::zones::scene::PartitionKind;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::UnderAccess;
use crate::domain::zones::scene::Washbasin;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::schema;

/// A bath, tray, tray-less shower or washbasin.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewFixture {
    /// Its name in this drawing; outlets refer to it.
    #[schema(min_length = 1, max_length = 60, example = "bath")]
    pub id: String,
    /// What it is.
    pub kind: NewFixtureKind,
    /// Its outline `[x0, y0, x1, y1]`; needed but for a tray-less shower, which is where its outlets are.
    #[serde(default)]
    #[schema(schema_with = schemas::optional_rect_mm, required = false)]
    pub rect_mm: Option<[f64; 4]>,
    /// Bath or tray: height of its bottom above the finished floor.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub bottom_mm: Option<f64>,
    /// Height of its rim; needed for a bath or tray.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub rim_mm: Option<f64>,
    /// What opens the space below a bath or tray; a hand, which is stricter, when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub under_access: Option<NewUnderAccess>,
    /// Washbasin: its volume; large, which is stricter, when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::basin_litres, required = false)]
    pub litres: Option<f64>,
    /// Washbasin: whether its tap is fixed, not on a hose; on a hose, which is stricter, when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub outlet_fixed: Option<bool>,
}

/// What a fixture is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewFixtureKind {
    /// A bath.
    Bath,
    /// A shower tray.
    Tray,
    /// A shower without a tray.
    Trayless,
    /// A washbasin.
    Washbasin,
}

/// What opens the space below a bath or tray.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewUnderAccess {
    /// Only a tool.
    Tool,
    /// A hand.
    NoTool,
}

/// A water outlet.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewOutlet {
    /// Its centre `[x, y]`.
    #[schema(schema_with = schemas::plan_point_mm)]
    pub at_mm: [f64; 2],
    /// Its height.
    #[schema(schema_with = schema::plan_height_mm)]
    pub z_mm: f64,
    /// The fixture it serves, by its `id`.
    #[schema(max_length = 60, example = "bath")]
    pub serves: String,
    /// Whether it is fixed to wall or ceiling; yes, which is stricter, when left out. A hose moves no boundary.
    #[serde(default)]
    #[schema(required = false)]
    pub fixed: Option<bool>,
    /// What its head is; unknown, for which the stricter figures hold, when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub head: Option<NewHead>,
}

/// The head of an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewHead {
    /// Does not come off.
    Fixed,
    /// Comes off.
    Demountable,
}

/// A partition, straight in plan. Doors, hinged screens and curtains never limit a zone.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPartition {
    /// One end `[x, y]`.
    #[schema(schema_with = schemas::plan_point_mm)]
    pub a_mm: [f64; 2],
    /// The other end.
    #[schema(schema_with = schemas::plan_point_mm)]
    pub b_mm: [f64; 2],
    /// Height of its upper edge.
    #[schema(schema_with = schema::plan_height_mm)]
    pub top_mm: f64,
    /// What it is: `glass_panel`, `wall`, `half_wall`, `hinged_door`, `sliding_door` or `curtain`.
    #[schema(schema_with = schemas::partition_kind)]
    pub kind: String,
    /// Whether the first end is at a wall or another partition; checked when said.
    #[serde(default)]
    #[schema(required = false)]
    pub a_at_wall: Option<bool>,
    /// Whether the other end is.
    #[serde(default)]
    #[schema(required = false)]
    pub b_at_wall: Option<bool>,
    /// Whether it is fixed for good; not, which is stricter, when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub fixed: bool,
    /// Whether it is joined to the floor; not, which is stricter, when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub floor_joined: bool,
    /// Its thickness. Left out of the path on purpose: the path comes out shorter, so the zone stricter.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub thickness_mm: Option<f64>,
}

/// A door or window in a wall of the room.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewOpening {
    /// What it is.
    pub kind: NewOpeningKind,
    /// One jamb `[x, y]`, on a wall.
    #[schema(schema_with = schemas::plan_point_mm)]
    pub a_mm: [f64; 2],
    /// The other jamb, on the same wall.
    #[schema(schema_with = schemas::plan_point_mm)]
    pub b_mm: [f64; 2],
    /// Its lower edge; the floor when left out.
    #[serde(default)]
    #[schema(schema_with = schema::optional::plan_height_mm, required = false)]
    pub low_mm: Option<f64>,
    /// Its upper edge.
    #[schema(schema_with = schema::plan_height_mm)]
    pub high_mm: f64,
    /// The floor that its leaf sweeps `[x0, y0, x1, y1]`.
    #[serde(default)]
    #[schema(schema_with = schemas::optional_rect_mm, required = false)]
    pub swept_mm: Option<[f64; 4]>,
}

/// What an opening is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewOpeningKind {
    /// A door.
    Door,
    /// A window.
    Window,
}

impl NewFixture {
    pub(super) fn fixture(&self, fields: &mut Fields) -> Fixture {
        let kind = match self.kind {
            NewFixtureKind::Bath => FixtureKind::Bath(self.basin(fields)),
            NewFixtureKind::Tray => FixtureKind::Tray(self.basin(fields)),
            NewFixtureKind::Washbasin => FixtureKind::Washbasin(self.washbasin(fields)),
            NewFixtureKind::Trayless => {
                if self.rect_mm.is_some() {
                    let detail =
                        "a tray-less shower has no outline; its place is that of its fixed outlets";
                    fields.push("rect_mm", FieldCode::Contradiction, detail);
                }
                FixtureKind::Trayless
            }
        };
        Fixture { id: self.id.clone(), kind }
    }

    fn basin(&self, fields: &mut Fields) -> Basin {
        for (field, figure) in [("bottom_mm", self.bottom_mm), ("rim_mm", self.rim_mm)] {
            if figure.is_none() {
                let detail = format!("a bath or tray needs {field}");
                fields.push(field, FieldCode::Missing, detail);
            }
        }
        Basin {
            outline: self.outline(fields),
            bottom_mm: self.bottom_mm.map(millimetres).unwrap_or_default(),
            rim_mm: self.rim_mm.map(millimetres).unwrap_or_default(),
            under: match self.under_access {
                Some(NewUnderAccess::Tool) => UnderAccess::Tool,
                Some(NewUnderAccess::NoTool) | None => UnderAccess::NoTool,
            },
        }
    }

    fn washbasin(&self, fields: &mut Fields) -> Washbasin {
        Washbasin {
            outline: self.outline(fields),
            // Rounded up: a basin just above the small size is large.
            litres: self.litres.map(|litres| millimetres(libm::ceil(litres))),
            rim_mm: self.rim_mm.map(millimetres),
            is_outlet_fixed: self.outlet_fixed.unwrap_or(false),
        }
    }

    fn outline(&self, fields: &mut Fields) -> Rect {
        if self.rect_mm.is_none() {
            fields.push("rect_mm", FieldCode::Missing, "its outline is needed");
        }
        self.rect_mm.as_ref().map_or_else(|| Rect::of(Point::new(0, 0)), rect_of)
    }
}

impl NewOutlet {
    pub(super) fn outlet(&self) -> Outlet {
        Outlet {
            at: point_of(&self.at_mm),
            z_mm: millimetres(self.z_mm),
            serves: self.serves.clone(),
            is_fixed: self.fixed.unwrap_or(true),
            head: match self.head {
                Some(NewHead::Fixed) => Head::Fixed,
                Some(NewHead::Demountable) => Head::Demountable,
                None => Head::NotStated,
            },
        }
    }
}

impl NewPartition {
    pub(super) fn partition(&self, fields: &mut Fields) -> Partition {
        let kind = PartitionKind::parse(&self.kind.replace(' ', "_"));
        if kind.is_none() {
            let detail = format!("{:?} is no kind of partition", self.kind);
            fields.push("kind", FieldCode::NotOneOf, detail);
        }
        Partition {
            a: point_of(&self.a_mm),
            b: point_of(&self.b_mm),
            ends_joined: [self.a_at_wall.unwrap_or(false), self.b_at_wall.unwrap_or(false)],
            top_mm: millimetres(self.top_mm),
            is_fixed: self.fixed,
            is_floor_joined: self.floor_joined,
            kind: kind.unwrap_or(PartitionKind::Curtain),
        }
    }
}

impl NewOpening {
    pub(super) fn opening(&self) -> Opening {
        Opening {
            kind: match self.kind {
                NewOpeningKind::Door => OpeningKind::Door,
                NewOpeningKind::Window => OpeningKind::Window,
            },
            a: point_of(&self.a_mm),
            b: point_of(&self.b_mm),
            low_mm: self.low_mm.map(millimetres).unwrap_or_default(),
            high_mm: millimetres(self.high_mm),
            swept: self.swept_mm.as_ref().map(rect_of),
        }
    }
}

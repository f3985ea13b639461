//! A drawn room as it comes over the wire, and its way into the domain, with every fault of the drawing at its field.
//!
//! Figures are whole millimetres, heights from the finished floor. Absent here: what hangs in the room (`placements`).

mod schemas;
mod parts;

pub use parts::NewFixture;
pub use parts::NewFixtureKind;
pub use parts::NewHead;
pub use parts::NewOpening;
pub use parts::NewOpeningKind;
pub use parts::NewOutlet;
pub use parts::NewPartition;
pub use parts::NewUnderAccess;

use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::fault::Fault;
use crate::domain::positions::BoxSize;
use crate::domain::positions::HangFault;
use crate::domain::positions::WallSpot;
use crate::domain::positions::hang;
use crate::domain::zones::plane::doubled_area;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::validity;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::room::whole;
use crate::http::schema;

pub(super) use schemas::optional_space_point_mm;

/// A room with its water, partitions, doors and windows, as drawn.
///
/// Walls are counted from 0, counter-clockwise (first axis to the right, second axis up) from the first corner, whichever
/// way round the corners are listed. A rectangle begins at its corner with the smaller figures, so wall 0 is its lower side.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewScene {
    /// Your key of the drawing; printed on it, decides nothing.
    #[serde(default)]
    #[schema(max_length = 60, required = false)]
    pub id: Option<String>,
    /// Its name; printed on it, decides nothing.
    #[serde(default)]
    #[schema(max_length = 120, required = false)]
    pub name: Option<String>,
    /// A rectangular room: two opposite corners `[x0, y0, x1, y1]`. Give this or `corners_mm`.
    #[serde(default)]
    #[schema(schema_with = schemas::optional_rect_mm, required = false)]
    pub room_mm: Option<[f64; 4]>,
    /// Any other room: its corners in order, the last joins the first.
    #[serde(default)]
    #[schema(schema_with = schemas::optional_corners_mm, required = false)]
    pub corners_mm: Option<Vec<[f64; 2]>>,
    /// Height of the ceiling.
    #[schema(schema_with = schema::room_height_mm)]
    pub ceiling_mm: f64,
    /// Baths, trays, tray-less showers, washbasins. Without a bath or shower the answer is `not_applicable`.
    #[serde(default)]
    #[schema(max_items = 16, required = false)]
    pub fixtures: Vec<NewFixture>,
    /// Water outlets. A tray-less shower is measured from its fixed outlet.
    #[serde(default)]
    #[schema(max_items = 32, required = false)]
    pub outlets: Vec<NewOutlet>,
    /// Partitions, doors of enclosures, curtains.
    #[serde(default)]
    #[schema(max_items = 24, required = false)]
    pub partitions: Vec<NewPartition>,
    /// Doors and windows in the walls: nothing is hung on them.
    #[serde(default)]
    #[schema(max_items = 24, required = false)]
    pub openings: Vec<NewOpening>,
}

impl NewScene {
    /// The drawing in the domain's words, or nothing when a fault was noted.
    pub fn scene(&self, fields: &mut Fields) -> Option<Scene> {
        let mut own = Fields::default();
        let scene = Scene {
            corners: self.corners(&mut own),
            ceiling_mm: millimetres(self.ceiling_mm),
            fixtures: own.each("fixtures", &self.fixtures, |at, each| each.fixture(at)),
            outlets: self.outlets.iter().map(NewOutlet::outlet).collect(),
            partitions: own.each("partitions", &self.partitions, |at, each| each.partition(at)),
            openings: self.openings.iter().map(NewOpening::opening).collect(),
        };
        // Where a field is missing a stand-in was taken, and the drawing would be faulted for that.
        if own.is_clean() {
            let faults = validity::faults(&scene);
            for fault in &faults {
                own.push_fault(&self.in_request(fault));
            }
        }
        let is_clean = own.is_clean();
        if let Err(problem) = own.finish(()) {
            problem.errors().iter().cloned().for_each(|error| fields.add(error));
        }
        is_clean.then_some(scene)
    }

    /// Corners counter-clockwise, beginning with the first that was listed.
    fn corners(&self, fields: &mut Fields) -> Vec<Point> {
        let mut corners: Vec<Point> = match (&self.room_mm, &self.corners_mm) {
            (Some(rect), None) => rect_of(rect).corners().to_vec(),
            (None, Some(corners)) => corners.iter().map(point_of).collect(),
            (None, None) => {
                fields.push("room_mm", FieldCode::Missing, "give room_mm or corners_mm");
                Vec::new()
            }
            (Some(_), Some(_)) => {
                let detail = "give room_mm or corners_mm, not both";
                fields.push("corners_mm", FieldCode::Contradiction, detail);
                Vec::new()
            }
        };
        let is_safe = validity::faults(&Scene { corners: corners.clone(), ..empty() }).is_empty();
        if is_safe && doubled_area(&corners) < 0 {
            corners.reverse();
            corners.rotate_right(1);
        }
        corners
    }

    /// The fault at the field of the request that states it.
    fn in_request(&self, fault: &Fault) -> Fault {
        let outline = if self.corners_mm.is_some() { "/corners_mm" } else { "/room_mm" };
        let pointer = match fault.pointer.as_str() {
            "/room" => outline.to_owned(),
            "/height_mm" => "/ceiling_mm".to_owned(),
            other => other.to_owned(),
        };
        Fault { pointer, ..fault.clone() }
    }
}

/// A room of nothing but its corners.
const fn empty() -> Scene {
    Scene {
        corners: Vec::new(),
        ceiling_mm: 2_400,
        fixtures: Vec::new(),
        outlets: Vec::new(),
        partitions: Vec::new(),
        openings: Vec::new(),
    }
}

/// Farther than any figure that a drawing may state, and so near that sums of a few figures cannot overflow.
const BEYOND_MM: f64 = 1_000_000.0;

/// Whole millimetres of a figure whose schema says integer; a figure out of its bounds is refused by the schema and
/// stands in here at a distance that the checks of the drawing can still reckon with.
pub(super) fn millimetres(figure: f64) -> i32 {
    whole(figure.clamp(-BEYOND_MM, BEYOND_MM)).value()
}

fn point_of([x, y]: &[f64; 2]) -> Point {
    Point::new(millimetres(*x), millimetres(*y))
}

fn rect_of([x0, y0, x1, y1]: &[f64; 4]) -> Rect {
    Rect::new(point_of(&[*x0, *y0]), point_of(&[*x1, *y1]))
}

impl NewScene {
    /// What stands above the drawing.
    pub(super) fn title(&self) -> String {
        let named = [self.id.as_deref(), self.name.as_deref()].into_iter().flatten();
        let title = named.collect::<Vec<_>>().join(": ");
        if title.is_empty() { "Bathroom".to_owned() } else { title }
    }
}

/// A point on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewWallPoint {
    /// The wall, counted from 0 counter-clockwise from the first corner.
    #[schema(minimum = 0, maximum = 31)]
    pub wall: u32,
    /// From the start of the wall, which is on the right for somebody who looks at the wall from the room.
    #[schema(schema_with = schema::wall_offset_mm)]
    pub offset_mm: f64,
    /// Height above the finished floor.
    #[schema(schema_with = schema::plan_height_mm)]
    pub height_mm: f64,
}

impl NewWallPoint {
    /// The spot in the domain's words; a wall that the room does not have, or a point beyond it, is noted.
    pub(super) fn spot(&self, scene: Option<&Scene>, fields: &mut Fields) -> Option<WallSpot> {
        let spot = WallSpot {
            wall_index: usize::try_from(self.wall).ok()?,
            offset_mm: millimetres(self.offset_mm),
            bottom_mm: millimetres(self.height_mm),
        };
        let point = BoxSize { width_mm: 0, height_mm: 0, depth_mm: 0, below_mm: 0 };
        match hang(scene?, spot, &point) {
            Ok(_solid) => Some(spot),
            Err(fault) => {
                let field = if let HangFault::BeyondWall(_) = fault { "offset_mm" } else { "wall" };
                fields.push(field, FieldCode::Contradiction, fault.obstacle().1);
                None
            }
        }
    }
}

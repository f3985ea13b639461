//! A room as drawn: floor plan, water, partitions, openings. Whole millimetres; heights from the finished floor.
//!
//! Absent here: whether the drawing makes sense (`validity`), and what follows from it.

/// A point of the floor plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// Along the plan's first axis.
    pub x_mm: i32,
    /// Along the plan's second axis.
    pub y_mm: i32,
}

/// A rectangle of the floor plan along its axes; `min` is the corner with the smaller figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rect {
    /// Corner with the smaller figures.
    pub min: Point,
    /// Corner with the larger figures.
    pub max: Point,
}

/// A solid above a rectangle: a rail with its head, a connection unit, or a single point when flat on every axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Solid {
    /// What it covers in plan.
    pub plan: Rect,
    /// Its lowest height.
    pub low_mm: i32,
    /// Its highest height.
    pub high_mm: i32,
}

/// A room with a bath or shower.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scene {
    /// Corners of the floor in order, either way round; the last joins the first.
    pub corners: Vec<Point>,
    /// Height of the ceiling.
    pub ceiling_mm: i32,
    /// Baths, trays, tray-less showers, washbasins.
    pub fixtures: Vec<Fixture>,
    /// Water outlets.
    pub outlets: Vec<Outlet>,
    /// Partitions, doors of enclosures and curtains.
    pub partitions: Vec<Partition>,
    /// Doors and windows in the walls.
    pub openings: Vec<Opening>,
}

/// One fixture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fixture {
    /// Its name in the drawing.
    pub id: String,
    /// What it is.
    pub kind: FixtureKind,
}

/// What a fixture is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FixtureKind {
    /// A bath.
    Bath(Basin),
    /// A shower tray.
    Tray(Basin),
    /// A shower without a tray: its place is that of its fixed outlets.
    Trayless,
    /// A washbasin.
    Washbasin(Washbasin),
}

/// A bath or tray.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Basin {
    /// Outline.
    pub outline: Rect,
    /// Height of its bottom.
    pub bottom_mm: i32,
    /// Height of its rim.
    pub rim_mm: i32,
    /// What opens the space below.
    pub under: UnderAccess,
}

/// What opens the space below a bath or tray.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnderAccess {
    /// Only a tool.
    Tool,
    /// A hand.
    NoTool,
}

/// A washbasin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Washbasin {
    /// Outline.
    pub outline: Rect,
    /// Volume, when known.
    pub litres: Option<i32>,
    /// Height of its rim, when known.
    pub rim_mm: Option<i32>,
    /// Whether its tap is fixed, not on a hose.
    pub is_outlet_fixed: bool,
}

/// A water outlet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outlet {
    /// Centre in plan.
    pub at: Point,
    /// Height.
    pub z_mm: i32,
    /// The fixture it serves, by name.
    pub serves: String,
    /// Whether the outlet is fixed to wall or ceiling; a hose or hand shower is not.
    pub is_fixed: bool,
    /// What its head is.
    pub head: Head,
}

/// The head of an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Head {
    /// Does not come off.
    Fixed,
    /// Comes off.
    Demountable,
    /// Nobody said: the stricter figures hold.
    NotStated,
}

/// A partition, straight in plan. Its thickness is left out: paths round it come out shorter, so zones stricter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Partition {
    /// One end.
    pub a: Point,
    /// The other end.
    pub b: Point,
    /// Which of the two ends the drawing says is at a wall or at another partition.
    pub ends_joined: [bool; 2],
    /// Height of its upper edge.
    pub top_mm: i32,
    /// Whether it is fixed for good.
    pub is_fixed: bool,
    /// Whether it is joined to the floor.
    pub is_floor_joined: bool,
    /// What it is.
    pub kind: PartitionKind,
}

/// What a partition is. Doors and curtains never limit a zone, however they are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartitionKind {
    /// A fixed pane.
    GlassPanel,
    /// A wall to the ceiling or nearly.
    Wall,
    /// A low wall.
    HalfWall,
    /// A hinged door or hinged bath screen.
    HingedDoor,
    /// A sliding door.
    SlidingDoor,
    /// A curtain.
    Curtain,
}

/// A door or window in a wall of the room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// What it is.
    pub kind: OpeningKind,
    /// One jamb, on a wall.
    pub a: Point,
    /// The other jamb, on the same wall.
    pub b: Point,
    /// Its lower edge.
    pub low_mm: i32,
    /// Its upper edge.
    pub high_mm: i32,
    /// The floor that its leaf sweeps.
    pub swept: Option<Rect>,
}

/// What an opening is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OpeningKind {
    /// A door.
    Door,
    /// A window.
    Window,
}

impl Point {
    /// A point of two figures.
    pub const fn new(x_mm: i32, y_mm: i32) -> Self {
        Self { x_mm, y_mm }
    }
}

impl Rect {
    /// A rectangle of two opposite corners, in either order.
    pub fn new(one: Point, other: Point) -> Self {
        Self {
            min: Point::new(one.x_mm.min(other.x_mm), one.y_mm.min(other.y_mm)),
            max: Point::new(one.x_mm.max(other.x_mm), one.y_mm.max(other.y_mm)),
        }
    }

    /// The rectangle of a single point.
    pub const fn of(point: Point) -> Self {
        Self { min: point, max: point }
    }

    /// Its four corners.
    pub const fn corners(&self) -> [Point; 4] {
        let Self { min, max } = *self;
        [min, Point::new(max.x_mm, min.y_mm), max, Point::new(min.x_mm, max.y_mm)]
    }

    /// Whether it has an area.
    pub const fn has_area(&self) -> bool {
        self.min.x_mm < self.max.x_mm && self.min.y_mm < self.max.y_mm
    }

    /// The point of the rectangle nearest to another point.
    pub fn nearest(&self, to: Point) -> Point {
        Point::new(
            to.x_mm.clamp(self.min.x_mm, self.max.x_mm.max(self.min.x_mm)),
            to.y_mm.clamp(self.min.y_mm, self.max.y_mm.max(self.min.y_mm)),
        )
    }

    /// Whether another rectangle lies wholly inside, edges included.
    pub const fn contains(&self, other: &Self) -> bool {
        self.min.x_mm <= other.min.x_mm
            && self.min.y_mm <= other.min.y_mm
            && other.max.x_mm <= self.max.x_mm
            && other.max.y_mm <= self.max.y_mm
    }
}

impl Solid {
    /// A single point in space.
    pub const fn of(point: Point, z_mm: i32) -> Self {
        Self { plan: Rect::of(point), low_mm: z_mm, high_mm: z_mm }
    }
}

impl PartitionKind {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::GlassPanel,
        Self::Wall,
        Self::HalfWall,
        Self::HingedDoor,
        Self::SlidingDoor,
        Self::Curtain,
    ];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::GlassPanel => "glass_panel",
            Self::Wall => "wall",
            Self::HalfWall => "half_wall",
            Self::HingedDoor => "hinged_door",
            Self::SlidingDoor => "sliding_door",
            Self::Curtain => "curtain",
        }
    }

    /// The kind of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }

    /// Whether it can limit a zone at all.
    pub const fn is_lasting(self) -> bool {
        match self {
            Self::GlassPanel | Self::Wall | Self::HalfWall => true,
            Self::HingedDoor | Self::SlidingDoor | Self::Curtain => false,
        }
    }
}

impl FixtureKind {
    /// The outline in plan; a tray-less shower has none.
    pub const fn outline(&self) -> Option<Rect> {
        match self {
            Self::Bath(basin) | Self::Tray(basin) => Some(basin.outline),
            Self::Washbasin(washbasin) => Some(washbasin.outline),
            Self::Trayless => None,
        }
    }
}

//! The best places on the walls of a room for a body: outside the zones first, then the mildest zone allowed.
//!
//! Places are tried on a raster along each wall; every wall without a place says why. Deterministic: ties go to the
//! lower wall and offset. Walls that do not run along the plan's axes are not searched. Absent here: which body to choose.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::domain::mounting::LOWEST_HEATED_MM;
use crate::domain::mounting::PortSide;
use crate::domain::notice::Notice;
use crate::domain::zones::Zone;
use crate::domain::zones::placement::Placement;
use crate::domain::zones::placement::Plan;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict;
use crate::domain::zones::verdict::Equipment;
use crate::domain::zones::verdict::Outcome;
use crate::domain::zones::verdict::Verdict;

mod wall;
mod hang;
mod free;
mod unit;

pub use hang::BoxSize;
pub use hang::HangFault;
pub use hang::Hanging;
pub use hang::Ports;
pub use hang::WallSpot;
pub use hang::flex_routes;
pub use hang::hang;
pub use hang::wall_ends;
pub use unit::UNIT_BOX;

use free::Known;
use wall::Wall;

/// Most places proposed.
pub const POSITIONS_MAX: usize = 5;
/// Step of the raster along a wall.
pub const STEP_MM: i32 = 50;
/// Free wall beside a body, to fixtures, doors and windows (common practice, no source).
pub const CLEARANCE_MM: i32 = 50;
/// Free space above a body.
pub const HEAD_SPACE_MM: i32 = 100;
/// Height of the lower edge of a body where nothing asks for more (common practice, no source).
pub const BOTTOM_USUAL_MM: i32 = 300;
/// A connection unit: width and height of its plate.
pub const UNIT_SIZE_MM: i32 = 90;
/// Its depth from the wall.
pub const UNIT_DEPTH_MM: i32 = 40;
/// Height of its lower edge (common practice, no source).
pub const UNIT_BOTTOM_MM: i32 = 450;

/// A place for a body.
#[derive(Debug, Clone, PartialEq)]
pub struct Position {
    /// Wall, counted from the first corner of the room counter-clockwise.
    pub wall_index: usize,
    /// From the start of the wall to the body.
    pub offset_mm: i32,
    /// Height of the body's lower edge.
    pub bottom_mm: i32,
    /// Body and head as a solid.
    pub solid: Solid,
    /// Its zone.
    pub placement: Placement,
    /// What the rules say of it.
    pub verdict: Verdict,
    /// Where the connection unit goes; none where the rules want it outside the room.
    pub unit: Option<UnitPlace>,
}

/// A place for the connection unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnitPlace {
    /// The wall it is on.
    pub wall_index: usize,
    /// From the start of the wall to the middle of the plate.
    pub centre_mm: i32,
    /// Height of the plate's lower edge, where the flex goes in.
    pub low_mm: i32,
    /// The bottom port from which the flex comes, seen from the room.
    pub side: PortSide,
    /// Flex needed, slack included.
    pub flex_needed_mm: i32,
}

/// Why a wall has no place: stable codes with a sentence each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WallRefusal {
    /// The wall.
    pub wall_index: usize,
    /// What stood in the way of the places tried, each once.
    pub reasons: BTreeMap<&'static str, String>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Positions {
    /// Best first, at most [`POSITIONS_MAX`].
    pub best: Vec<Position>,
    /// Walls without a place.
    pub refused: Vec<WallRefusal>,
    /// Cautions; the one that defers to the local code and an electrician is always among them.
    pub notices: Vec<Notice>,
}

/// A drawn room compiled for one country's rules, in which many bodies can be hung.
#[derive(Debug, Clone)]
pub struct Survey<'ask> {
    scene: Scene,
    rules: &'ask WiringRules,
    room: Room,
    plan: Option<Plan>,
    known: RefCell<Known>,
}

/// One body looked for in a surveyed room.
struct Search<'ask> {
    scene: &'ask Scene,
    rules: &'ask WiringRules,
    hanging: &'ask Hanging,
    connection: Option<WallSpot>,
    room: &'ask Room,
    plan: &'ask Plan,
    known: &'ask RefCell<Known>,
}

/// What stands in the way: a stable code and a sentence.
pub type Obstacle = (&'static str, String);
/// Everything that stood in the way on one wall.
type Reasons = BTreeMap<&'static str, String>;
/// What places are ordered by.
type Rank = (Reverse<Zone>, Outcome, Reverse<i64>, usize, i32);

/// Finds the best places for a body in a room whose drawing was found right.
pub fn best(scene: &Scene, rules: &WiringRules, hanging: &Hanging) -> Positions {
    Survey::new(scene, rules).best(hanging, None)
}

impl<'ask> Survey<'ask> {
    /// Surveys a room whose drawing was found right.
    pub fn new(scene: &Scene, rules: &'ask WiringRules) -> Self {
        let plan = rules.regime.as_ref().map(|regime| Plan::new(scene, regime));
        let (scene, room) = (scene.clone(), Room::new(&scene.corners));
        Self { scene, rules, room, plan, known: RefCell::default() }
    }

    /// The best places for a body; its flex goes to the connection point given, or to the best place for one.
    pub fn best(&self, hanging: &Hanging, connection: Option<WallSpot>) -> Positions {
        let notices = verdict::standing_notices(self.rules);
        let Some(search) = self.search(hanging, connection) else {
            let reasons = BTreeMap::from([self.not_established()]);
            let refuse = |(wall_index, _wall)| WallRefusal { wall_index, reasons: reasons.clone() };
            let refused = self.room.walls().enumerate().map(refuse).collect();
            return Positions { best: Vec::new(), refused, notices };
        };
        let mut found = Vec::new();
        let mut refused = Vec::new();
        for (wall_index, segment) in self.room.walls().enumerate() {
            match search.on_wall(wall_index, segment) {
                Ok(positions) => found.extend(positions),
                Err(reasons) => refused.push(WallRefusal { wall_index, reasons }),
            }
        }
        found.sort_by_key(rank);
        Positions { best: spread(found, hanging.width_mm), refused, notices }
    }

    /// The best place alone, as [`Survey::best`] would put it first: found sooner, because a way for the flex is looked
    /// for only until there is one.
    pub fn first(&self, hanging: &Hanging, connection: Option<WallSpot>) -> Option<Position> {
        let search = self.search(hanging, connection)?;
        let bottom_mm = search.bottom_mm().ok()?;
        let walls = self.room.walls().enumerate();
        let walls: Vec<Wall> =
            walls.filter_map(|(index, segment)| Wall::new(index, segment)).collect();
        let mut hung: Vec<(&Wall, Position)> = Vec::new();
        for wall in &walls {
            let offsets = steps(0, wall.length_mm - hanging.width_mm);
            let on_wall = offsets.filter_map(|at_mm| search.hung(wall, at_mm, bottom_mm).ok());
            hung.extend(on_wall.map(|position| (wall, position)));
        }
        hung.sort_by_key(|(_wall, position)| rank(position));
        hung.into_iter().find_map(|(wall, position)| search.fed(wall, position).ok())
    }

    /// The body at one spot, or what stands in its way there.
    pub fn at(
        &self,
        hanging: &Hanging,
        spot: WallSpot,
        connection: Option<WallSpot>,
    ) -> Result<Position, Obstacle> {
        hang(&self.scene, spot, &hanging.size()).map_err(HangFault::obstacle)?;
        let segment = self.room.walls().nth(spot.wall_index);
        let wall = segment.and_then(|segment| Wall::new(spot.wall_index, segment));
        let search = self.search(hanging, connection);
        let (Some(wall), Some(search)) = (wall, search) else {
            return Err(self.not_established());
        };
        if self.scene.ceiling_mm < spot.bottom_mm + hanging.height_mm {
            let text = format!(
                "its upper edge at {} mm is above the ceiling at {} mm",
                spot.bottom_mm + hanging.height_mm,
                self.scene.ceiling_mm
            );
            return Err(("too-high-for-room", text));
        }
        search.at(&wall, spot.offset_mm, spot.bottom_mm)
    }

    /// The scene it was made of.
    pub const fn scene(&self) -> &Scene {
        &self.scene
    }

    /// What the rules say of a box with equipment in it, the worst of several; nothing when they have no figures.
    pub fn verdict(&self, solid: &Solid, equipment: &[Equipment]) -> Option<Verdict> {
        let placement = self.plan.as_ref()?.place(solid);
        let verdicts =
            equipment.iter().map(|piece| verdict::verdict(self.rules, &placement.spot, piece));
        verdicts.reduce(|worst, other| if worst.outcome < other.outcome { other } else { worst })
    }

    fn search<'one>(
        &'one self,
        hanging: &'one Hanging,
        connection: Option<WallSpot>,
    ) -> Option<Search<'one>> {
        let Self { scene, rules, room, plan, known } = self;
        Some(Search { scene, rules, hanging, connection, room, plan: plan.as_ref()?, known })
    }

    fn not_established(&self) -> Obstacle {
        ("rules-not-established", format!("the figures of {} were not found", self.rules.title))
    }
}

/// Mildest zone first, then the fewest conditions, the greatest distance from water, the lowest wall and offset.
fn rank(position: &Position) -> Rank {
    let distance =
        position.placement.path.as_ref().map_or(i64::MAX, |path| whole(path.length.mm()));
    let Position { wall_index, offset_mm, .. } = *position;
    (
        Reverse(position.placement.zone),
        position.verdict.outcome,
        Reverse(distance),
        wall_index,
        offset_mm,
    )
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "millimetres of a room"
)]
fn whole(mm: f64) -> i64 {
    libm::floor(mm) as i64
}

/// The first of each stretch of wall, so that five places are not one place five times.
fn spread(found: Vec<Position>, width_mm: i32) -> Vec<Position> {
    let mut kept: Vec<Position> = Vec::new();
    for position in found {
        let is_near = |other: &Position| {
            other.wall_index == position.wall_index
                && (other.offset_mm - position.offset_mm).abs() < width_mm
        };
        if kept.len() < POSITIONS_MAX && !kept.iter().any(is_near) {
            kept.push(position);
        }
    }
    kept
}

impl Search<'_> {
    fn on_wall(&self, index: usize, segment: Segment) -> Result<Vec<Position>, Reasons> {
        let Some(wall) = Wall::new(index, segment) else {
            let text = "the wall does not run along the plan's axes and is not searched".to_owned();
            return Err(BTreeMap::from([("wall-not-along-axes", text)]));
        };
        let last_mm = wall.length_mm - self.hanging.width_mm;
        let bottom_mm = match self.bottom_mm() {
            Ok(bottom) if 0_i32 <= last_mm => bottom,
            Ok(_bottom) => return Err(BTreeMap::from([too_narrow(&wall, self.hanging)])),
            Err(reason) => return Err(BTreeMap::from([reason])),
        };
        let mut positions = Vec::new();
        let mut reasons = BTreeMap::new();
        for offset_mm in steps(0, last_mm) {
            match self.at(&wall, offset_mm, bottom_mm) {
                Ok(position) => positions.push(position),
                Err((code, text)) => {
                    reasons.entry(code).or_insert(text);
                }
            }
        }
        if positions.is_empty() { Err(reasons) } else { Ok(positions) }
    }

    /// The lowest height that head, children and custom ask for, if it fits under the ceiling.
    fn bottom_mm(&self) -> Result<i32, Obstacle> {
        let hanging = self.hanging;
        let heated_mm = match hanging.young_children {
            Some(true) | None => LOWEST_HEATED_MM - hanging.lowest_heated_mm,
            Some(false) => BOTTOM_USUAL_MM,
        };
        let bottom_mm = heated_mm.max(BOTTOM_USUAL_MM).max(hanging.head_length_mm);
        let top_mm = bottom_mm + hanging.height_mm + HEAD_SPACE_MM;
        if top_mm <= self.scene.ceiling_mm {
            return Ok(bottom_mm);
        }
        let text =
            format!("with its lower edge at {bottom_mm} mm it needs {top_mm} mm up to the ceiling");
        Err(("too-high-for-room", text))
    }

    fn at(&self, wall: &Wall, offset_mm: i32, bottom_mm: i32) -> Result<Position, Obstacle> {
        self.fed(wall, self.hung(wall, offset_mm, bottom_mm)?)
    }

    /// The position with a place for its connection unit.
    fn fed(&self, wall: &Wall, position: Position) -> Result<Position, Obstacle> {
        let ends = (position.offset_mm, position.offset_mm + self.hanging.width_mm);
        let unit = self.unit(wall, &position.solid, ends)?;
        Ok(Position { unit, ..position })
    }

    /// The body at a spot, as yet without a place for its connection unit.
    fn hung(&self, wall: &Wall, offset_mm: i32, bottom_mm: i32) -> Result<Position, Obstacle> {
        let hanging = self.hanging;
        let end_mm = offset_mm + hanging.width_mm;
        let solid = Solid {
            plan: wall.rect(offset_mm, end_mm, hanging.depth_mm),
            low_mm: bottom_mm - hanging.head_length_mm,
            high_mm: bottom_mm + hanging.height_mm,
        };
        let clear = Solid {
            plan: wall.rect(offset_mm - CLEARANCE_MM, end_mm + CLEARANCE_MM, hanging.depth_mm),
            ..solid
        };
        self.check_free(&solid, &clear, wall)?;
        let placement = self.place(&solid);
        let verdict = verdict::verdict(self.rules, &placement.spot, &hanging.equipment);
        if let Some(reason) = verdict.reasons.first().filter(|reason| is_barred(reason.outcome)) {
            return Err((reason.code, reason.text.clone()));
        }
        Ok(Position {
            wall_index: wall.index,
            offset_mm,
            bottom_mm,
            solid,
            placement,
            verdict,
            unit: None,
        })
    }
}

/// A raster from a first figure to a last one.
fn steps(first_mm: i32, last_mm: i32) -> impl Iterator<Item = i32> {
    std::iter::successors(Some(first_mm), |mm| Some(mm + STEP_MM))
        .take_while(move |mm| *mm <= last_mm)
}

const fn is_barred(outcome: Outcome) -> bool {
    match outcome {
        Outcome::Allowed | Outcome::AllowedIf => false,
        Outcome::NotEstablished | Outcome::Refused => true,
    }
}

fn too_narrow(wall: &Wall, hanging: &Hanging) -> Obstacle {
    let text =
        format!("the wall is {} mm long, the body {} mm wide", wall.length_mm, hanging.width_mm);
    ("wall-too-narrow", text)
}

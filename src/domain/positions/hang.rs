//! A box on a wall of a drawn room, and the way of a flex round the walls.
//!
//! Absent here: whether it may hang there.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::mounting::FlexRoute;
use crate::domain::mounting::PortSide;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict::Equipment;

use super::Obstacle;
use super::wall::Wall;

/// A spot on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct WallSpot {
    /// Wall, counted from the first corner of the room counter-clockwise.
    pub wall_index: usize,
    /// From the start of the wall, which is on the right for somebody who looks at the wall from the room.
    pub offset_mm: i32,
    /// Height of the lower edge above the finished floor.
    pub bottom_mm: i32,
}

/// A box on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoxSize {
    /// Along the wall.
    pub width_mm: i32,
    /// Above the lower edge.
    pub height_mm: i32,
    /// From the wall into the room.
    pub depth_mm: i32,
    /// Below the lower edge: the head of an element.
    pub below_mm: i32,
}

/// The body to be hung, with its element fitted.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hanging {
    /// Width along the wall.
    pub width_mm: i32,
    /// Height without the element's head.
    pub height_mm: i32,
    /// Depth from the wall.
    pub depth_mm: i32,
    /// How far the element's head hangs below the body.
    pub head_length_mm: i32,
    /// From the body's lower edge up to its lowest heated tube.
    pub lowest_heated_mm: i32,
    /// Length of the flex.
    pub flex_length_mm: i32,
    /// Its rating as equipment.
    pub equipment: Equipment,
    /// Whether very young children may be there; unknown counts as yes.
    pub young_children: Option<bool>,
    /// The one bottom port that the element can go into; none when either will do.
    pub port: Option<PortSide>,
}

impl Hanging {
    /// The box it takes on a wall.
    pub const fn size(&self) -> BoxSize {
        BoxSize {
            width_mm: self.width_mm,
            height_mm: self.height_mm,
            depth_mm: self.depth_mm,
            below_mm: self.head_length_mm,
        }
    }
}

/// Why a box cannot be on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HangFault {
    /// There are only so many walls.
    NoSuchWall(usize),
    /// The wall does not run along the plan's axes.
    NotAlongAxes,
    /// The wall ends before the box does: its length.
    BeyondWall(i32),
    /// The lowest part would be below the floor, by so much.
    BelowFloor(i32),
}

impl HangFault {
    /// Stable code and a sentence.
    pub fn obstacle(self) -> Obstacle {
        match self {
            Self::NoSuchWall(count) => (
                "no-such-wall",
                format!("the room has {count} walls, counted from 0 counter-clockwise"),
            ),
            Self::NotAlongAxes => (
                "wall-not-along-axes",
                "that wall does not run along the plan's axes; give the box by min_mm and max_mm"
                    .to_owned(),
            ),
            Self::BeyondWall(length_mm) => (
                "beyond-the-wall",
                format!("the wall is {length_mm} mm long and it does not fit there"),
            ),
            Self::BelowFloor(excess_mm) => {
                ("below-floor", format!("its lowest part would be {excess_mm} mm below the floor"))
            }
        }
    }
}

/// The solid of a box at a spot.
pub fn hang(scene: &Scene, spot: WallSpot, size: &BoxSize) -> Result<Solid, HangFault> {
    let room = Room::new(&scene.corners);
    let count = room.walls().count();
    let segment = room.walls().nth(spot.wall_index).ok_or(HangFault::NoSuchWall(count))?;
    let wall = Wall::new(spot.wall_index, segment).ok_or(HangFault::NotAlongAxes)?;
    let end_mm = spot.offset_mm + size.width_mm;
    if spot.offset_mm < 0_i32 || wall.length_mm < end_mm {
        return Err(HangFault::BeyondWall(wall.length_mm));
    }
    let low_mm = spot.bottom_mm - size.below_mm;
    if low_mm < 0_i32 {
        return Err(HangFault::BelowFloor(-low_mm));
    }
    Ok(Solid {
        plan: wall.rect(spot.offset_mm, end_mm, size.depth_mm),
        low_mm,
        high_mm: spot.bottom_mm + size.height_mm,
    })
}

/// The two ends of a wall, start first.
pub fn wall_ends(scene: &Scene, wall_index: usize) -> Option<Segment> {
    Room::new(&scene.corners).walls().nth(wall_index)
}

/// The bottom ports of a body on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ports {
    /// The wall.
    pub wall_index: usize,
    /// Along the wall, the right port seen from the room.
    pub right_mm: i32,
    /// Along the wall, the left port seen from the room.
    pub left_mm: i32,
    /// Height at which the flex leaves.
    pub height_mm: i32,
}

impl Ports {
    /// The ports of a box at a spot.
    pub const fn of(spot: WallSpot, size: &BoxSize) -> Self {
        Self {
            wall_index: spot.wall_index,
            right_mm: spot.offset_mm,
            left_mm: spot.offset_mm + size.width_mm,
            height_mm: spot.bottom_mm - size.below_mm,
        }
    }
}

/// The ways of a flex from a body to a connection point, round the room one way and the other.
pub fn flex_routes(room: &Room, ports: Ports, connection: WallSpot) -> [FlexRoute; 3] {
    let lengths: Vec<i32> = room.walls().map(length).collect();
    let start = |index: usize| lengths.iter().take(index).sum::<i32>();
    let around: i32 = lengths.iter().sum();
    let begin = start(ports.wall_index);
    let goal = start(connection.wall_index) + connection.offset_mm;
    [goal - around, goal, goal + around].map(|connection_mm| FlexRoute {
        left_port_mm: begin + ports.left_mm,
        right_port_mm: begin + ports.right_mm,
        entry_height_mm: ports.height_mm,
        connection_mm,
        connection_height_mm: connection.bottom_mm,
    })
}

/// Length of a stretch along one of the axes; of any other, the longer of its two shares.
fn length((from, to): Segment) -> i32 {
    (to.x_mm - from.x_mm).abs().max((to.y_mm - from.y_mm).abs())
}

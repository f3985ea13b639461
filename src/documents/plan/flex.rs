//! The way of the flex along the walls: from the nearest bottom port of a rail to the connection unit or outlet plate,
//! round the corners of the room whichever way is shorter.
//!
//! Absent here: whether the flex is long enough (`positions`), and how the way is drawn.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::zones::EquipmentKind;
use crate::domain::zones::scene::Scene;

use super::DrawnItem;
use super::wall::Wall;
use super::wall::walls_along_axes;

/// A stretch along one wall, in the direction of the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Leg {
    pub wall: Wall,
    pub from: i32,
    pub to: i32,
}

/// The whole way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Way {
    pub legs: Vec<Leg>,
    /// Height at which it leaves the rail and runs along the walls.
    pub low: i32,
    /// Height at which it goes into the unit, on the last wall.
    pub goal_low: i32,
}

/// A port or a unit: the place of its wall among the walls, how far along it, how high.
type Spot = (usize, i32, i32);

impl Way {
    /// Along the walls alone.
    fn length(&self) -> i32 {
        self.legs.iter().map(|leg| (leg.to - leg.from).abs()).sum()
    }
}

/// The way of the flex; none where there is no rail or no unit on walls along the plan's axes.
pub(super) fn way(scene: &Scene, items: &[DrawnItem]) -> Option<Way> {
    let walls = walls_along_axes(scene);
    // A wall askew would be left out of the way: then none is drawn.
    if walls.len() != scene.corners.len() {
        return None;
    }
    let of = |kinds: &[EquipmentKind]| -> Vec<[Spot; 2]> {
        let is_it = |item: &&DrawnItem| item.kind.is_some_and(|kind| kinds.contains(&kind));
        items.iter().filter(is_it).filter_map(|item| spots(&walls, item)).collect()
    };
    let units = of(&[EquipmentKind::ConnectionUnit, EquipmentKind::FlexOutlet]);
    let [unit, other_end] = units.first()?;
    let goal = (unit.0, unit.1.midpoint(other_end.1), unit.2);
    let ports = of(&[EquipmentKind::Rail]).into_iter().flatten();
    let ways = ports.flat_map(|port| {
        let directions = [true, false];
        directions.map(|is_forward| Way {
            legs: legs(&walls, (port, goal), is_forward),
            low: port.2,
            goal_low: goal.2,
        })
    });
    ways.min_by_key(Way::length)
}

/// The two ends of a thing's lower edge on the first wall that it hangs on.
fn spots(walls: &[Wall], item: &DrawnItem) -> Option<[Spot; 2]> {
    walls.iter().enumerate().find_map(|(place, wall)| {
        let ends = wall.stretch(&item.solid.plan)?;
        Some(ends.map(|along| (place, along, item.solid.low_mm)))
    })
}

/// Along the walls in their order, or against it.
fn legs(walls: &[Wall], (start, goal): (Spot, Spot), is_forward: bool) -> Vec<Leg> {
    let is_ahead = if is_forward { start.1 <= goal.1 } else { goal.1 <= start.1 };
    let mut place = start.0;
    let mut from = start.1;
    let mut legs = Vec::new();
    // Once round the room and once more over the first wall is the longest way there is.
    for _turn in 0..=walls.len() {
        let Some(wall) = walls.get(place).copied() else { break };
        let is_last = place == goal.0 && (!legs.is_empty() || is_ahead);
        let end = if is_forward { wall.length } else { 0 };
        legs.push(Leg { wall, from, to: if is_last { goal.1 } else { end } });
        if is_last {
            break;
        }
        let count = walls.len();
        place = if is_forward { place + 1 } else { place + count - 1 }.rem_euclid(count);
        from = walls.get(place).map_or(0, |next| if is_forward { 0 } else { next.length });
    }
    legs
}

//! Walls along the plan's axes, as elevations and the way of a flex measure them.
//!
//! Absent here: what hangs on them.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::plane::is_on;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Scene;

/// A wall along an axis of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Wall {
    pub index: usize,
    pub segment: Segment,
    pub length: i32,
}

impl Wall {
    /// The point so far along the wall.
    pub(super) const fn at(&self, along: i32) -> Point {
        let (start, end) = self.segment;
        let (x, y) = ((end.x_mm - start.x_mm).signum(), (end.y_mm - start.y_mm).signum());
        Point::new(start.x_mm + x * along, start.y_mm + y * along)
    }

    /// From where to where a rectangle lies along the wall, if its back is on it.
    pub(super) fn stretch(&self, rect: &Rect) -> Option<[i32; 2]> {
        let mut along: Vec<i32> = rect
            .corners()
            .into_iter()
            .filter(|corner| is_on(*corner, self.segment))
            .map(|corner| length((self.segment.0, corner)))
            .collect();
        along.sort_unstable();
        let (first, last) = (along.first().copied()?, along.last().copied()?);
        (first < last || !rect.has_area()).then_some([first, last])
    }
}

const fn length((from, to): Segment) -> i32 {
    (to.x_mm - from.x_mm).abs() + (to.y_mm - from.y_mm).abs()
}

/// The walls that run along the plan's axes, in their order.
pub(super) fn walls_along_axes(scene: &Scene) -> Vec<Wall> {
    let room = Room::new(&scene.corners);
    let along_axes =
        room.walls().enumerate().filter(|(_index, (a, b))| a.x_mm == b.x_mm || a.y_mm == b.y_mm);
    along_axes.map(|(index, segment)| Wall { index, segment, length: length(segment) }).collect()
}

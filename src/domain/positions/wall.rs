//! A wall of the room as a raster to hang things on, and overlaps of rectangles.
//!
//! Absent here: what may hang where.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::zones::plane::Direction;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;

/// A wall along one of the plan's axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wall {
    /// Counted from the first corner, counter-clockwise.
    pub index: usize,
    /// Its two corners.
    pub segment: Segment,
    /// Its length.
    pub length_mm: i32,
    /// The step of one millimetre along it.
    pub along: (i32, i32),
}

impl Wall {
    pub(super) fn new(index: usize, segment: Segment) -> Option<Self> {
        let way = Direction::between(segment.0, segment.1);
        let length = i32::try_from(way.x.abs() + way.y.abs()).ok()?;
        let unit = |part: i64| i32::try_from(part.signum()).unwrap_or_default();
        (way.x == 0 || way.y == 0).then_some(Self {
            index,
            segment,
            length_mm: length,
            along: (unit(way.x), unit(way.y)),
        })
    }

    /// A point so far along the wall and so far into the room; corners run counter-clockwise, the room is on the left.
    const fn at(&self, along_mm: i32, into_mm: i32) -> Point {
        let ((x, y), start) = (self.along, self.segment.0);
        Point::new(start.x_mm + x * along_mm - y * into_mm, start.y_mm + y * along_mm + x * into_mm)
    }

    pub(super) fn rect(&self, from_mm: i32, to_mm: i32, depth_mm: i32) -> Rect {
        Rect::new(self.at(from_mm, 0), self.at(to_mm, depth_mm))
    }
}

/// Whether two rectangles share an area.
pub(super) const fn overlap(one: &Rect, other: &Rect) -> bool {
    one.min.x_mm < other.max.x_mm
        && other.min.x_mm < one.max.x_mm
        && one.min.y_mm < other.max.y_mm
        && other.min.y_mm < one.max.y_mm
}

/// Whether two rectangles share a stretch along a wall.
pub(super) const fn touch_along(one: &Rect, other: &Rect, along: (i32, i32)) -> bool {
    if along.0 == 0 {
        one.min.y_mm < other.max.y_mm && other.min.y_mm < one.max.y_mm
    } else {
        one.min.x_mm < other.max.x_mm && other.min.x_mm < one.max.x_mm
    }
}

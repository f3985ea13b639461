//! Exact predicates of the plane: sides, crossings, inside or outside a room.
//!
//! Every answer is the sign of a whole number, so there is no tolerance. A point may carry a direction in which it is
//! nudged by less than any length: that is how "on this face of the partition" is told from "on the other face".
//! Absent here: lengths.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "coordinates are bounded by COORDINATE_MAX_MM, so products stay below 2^45"
)]

use std::cmp::Ordering;

use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;

/// Largest coordinate of a drawing, either sign.
pub const COORDINATE_MAX_MM: i32 = 100_000;

/// A direction; only its direction matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Direction {
    /// Along the first axis.
    pub x: i64,
    /// Along the second axis.
    pub y: i64,
}

/// A point moved by less than any length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nudged {
    /// Where it is.
    pub at: Point,
    /// Where it leans.
    pub toward: Direction,
}

/// A straight piece of wall or partition.
pub type Segment = (Point, Point);

impl Direction {
    /// Nowhere.
    pub const NONE: Self = Self { x: 0, y: 0 };

    /// From one point to another.
    pub fn between(from: Point, to: Point) -> Self {
        Self {
            x: i64::from(to.x_mm) - i64::from(from.x_mm),
            y: i64::from(to.y_mm) - i64::from(from.y_mm),
        }
    }

    /// Twice the signed area between two directions: positive when `other` lies to the left.
    pub const fn cross(self, other: Self) -> i64 {
        self.x * other.y - self.y * other.x
    }

    /// Positive when the two point the same way.
    pub const fn dot(self, other: Self) -> i64 {
        self.x * other.x + self.y * other.y
    }

    /// The two one after the other.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self { x: self.x + other.x, y: self.y + other.y }
    }

    /// The opposite way.
    #[must_use]
    pub const fn reversed(self) -> Self {
        Self { x: -self.x, y: -self.y }
    }

    /// A quarter turn to the left.
    #[must_use]
    pub const fn left(self) -> Self {
        Self { x: -self.y, y: self.x }
    }
}

/// The square of the distance between two points.
pub fn squared_distance(from: Point, to: Point) -> i64 {
    let way = Direction::between(from, to);
    way.dot(way)
}

/// On which side of a line through `a` and `b` a point lies: greater is left, equal is on the line.
pub fn side(a: Point, b: Point, point: Point) -> Ordering {
    Direction::between(a, b).cross(Direction::between(a, point)).cmp(&0)
}

/// Whether a point lies on a segment, ends included.
pub fn is_on(point: Point, (a, b): Segment) -> bool {
    side(a, b, point) == Ordering::Equal
        && Direction::between(point, a).dot(Direction::between(point, b)) <= 0
}

/// Whether the way between two nudged points is cut by an obstacle.
///
/// Touching an end of the obstacle counts as cut: a path that bends at that end has the same length and knows on which
/// side it passes.
pub fn is_cut(from: Nudged, to: Nudged, (a, b): Segment) -> bool {
    let start = nudged_side(from, (a, b));
    if start == Ordering::Equal || start != nudged_side(to, (a, b)).reverse() {
        return false;
    }
    let first = side_of_way(from, to, a);
    first == Ordering::Equal || first != side_of_way(from, to, b)
}

fn nudged_side(point: Nudged, (a, b): Segment) -> Ordering {
    side(a, b, point.at).then_with(|| Direction::between(a, b).cross(point.toward).cmp(&0))
}

/// On which side of the way from one nudged point to another an obstacle's end lies; smaller and smaller terms decide.
fn side_of_way(from: Nudged, to: Nudged, end: Point) -> Ordering {
    let way = Direction::between(from.at, to.at);
    let offset = Direction::between(from.at, end);
    let turn = to.toward.plus(from.toward.reversed());
    way.cross(offset)
        .cmp(&0)
        .then_with(|| (turn.cross(offset) - way.cross(from.toward)).cmp(&0))
        .then_with(|| from.toward.cross(to.toward).cmp(&0))
}

/// Whether a segment enters the inside of a rectangle; running along an edge does not.
pub fn enters(rect: &Rect, (a, b): Segment) -> bool {
    let apart = a.x_mm.max(b.x_mm) <= rect.min.x_mm
        || rect.max.x_mm <= a.x_mm.min(b.x_mm)
        || a.y_mm.max(b.y_mm) <= rect.min.y_mm
        || rect.max.y_mm <= a.y_mm.min(b.y_mm);
    let sides = rect.corners().map(|corner| side(a, b, corner));
    !apart && sides.contains(&Ordering::Less) && sides.contains(&Ordering::Greater)
}

/// Whether two segments have a point in common.
pub fn meet(one: Segment, other: Segment) -> bool {
    let touches = |(a, b): Segment, segment: Segment| is_on(a, segment) || is_on(b, segment);
    touches(one, other) || touches(other, one) || crosses(one, other)
}

/// The walls of a room, corners in counter-clockwise order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    corners: Vec<Point>,
}

impl Room {
    /// A room of its corners in either order.
    pub fn new(corners: &[Point]) -> Self {
        let mut corners = corners.to_vec();
        if doubled_area(&corners) < 0 {
            corners.reverse();
        }
        Self { corners }
    }

    /// Its corners, counter-clockwise.
    pub fn corners(&self) -> &[Point] {
        &self.corners
    }

    /// Its walls.
    pub fn walls(&self) -> impl Iterator<Item = Segment> + '_ {
        edges(&self.corners)
    }

    /// Each corner with its neighbours before and after.
    pub fn turns(&self) -> impl Iterator<Item = (Point, Point, Point)> + '_ {
        let before = self.corners.iter().cycle().skip(self.corners.len().saturating_sub(1));
        let after = self.corners.iter().cycle().skip(1);
        self.corners
            .iter()
            .zip(before)
            .zip(after)
            .map(|((at, before), after)| (*before, *at, *after))
    }

    /// Whether no corner points inwards.
    pub fn is_convex(&self) -> bool {
        self.turns().all(|(before, at, after)| side(before, at, after) != Ordering::Less)
    }

    /// Whether a point lies in the room, walls included.
    pub fn holds(&self, point: Point) -> bool {
        let mut is_inside = false;
        for (a, b) in self.walls() {
            if is_on(point, (a, b)) {
                return true;
            }
            let straddles = (a.y_mm <= point.y_mm) != (b.y_mm <= point.y_mm);
            let upward = a.y_mm < b.y_mm;
            let expected = if upward { Ordering::Greater } else { Ordering::Less };
            if straddles && side(a, b, point) == expected {
                is_inside = !is_inside;
            }
        }
        is_inside
    }

    /// Whether a rectangle lies in the room: no part of it behind a wall.
    pub fn holds_rect(&self, rect: &Rect) -> bool {
        let corners_in = rect.corners().into_iter().all(|corner| self.holds(corner));
        corners_in && !self.walls().any(|wall| enters(rect, wall)) && self.holds_sides(rect)
    }

    /// A flat rectangle is a line, which no wall can enter; then its line must stay inside.
    fn holds_sides(&self, rect: &Rect) -> bool {
        rect.has_area() || self.holds_segment((rect.min, rect.max))
    }

    /// Whether a segment stays in the room; running along a wall and touching a corner is staying.
    pub fn holds_segment(&self, (a, b): Segment) -> bool {
        if !self.holds(a) || !self.holds(b) || self.walls().any(|wall| crosses((a, b), wall)) {
            return false;
        }
        let mut stops: Vec<_> =
            self.corners.iter().copied().filter(|corner| is_on(*corner, (a, b))).collect();
        stops.extend([a, b]);
        stops.sort_by_key(|stop| squared_distance(a, *stop));
        // Between two stops the segment is wholly in or wholly out; twice the size, the middle is a whole number.
        let doubled: Vec<_> = self.corners.iter().map(|corner| sum(*corner, *corner)).collect();
        let twice = Self { corners: doubled };
        stops.iter().zip(stops.iter().skip(1)).all(|(from, to)| twice.holds(sum(*from, *to)))
    }

    /// A point leaning to each face on which it may be: into the room when it is on a wall, and to either side of the
    /// obstacles that start at that wall. Off the walls a point on an obstacle stays put and is on both faces.
    pub fn faces(&self, point: Point, obstacles: &[Segment]) -> Vec<Nudged> {
        let leaning = self.leaning_in(point);
        let start = |(a, b): &Segment| match (*a == point, *b == point) {
            (true, _) => Some(Direction::between(point, *b)),
            (_, true) => Some(Direction::between(point, *a)),
            (false, false) => None,
        };
        let mut rays: Vec<_> = obstacles.iter().filter_map(start).collect();
        if leaning.toward == Direction::NONE || rays.is_empty() {
            return vec![leaning];
        }
        let touching = self.walls().filter(|wall| is_on(point, *wall)).flat_map(|(a, b)| [a, b]);
        rays.extend(touching.filter(|end| *end != point).map(|end| Direction::between(point, end)));
        rays.sort_by(|one, other| around(leaning.toward, *one, *other));
        rays.dedup_by(|one, other| one.cross(*other) == 0 && 0 < one.dot(*other));
        let gaps = rays.iter().zip(rays.iter().skip(1));
        gaps.map(|(one, other)| Nudged { at: point, toward: between(*one, *other) }).collect()
    }

    /// The point leaning into the room when it is on a wall.
    pub fn leaning_in(&self, point: Point) -> Nudged {
        let corner = self.turns().find(|(_before, at, _after)| *at == point);
        let toward = match corner {
            Some((before, at, after)) => inward(before, at, after),
            None => self
                .walls()
                .find(|wall| is_on(point, *wall))
                .map_or(Direction::NONE, |(a, b)| Direction::between(a, b).left()),
        };
        Nudged { at: point, toward }
    }
}

/// Whether two segments cross at a point inside both.
pub fn crosses(one: Segment, other: Segment) -> bool {
    parts(one, other) && parts(other, one)
}

/// Whether the line of the first segment has the ends of the second on its two sides.
fn parts((a, b): Segment, (from, to): Segment) -> bool {
    let start = side(a, b, from);
    start != Ordering::Equal && start == side(a, b, to).reverse()
}

const fn sum(one: Point, other: Point) -> Point {
    Point::new(one.x_mm + other.x_mm, one.y_mm + other.y_mm)
}

/// Order of two directions turning left, starting behind a point that leans forward.
fn around(forward: Direction, one: Direction, other: Direction) -> Ordering {
    // Right of forward comes first, then forward itself, then left of it; walls lie at the two ends.
    let half = |ray: Direction| forward.cross(ray).cmp(&0);
    half(one).cmp(&half(other)).then_with(|| other.cross(one).cmp(&0))
}

/// A direction strictly inside the gap that turns left from one direction to another.
fn between(one: Direction, other: Direction) -> Direction {
    match one.cross(other).cmp(&0) {
        Ordering::Greater => one.plus(other),
        Ordering::Equal => one.left(),
        Ordering::Less => one.plus(other).reversed(),
    }
}

fn inward(before: Point, at: Point, after: Point) -> Direction {
    let (back, on) = (Direction::between(at, before), Direction::between(at, after));
    match side(before, at, after) {
        Ordering::Greater => back.plus(on),
        Ordering::Less => back.plus(on).reversed(),
        Ordering::Equal => Direction::between(before, after).left(),
    }
}

/// The sides of a closed polygon.
pub fn edges(corners: &[Point]) -> impl Iterator<Item = Segment> + '_ {
    corners.iter().copied().zip(corners.iter().copied().cycle().skip(1))
}

/// Twice the signed area of a polygon; positive when its corners run counter-clockwise.
pub fn doubled_area(corners: &[Point]) -> i64 {
    let origin = Point::new(0, 0);
    edges(corners)
        .map(|(a, b)| Direction::between(origin, a).cross(Direction::between(origin, b)))
        .fold(0, i64::saturating_add)
}

//! Shortest paths in plan from water to a thing, round partitions and round the corners of the room.
//!
//! A straight path between whole millimetres keeps the exact square of its length. A path that bends does so at free ends
//! of partitions and at corners that point into the room, and nowhere else. Absent here: which partitions count, and
//! paths over a partition (`over`).
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths in a bounded room; squares stay below 2^45"
)]

use std::cmp::Ordering;
use std::collections::BTreeSet;

use crate::domain::zones::length::Length;
use crate::domain::zones::plane;
use crate::domain::zones::plane::Direction;
use crate::domain::zones::plane::Nudged;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;

/// A path in plan: its length and the points at which it starts, bends and ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Its length.
    pub length: Length,
    /// From the water to the thing.
    pub points: Vec<Point>,
}

/// The obstacles of a room and the points at which a path can bend.
#[derive(Debug, Clone)]
pub struct Field {
    room: Room,
    obstacles: Vec<Segment>,
    bends: Vec<Nudged>,
    links: Vec<(usize, usize, f64)>,
}

/// What is reached from one source: for every bend, the length to it and the bend before.
#[derive(Debug, Clone)]
pub struct Spread {
    source: Rect,
    stops: Vec<Stop>,
}

/// A bend as reached: infinitely far when it cannot be.
#[derive(Debug, Clone, Copy)]
struct Stop {
    mm: f64,
    before: Option<usize>,
}

impl Spread {
    fn mm(&self, index: usize) -> f64 {
        self.stops.get(index).map_or(f64::INFINITY, |stop| stop.mm)
    }

    fn nearest(&self, open: &BTreeSet<usize>) -> Option<usize> {
        open.iter().copied().min_by(|one, other| self.mm(*one).total_cmp(&self.mm(*other)))
    }

    fn shorten(&mut self, index: usize, before: usize, mm: f64) {
        let through = self.mm(before) + mm;
        if let Some(stop) = self.stops.get_mut(index).filter(|stop| through < stop.mm) {
            *stop = Stop { mm: through, before: Some(before) };
        }
    }
}

impl Field {
    /// The field of a room with the partitions that count.
    pub fn new(room: &Room, partitions: &[Segment]) -> Self {
        let convex_walls = room.is_convex();
        let walls = room.walls().filter(|_wall| !convex_walls);
        let obstacles: Vec<_> = partitions.iter().copied().chain(walls).collect();
        let bends = bends(room, partitions);
        let mut field = Self { room: room.clone(), obstacles, bends, links: Vec::new() };
        field.links = field.link();
        field
    }

    fn link(&self) -> Vec<(usize, usize, f64)> {
        let ends = self.bends.iter().enumerate();
        let pairs =
            ends.clone().flat_map(|from| ends.clone().skip(from.0 + 1).map(move |to| (from, to)));
        pairs
            .filter(|((_, from), (_, to))| self.is_clear(**from, **to))
            .map(|((index, from), (other, to))| {
                (index, other, Length::straight(plane::squared_distance(from.at, to.at)).mm())
            })
            .collect()
    }

    fn is_clear(&self, from: Nudged, to: Nudged) -> bool {
        !self.obstacles.iter().any(|obstacle| plane::is_cut(from, to, *obstacle))
    }

    /// A point of a rectangle, leaning to its inside: that tells on which face of a partition it is.
    fn leaning(&self, rect: &Rect, at: Point) -> Nudged {
        if !rect.has_area() {
            return self.room.leaning_in(at);
        }
        let toward = Direction::between(at, rect.min).plus(Direction::between(at, rect.max));
        Nudged { at, toward }
    }

    /// How far each bend is from a source (Dijkstra).
    pub fn spread(&self, source: Rect) -> Spread {
        let legs = self.bends.iter().map(|bend| self.leg(&source, *bend));
        let stops =
            legs.map(|leg| Stop { mm: leg.unwrap_or(f64::INFINITY), before: None }).collect();
        let mut spread = Spread { source, stops };
        let mut open: BTreeSet<_> = (0..self.bends.len()).collect();
        while let Some(nearest) = spread.nearest(&open) {
            open.remove(&nearest);
            for (next, mm) in self.neighbours(nearest) {
                spread.shorten(next, nearest, mm);
            }
        }
        spread
    }

    fn neighbours(&self, of: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.links.iter().filter_map(move |(one, other, mm)| match of {
            index if index == *one => Some((*other, *mm)),
            index if index == *other => Some((*one, *mm)),
            _ => None,
        })
    }

    /// The straight way between a rectangle and a bend, if nothing stands in it.
    fn leg(&self, rect: &Rect, bend: Nudged) -> Option<f64> {
        let at = rect.nearest(bend.at);
        self.is_clear(self.leaning(rect, at), bend)
            .then(|| Length::straight(plane::squared_distance(at, bend.at)).mm())
    }

    /// The shortest path from a source to a target; none when walls and partitions close it off.
    pub fn path(&self, spread: &Spread, target: &Rect) -> Option<Path> {
        self.straight(&spread.source, target).or_else(|| self.bent(spread, target))
    }

    fn straight(&self, source: &Rect, target: &Rect) -> Option<Path> {
        let (x_pairs, y_pairs) = (
            nearest_pairs((source.min.x_mm, source.max.x_mm), (target.min.x_mm, target.max.x_mm)),
            nearest_pairs((source.min.y_mm, source.max.y_mm), (target.min.y_mm, target.max.y_mm)),
        );
        x_pairs.into_iter().zip(y_pairs).find_map(|((from_x, to_x), (from_y, to_y))| {
            let (from, to) = (Point::new(from_x, from_y), Point::new(to_x, to_y));
            let clear = self.is_clear(self.leaning(source, from), self.leaning(target, to));
            let length = Length::straight(plane::squared_distance(from, to));
            clear.then(|| Path { length, points: vec![from, to] })
        })
    }

    fn bent(&self, spread: &Spread, target: &Rect) -> Option<Path> {
        let whole = |(index, bend): (usize, &Nudged)| {
            let before = Some(spread.mm(index)).filter(|mm| mm.is_finite())?;
            Some((before + self.leg(target, *bend)?, index))
        };
        let (mm, last) = self
            .bends
            .iter()
            .enumerate()
            .filter_map(whole)
            .min_by(|one, other| one.0.total_cmp(&other.0))?;
        Some(Path { length: Length::bent(mm), points: self.points(spread, target, last) })
    }

    fn points(&self, spread: &Spread, target: &Rect, last: usize) -> Vec<Point> {
        let mut points = Vec::new();
        let mut index = Some(last);
        while let Some(bend) = index.and_then(|index| self.bends.get(index)) {
            points.push(bend.at);
            index = index.and_then(|index| spread.stops.get(index)).and_then(|stop| stop.before);
        }
        points.extend(points.last().map(|first| spread.source.nearest(*first)));
        points.reverse();
        points.extend(points.last().map(|bend| target.nearest(*bend)));
        points.dedup();
        points
    }
}

/// The nearest pairs of two intervals: one pair, or the two ends of what they share.
fn nearest_pairs(source: (i32, i32), target: (i32, i32)) -> [(i32, i32); 2] {
    let (low, high) = (source.0.max(target.0), source.1.min(target.1));
    if low <= high {
        [(low, low), (high, high)]
    } else if source.1 < target.0 {
        [(source.1, target.0); 2]
    } else {
        [(source.0, target.1); 2]
    }
}

/// Ends of partitions and corners of the room round which there is more than half a turn of free space.
fn bends(room: &Room, partitions: &[Segment]) -> Vec<Nudged> {
    let reflex: BTreeSet<_> = room
        .turns()
        .filter(|(before, at, after)| plane::side(*before, *at, *after) == Ordering::Less)
        .map(|(_before, at, _after)| at)
        .collect();
    let on_wall = |point: Point| room.walls().any(|wall| plane::is_on(point, wall));
    let free = partitions.iter().flat_map(|(a, b)| [*a, *b]).filter(|end| !on_wall(*end));
    let candidates: BTreeSet<_> = free.chain(reflex.iter().copied()).collect();
    let segments: Vec<_> = partitions.iter().copied().chain(room.walls()).collect();
    candidates
        .into_iter()
        .filter_map(|at| widest_gap(at, &segments).map(|toward| Nudged { at, toward }))
        .collect()
}

/// The direction into the one gap of more than half a turn between the obstacles that start at a point.
fn widest_gap(at: Point, segments: &[Segment]) -> Option<Direction> {
    let touching = segments.iter().filter(|segment| plane::is_on(at, **segment));
    let rays: Vec<_> = touching
        .flat_map(|(a, b)| [*a, *b])
        .filter(|end| *end != at)
        .map(|end| Direction::between(at, end))
        .collect();
    // All rays lie within less than half a turn exactly when one of them has every other to its left, or along it.
    let is_left = |first: &Direction, ray: &Direction| {
        0 < first.cross(*ray) || (first.cross(*ray) == 0 && 0 < first.dot(*ray))
    };
    let first = rays.iter().find(|first| rays.iter().all(|ray| is_left(first, ray)))?;
    let last = rays.iter().find(|last| rays.iter().all(|ray| is_left(ray, last)))?;
    Some(first.plus(*last).reversed())
}

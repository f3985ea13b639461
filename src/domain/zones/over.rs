//! The string over a low partition, for the rules that measure it so.
//!
//! The string starts at the upright edge of the water (any height up to its upper plane), passes over the partition's
//! upper edge and ends at the thing (an interpretation; no authority has confirmed the form in space). Past several
//! partitions its length is found between two bounds: each partition measured alone is never longer than the truth, and
//! a string that is seen to pass is never shorter. Where the two bounds are of different zones, nothing is established.
//! Absent here: paths in plan.

use crate::domain::zones::length::Length;
use crate::domain::zones::plane;
use crate::domain::zones::plane::Room;
use crate::domain::zones::plane::Segment;
use crate::domain::zones::reach::Field;
use crate::domain::zones::reach::Path;
use crate::domain::zones::reach::Spread;
use crate::domain::zones::scene::Point;
use crate::domain::zones::scene::Rect;

/// The low partitions of a room, each alone with the walls, and the walls without any.
#[derive(Debug, Clone)]
pub struct LowPartitions {
    room: Room,
    bare: Field,
    alone: Vec<(Segment, i32, Field)>,
    lasting: Vec<Segment>,
}

/// The string from a source to a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Strung {
    /// The shortest that it can be; none when there is no way at all.
    pub path: Option<Path>,
    /// The longest that it can be; none when no way is sure.
    pub at_most: Option<Length>,
}

/// What one source reaches: past each low partition alone, and past none.
#[derive(Debug, Clone)]
pub struct LowSpread {
    bare: Spread,
    alone: Vec<Spread>,
}

impl LowPartitions {
    /// The low partitions with the heights of their upper edges, and every partition that lasts.
    pub fn new(room: &Room, partitions: &[(Segment, i32)], lasting: Vec<Segment>) -> Self {
        let alone = partitions
            .iter()
            .map(|(segment, top_mm)| (*segment, *top_mm, Field::new(room, &[*segment])))
            .collect();
        Self { room: room.clone(), bare: Field::new(room, &[]), alone, lasting }
    }

    /// What a source reaches.
    pub fn spread(&self, source: Rect) -> LowSpread {
        let alone =
            self.alone.iter().map(|(_segment, _top_mm, field)| field.spread(source)).collect();
        LowSpread { bare: self.bare.spread(source), alone }
    }

    /// The string from a source to a thing; `round` is the path in plan round every partition.
    pub fn string(&self, spread: &LowSpread, ends: &Ends, round: Option<Path>) -> Strung {
        let least =
            self.bare.path(&spread.bare, &ends.target).map_or(0.0_f64, |path| path.length.mm());
        let over: Vec<_> = self
            .alone
            .iter()
            .map(|(segment, top_mm, _field)| over_path(ends, *segment, *top_mm, least))
            .collect();
        let alone = self.alone.iter().zip(&spread.alone).zip(&over).filter_map(
            |(((_segment, _top_mm, field), spread), over)| {
                let past = field.path(spread, &ends.target);
                shortest(past.into_iter().chain([over.clone()]))
            },
        );
        let longest = alone.max_by(|one, other| one.length.compare(other.length));
        let string = shortest(over.iter().cloned())
            .into_iter()
            .chain(longest)
            .max_by(|one, other| one.length.compare(other.length));
        let sure = self.alone.iter().zip(over).filter_map(|((segment, _top_mm, _field), path)| {
            self.is_clear(&path, *segment).then_some(path)
        });
        let at_most = shortest(sure.chain(round.clone())).map(|path| path.length);
        Strung { path: shortest(round.into_iter().chain(string)), at_most }
    }

    /// Whether nothing stands in the way of a string over a partition: no wall, and no other partition, not even one that
    /// it only touches.
    fn is_clear(&self, over: &Path, segment: Segment) -> bool {
        let mut legs =
            over.points.windows(2).filter_map(|pair| Some((*pair.first()?, *pair.last()?)));
        legs.all(|leg| {
            let mut others = self.lasting.iter().filter(|partition| **partition != segment);
            self.room.holds_segment(leg) && !others.any(|partition| plane::meet(leg, *partition))
        })
    }
}

fn shortest<I: IntoIterator<Item = Path>>(paths: I) -> Option<Path> {
    paths.into_iter().min_by(|one, other| one.length.compare(other.length))
}

fn over_path(ends: &Ends, segment: Segment, top_mm: i32, least: f64) -> Path {
    let (mm, at) = string_over(ends, segment, top_mm);
    let points = vec![ends.source.nearest(at), at, ends.target.nearest(at)];
    Path { length: Length::bent(mm.max(least)), points }
}

/// What a string over a partition joins.
#[derive(Debug, Clone, Copy)]
pub struct Ends {
    /// The water in plan.
    pub source: Rect,
    /// The highest point of the water's upright edge.
    pub source_top_mm: i32,
    /// The thing in plan.
    pub target: Rect,
    /// The highest point of the thing below the upper plane.
    pub target_top_mm: i32,
}

/// Steps of the search along the partition's edge; each leaves 62 % of the span, so 60 leave less than a micrometre.
const STEPS: usize = 60;
/// The golden section.
const SECTION: f64 = 0.618_033_988_749_894_9;

/// Length of the string over a partition's upper edge at `top_mm`, and where in plan it crosses.
///
/// The length is a convex function of the crossing point, so a golden-section search finds the least.
pub fn string_over(ends: &Ends, (a, b): Segment, top_mm: i32) -> (f64, Point) {
    let rise = |height_mm: i32| f64::from(top_mm.saturating_sub(height_mm).max(0_i32));
    let (up, down) = (rise(ends.source_top_mm), rise(ends.target_top_mm));
    let (start, end) = (floats(a), floats(b));
    let along =
        |share: f64| (start.0 + (end.0 - start.0) * share, start.1 + (end.1 - start.1) * share);
    let length = |share: f64| {
        let at = along(share);
        libm::hypot(gap(at, &ends.source), up) + libm::hypot(gap(at, &ends.target), down)
    };
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for _step in 0..STEPS {
        let width = (high - low) * SECTION;
        let (left, right) = (high - width, low + width);
        if length(left) <= length(right) {
            high = right;
        } else {
            low = left;
        }
    }
    let share = [0.0_f64, low, 1.0_f64]
        .into_iter()
        .min_by(|one, other| length(*one).total_cmp(&length(*other)));
    let share = share.unwrap_or(low);
    (length(share), rounded(along(share)))
}

fn floats(point: Point) -> (f64, f64) {
    (f64::from(point.x_mm), f64::from(point.y_mm))
}

/// Distance in plan from a point to a rectangle.
fn gap((x_mm, y_mm): (f64, f64), rect: &Rect) -> f64 {
    let outside = |value: f64, low: i32, high: i32| {
        (f64::from(low) - value).max(value - f64::from(high)).max(0.0)
    };
    libm::hypot(
        outside(x_mm, rect.min.x_mm, rect.max.x_mm),
        outside(y_mm, rect.min.y_mm, rect.max.y_mm),
    )
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "a point of the room, far inside the range of the type"
)]
fn rounded((x_mm, y_mm): (f64, f64)) -> Point {
    Point::new(libm::round(x_mm) as i32, libm::round(y_mm) as i32)
}

#[cfg(test)]
mod tests {
    #![expect(
        clippy::arithmetic_side_effects,
        clippy::default_numeric_fallback,
        reason = "the figures of the cases are small"
    )]

    use super::*;

    /// Unfolded about the partition's edge the string is one straight line.
    fn unfolded(from: Point, to: Point, line_x_mm: i32, rise_mm: i32) -> f64 {
        let along = f64::from(to.y_mm - from.y_mm);
        let before = f64::from(line_x_mm - from.x_mm);
        let behind = f64::from(to.x_mm - line_x_mm);
        libm::hypot(along, before + libm::hypot(behind, f64::from(rise_mm)))
    }

    #[test]
    fn the_string_between_two_points_is_the_straight_line_of_the_unfolded_edge() {
        let (from, wall) = (Point::new(0, 1000), (Point::new(400, -5000), Point::new(400, 5000)));
        for (to, height_mm) in
            [(Point::new(700, 1000), 1500), (Point::new(900, 2100), 300), (Point::new(401, 0), 0)]
        {
            let ends = Ends {
                source: Rect::of(from),
                source_top_mm: 2250,
                target: Rect::of(to),
                target_top_mm: height_mm,
            };
            let (length_mm, _at) = string_over(&ends, wall, 2000);
            let expected = unfolded(from, to, 400, 2000 - height_mm);
            assert!((length_mm - expected).abs() < 1e-6, "{to:?}: {length_mm} is not {expected}");
        }
    }

    #[test]
    fn the_string_does_not_cross_beyond_the_ends_of_the_partition() {
        let ends = Ends {
            source: Rect::of(Point::new(0, 0)),
            source_top_mm: 2250,
            target: Rect::of(Point::new(800, 0)),
            target_top_mm: 1000,
        };
        let short = (Point::new(400, 300), Point::new(400, 900));
        let (length_mm, at) = string_over(&ends, short, 1000);
        assert_eq!(at, Point::new(400, 300));
        assert!((length_mm - 1000.0).abs() < 1e-6, "{length_mm}");
    }
}

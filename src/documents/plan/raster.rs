//! Zones over a flat face of a room, in rows whose boundaries are straight: rows are halved until they are, so that round
//! corners come out round and a change is found to the millimetre.
//!
//! Absent here: what the face is, and how zones are painted.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::integer_division,
    clippy::default_numeric_fallback,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::zones::Zone;

/// Rows of a face before any is halved.
const ROWS: i32 = 36;
/// Points looked at along a line before the changes are searched.
const COLUMNS: i32 = 54;
/// A boundary that moves farther than this within a row is looked at more closely.
const SLANT_MAX_MM: i32 = 25;
/// The lowest row that is still halved to follow a slant; where zones begin or end, rows are halved to one millimetre.
const SLANTED_ROW_MIN_MM: i32 = 4;

/// A stretch of a row in one zone; none outside the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub from: i32,
    pub to: i32,
    pub zone: Option<Zone>,
}

/// A row between two heights. Where `runs` and `upper` have the same zones, their boundaries are joined by straight lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    pub low: i32,
    pub high: i32,
    /// Along its lower edge.
    pub runs: Vec<Run>,
    /// Along its upper edge; of the same zones in the same order.
    pub upper: Vec<Run>,
}

/// A flat face from one corner to the other.
pub(super) type Face = ([i32; 2], [i32; 2]);

/// What zone a point of the face is in.
pub(super) type ZoneAt<'a> = &'a dyn Fn(i32, i32) -> Option<Zone>;

/// What zone a point of a row is in.
type Along<'a> = &'a dyn Fn(i32) -> Option<Zone>;

/// A line across a face: its height and its runs.
type Line = (i32, Vec<Run>);

/// The rows of a face, lowest first.
pub(super) fn rows((min, max): Face, zone_at: ZoneAt<'_>) -> Vec<Row> {
    let [left, bottom] = min;
    let [right, top] = max;
    // On its edges a face is a wall, a floor or a ceiling: a millimetre inside tells what is on this side.
    let inside = |y: i32| y.max(bottom + 1).min(top - 1);
    let line = |y: i32| (y, runs([left, right], &|x| zone_at(x, inside(y))));
    let mut rows = Vec::new();
    let mut lower = line(bottom);
    for index in 1..=ROWS {
        let upper = line(bottom + (top - bottom) * index / ROWS);
        split(&mut rows, (&lower, &upper), &line);
        lower = upper;
    }
    rows
}

/// Puts a stretch of the face between two lines into rows.
fn split(rows: &mut Vec<Row>, (lower, upper): (&Line, &Line), line: &dyn Fn(i32) -> Line) {
    let height = upper.0 - lower.0;
    if height <= 0 {
        return;
    }
    let has_same_zones = zones(&lower.1).eq(zones(&upper.1));
    let starts = lower.1.iter().zip(&upper.1);
    let slant = starts.map(|(one, other)| (one.from - other.from).abs()).max().unwrap_or(0);
    if has_same_zones && (slant <= SLANT_MAX_MM || height <= SLANTED_ROW_MIN_MM) {
        let (runs, upper) = (lower.1.clone(), (upper.0, upper.1.clone()));
        rows.push(Row { low: lower.0, high: upper.0, runs, upper: upper.1 });
    } else if height == 1 {
        let runs = lower.1.clone();
        rows.push(Row { low: lower.0, high: upper.0, upper: runs.clone(), runs });
    } else {
        let middle = line(lower.0.midpoint(upper.0));
        split(rows, (lower, &middle), line);
        split(rows, (&middle, upper), line);
    }
}

fn zones(runs: &[Run]) -> impl Iterator<Item = Option<Zone>> + '_ {
    runs.iter().map(|run| run.zone)
}

fn runs([left, right]: [i32; 2], zone_at: Along<'_>) -> Vec<Run> {
    let column = |index: i32| left + (right - left) * index / COLUMNS;
    let mut runs = Vec::new();
    let mut open = Run { from: left, to: left, zone: zone_at(left + 1) };
    for index in 1..=COLUMNS {
        let at = if index == COLUMNS { right - 1 } else { column(index) };
        let zone = zone_at(at);
        if zone != open.zone {
            let change = change_between(open.to.max(left + 1), at, (open.zone, zone_at));
            runs.push(Run { to: change, ..open });
            open = Run { from: change, to: change, zone };
        }
        open.to = at;
    }
    runs.push(Run { to: right, ..open });
    runs
}

/// The first millimetre that is no longer in the zone.
fn change_between(
    mut inside: i32,
    mut beyond: i32,
    (zone, zone_at): (Option<Zone>, Along<'_>),
) -> i32 {
    while inside + 1 < beyond {
        let middle = inside.midpoint(beyond);
        if zone_at(middle) == zone {
            inside = middle;
        } else {
            beyond = middle;
        }
    }
    beyond
}

/// Rows one above the other whose boundaries go on from one to the next.
pub(super) fn stacks(rows: &[Row]) -> impl Iterator<Item = &[Row]> {
    rows.chunk_by(|lower, upper| lower.upper == upper.runs)
}

/// The boundaries between zones as lines; the edge of the room is not one.
pub(super) fn edges(rows: &[Row]) -> Vec<Vec<[i32; 2]>> {
    let mut edges = Vec::new();
    for stack in stacks(rows) {
        let runs = stack.first().map_or(&[][..], |row| &row.runs);
        let parted = runs.windows(2).enumerate().filter(|(_index, pair)| is_parted(pair));
        edges.extend(parted.map(|(index, _pair)| side(stack, index + 1)));
    }
    for pair in rows.windows(2) {
        if let [lower, upper] = pair {
            edges.extend(level_edges(lower, upper));
        }
    }
    edges
}

fn is_parted(pair: &[Run]) -> bool {
    pair.iter().all(|run| run.zone.is_some())
}

/// The left side of a run through a stack of rows, from below; the end of the face after the last run.
pub(super) fn side(stack: &[Row], index: usize) -> Vec<[i32; 2]> {
    let start = |runs: &[Run]| {
        let end = runs.last().map(|run| run.to);
        runs.get(index).map(|run| run.from).or(end).unwrap_or_default()
    };
    let below = stack.first().map(|row| [start(&row.runs), row.low]);
    let above = stack.iter().map(|row| [start(&row.upper), row.high]);
    let mut points: Vec<[i32; 2]> = Vec::new();
    for point in below.into_iter().chain(above) {
        // Of an upright line the two ends suffice.
        if let [.., one, other] = points.as_mut_slice()
            && one[0] == other[0]
            && other[0] == point[0]
        {
            *other = point;
        } else {
            points.push(point);
        }
    }
    points
}

fn level_edges(lower: &Row, upper: &Row) -> Vec<Vec<[i32; 2]>> {
    let mut edges = Vec::new();
    for one in &lower.upper {
        for other in &upper.runs {
            let (from, to) = (one.from.max(other.from), one.to.min(other.to));
            let differs = one.zone != other.zone && one.zone.is_some() && other.zone.is_some();
            if differs && from < to {
                edges.push(vec![[from, upper.low], [to, upper.low]]);
            }
        }
    }
    edges
}

/// A good spot for the label of a zone: the middle of its roomiest place that keeps clear of the boxes given.
pub(super) fn label_spot(rows: &[Row], zone: Zone, taken: &[Face]) -> Option<[i32; 2]> {
    let runs = rows.iter().enumerate().flat_map(|(index, row)| {
        let of_zone = row.runs.iter().filter(move |run| run.zone == Some(zone));
        of_zone.flat_map(move |run| (1..8_i32).map(move |part| (index, row, run, part)))
    });
    let spots = runs.map(|(index, row, run, part)| {
        let x = run.from + (run.to - run.from) * part / 8;
        let low = extent(rows.iter().take(index + 1).rev(), (x, zone));
        let high = extent(rows.iter().skip(index), (x, zone));
        let beside = (x - run.from).min(run.to - x);
        let spot = [x, row.low.midpoint(row.high)];
        let clear = taken.iter().map(|face| gap(spot, *face)).min().unwrap_or(i32::MAX);
        (beside.min(low).min(high).min(clear), spot)
    });
    // The first of the roomiest, so that the same drawing has the same label.
    let roomiest = spots.reduce(|best, other| if best.0 < other.0 { other } else { best });
    roomiest.map(|(_room, spot)| spot)
}

fn extent<'a, I: Iterator<Item = &'a Row>>(rows: I, (x, zone): (i32, Zone)) -> i32 {
    let holds = |row: &&Row| {
        row.runs.iter().any(|run| run.from <= x && x < run.to && run.zone == Some(zone))
    };
    rows.take_while(holds).map(|row| row.high - row.low).sum()
}

fn gap([x, y]: [i32; 2], (min, max): Face) -> i32 {
    let [left, bottom] = min;
    let [right, top] = max;
    let (across, up) = ((left - x).max(x - right), (bottom - y).max(y - top));
    across.max(up).max(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_found_to_the_millimetre() {
        let zone_at = |x: i32, _y: i32| Some(if x < 1_234 { Zone::One } else { Zone::Two });
        let rows = rows(([0, 0], [3_000, 2_400]), &zone_at);
        assert!(rows.iter().all(|row| row.runs.len() == 2 && row.runs[1].from == 1_234));
        assert_eq!(edges(&rows), [vec![[1_234, 0], [1_234, 2_400]]]);
        let [x, _y] = label_spot(&rows, Zone::One, &[]).unwrap();
        assert!(x < 1_234);
    }

    /// How far a point is from a circle round the origin.
    fn off_circle([x, y]: [i32; 2], radius: f64) -> f64 {
        (libm::hypot(f64::from(x), f64::from(y)) - radius).abs()
    }

    #[test]
    fn a_round_corner_is_drawn_round_within_a_few_millimetres() {
        let zone_at = |x: i32, y: i32| {
            let is_near = x * x + y * y <= 600 * 600;
            Some(if is_near { Zone::Two } else { Zone::Outside })
        };
        let rows = rows(([0, 0], [3_000, 2_400]), &zone_at);
        let edges = edges(&rows);
        let arc = edges.iter().max_by_key(|edge| edge.len()).unwrap();
        assert!(20 < arc.len());
        for pair in arc.windows(2) {
            let [one, other] = [pair[0], pair[1]];
            let middle = [one[0].midpoint(other[0]), one[1].midpoint(other[1])];
            assert!(off_circle(one, 600.0) <= 2.0 && off_circle(middle, 600.0) <= 3.0, "{pair:?}");
        }
        // The flat top of the arc is no longer than what four millimetres of height leave of it.
        let top = arc.last().unwrap();
        assert!(596 <= top[1] && top[0] <= 70, "{top:?}");
    }

    #[test]
    fn where_a_zone_ends_the_line_is_found_to_the_millimetre() {
        let zone_at = |_x: i32, y: i32| Some(if y <= 2_250 { Zone::One } else { Zone::Outside });
        let rows = rows(([0, 0], [1_000, 2_400]), &zone_at);
        assert_eq!(edges(&rows), [vec![[0, 2_251], [1_000, 2_251]]]);
    }
}

//! Zones over a flat face of a room, row by row, with the places where one zone changes to another found to the millimetre.
//!
//! Absent here: what the face is, and how zones are painted.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::integer_division,
    clippy::default_numeric_fallback,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::zones::Zone;

/// Rows of a face.
const ROWS: i32 = 108;
/// Points looked at in a row before the changes are searched.
const COLUMNS: i32 = 54;

/// A stretch of a row in one zone; none outside the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub from: i32,
    pub to: i32,
    pub zone: Option<Zone>,
}

/// A row between two heights.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    pub low: i32,
    pub high: i32,
    pub runs: Vec<Run>,
}

/// A flat face from one corner to the other.
pub(super) type Face = ([i32; 2], [i32; 2]);

/// A straight piece of the boundary between two zones.
pub(super) type Edge = ([i32; 2], [i32; 2]);

/// What zone a point of the face is in.
pub(super) type ZoneAt<'a> = &'a dyn Fn(i32, i32) -> Option<Zone>;

/// What zone a point of a row is in.
type Along<'a> = &'a dyn Fn(i32) -> Option<Zone>;

/// The rows of a face, lowest first.
pub(super) fn rows((min, max): Face, zone_at: ZoneAt<'_>) -> Vec<Row> {
    let [left, bottom] = min;
    let [right, top] = max;
    let cut = |index: i32| bottom + (top - bottom) * index / ROWS;
    (0..ROWS)
        .map(|index| {
            let (low, high) = (cut(index), cut(index + 1));
            Row { low, high, runs: runs([left, right], &|x| zone_at(x, low.midpoint(high))) }
        })
        .filter(|row| row.low < row.high)
        .collect()
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

/// The boundaries between zones; the edge of the room is not one.
pub(super) fn edges(rows: &[Row]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for row in rows {
        for pair in row.runs.windows(2) {
            if let [one, other] = pair
                && one.zone.is_some()
                && other.zone.is_some()
            {
                edges.push(([other.from, row.low], [other.from, row.high]));
            }
        }
    }
    for pair in rows.windows(2) {
        if let [lower, upper] = pair {
            edges.extend(level_edges(lower, upper));
        }
    }
    edges
}

fn level_edges(lower: &Row, upper: &Row) -> Vec<Edge> {
    let mut edges = Vec::new();
    for one in &lower.runs {
        for other in &upper.runs {
            let (from, to) = (one.from.max(other.from), one.to.min(other.to));
            let differs = one.zone != other.zone && one.zone.is_some() && other.zone.is_some();
            if differs && from < to {
                edges.push(([from, upper.low], [to, upper.low]));
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
        assert_eq!(edges(&rows).len(), rows.len());
        let [x, _y] = label_spot(&rows, Zone::One, &[]).unwrap();
        assert!(x < 1_234);
    }
}

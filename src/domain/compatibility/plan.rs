//! A drawn room in which a rail is to hang, at a spot or at the best place for each.
//!
//! The size of body and head decides the box, so each pair is placed by itself; pairs of one shape are placed once.
//! Absent here: the geometry (`zones`, `positions`), and findings (`planned`).

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fmt;

use crate::domain::positions::Hanging;
use crate::domain::positions::Obstacle;
use crate::domain::positions::Position;
use crate::domain::positions::Survey;
use crate::domain::positions::WallSpot;

/// Where in the plan a rail is to hang.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlannedSpot {
    /// At the best place for each.
    Best,
    /// At this spot.
    At(WallSpot),
}

impl fmt::Display for PlannedSpot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Best => f.write_str("best"),
            Self::At(WallSpot { wall_index, offset_mm, bottom_mm }) => {
                write!(f, "wall {wall_index}, {offset_mm} mm from its start, {bottom_mm} mm up")
            }
        }
    }
}

/// Where a rail hangs, or what stands in its way.
pub type Hung = Result<Position, Obstacle>;

/// Shapes that were placed, and how each came out.
type Remembered = BTreeMap<(PlannedSpot, Hanging), Hung>;

/// A drawn room in which the rail is to hang.
#[derive(Debug, Clone)]
pub struct PlannedPlace<'a> {
    survey: Survey<'a>,
    connection: Option<WallSpot>,
    hung: RefCell<Remembered>,
}

impl<'a> PlannedPlace<'a> {
    /// A surveyed room; the connection point, where there is one already.
    pub const fn new(survey: Survey<'a>, connection: Option<WallSpot>) -> Self {
        Self { survey, connection, hung: RefCell::new(Remembered::new()) }
    }

    /// The surveyed room.
    pub const fn survey(&self) -> &Survey<'a> {
        &self.survey
    }

    /// Where a thing of a shape hangs; a shape that was asked for before is not placed again.
    pub fn hang(&self, spot: PlannedSpot, hanging: Hanging) -> Hung {
        let key = (spot, hanging);
        if let Some(known) = self.hung.borrow().get(&key) {
            return known.clone();
        }
        let (_spot, shape) = &key;
        let hung = match spot {
            PlannedSpot::At(at) => self.survey.at(shape, at, self.connection),
            PlannedSpot::Best => self.best(shape),
        };
        self.hung.borrow_mut().insert(key, hung.clone());
        hung
    }

    fn best(&self, hanging: &Hanging) -> Hung {
        if let Some(position) = self.survey.first(hanging, self.connection) {
            return Ok(position);
        }
        let found = self.survey.best(hanging, self.connection);
        let walls = found.refused.iter().map(|wall| {
            let reasons: Vec<&str> = wall.reasons.values().map(String::as_str).collect();
            format!("wall {}: {}", wall.wall_index, reasons.join(", "))
        });
        let walls: Vec<String> = walls.collect();
        Err(("no-place-in-plan", format!("no wall has a place for it ({})", walls.join("; "))))
    }
}

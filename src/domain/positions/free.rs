//! Where a solid is and whether the place for it is free, each found once a room: many bodies ask the same.
//!
//! Absent here: the rules' verdict on it.

use std::collections::BTreeMap;

use crate::domain::zones::placement::Placement;
use crate::domain::zones::plane;
use crate::domain::zones::scene::Rect;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict::Residual;

use super::Obstacle;
use super::Search;
use super::wall::Wall;
use super::wall::overlap;
use super::wall::touch_along;

/// Nothing in the way, or what is.
type Freedom = Result<(), Obstacle>;
/// A wall, what a body takes up there, and that with the clear space beside it.
type BodySpot = (usize, Solid, Solid);
/// A wall, how far along it, and the protection of the circuit.
type UnitSpot = (usize, i32, Residual);

/// What was found out about a room while bodies were looked for in it: many of them ask the same of it.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    /// Where a solid is.
    pub placements: BTreeMap<Solid, Placement>,
    /// What stands in a solid's way, its clear space beside it, on a wall.
    pub obstacles: BTreeMap<BodySpot, Freedom>,
    /// Whether a connection unit may stand so far along a wall, by the protection of its circuit.
    pub units: BTreeMap<UnitSpot, bool>,
}

impl Search<'_> {
    /// Where a solid is; one that was asked for before is not placed again.
    pub(super) fn place(&self, solid: &Solid) -> Placement {
        if let Some(known) = self.known.borrow().placements.get(solid) {
            return known.clone();
        }
        let placement = self.plan.place(solid);
        self.known.borrow_mut().placements.insert(*solid, placement.clone());
        placement
    }

    /// Nothing stands where the solid would hang, as it was found before or is found now.
    pub(super) fn check_free(
        &self,
        solid: &Solid,
        clear: &Solid,
        wall: &Wall,
    ) -> Result<(), Obstacle> {
        let key = (wall.index, *solid, *clear);
        if let Some(known) = self.known.borrow().obstacles.get(&key) {
            return known.clone();
        }
        let found = self.find_obstacle(solid, clear, wall);
        self.known.borrow_mut().obstacles.insert(key, found.clone());
        found
    }

    /// Nothing stands where the solid would hang; fixtures and openings also keep clear of its sides.
    fn find_obstacle(&self, solid: &Solid, clear: &Solid, wall: &Wall) -> Result<(), Obstacle> {
        if !self.room.holds_rect(&solid.plan) {
            return Err(("no-room-for-depth", "the room is not deep enough there".to_owned()));
        }
        for fixture in &self.scene.fixtures {
            if fixture.kind.outline().is_some_and(|outline| overlap(&outline, &clear.plan)) {
                return Err(("fixture-in-the-way", format!("{:?} is in the way", fixture.id)));
            }
        }
        if self.scene.partitions.iter().any(|part| plane::enters(&solid.plan, (part.a, part.b))) {
            return Err(("partition-in-the-way", "a partition is in the way".to_owned()));
        }
        for opening in &self.scene.openings {
            let in_wall =
                plane::is_on(opening.a, wall.segment) && plane::is_on(opening.b, wall.segment);
            let beside =
                in_wall && touch_along(&Rect::new(opening.a, opening.b), &clear.plan, wall.along);
            let level = solid.low_mm < opening.high_mm && opening.low_mm < solid.high_mm;
            let swept = opening.swept.is_some_and(|swept| overlap(&swept, &solid.plan));
            if beside && level || swept {
                return Err(("opening-in-the-way", "a door or window is in the way".to_owned()));
            }
        }
        Ok(())
    }
}

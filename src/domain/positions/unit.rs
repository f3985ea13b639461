//! Where the connection unit goes, and how the flex gets there.
//!
//! Absent here: where the body goes.
#![expect(
    clippy::arithmetic_side_effects,
    reason = "lengths of a drawing that was found right, bounded by its largest coordinate"
)]

use crate::domain::mounting::FlexRoute;
use crate::domain::mounting::PortSide;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::Refusal;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict;
use crate::domain::zones::verdict::Equipment;
use crate::domain::zones::verdict::Verdict;

use super::CLEARANCE_MM;
use super::Obstacle;
use super::Search;
use super::UNIT_BOTTOM_MM;
use super::UNIT_DEPTH_MM;
use super::UNIT_SIZE_MM;
use super::UnitPlace;
use super::hang::BoxSize;
use super::hang::HangFault;
use super::hang::Ports;
use super::hang::WallSpot;
use super::hang::flex_routes;
use super::hang::hang;
use super::is_barred;
use super::steps;
use super::wall::Wall;

/// The box of a connection unit or another control on a wall.
pub const UNIT_BOX: BoxSize = BoxSize {
    width_mm: UNIT_SIZE_MM,
    height_mm: UNIT_SIZE_MM,
    depth_mm: UNIT_DEPTH_MM,
    below_mm: 0,
};

impl Search<'_> {
    /// Where the connection unit goes: the point that was given, else the nearest place for the connection unit on the same wall that the flex reaches and the rules allow.
    pub(super) fn unit(
        &self,
        wall: &Wall,
        body: &Solid,
        ends: (i32, i32),
    ) -> Result<Option<UnitPlace>, Obstacle> {
        if self.is_unit_outside_room() {
            return Ok(None);
        }
        if let Some(connection) = self.connection {
            let (right_mm, left_mm) = ends;
            let ports = Ports { wall_index: wall.index, right_mm, left_mm, height_mm: body.low_mm };
            return self.unit_given(ports, connection).map(Some);
        }
        let half = UNIT_SIZE_MM.div_euclid(2);
        let gaps = steps(CLEARANCE_MM + half, self.hanging.flex_length_mm);
        let centres = gaps.flat_map(|gap_mm| [ends.0 - gap_mm, ends.1 + gap_mm]);
        centres
            .filter(|centre_mm| half <= *centre_mm && centre_mm + half <= wall.length_mm)
            .filter_map(|centre_mm| self.unit_at(wall.index, centre_mm, (body.low_mm, ends)))
            .find(|place| self.may_stand(wall, place.centre_mm))
            .map(Some)
            .ok_or_else(|| {
                let text = "no place for the connection unit outside the zones is within reach of the flex";
                ("connection-unit-out-of-reach", text.to_owned())
            })
    }

    fn is_unit_outside_room(&self) -> bool {
        let speaks = |row: &&PlaceRule| {
            row.kinds.contains(&EquipmentKind::ConnectionUnit) && row.zones.contains(&Zone::Outside)
        };
        let row = self.rules.rows.iter().find(speaks);
        row.is_some_and(|row| row.ruling == Ruling::Refused(Refusal::NotInRoom))
    }

    fn unit_at(
        &self,
        wall_index: usize,
        centre_mm: i32,
        (entry_height_mm, (from_mm, to_mm)): (i32, (i32, i32)),
    ) -> Option<UnitPlace> {
        // Seen from the room the start of a wall is on the right: corners run counter-clockwise.
        let route = FlexRoute {
            left_port_mm: to_mm,
            right_port_mm: from_mm,
            entry_height_mm,
            connection_mm: centre_mm,
            connection_height_mm: UNIT_BOTTOM_MM,
        };
        let sides = route.sides(self.hanging.flex_length_mm);
        let side = sides.into_iter().find(|side| self.serves(*side))?;
        let flex_needed_mm = route.needed_mm(side);
        Some(UnitPlace { wall_index, centre_mm, low_mm: UNIT_BOTTOM_MM, side, flex_needed_mm })
    }

    /// Whether it may stand there, as it was found before or is found now.
    fn may_stand(&self, wall: &Wall, centre_mm: i32) -> bool {
        let key = (wall.index, centre_mm, self.hanging.equipment.residual);
        let known = self.known.borrow().units.get(&key).copied();
        known.unwrap_or_else(|| {
            let found = self.find_whether_it_may_stand(wall, centre_mm);
            self.known.borrow_mut().units.insert(key, found);
            found
        })
    }

    fn find_whether_it_may_stand(&self, wall: &Wall, centre_mm: i32) -> bool {
        let half = UNIT_SIZE_MM.div_euclid(2);
        let solid = Solid {
            plan: wall.rect(centre_mm - half, centre_mm + half, UNIT_DEPTH_MM),
            low_mm: UNIT_BOTTOM_MM,
            high_mm: UNIT_BOTTOM_MM + UNIT_SIZE_MM,
        };
        let answer = self.control_verdict(&solid);
        self.check_free(&solid, &solid, wall).is_ok() && !is_barred(answer.outcome)
    }

    /// The worst of what the rules say of a connection unit, a time switch and a wall control of unknown rating there:
    /// where it is allowed, so is every control.
    fn control_verdict(&self, solid: &Solid) -> Verdict {
        let placement = self.place(solid);
        let of = |kind| {
            let residual = self.hanging.equipment.residual;
            let piece = Equipment { residual, ..Equipment::unknown(kind) };
            verdict::verdict(self.rules, &placement.spot, &piece)
        };
        let others = [EquipmentKind::TimeSwitch, EquipmentKind::WallControl].map(of);
        let unit = of(EquipmentKind::ConnectionUnit);
        others.into_iter().fold(
            unit,
            |worst, other| {
                if worst.outcome < other.outcome { other } else { worst }
            },
        )
    }

    /// Whether the element can go into a port.
    fn serves(&self, side: PortSide) -> bool {
        self.hanging.port.is_none_or(|only| only == side)
    }

    /// The point that was given: the flex must reach it round the walls, and a connection unit may stand there.
    fn unit_given(&self, ports: Ports, at: WallSpot) -> Result<UnitPlace, Obstacle> {
        let half = UNIT_SIZE_MM.div_euclid(2);
        let plate = WallSpot { offset_mm: at.offset_mm - half, ..at };
        let solid = hang(self.scene, plate, &UNIT_BOX).map_err(HangFault::obstacle)?;
        let answer = self.control_verdict(&solid);
        if let Some(reason) = answer.reasons.first().filter(|reason| is_barred(reason.outcome)) {
            let text = format!("the connection point: {}", reason.text);
            return Err((reason.code, text));
        }
        let routes = flex_routes(self.room, ports, at);
        let nearest = |side: PortSide| {
            let needed = routes.iter().map(|route| route.needed_mm(side)).min();
            needed.map(|needed| (needed, side))
        };
        let sides = [PortSide::Left, PortSide::Right].into_iter();
        let best = sides.filter(|side| self.serves(*side)).filter_map(nearest);
        let (flex_needed_mm, side) = best.min().unwrap_or((i32::MAX, PortSide::Left));
        let has_mm = self.hanging.flex_length_mm;
        if has_mm < flex_needed_mm {
            let text = format!(
                "the flex of {has_mm} mm does not reach the connection point, which needs {flex_needed_mm} mm with slack"
            );
            return Err(("flex-too-short", text));
        }
        let (centre_mm, low_mm) = (at.offset_mm, at.bottom_mm);
        Ok(UnitPlace { wall_index: at.wall_index, centre_mm, low_mm, side, flex_needed_mm })
    }
}

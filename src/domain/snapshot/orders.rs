//! Bodies in the order of the least that a rail with them can cost, once for every step of wattage.
//!
//! The least is the body, the cheapest element on its menu that has the watts, and what the body cannot be without.
//! A question scans the order of its step and stops where the least exceeds what it still looks for.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::cast_possible_wrap,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "places made here, fewer than u32 holds"
)]

use crate::domain::catalogue::Side;

use super::lanes::Lanes;
use super::lanes::Ranks;
use super::lanes::ordered;
use super::rows::BodyRow;

/// The cuts of every lane of a body.
#[derive(Debug, Clone)]
pub(crate) struct BodyRanks {
    pub width: Ranks,
    pub height: Ranks,
    pub hang: Ranks,
    pub rated: Ranks,
    pub finish: Ranks,
    pub finish_back: Ranks,
}

/// One order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Order {
    /// The least price, ascending.
    pub least: Vec<i64>,
    pub lanes: Vec<Lanes>,
    pub bodies: Vec<u32>,
}

impl BodyRanks {
    /// The cuts for these bodies. The rated output is ranked negated: more is better.
    pub(crate) fn of(bodies: &[BodyRow]) -> Self {
        let rank = |value: fn(&BodyRow) -> i64| Ranks::of(bodies.iter().map(value).collect());
        Self {
            width: rank(|row| i64::from(row.width)),
            height: rank(|row| i64::from(row.height)),
            hang: rank(|row| i64::from(row.hang)),
            rated: rank(|row| ordered(-row.emitter.rated.value())),
            finish: rank(|row| row.finish as i64),
            finish_back: rank(|row| -(row.finish as i64)),
        }
    }

    /// The rank of a body's rated output: the more, the lower.
    pub(crate) fn rated_rank(&self, row: &BodyRow) -> u8 {
        self.rated.rank(ordered(-row.emitter.rated.value()))
    }

    /// The lanes of a body.
    pub(crate) fn lanes(&self, row: &BodyRow) -> Lanes {
        Lanes::pack([
            self.width.rank(i64::from(row.width)),
            self.height.rank(i64::from(row.height)),
            self.hang.rank(i64::from(row.hang)),
            self.rated_rank(row),
            u8::from(row.side == Side::Right),
            u8::from(row.side == Side::Left),
            self.finish.rank(row.finish as i64),
            self.finish_back.rank(-(row.finish as i64)),
        ])
    }
}

impl Order {
    /// The order of bodies by the least that each costs; bodies without one are left out.
    pub(crate) fn of(mut least: Vec<(i64, usize)>, lanes: &[Lanes]) -> Self {
        least.sort_unstable();
        Self {
            lanes: least.iter().map(|(_, body)| lanes[*body]).collect(),
            bodies: least.iter().map(|(_, body)| *body as u32).collect(),
            least: least.into_iter().map(|(least, _)| least).collect(),
        }
    }

    /// Memory it takes.
    pub(crate) fn heap_bytes(&self) -> usize {
        size_of_val(self.least.as_slice())
            + size_of_val(self.lanes.as_slice())
            + size_of_val(self.bodies.as_slice())
    }

    /// The body at a place.
    pub(crate) fn body(&self, place: usize) -> usize {
        self.bodies[place] as usize
    }
}

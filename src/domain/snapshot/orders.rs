//! Bodies of one finish in the order of the least that a rail with them can cost, once for every step of wattage.
//!
//! The least is the body, the cheapest element on its menu that has the watts, and what the body cannot be without.
//! A question walks the order of its step and stops where the least exceeds what it still looks for. The lanes of eight
//! bodies have a floor, lower than each: where a limit does not admit the floor, none of the eight is looked at.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "places made here, fewer than u32 holds"
)]

use crate::domain::catalogue::Side;

use super::lanes::Guarded;
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
    pub strongest: Ranks,
}

/// A body as an order holds it: what a walk reads of every body, side by side in memory.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stand {
    /// The least price of a rail with it.
    pub least: i64,
    /// Net price of the body with the least that its own needs cost.
    pub base: i64,
    /// The highest rating on its menu, tenths of a watt.
    pub strongest: i64,
    /// Rated output, watts.
    pub rated: f64,
    pub width: i32,
    /// Whether it has a guard, behind which set points are as made.
    pub is_guarded: bool,
    /// Place of the body among the snapshot's.
    pub body: u32,
    /// Its menu.
    pub menu: u32,
}

/// One order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Order {
    stands: Vec<Stand>,
    lanes: Vec<Lanes>,
    floors: Vec<Lanes>,
}

/// Bodies under one floor.
const BLOCK: usize = 8;

impl BodyRanks {
    /// The cuts for these bodies and the highest ratings on their menus. What is better when it is more is ranked
    /// negated.
    pub(crate) fn of<F: Fn(&BodyRow) -> i64>(bodies: &[BodyRow], strongest: F) -> Self {
        let rank = |value: fn(&BodyRow) -> i64| Ranks::of(bodies.iter().map(value).collect());
        Self {
            width: rank(|row| i64::from(row.width)),
            height: rank(|row| i64::from(row.height)),
            hang: rank(|row| i64::from(row.hang)),
            rated: rank(|row| ordered(-row.emitter.rated.value())),
            strongest: Ranks::of(bodies.iter().map(|row| -strongest(row)).collect()),
        }
    }

    /// The rank of a body's rated output: the more, the lower.
    pub(crate) fn rated_rank(&self, row: &BodyRow) -> u8 {
        self.rated.rank(ordered(-row.emitter.rated.value()))
    }

    /// The lanes of a body and the highest rating on its menu.
    pub(crate) fn lanes(&self, row: &BodyRow, strongest: i64) -> Lanes {
        Lanes::pack([
            self.width.rank(i64::from(row.width)),
            self.height.rank(i64::from(row.height)),
            self.hang.rank(i64::from(row.hang)),
            self.rated_rank(row),
            u8::from(row.side == Side::Right),
            u8::from(row.side == Side::Left),
            self.strongest.rank(-strongest),
            0,
        ])
    }
}

impl Stand {
    /// A body at a place among the snapshot's, with its prices and the highest rating on its menu.
    pub(crate) fn new(
        (place, row): (usize, &BodyRow),
        [least, base]: [i64; 2],
        strongest: i64,
    ) -> Self {
        let rated = row.emitter.rated.value();
        let (body, menu) = (place as u32, row.menu as u32);
        let (width, is_guarded) = (row.width, row.is_guarded);
        Self { least, base, strongest, rated, width, is_guarded, body, menu }
    }

    /// [`Stand::body`] as a place.
    pub(crate) const fn body(&self) -> usize {
        self.body as usize
    }

    /// [`Stand::menu`] as a place.
    pub(crate) const fn menu(&self) -> usize {
        self.menu as usize
    }
}

impl Order {
    /// The order of bodies by the least that each costs, then part number.
    pub(crate) fn of(mut stands: Vec<Stand>, lanes: &[Lanes]) -> Self {
        stands.sort_unstable_by_key(|stand| (stand.least, stand.body));
        let lanes: Vec<Lanes> = stands.iter().map(|stand| lanes[stand.body()]).collect();
        let floor = |block: &[Lanes]| block.iter().copied().reduce(Lanes::lower);
        let floors = lanes.chunks(BLOCK).filter_map(floor).collect();
        Self { stands, lanes, floors }
    }

    /// Hands over the bodies within a limit, in order, until told to stop.
    pub(crate) fn walk<'a, F: FnMut(&'a Stand) -> bool>(&'a self, limit: Guarded, mut sink: F) {
        let blocks = self.floors.iter().enumerate().filter(|(_, floor)| limit.admits(**floor));
        for (block, _) in blocks {
            let start = block * BLOCK;
            let both = self.lanes[start..].iter().zip(&self.stands[start..]).take(BLOCK);
            let mut within = both.filter(|(lanes, _)| limit.admits(**lanes));
            if !within.all(|(_, stand)| sink(stand)) {
                return;
            }
        }
    }

    /// All bodies, in order.
    pub(crate) fn stands(&self) -> &[Stand] {
        &self.stands
    }

    /// The least price of any.
    pub(crate) fn least(&self) -> Option<i64> {
        self.stands.first().map(|stand| stand.least)
    }

    /// Memory it takes.
    pub(crate) fn heap_bytes(&self) -> usize {
        size_of_val(self.stands.as_slice())
            + size_of_val(self.lanes.as_slice())
            + size_of_val(self.floors.as_slice())
    }
}

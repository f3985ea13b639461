//! Bodies of one finish in the order of the least that a rail with them can cost, once for every step of wattage.
//!
//! The least is the body, the cheapest element on its menu that has the watts, and what the body cannot be without.
//! A question walks the order of its step and stops where the least exceeds what it still looks for. The lanes of eight
//! bodies have a floor, lower than each: where a limit does not admit the floor, none of the eight is looked at. Sixteen
//! floors have a floor again, and there the price is looked at before any body is.
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
    /// Floors of the floors.
    ground: Vec<Lanes>,
}

/// Bodies under one floor.
const BLOCK: usize = 8;

/// Floors under one floor again.
const FLOORS: usize = 16;

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

    /// Its menu, told apart by whether it has a guard.
    pub(crate) fn menu_key(&self) -> u32 {
        self.menu * 2 + u32::from(self.is_guarded)
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
        let lowest = |rows: &[Lanes]| rows.iter().copied().reduce(Lanes::lower);
        let floors: Vec<Lanes> = lanes.chunks(BLOCK).filter_map(lowest).collect();
        let ground = floors.chunks(FLOORS).filter_map(lowest).collect();
        Self { stands, lanes, floors, ground }
    }

    /// Hands over the bodies within a limit, in order, as long as their least prices are no more than so much, which
    /// every answer sets anew.
    pub(crate) fn walk<'a, F>(&'a self, (limit, mut most): (Guarded, i64), mut sink: F)
    where
        F: FnMut(&'a Stand) -> i64,
    {
        for (place, ground) in self.ground.iter().enumerate() {
            let first = place * FLOORS;
            if most < self.stands[first * BLOCK].least {
                return;
            }
            let count = if limit.admits(*ground) { FLOORS } else { 0 };
            let floors = self.floors[first..].iter().take(count).enumerate();
            let mut within = floors.filter(|(_, lowest)| limit.admits(**lowest));
            let is_on = within
                .all(|(floor, _)| self.walk_block(first + floor, (limit, &mut most), &mut sink));
            if !is_on {
                return;
            }
        }
    }

    /// Hands over those under one floor; says whether none of them costs too much.
    #[inline]
    fn walk_block<'a, F>(&'a self, floor: usize, asked: (Guarded, &mut i64), sink: &mut F) -> bool
    where
        F: FnMut(&'a Stand) -> i64,
    {
        let ((limit, most), start) = (asked, floor * BLOCK);
        let rows = self.lanes[start..].iter().take(BLOCK).zip(&self.stands[start..]);
        rows.filter(|(lanes, _)| limit.admits(**lanes)).all(|(_, stand)| {
            let is_within = stand.least <= *most;
            if is_within {
                *most = sink(stand);
            }
            is_within
        })
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
            + size_of_val(self.ground.as_slice())
    }
}

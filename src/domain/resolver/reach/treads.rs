//! Rails of one finish by width: only those that deliver more than every one that is no wider.
//!
//! Of some rails side by side, each may be put off for one of these: it is no wider and delivers no less. So the warmest
//! and the narrowest bundles are found among them.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "sums of three bounded outputs and widths; places within the list"
)]

use crate::domain::resolver::several::GAP_MM;
use crate::domain::resolver::sought::RAILS_MAX;

/// A rail, or the most that a body can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tread {
    pub width: i32,
    pub delivered: i64,
    /// Where it is told what it is.
    pub place: usize,
}

/// Some rails side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Abreast {
    pub delivered: i64,
    /// With the gaps between them.
    pub width: i32,
    pub count: usize,
    /// Places of its rails; those beyond the count mean nothing.
    pub places: [usize; RAILS_MAX],
}

/// By rising width and rising output.
#[derive(Debug, Clone, Default)]
pub(super) struct Treads(Vec<Tread>);

impl Treads {
    /// The most that one no wider than this delivers.
    pub(super) fn most(&self, width: i32) -> i64 {
        self.widest(width).map_or(i64::MIN, |place| self.0[place].delivered)
    }

    /// Adds one, unless another is no wider and delivers no less.
    pub(super) fn add(&mut self, tread: Tread) {
        if tread.delivered <= self.most(tread.width) {
            return;
        }
        let from = self.0.partition_point(|other| other.width < tread.width);
        let beaten = self.0[from..].partition_point(|other| other.delivered <= tread.delivered);
        self.0.splice(from..from + beaten, [tread]);
    }

    /// What their places tell.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        self.0.iter().map(|tread| tread.place)
    }

    /// The most that any delivers.
    pub(super) fn highest(&self) -> Option<i64> {
        self.0.last().map(|tread| tread.delivered)
    }

    /// So many that deliver most together on a wall.
    pub(super) fn warmest(&self, count: usize, wall: Option<i32>) -> Option<Abreast> {
        let wall = wall.map_or(i32::MAX, |wall| wall.saturating_sub(gaps(count)));
        let mut best = None;
        self.each_begun(count, |begun| {
            let Some(last) = self.widest(wall.saturating_sub(width(&begun))) else { return false };
            let whole = abreast(count, [begun[0], begun[1], Some(self.0[last])]);
            if best.is_none_or(|best: Abreast| best.delivered < whole.delivered) {
                best = Some(whole);
            }
            true
        });
        best
    }

    /// So many that take least wall and deliver enough together.
    pub(super) fn narrowest(&self, count: usize, required: i64) -> Option<Abreast> {
        let mut best = None;
        self.each_begun(count, |begun| {
            let need = required - begun.iter().flatten().map(|tread| tread.delivered).sum::<i64>();
            let last = self.0.partition_point(|tread| tread.delivered < need);
            let Some(last) = self.0.get(last) else { return true };
            let whole = abreast(count, [begun[0], begun[1], Some(*last)]);
            if best.is_none_or(|best: Abreast| whole.width < best.width) {
                best = Some(whole);
            }
            true
        });
        best
    }

    /// The place of the widest that is no wider than this.
    fn widest(&self, width: i32) -> Option<usize> {
        self.0.partition_point(|tread| tread.width <= width).checked_sub(1)
    }

    /// Hands over all but the last of so many, in order of width; what follows is skipped once there is no room for a last.
    fn each_begun<F: FnMut([Option<Tread>; 2]) -> bool>(&self, count: usize, mut sink: F) {
        match count {
            0 => {}
            1 => {
                sink([None, None]);
            }
            2 => {
                self.0.iter().all(|tread| sink([Some(*tread), None]));
            }
            _ => {
                for (place, first) in self.0.iter().enumerate() {
                    let more = self.0[place..].iter();
                    more.copied().all(|second| sink([Some(*first), Some(second)]));
                }
            }
        }
    }
}

fn width(begun: &[Option<Tread>; 2]) -> i32 {
    begun.iter().flatten().map(|tread| tread.width).sum()
}

fn gaps(count: usize) -> i32 {
    i32::try_from(count.saturating_sub(1)).unwrap_or(i32::MAX).saturating_mul(GAP_MM)
}

fn abreast(count: usize, treads: [Option<Tread>; RAILS_MAX]) -> Abreast {
    let mut whole = Abreast { delivered: 0, width: gaps(count), count, places: [0; RAILS_MAX] };
    for (place, tread) in treads.iter().flatten().enumerate() {
        whole.delivered += tread.delivered;
        whole.width = whole.width.saturating_add(tread.width);
        whole.places[place] = tread.place;
    }
    whole
}

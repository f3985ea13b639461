//! The rails that can stand in one of the best bills of several: those that not enough others beat.
//!
//! A rail is dropped when as many rails as bills are wanted cost less, deliver no less and are no wider: put in its
//! place, each makes a better bill. What a rail can deliver at most and cost at least is known before it is worked
//! out, so most are dropped unseen. Widths are compared by a few cuts, which only ever keeps too many.
#![expect(clippy::indexing_slicing, reason = "tables as long as the cuts they are made for")]

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::scan::Offered;
use super::scan::Taker;
use super::stairs::Leasts;

/// Rails being collected, bodies in order of the least that they cost.
#[derive(Debug)]
pub(super) struct Frontier<'a> {
    wanted: usize,
    width: Option<i32>,
    partners: Partners<'a>,
    rails: Vec<Offered>,
    /// Rails not yet counted because what follows may cost less: net price and place.
    waiting: BinaryHeap<Waiting>,
    tops: Tops<'a>,
    /// The body whose rails are being collected: where they begin, and the most that it can deliver.
    start: usize,
    body_most: i64,
}

/// What the other rails of a bill cost at least.
#[derive(Debug, Clone, Copy)]
pub(super) struct Partners<'a> {
    pub leasts: &'a Leasts,
    pub required: i64,
    /// The most that a whole bill may cost.
    pub bound: i64,
}

impl Partners<'_> {
    /// Whether a rail of this least price and this most heat can stand in a bill at all.
    fn allow(&self, least: i64, most: i64) -> bool {
        least.saturating_add(self.leasts.rest_least(self.required, most)) <= self.bound
    }
}

/// Rails in order of price, with the cuts of their widths.
#[derive(Debug)]
pub(super) struct Collected<'a> {
    pub rails: Vec<Offered>,
    /// Ascending; the last is at least the widest.
    pub cuts: &'a [i32],
}

/// Net price and place of a rail, the cheapest first.
type Waiting = Reverse<(i64, usize)>;

/// A wall without end: width beats nobody.
const ENDLESS: &[i32] = &[i32::MAX];

impl<'a> Frontier<'a> {
    /// An empty frontier for so many bills on so wide a wall, whose rails cost no more than a bound.
    pub(super) fn new(
        wanted: usize,
        (width, cuts): (Option<i32>, &'a [i32]),
        partners: Partners<'a>,
    ) -> Self {
        let cuts = if width.is_some() { cuts } else { ENDLESS };
        let tops = Tops { wanted, cuts, delivered: vec![Vec::new(); cuts.len()] };
        Self {
            wanted,
            width,
            partners,
            rails: Vec::new(),
            waiting: BinaryHeap::new(),
            tops,
            start: 0,
            body_most: 0,
        }
    }

    /// How many rails are kept.
    pub(super) const fn len(&self) -> usize {
        self.rails.len()
    }

    /// Begins a body that costs at least so much and delivers at most so much; says whether its rails may matter.
    pub(super) fn begin(&mut self, least: i64, (width, most): (i32, i64)) -> bool {
        self.prune_body();
        while let Some(Reverse((net, place))) = self.waiting.peek().copied() {
            if least <= net {
                break;
            }
            self.tops.count(&self.rails[place]);
            self.waiting.pop();
        }
        self.body_most = most;
        self.width.is_none_or(|allowed| width <= allowed)
            && self.partners.allow(least, most)
            && !self.tops.beat(width, most)
    }

    /// Drops what the body's own rails beat.
    fn prune_body(&mut self) {
        let mut own = self.rails.split_off(self.start);
        own.sort_unstable_by_key(|offered| (offered.net, offered.rail));
        for rail in own {
            let beats =
                |other: &&Offered| other.net < rail.net && rail.delivered <= other.delivered;
            let better = self.rails[self.start..].iter().filter(beats);
            if better.take(self.wanted).count() < self.wanted {
                self.rails.push(rail);
            }
        }
        for place in self.start..self.rails.len() {
            self.waiting.push(Reverse((self.rails[place].net, place)));
        }
        self.start = self.rails.len();
    }

    /// The frontier in order of price and part numbers.
    pub(super) fn finish(mut self) -> Collected<'a> {
        self.prune_body();
        let mut rails = self.rails;
        rails.sort_unstable_by_key(|offered| (offered.net, offered.rail));
        let mut tops = Tops { delivered: vec![Vec::new(); self.tops.cuts.len()], ..self.tops };
        let mut kept: Vec<Offered> = Vec::new();
        let mut counted = 0;
        for rail in rails {
            // Only cheaper rails count: at one price the surplus and the part numbers decide.
            while kept.get(counted).is_some_and(|earlier| earlier.net < rail.net) {
                tops.count(&kept[counted]);
                counted = counted.saturating_add(1);
            }
            if !tops.beat(rail.width, rail.delivered) {
                kept.push(rail);
            }
        }
        Collected { rails: kept, cuts: tops.cuts }
    }
}

impl Taker for Frontier<'_> {
    fn wants(&self, least: i64, most: i64) -> bool {
        let most = most.min(self.body_most);
        if !self.partners.allow(least, most) {
            return false;
        }
        let beats = |other: &&Offered| other.net < least && most <= other.delivered;
        self.rails[self.start..].iter().filter(beats).take(self.wanted).count() < self.wanted
    }

    fn take(&mut self, offered: Offered) -> i64 {
        self.rails.push(offered);
        self.partners.bound
    }
}

/// The most delivered, so many times over, by rails no wider than each cut.
#[derive(Debug)]
struct Tops<'a> {
    wanted: usize,
    cuts: &'a [i32],
    delivered: Vec<Vec<i64>>,
}

impl Tops<'_> {
    fn count(&mut self, rail: &Offered) {
        for (cut, tops) in self.cuts.iter().zip(&mut self.delivered) {
            if *cut < rail.width {
                continue;
            }
            let place = tops.partition_point(|top| rail.delivered < *top);
            if place < self.wanted {
                tops.insert(place, rail.delivered);
                tops.truncate(self.wanted);
            }
        }
    }

    /// Whether as many counted rails as wanted are no wider and deliver no less.
    fn beat(&self, width: i32, delivered: i64) -> bool {
        let narrower = self.cuts.partition_point(|cut| *cut <= width);
        let place = if self.cuts == ENDLESS { Some(0) } else { narrower.checked_sub(1) };
        let tops = place.and_then(|place| self.delivered.get(place));
        tops.and_then(|tops| tops.get(self.wanted.saturating_sub(1)))
            .is_some_and(|last| delivered <= *last)
    }
}

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
use super::stairs::Begun;
use super::stairs::Bounds;

/// Rails being collected, bodies in order of the least that they cost.
#[derive(Debug)]
pub(super) struct Frontier<'a> {
    wanted: usize,
    partners: Partners<'a>,
    rails: Vec<Offered>,
    /// Rails not yet counted because what follows may cost less: net price and place.
    waiting: BinaryHeap<Waiting>,
    tops: Tops<'a>,
    /// Where the rails of the body begin that is being asked.
    start: usize,
    body: Begun,
    is_short: bool,
}

/// What the other rails of a bill ask of one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Partners<'a> {
    /// Nothing for rails that are put together elsewhere.
    pub bounds: Option<&'a Bounds>,
    /// The most that a whole bill may cost.
    pub bound: i64,
}

impl Partners<'_> {
    /// The least that a bill costs with a body.
    fn with_body(&self, body: &Begun) -> i64 {
        self.bounds.map_or(0, |bounds| bounds.with_body(body))
    }

    /// The least that the others cost beside a rail that delivers at most so much.
    pub(super) fn rest(&self, width: i32, most: i64) -> i64 {
        self.bounds.map_or(0, |bounds| bounds.rest(width, most))
    }

    /// The least that a rail must deliver.
    pub(super) fn share(&self, width: i32) -> i64 {
        self.bounds.map_or(0, |bounds| bounds.share(width).max(0))
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
    /// An empty frontier for so many bills, on a wall whose width counts by cuts or not at all.
    pub(super) fn new(wanted: usize, cuts: Option<&'a [i32]>, partners: Partners<'a>) -> Self {
        let cuts = cuts.unwrap_or(ENDLESS);
        let tops = Tops { wanted, cuts, delivered: vec![Vec::new(); cuts.len()] };
        Self {
            wanted,
            partners,
            rails: Vec::new(),
            waiting: BinaryHeap::new(),
            tops,
            start: 0,
            body: Begun::default(),
            is_short: false,
        }
    }

    /// How many rails are kept.
    pub(super) const fn len(&self) -> usize {
        self.rails.len()
    }

    /// Whether anything was left out because it costs too much.
    pub(super) const fn is_short(&self) -> bool {
        self.is_short
    }

    /// Whether any bill with a rail that costs at least so much is looked for.
    pub(super) fn reaches(&mut self, least: i64) -> bool {
        let rest = self.partners.bounds.map_or(0, Bounds::rest_least);
        self.is_affordable(least.saturating_add(rest))
    }

    /// The least that a rail of this width must deliver.
    pub(super) fn share(&self, width: i32) -> i64 {
        self.partners.share(width)
    }

    /// The most that a rail with a body may cost.
    pub(super) fn bound_beside(&self, body: &Begun) -> i64 {
        self.partners.bound.saturating_sub(self.partners.rest(body.width, body.most))
    }

    /// Begins a body that costs at least so much; says whether its rails may matter.
    pub(super) fn begin(&mut self, least: i64, body: Begun) -> bool {
        self.prune_body();
        while let Some(Reverse((net, place))) = self.waiting.peek().copied() {
            if least <= net {
                break;
            }
            self.tops.count(&self.rails[place]);
            self.waiting.pop();
        }
        self.body = body;
        let with_body = self.partners.with_body(&body);
        self.is_affordable(with_body) && !self.tops.beat(body.width, body.most)
    }

    /// Whether a bill that costs at least so much is looked for; the highest price is that of a bill that cannot be.
    fn is_affordable(&mut self, least: i64) -> bool {
        let is_affordable = least <= self.partners.bound && least < i64::MAX;
        self.is_short |= !is_affordable && least < i64::MAX;
        is_affordable
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
    fn wants(&mut self, least: i64, most: i64) -> bool {
        let most = most.min(self.body.most);
        let rest = self.partners.rest(self.body.width, most);
        if !self.is_affordable(least.saturating_add(rest)) {
            return false;
        }
        let beats = |other: &&Offered| other.net < least && most <= other.delivered;
        self.rails[self.start..].iter().filter(beats).take(self.wanted).count() < self.wanted
    }

    fn leave_out(&mut self) {
        self.is_short = true;
    }

    fn take(&mut self, offered: Offered) -> i64 {
        self.rails.push(offered);
        self.bound_beside(&self.body)
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

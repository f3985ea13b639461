//! A question put to one finish: what its elements can do for it bounds what any rail of the finish costs and gives.
//!
//! Every figure here lets too much through and never too little: the hottest set point is one of an element that meets the
//! demands on it alone, whatever body takes it, and the cheapest element is cheapest in the same sense.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "figures of a room; lanes and set points by place"
)]

use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Listed;
use crate::domain::snapshot::Protection;
use crate::domain::snapshot::Shelf;
use crate::domain::snapshot::Stand;
use crate::domain::units::Watts;

use super::question::NOISE;
use super::question::Question;
use super::question::RATED;
use super::question::STRONGEST;
use super::question::shed_at_most;

/// The hottest set point that an element of the finish has; infinite without one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heat {
    hottest: f64,
    /// The share of its rated output that the best body sheds at that.
    shed_most: f64,
}

/// A question and a finish.
#[derive(Debug, Clone, Copy)]
pub(super) struct Narrowed<'a> {
    pub question: &'a Question<'a>,
    pub shelf: &'a Shelf,
    /// What elements can do in a body without and with a guard, behind which set points are as made.
    pub heats: [Heat; 2],
}

impl<'a> Narrowed<'a> {
    /// The question to a finish; nothing when no element of it meets the demands.
    pub(super) fn new(question: &'a Question<'a>, finish: usize) -> Option<Self> {
        let shelf = question.index.shelves.get(finish)?;
        let heat = |protection: Protection, is_guarded| {
            let limit = question.any_element_limit(0, is_guarded);
            let mut listed = shelf.by_heat_from(question.kind, protection).iter();
            let row = listed.find_map(|listed| meeting(question, limit, listed))?;
            let hottest = row.set_points[protection.place()];
            Some(Heat { hottest, shed_most: question.shed_most_at(hottest) })
        };
        let bare = heat(question.protection, false);
        let is_apart = question.protection != Protection::Ordinary && shelf.has_guard();
        let guarded = if is_apart { heat(Protection::Ordinary, true) } else { bare };
        let heats = [bare.or_else(|| guarded.map(|_| COLD))?, guarded.or(bare)?];
        Some(Self { question, shelf, heats })
    }

    /// Limits on the lanes of bodies that can deliver so much.
    pub(super) fn limits(&self, required: i64) -> [u8; 8] {
        let ranks = &self.question.index.body_ranks;
        let [bare, guarded] = self.heats.map(|heat| heat.shed_most);
        let mut limits = self.question.body_limits;
        limits[RATED] = self.question.rated_limit(required, bare.max(guarded));
        limits[STRONGEST] = ranks.strongest.rank(-required);
        limits
    }

    /// Limits on elements that have the watts, in a body without and with a guard.
    pub(super) fn element_limits(&self, required: i64) -> [Guarded; 2] {
        let question = self.question;
        let limit = |is_guarded| question.any_element_limit(required, is_guarded);
        let bare = limit(false);
        // Where nobody needs protection a guard changes nothing.
        let is_apart = question.protection != Protection::Ordinary && self.shelf.has_guard();
        [bare, if is_apart { limit(true) } else { bare }]
    }

    /// Hands over every element that meets the demands on it alone and is within a limit for so many watts, and the
    /// least that those not yet handed over cost, until told to stop.
    pub(super) fn each_element<F: FnMut(&ElementRow, i64) -> bool>(
        &self,
        (required, is_guarded): (i64, bool),
        limit: Guarded,
        mut sink: F,
    ) {
        let question = self.question;
        let protection = if is_guarded { Protection::Ordinary } else { question.protection };
        let rank = question.index.element_ranks.rating.rank(-required);
        for listed in self.shelf.by_price_from((question.kind, protection), rank) {
            let Some(row) = meeting(question, limit, listed) else { continue };
            if !sink(row, row.net.saturating_add(question.controls_least)) {
                return;
            }
        }
    }

    /// The least that an element with the watts that meets every demand on it alone costs with the controls that it needs,
    /// in a body with or without a guard; the most that a number holds when none does.
    pub(super) fn cheapest_element(&self, asked: (i64, bool), limit: Guarded) -> i64 {
        let mut cheapest = i64::MAX;
        self.each_element(asked, limit, |row, next| {
            cheapest = self.question.element_least(row).min(cheapest);
            next < cheapest
        });
        cheapest
    }

    /// The most that a body can deliver here with any element, tenths of a watt; never too little.
    pub(super) fn most_delivered(&self, body: &BodyRow, strongest: i64) -> i64 {
        let hottest = self.heats[usize::from(body.is_guarded)].hottest;
        if hottest == f64::INFINITY {
            return strongest;
        }
        let excess = hottest - self.question.demands.surroundings.room.value();
        strongest.min(shed_at_most(&self.question.emitter(body), excess).delivered().value())
    }

    /// [`Narrowed::most_delivered`] without working out a power, and coarser.
    pub(super) fn most_roughly(&self, stand: &Stand) -> i64 {
        let shed = stand.rated * self.heats[usize::from(stand.is_guarded)].shed_most;
        stand.strongest.min(Watts::new(shed * (1.0_f64 + NOISE)).delivered().value())
    }
}

/// No element works there.
const COLD: Heat = Heat { hottest: f64::NEG_INFINITY, shed_most: 0.0 };

/// The element, if it is within a limit and meets the demands on it alone.
fn meeting<'a>(question: &Question<'a>, limit: Guarded, listed: &Listed) -> Option<&'a ElementRow> {
    let row =
        question.index.elements.get(listed.slot()).filter(|_| limit.admits(listed.lanes()))?;
    question.element_meets(row).then_some(row)
}

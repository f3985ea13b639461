//! Limits on lanes: what a scan may skip without looking. Each lets too much through and never too little.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "bounded lengths and prices; lanes and set points by place"
)]

use crate::domain::catalogue::Side;
use crate::domain::compatibility::FLEX_SLACK;
use crate::domain::emission::RATED_EXCESS;
use crate::domain::resolver::demands::RegulationWish;
use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::ordered;
use crate::domain::units::Deciwatts;
use crate::domain::units::Kelvins;
use crate::domain::units::Watts;

use super::Question;
use super::RATED;
use super::SLACK;

/// The lane of the finish and its mirror.
const FINISH: usize = 6;
const FINISH_BACK: usize = 7;
/// Relative rounding that never hides an answer.
const NOISE: f64 = 1e-9;

impl Question<'_> {
    pub(crate) fn limit_bodies(&self) -> [u8; 8] {
        let ranks = &self.index.body_ranks;
        let place = &self.demands.surroundings.place;
        let mut limits = Lanes::OPEN;
        if let Some(wall) = place.wall_width {
            limits[0] = ranks.width.rank(i64::from(wall.value()));
        }
        if let Some(wall) = place.wall_height {
            let head = self.index.extremes.head_least;
            limits[1] = ranks.height.rank(i64::from(wall.value()) - i64::from(head));
        }
        if let Some(hang) = self.hang_max {
            limits[2] = ranks.hang.rank(i64::from(hang));
        }
        limits[RATED] = self.rated_limit(self.required);
        match place.side {
            Side::Left => limits[4] = 0,
            Side::Right => limits[5] = 0,
            Side::Either => {}
        }
        if let Some(finish) = self.finish {
            [limits[FINISH], limits[FINISH_BACK]] = self.finish_limits(finish);
        }
        limits
    }

    /// Limits on the two lanes of the finish that let one finish through.
    pub(crate) fn finish_limits(&self, finish: usize) -> [u8; 2] {
        let ranks = &self.index.body_ranks;
        let finish = i64::try_from(finish).unwrap_or(i64::MAX);
        [ranks.finish.rank(finish), ranks.finish_back.rank(-finish)]
    }

    /// The limits for bodies of one finish that need not meet the requirement alone.
    pub(crate) fn limits_of_finish(&self, finish: usize) -> [u8; 8] {
        let mut limits = self.body_limits;
        limits[RATED] = Lanes::OPEN[RATED];
        [limits[FINISH], limits[FINISH_BACK]] = self.finish_limits(finish);
        limits
    }

    /// The most that a body can deliver here with any element, tenths of a watt; never too little.
    pub(crate) fn most_delivered(&self, body: &BodyRow) -> i64 {
        let hottest = self.hottest();
        let strongest = self.menus.strongest(body.menu);
        if hottest == f64::INFINITY {
            return strongest;
        }
        let excess = hottest - self.demands.surroundings.room.value();
        let shed = self.emitter(body).output(Kelvins::new(excess)).value();
        strongest.min(Watts::new(shed * (1.0_f64 + NOISE)).delivered().value())
    }

    /// [`Question::most_delivered`] without working out a power, and coarser.
    pub(crate) fn most_roughly(&self, body: &BodyRow) -> i64 {
        let strongest = self.menus.strongest(body.menu);
        let shed = body.emitter.rated.value() * self.shed_most;
        strongest.min(Watts::new(shed * (1.0_f64 + NOISE)).delivered().value())
    }

    /// The hottest set point that any element has for these users.
    fn hottest(&self) -> f64 {
        let extremes = &self.index.extremes;
        let hottest = extremes.set_points[self.protection.place()];
        if extremes.has_guard { hottest.max(extremes.set_points[0]) } else { hottest }
    }

    /// The share of its rated output that the best body sheds at the hottest set point; infinite without one.
    pub(crate) fn find_shed_most(&self) -> f64 {
        let surroundings = &self.demands.surroundings;
        let extremes = &self.index.extremes;
        let ratio = (self.hottest() - surroundings.room.value()) / RATED_EXCESS.value();
        if ratio <= 0.0_f64 || ratio.is_infinite() {
            return f64::max(ratio, 0.0);
        }
        let powers = [extremes.exponent_least, extremes.exponent_most];
        let [low, high] = powers.map(|exponent| libm::pow(ratio, exponent));
        surroundings.towels_factor * low.max(high)
    }

    /// The limit on the rated output of bodies that can deliver so much here, at the hottest set point there is.
    pub(crate) fn rated_limit(&self, required: i64) -> u8 {
        if required <= 0 || self.shed_most == f64::INFINITY {
            return Lanes::OPEN[RATED];
        }
        if self.shed_most <= 0.0_f64 {
            return self.index.body_ranks.rated.rank(i64::MIN);
        }
        let watts = Deciwatts::new(required).watts() - SLACK;
        let rated = watts / self.shed_most;
        self.index.body_ranks.rated.rank(ordered(-(rated * (1.0_f64 - NOISE))))
    }

    pub(crate) fn limit_elements(&self) -> [u8; 8] {
        let ranks = &self.index.element_ranks;
        let mut limits = Lanes::OPEN;
        limits[0] = ranks.rating.rank(-self.required);
        if let Some(route) = self.demands.surroundings.place.connection_distance {
            limits[4] = ranks.flex.rank(-i64::from(route.value()) - i64::from(FLEX_SLACK.value()));
        }
        match self.demands.preferences.regulation {
            RegulationWish::Fixed => limits[6] = 0,
            RegulationWish::Adjustable => limits[7] = 0,
            RegulationWish::Either => {}
        }
        limits
    }

    /// Net price of the cheapest element that has the watts and meets every demand on it alone; nothing when none does.
    /// With the controls that it needs at least.
    pub(crate) fn cheapest_element(&self, required: i64) -> Option<i64> {
        let limit = self.any_element_limit(required);
        let both = self.index.element_lanes.iter().zip(&self.index.elements);
        let mut cheapest = i64::MAX;
        for (lanes, row) in both {
            if cheapest <= row.net.saturating_add(self.controls_least) {
                break;
            }
            if limit.admits(*lanes) && self.element_meets(row) {
                cheapest = self.element_least(row).min(cheapest);
            }
        }
        (cheapest < i64::MAX).then_some(cheapest)
    }
}

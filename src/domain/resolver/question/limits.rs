//! Limits on lanes: what a scan may skip without looking. Each lets too much through and never too little.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "bounded lengths and prices; lanes and set points by place"
)]

use crate::domain::catalogue::Side;
use crate::domain::emission::RATED_EXCESS;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::ordered;
use crate::domain::units::Deciwatts;

use super::NOISE;
use super::Question;
use super::RATED;
use super::SLACK;
use super::rough::ROUGHLY;
use super::rough::rough_power;

impl Question<'_> {
    /// Limits on bodies that hold for every rail, whatever it delivers.
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
        match place.side {
            Side::Left => limits[4] = 0,
            Side::Right => limits[5] = 0,
            Side::Either => {}
        }
        limits
    }

    /// The hottest set point that any element has for these users.
    pub(crate) fn find_hottest(&self) -> f64 {
        let extremes = &self.index.extremes;
        let hottest = extremes.set_points[self.protection.place()];
        if extremes.has_guard { hottest.max(extremes.set_points[0]) } else { hottest }
    }

    /// The share of its rated output that the best body sheds at a set point; infinite where that is.
    pub(crate) fn shed_most_at(&self, set_point: f64) -> f64 {
        let bits = set_point.to_bits();
        if bits == self.hottest.to_bits() {
            return self.shed_most;
        }
        let [known, shed_there] = self.shed_last.get();
        if bits == known.to_bits() {
            return shed_there;
        }
        let shed_most = self.find_shed_most(set_point);
        self.shed_last.set([set_point, shed_most]);
        shed_most
    }

    /// The same, worked out anew; never too little.
    pub(crate) fn find_shed_most(&self, set_point: f64) -> f64 {
        let surroundings = &self.demands.surroundings;
        let extremes = &self.index.extremes;
        let ratio = (set_point - surroundings.room.value()) / RATED_EXCESS.value();
        if ratio <= 0.0_f64 || ratio.is_infinite() {
            return f64::max(ratio, 0.0);
        }
        // Above the rated excess the steepest body sheds most, below it the flattest.
        let is_above = 1.0_f64 <= ratio;
        let exponent = if is_above { extremes.exponent_most } else { extremes.exponent_least };
        surroundings.towels_factor * rough_power(ratio, exponent) * (1.0_f64 + ROUGHLY)
    }

    /// The limit on the rated output of bodies that can deliver so much here when the best of them sheds such a share.
    pub(crate) fn rated_limit(&self, required: i64, shed_most: f64) -> u8 {
        if required <= 0 || shed_most == f64::INFINITY {
            return Lanes::OPEN[RATED];
        }
        if shed_most <= 0.0_f64 {
            return self.index.body_ranks.rated.rank(i64::MIN);
        }
        let watts = Deciwatts::new(required).watts() - SLACK;
        let rated = watts / shed_most;
        self.index.body_ranks.rated.rank(ordered(-(rated * (1.0_f64 - NOISE))))
    }

    pub(crate) fn limit_elements(&self) -> [u8; 8] {
        let ranks = &self.index.element_ranks;
        let mut limits = Lanes::OPEN;
        limits[0] = ranks.rating.rank(-self.required);
        limits[4] = ranks.flex.rank(-i64::from(self.flex_least));
        match self.kind {
            Some(true) => limits[6] = 0,
            Some(false) => limits[7] = 0,
            None => {}
        }
        limits
    }
}

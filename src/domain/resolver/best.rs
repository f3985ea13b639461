//! The best bills found so far, in the order of the answer.

use super::sought::RAILS_MAX;

/// One rail of a bill, by places: equal prices and heat are told apart by part numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Rail {
    /// Place of the body among the snapshot's, which is the order of part numbers.
    pub body: usize,
    /// Place of the element in the edition.
    pub element: usize,
}

/// A bill by rank: net price (and so gross), fewer rails, smaller surplus, part numbers of its rails in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Bundle {
    pub net: i64,
    pub count: usize,
    pub delivered: i64,
    /// Those beyond the count are all alike.
    pub rails: [Rail; RAILS_MAX],
}

/// The best bundles.
#[derive(Debug, Clone)]
pub(super) struct Best {
    wanted: usize,
    net_max: i64,
    /// Whether any bundle will do, so that the search ends with the first.
    is_any_enough: bool,
    /// What [`Best::bound`] says, kept because every body is asked for it.
    bound: i64,
    kept: Vec<Bundle>,
}

impl Best {
    /// None yet, so many wanted, none above a net price.
    pub(super) fn new(wanted: usize, net_max: i64) -> Self {
        let kept = Vec::with_capacity(wanted.saturating_add(1));
        Self { wanted, net_max, is_any_enough: false, bound: net_max, kept }
    }

    /// None yet; the first that costs no more than a net price will do, be it the cheapest or not.
    pub(super) fn any(net_max: i64) -> Self {
        Self { is_any_enough: true, ..Self::new(1, net_max) }
    }

    /// The net price above which nothing is looked for: below every price, once nothing more is wanted.
    pub(super) const fn bound(&self) -> i64 {
        self.bound
    }

    /// How many are wanted.
    pub(super) const fn wanted(&self) -> usize {
        self.wanted
    }

    /// The net price of the last, once there are as many as wanted.
    pub(super) fn full_bound(&self) -> Option<i64> {
        self.kept.last().filter(|_| self.kept.len() == self.wanted).map(|last| last.net)
    }

    /// Keeps a bundle if it is among the best and not kept already.
    pub(super) fn offer(&mut self, bundle: Bundle) {
        let place = self.kept.partition_point(|kept| *kept < bundle);
        let is_new = self.kept.get(place).is_none_or(|next| *next != bundle);
        if is_new && place < self.wanted && bundle.net <= self.net_max {
            self.kept.insert(place, bundle);
            self.kept.truncate(self.wanted);
            let any = self.is_any_enough.then_some(i64::MIN);
            self.bound = self.full_bound().map_or(self.net_max, |last| any.unwrap_or(last));
        }
    }

    /// The bundles, best first.
    pub(super) fn into_kept(self) -> Vec<Bundle> {
        self.kept
    }
}

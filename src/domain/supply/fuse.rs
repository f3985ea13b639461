//! The cartridge fuse of a connection unit (BS 1362): at least the load, at most the flex and the maker's word.
//!
//! Absent here: circuit breakers.

use crate::domain::supply::Feed;
use crate::domain::supply::ampere::carries;
use crate::domain::supply::flex::FlexSize;
use crate::domain::units::Deciwatts;

/// Custom fits 3 A up to this power, although 3 A at 230 V is 690 W (read in a trade page).
pub const CUSTOMARY_LIMIT: Deciwatts = Deciwatts::new(7_000);

/// A cartridge fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fuse {
    /// 3 A, preferred, red.
    Three,
    /// 5 A, black, seldom in stock.
    Five,
    /// 10 A, black.
    Ten,
    /// 13 A, preferred, brown.
    Thirteen,
}

/// The two ratings that every shop has.
pub const PREFERRED: [Fuse; 2] = [Fuse::Three, Fuse::Thirteen];
/// With the 5 A that is legal and seldom in stock.
pub const WITH_FIVE: [Fuse; 3] = [Fuse::Three, Fuse::Five, Fuse::Thirteen];

impl Fuse {
    /// Every rating, smallest first.
    pub const ALL: [Self; 4] = [Self::Three, Self::Five, Self::Ten, Self::Thirteen];

    /// Its rating in ampere.
    pub const fn ampere(self) -> i64 {
        match self {
            Self::Three => 3,
            Self::Five => 5,
            Self::Ten => 10,
            Self::Thirteen => 13,
        }
    }

    /// The fuse of a rating.
    pub fn of(ampere: i64) -> Option<Self> {
        Self::ALL.into_iter().find(|fuse| fuse.ampere() == ampere)
    }
}

/// The smallest of some fuses that carries a rating.
pub fn smallest(rating: Deciwatts, available: &[Fuse]) -> Option<Fuse> {
    available.iter().copied().find(|fuse| carries(fuse.ampere(), rating))
}

/// The fuse that custom would fit: 3 A up to 700 W.
pub fn customary(rating: Deciwatts) -> Option<Fuse> {
    if rating <= CUSTOMARY_LIMIT { Some(Fuse::Three) } else { smallest(rating, &PREFERRED) }
}

/// What speaks against a fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FuseFault {
    /// The load is more than the fuse carries.
    BelowLoad,
    /// The fuse is more than the flex carries.
    AboveFlex,
    /// The fuse is more than the maker permits.
    AboveMaker,
}

impl FuseFault {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::BelowLoad => "fuse-below-load",
            Self::AboveFlex => "fuse-above-flex",
            Self::AboveMaker => "fuse-above-maker",
        }
    }
}

/// The fuse chosen, beside what the exact limit and custom each say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FuseChoice {
    /// The fuse to fit: the maker's when stated, else the smallest that carries the load and that shops have.
    pub chosen: Option<Fuse>,
    /// The smallest preferred fuse by the exact limit: 3 A up to 690 W.
    pub exact: Option<Fuse>,
    /// The fuse by custom: 3 A up to 700 W.
    pub customary: Option<Fuse>,
    /// Whether the maker stated it.
    pub is_makers: bool,
    /// What speaks against the chosen fuse; empty when nothing does.
    pub faults: Vec<FuseFault>,
}

/// Chooses the fuse for a rail.
pub fn choose(feed: &Feed) -> FuseChoice {
    let exact = smallest(feed.rating, &PREFERRED);
    let fits = |fuse: &Fuse| faults(*fuse, feed).is_empty();
    let by_rule = PREFERRED
        .into_iter()
        .chain(Fuse::ALL)
        .filter(|fuse| carries(fuse.ampere(), feed.rating))
        .find(fits)
        .or(exact);
    let chosen = feed.maker_fuse.or(by_rule);
    FuseChoice {
        chosen,
        exact,
        customary: customary(feed.rating),
        is_makers: feed.maker_fuse.is_some(),
        faults: chosen.map_or_else(|| vec![FuseFault::BelowLoad], |fuse| faults(fuse, feed)),
    }
}

fn faults(fuse: Fuse, feed: &Feed) -> Vec<FuseFault> {
    let below = !carries(fuse.ampere(), feed.rating);
    let above_flex = feed.flex.is_some_and(|flex| !may_guard(fuse, flex));
    let above_maker = feed.maker_fuse_max.is_some_and(|most| most < fuse);
    [
        (below, FuseFault::BelowLoad),
        (above_flex, FuseFault::AboveFlex),
        (above_maker, FuseFault::AboveMaker),
    ]
    .into_iter()
    .filter_map(|(holds, fault)| holds.then_some(fault))
    .collect()
}

/// Whether a fuse may guard a flex from a connection unit: it must not exceed what the flex carries (derived).
pub fn may_guard(fuse: Fuse, flex: FlexSize) -> bool {
    fuse.ampere() <= flex.cord_ampere()
}

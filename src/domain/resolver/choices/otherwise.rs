//! Wishes the other way round: each of those with two values, once, beside all others as they stand.
//!
//! Finish and regulation are not among them: they sort parts and change no bill, so one pass tells all their values.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::resolver::choices::Wish;
use crate::domain::resolver::choices::WishValue;
use crate::domain::resolver::demands::Preferences;
use crate::domain::resolver::demands::WISHES_MAX;

/// The most wishes that can be turned round.
pub(super) const OTHERS_MAX: usize = 3 + AccessoryKind::ALL.len();

/// A wish turned round.
#[derive(Debug, Clone)]
pub(super) struct Otherwise {
    pub wish: Wish,
    /// Its value as it stands.
    pub standing: WishValue,
    /// The other value.
    pub value: WishValue,
    /// All wishes, with the other value of this one.
    pub preferences: Preferences,
    /// Whether a request can be put so: it wishes for [`WISHES_MAX`] accessories at most.
    pub is_askable: bool,
}

/// Every wish that can be turned round, no more than [`OTHERS_MAX`].
pub(super) fn otherwise(wished: &Preferences) -> Vec<Otherwise> {
    let flag = |wish, standing: bool, turn: fn(&mut Preferences)| {
        let mut preferences = wished.clone();
        turn(&mut preferences);
        Otherwise {
            wish,
            standing: WishValue::Flag(standing),
            value: WishValue::Flag(!standing),
            preferences,
            is_askable: true,
        }
    };
    let mut all = vec![
        flag(Wish::WallControl, wished.wall_control, |all| all.wall_control = !all.wall_control),
        flag(Wish::TimeControl, wished.time_control, |all| all.time_control = !all.time_control),
        flag(Wish::FlexCover, wished.flex_cover, |all| all.flex_cover = !all.flex_cover),
    ];
    all.extend(AccessoryKind::ALL.map(|kind| of_kind(wished, kind)));
    all
}

/// Accessories of a kind: as many as are wished for, and none; or none, and one.
fn of_kind(wished: &Preferences, kind: AccessoryKind) -> Otherwise {
    let (own, mut accessories): (Vec<_>, Vec<_>) =
        wished.accessories.iter().partition(|other| **other == kind);
    let count = u32::try_from(own.len()).unwrap_or(u32::MAX);
    let other = u32::from(own.is_empty());
    if own.is_empty() {
        accessories.push(kind);
    }
    let is_askable = accessories.len() <= WISHES_MAX;
    Otherwise {
        wish: Wish::Accessory(kind),
        standing: WishValue::Pieces(count),
        value: WishValue::Pieces(other),
        preferences: Preferences { accessories, ..wished.clone() },
        is_askable,
    }
}

//! Flexes and fixed cables: what they carry, what they drop, and the smallest the product standard permits.
//!
//! Absent here: the length that a route needs (`mounting`).

use crate::domain::supply::ampere::carries;
use crate::domain::units::Deciwatts;

/// A size of flex, by its conductors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FlexSize {
    /// 0.5 mm2.
    Half,
    /// 0.75 mm2.
    ThreeQuarters,
    /// 1.0 mm2.
    One,
    /// 1.25 mm2.
    OneAndQuarter,
    /// 1.5 mm2.
    OneAndHalf,
    /// 2.5 mm2.
    TwoAndHalf,
    /// 4.0 mm2.
    Four,
}

/// Up to this length the product standard permits a smaller cord (IEC 60335-1 table 11).
pub const SHORT_CORD_MM: i64 = 2_000;

impl FlexSize {
    /// Every size, smallest first.
    pub const ALL: [Self; 7] = [
        Self::Half,
        Self::ThreeQuarters,
        Self::One,
        Self::OneAndQuarter,
        Self::OneAndHalf,
        Self::TwoAndHalf,
        Self::Four,
    ];

    /// Square millimetres, as it stands in data: `0.75`.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Half => "0.5",
            Self::ThreeQuarters => "0.75",
            Self::One => "1.0",
            Self::OneAndQuarter => "1.25",
            Self::OneAndHalf => "1.5",
            Self::TwoAndHalf => "2.5",
            Self::Four => "4.0",
        }
    }

    /// The size of a conductor in hundredths of a square millimetre.
    pub const fn of_hundredths(area_mm2_e2: u16) -> Option<Self> {
        Some(match area_mm2_e2 {
            50 => Self::Half,
            75 => Self::ThreeQuarters,
            100 => Self::One,
            125 => Self::OneAndQuarter,
            150 => Self::OneAndHalf,
            250 => Self::TwoAndHalf,
            400 => Self::Four,
            _ => return None,
        })
    }

    /// The size of its square millimetres.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|size| size.code() == code)
    }

    /// Ampere by BS 7671 table 4F3A, single phase (read).
    pub const fn table_ampere(self) -> i64 {
        match self {
            Self::Half => 3,
            Self::ThreeQuarters => 6,
            Self::One => 10,
            Self::OneAndQuarter => 13,
            Self::OneAndHalf => 16,
            Self::TwoAndHalf => 25,
            Self::Four => 32,
        }
    }

    /// Ampere by the appliance cord set, which is lower where both exist (read); the table's where it has no row.
    pub const fn cord_ampere(self) -> i64 {
        match self {
            Self::Half => 3,
            Self::ThreeQuarters => 6,
            Self::One => 10,
            Self::OneAndQuarter => 13,
            Self::OneAndHalf => 15,
            Self::TwoAndHalf => 20,
            Self::Four => 32,
        }
    }

    /// Millivolts dropped per ampere and metre at 60 degrees (BS 7671 table 4F3B, read).
    pub const fn millivolts(self) -> i64 {
        match self {
            Self::Half => 93,
            Self::ThreeQuarters => 62,
            Self::One => 46,
            Self::OneAndQuarter => 37,
            Self::OneAndHalf => 32,
            Self::TwoAndHalf => 19,
            Self::Four => 12,
        }
    }
}

/// The smallest flex for a rating and a length (IEC 60335-1 table 11; the relief for short cords partly from memory).
/// None above 25 A.
///
/// ```
/// use rungwright::domain::supply::flex::{FlexSize, least};
/// use rungwright::domain::units::Deciwatts;
/// // Half a square millimetre is only for cords of at most 2 m.
/// assert_eq!(least(Deciwatts::new(6_000), 1_500), Some(FlexSize::Half));
/// assert_eq!(least(Deciwatts::new(6_000), 2_001), Some(FlexSize::ThreeQuarters));
/// ```
pub fn least(rating: Deciwatts, length_mm: i64) -> Option<FlexSize> {
    let row = [
        (3, FlexSize::ThreeQuarters, FlexSize::Half),
        (6, FlexSize::ThreeQuarters, FlexSize::ThreeQuarters),
        (10, FlexSize::One, FlexSize::ThreeQuarters),
        (16, FlexSize::OneAndHalf, FlexSize::One),
        (25, FlexSize::TwoAndHalf, FlexSize::TwoAndHalf),
    ]
    .into_iter()
    .find(|(ampere, _long, _short)| carries(*ampere, rating))?;
    Some(if length_mm <= SHORT_CORD_MM { row.2 } else { row.1 })
}

/// A size of flat twin-and-earth cable (BS 7671 table 4D5).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FixedCable {
    /// 1.0 mm2.
    One,
    /// 1.5 mm2.
    OneAndHalf,
    /// 2.5 mm2.
    TwoAndHalf,
}

impl FixedCable {
    /// Every size, smallest first.
    pub const ALL: [Self; 3] = [Self::One, Self::OneAndHalf, Self::TwoAndHalf];

    /// Square millimetres, as it stands in data.
    pub const fn code(self) -> &'static str {
        match self {
            Self::One => "1.0",
            Self::OneAndHalf => "1.5",
            Self::TwoAndHalf => "2.5",
        }
    }

    /// Tenths of an ampere clipped direct, method C (1.0 and 1.5 read, 2.5 from memory).
    pub const fn clipped_deciampere(self) -> i64 {
        match self {
            Self::One => 160,
            Self::OneAndHalf => 200,
            Self::TwoAndHalf => 270,
        }
    }

    /// Tenths of an ampere in an insulated wall, method A: the lowest that is common.
    pub const fn insulated_deciampere(self) -> i64 {
        match self {
            Self::One => 115,
            Self::OneAndHalf => 145,
            Self::TwoAndHalf => 200,
        }
    }

    /// Millivolts dropped per ampere and metre (18 for 2.5 mm2 confirmed in another page).
    pub const fn millivolts(self) -> i64 {
        match self {
            Self::One => 44,
            Self::OneAndHalf => 29,
            Self::TwoAndHalf => 18,
        }
    }
}

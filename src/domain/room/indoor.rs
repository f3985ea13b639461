//! Indoor design temperatures by the use of a room and the market: 22, 22 to 24 or 24 °C for one and the same bathroom.
//!
//! Absent here: comfort, and what the users would like.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::room::RoomUse;
use crate::domain::units::Celsius;

/// A design temperature for a use in a market.
#[derive(Debug, Clone, PartialEq)]
pub struct IndoorDesign {
    /// Market code the row speaks for.
    pub market: &'static str,
    /// What the room is for.
    pub room_use: RoomUse,
    /// The design temperature, or the lower end of a range.
    pub low: Celsius,
    /// The upper end, equal to `low` for a single figure.
    pub high: Celsius,
    /// Where it stands.
    pub source: Source,
}

const MIS: Source = Source::new("MIS 3005-D table 1 (minimum values)", Evidence::ReadSecondary);
const CIBSE: Source = Source::new("CIBSE Guide A (2015) table 1.5", Evidence::ReadSecondary);
const DIN: Source =
    Source::new("DIN EN 12831 supplement 1, national annex", Evidence::ReadSecondary);

const fn row(
    market: &'static str,
    source: Source,
    room_use: RoomUse,
    [low, high]: [f64; 2],
) -> IndoorDesign {
    IndoorDesign { market, room_use, low: Celsius::new(low), high: Celsius::new(high), source }
}

/// Every row read. The first row of a market and use is the one proposed.
pub static INDOOR_DESIGNS: &[IndoorDesign] = &[
    row("gb", MIS, RoomUse::Bathroom, [22.0, 22.0]),
    row("gb", MIS, RoomUse::LivingRoom, [21.0, 21.0]),
    row("gb", MIS, RoomUse::Bedroom, [18.0, 18.0]),
    row("gb", MIS, RoomUse::Hall, [18.0, 18.0]),
    row("gb", MIS, RoomUse::Kitchen, [18.0, 18.0]),
    row("gb", MIS, RoomUse::Toilet, [18.0, 18.0]),
    row("gb", CIBSE, RoomUse::Bathroom, [22.0, 24.0]),
    row("gb", CIBSE, RoomUse::LivingRoom, [21.0, 23.0]),
    row("gb", CIBSE, RoomUse::Bedroom, [17.0, 19.0]),
    row("gb", CIBSE, RoomUse::Toilet, [19.0, 21.0]),
    row("de", DIN, RoomUse::Bathroom, [24.0, 24.0]),
    row("de", DIN, RoomUse::LivingRoom, [20.0, 20.0]),
    row("de", DIN, RoomUse::Bedroom, [20.0, 20.0]),
    row("de", DIN, RoomUse::Hall, [15.0, 15.0]),
    row("de", DIN, RoomUse::Kitchen, [20.0, 20.0]),
    row("de", DIN, RoomUse::Toilet, [20.0, 20.0]),
];

/// The design temperature to propose.
///
/// A market or use without a row of its own gets the warmest row we know for the use, or for any use, marked as a fallback.
///
/// ```
/// use rungwright::domain::evidence::Evidence;
/// use rungwright::domain::room::RoomUse;
/// use rungwright::domain::room::indoor::indoor_design;
/// use rungwright::domain::units::Celsius;
/// let bathroom = |market| indoor_design(RoomUse::Bathroom, market).unwrap();
/// assert_eq!(bathroom("gb").low, Celsius::new(22.0));
/// assert_eq!(bathroom("de").low, Celsius::new(24.0));
/// // No Irish figure was found, so Ireland gets the warmest one, and the evidence says what it is.
/// assert_eq!(bathroom("ie").low, Celsius::new(24.0));
/// assert_eq!(bathroom("ie").source.evidence, Evidence::Fallback);
/// ```
pub fn indoor_design(room_use: RoomUse, market: &str) -> Option<IndoorDesign> {
    let own = INDOOR_DESIGNS.iter().find(|row| row.market == market && row.room_use == room_use);
    own.cloned().or_else(|| warmest(|row| row.room_use == room_use)).or_else(|| warmest(|_| true))
}

fn warmest<F: Fn(&IndoorDesign) -> bool>(suits: F) -> Option<IndoorDesign> {
    let warmer = |left: &&IndoorDesign, right: &&IndoorDesign| {
        left.low.value().total_cmp(&right.low.value())
    };
    let row = INDOOR_DESIGNS.iter().filter(|row| suits(row)).max_by(warmer)?;
    let text =
        format!("no figure of this market was read; the warmest known is from {}", row.source.text);
    Some(IndoorDesign { source: Source::stated(text, Evidence::Fallback), ..row.clone() })
}

//! Whether a current suffices for a rating, on whole numbers. Absent here: what carries or guards the current.

use crate::domain::units::Deciwatts;

/// Volts by which a rating is turned into a current, in whole volts.
const NOMINAL_VOLTS: i64 = 230;

/// Whether a device of whole ampere carries a rating at 230 V; exactly its limit is carried.
///
/// ```
/// use rungwright::domain::supply::ampere::carries;
/// use rungwright::domain::units::Deciwatts;
/// assert!(carries(3, Deciwatts::new(6_900)));
/// assert!(!carries(3, Deciwatts::new(6_901)));
/// ```
pub fn carries(ampere: i64, rating: Deciwatts) -> bool {
    let limit = ampere.saturating_mul(NOMINAL_VOLTS).saturating_mul(10);
    rating.value() <= limit
}

//! What of a sorted list can still stand in one of the best bills.

use crate::domain::money::Minor;

use super::query::Query;

/// Of what is sorted the first, no more than are wanted.
///
/// Where pieces are traded for price all but what so many before it outdo in price as well. Put in its place, each of
/// them makes a better bill that is within the budget if this one is.
pub(super) fn shortlist<T, F: Fn(&T) -> Minor>(
    query: &Query<'_>,
    sorted: &mut Vec<T>,
    wanted: usize,
    net: F,
) {
    if !query.demands.trades_pieces() {
        sorted.truncate(wanted);
        return;
    }
    let mut kept: Vec<T> = Vec::new();
    for next in sorted.drain(..) {
        if kept.iter().filter(|one| net(one) <= net(&next)).count() < wanted {
            kept.push(next);
        }
    }
    *sorted = kept;
}

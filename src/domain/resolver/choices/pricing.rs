//! What the cheapest bill of a pair costs, as the wishes stand and with each of them otherwise.

use super::otherwise::OTHERS_MAX;

/// As the wishes stand, and with one of them otherwise.
pub(super) const WAYS: usize = OTHERS_MAX.saturating_add(1);

/// Net prices by way: first as the wishes stand, then with each turned round.
pub(super) type Nets = [i64; WAYS];

/// The net price of what cannot be had.
pub(super) const NOTHING: i64 = i64::MAX;

/// Prices the pairs of one body after the other, at one or several wall spaces.
pub(super) trait Pricing {
    /// How often the time is to be looked at: work that one pair takes, in quick steps.
    const WORK: usize;

    /// Goes on to a body, by its place in the edition.
    fn begin(&mut self, body: usize);

    /// The cheapest bill of the body with an element that fits it, as the wishes stand; [`NOTHING`] where there is none.
    fn standing(&mut self, element: usize) -> i64;

    /// The same, and with each wish otherwise.
    fn all(&mut self, element: usize) -> Nets;
}

/// A pair hangs where it costs least.
impl<P: Pricing> Pricing for Vec<P> {
    const WORK: usize = P::WORK;

    fn begin(&mut self, body: usize) {
        for spot in self {
            spot.begin(body);
        }
    }

    fn standing(&mut self, element: usize) -> i64 {
        self.iter_mut().map(|spot| spot.standing(element)).min().unwrap_or(NOTHING)
    }

    fn all(&mut self, element: usize) -> Nets {
        let mut least = [NOTHING; WAYS];
        for spot in self {
            for (known, net) in least.iter_mut().zip(spot.all(element)) {
                *known = net.min(*known);
            }
        }
        least
    }
}

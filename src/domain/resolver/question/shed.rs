//! What one body sheds, remembered by set point.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "a place counted round a short table"
)]

use crate::domain::units::Watts;

/// A set point met and what is shed at it.
type Met = (f64, Watts);

/// What one body sheds at the set points met so far.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Shed {
    known: [Option<Met>; SHED_MAX],
    next: usize,
}

/// How many set points are remembered at a time.
const SHED_MAX: usize = 6;

impl Shed {
    pub(crate) fn at<F: FnOnce() -> Watts>(&mut self, set_point: f64, find: F) -> Watts {
        let bits = set_point.to_bits();
        let known = self.known.iter().flatten().find(|(known, _)| known.to_bits() == bits);
        if let Some((_, shed)) = known {
            return *shed;
        }
        let shed = find();
        self.known[self.next % SHED_MAX] = Some((set_point, shed));
        self.next += 1;
        shed
    }
}

//! All smallest sets of demands that cannot hold together, and all smallest sets whose dropping helps.
//!
//! Sets are bits of a word. A map of what is known is kept as two lists: sets that are impossible and as small as can
//! be, and what is missing from sets that are possible and as large as can be. As long as some set is neither above
//! the one nor below the other, it is asked about and grown or shrunk into one of the lists. When none is left, the
//! lists are complete. (M. Liffiton's enumeration over the power set, by name MARCO; ours branches over the few sets
//! found so far where his asks a solver.) Absent here: what the demands mean.

/// How far the enumeration may go.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    /// Smallest impossible sets that are enough.
    pub conflicts: usize,
    /// Smallest helpful sets that are enough.
    pub corrections: usize,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Sets {
    /// Impossible, and possible with any one member less.
    pub conflicts: Vec<u64>,
    /// Without them all else is possible, and none of them can be spared.
    pub corrections: Vec<u64>,
    /// Whether these are all there are.
    pub is_complete: bool,
    /// An impossible set that nobody has shown to be smallest, when the asking ended within the first conflict.
    pub unfinished: Option<u64>,
}

/// Steps that the choice of the next set may take.
const BRANCHES_MAX: usize = 100_000;

/// Enumerates over the sets of `count` demands, all of which together are known to be impossible.
///
/// `is_possible` must be monotone: what is possible stays so with fewer demands. It gives nothing once it may not be
/// asked any more; what was found by then is given back, marked as incomplete.
pub(super) fn minimal_sets<F: FnMut(u64) -> Option<bool>>(
    count: usize,
    limits: Limits,
    is_possible: F,
) -> Sets {
    let full =
        u32::try_from(count).map_or(u64::MAX, |count| !u64::MAX.checked_shl(count).unwrap_or(0));
    let mut map = Map { full, sets: Sets::default(), is_possible };
    map.sets.is_complete = map.explore(limits).unwrap_or(false);
    map.sets
}

struct Map<F> {
    full: u64,
    sets: Sets,
    is_possible: F,
}

impl<F: FnMut(u64) -> Option<bool>> Map<F> {
    /// Whether everything was explored; nothing when the asking ended.
    fn explore(&mut self, limits: Limits) -> Option<bool> {
        loop {
            let mut branches = BRANCHES_MAX;
            let removed = removal(&self.sets, (0, 0), &mut branches);
            let Some(removed) = removed else { return Some(0 < branches) };
            if limits.conflicts <= self.sets.conflicts.len()
                || limits.corrections <= self.sets.corrections.len()
            {
                return Some(false);
            }
            let seed = self.full & !removed;
            // The demands of the request as a whole are known to be impossible.
            if seed != self.full && (self.is_possible)(seed)? {
                let grown = self.grow(seed)?;
                self.sets.corrections.push(self.full & !grown);
            } else {
                let shrunk = self.shrink(seed)?;
                self.sets.conflicts.push(shrunk);
            }
        }
    }

    fn grow(&mut self, mut possible: u64) -> Option<u64> {
        for bit in bits(self.full & !possible) {
            let larger = possible | bit;
            let is_known =
                self.sets.conflicts.iter().any(|conflict| larger & conflict == *conflict);
            if !is_known && (self.is_possible)(larger)? {
                possible = larger;
            }
        }
        Some(possible)
    }

    fn shrink(&mut self, mut impossible: u64) -> Option<u64> {
        for bit in bits(impossible) {
            let smaller = impossible & !bit;
            let is_known = self.sets.corrections.iter().any(|correction| smaller & correction == 0);
            if is_known {
                continue;
            }
            match (self.is_possible)(smaller) {
                Some(true) => {}
                Some(false) => impossible = smaller,
                None => {
                    self.sets.unfinished = self.sets.conflicts.is_empty().then_some(impossible);
                    return None;
                }
            }
        }
        Some(impossible)
    }
}

/// What to take from the full set so that it lies neither above a known conflict nor below a known possible set.
fn removal(sets: &Sets, (removed, kept): (u64, u64), branches: &mut usize) -> Option<u64> {
    *branches = branches.checked_sub(1)?;
    // Below a possible set lies what lacks all that this one lacks.
    if sets.corrections.iter().any(|correction| removed & correction == *correction) {
        return None;
    }
    let mut unbroken = sets.conflicts.iter().filter(|conflict| removed & **conflict == 0);
    let Some(conflict) = unbroken.next() else { return Some(removed) };
    let mut kept = kept;
    for bit in bits(conflict & !kept) {
        if let Some(found) = removal(sets, (removed | bit, kept), branches) {
            return Some(found);
        }
        // Every set without this one has been looked through.
        kept |= bit;
    }
    None
}

/// The members of a set, each by itself, lowest first.
pub(super) fn bits(set: u64) -> impl Iterator<Item = u64> {
    std::iter::successors(Some(set), |rest| Some(rest & rest.wrapping_sub(1)))
        .take_while(|rest| *rest != 0)
        .map(|rest| rest & rest.wrapping_neg())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::collection::vec;
    use proptest::proptest;

    use super::*;

    const LIMITS: Limits = Limits { conflicts: usize::MAX, corrections: usize::MAX };

    /// Possible is what holds none of the causes.
    fn holds_none(causes: &[u64], set: u64) -> bool {
        causes.iter().all(|cause| set & cause != *cause)
    }

    fn sorted(sets: &[u64]) -> BTreeSet<u64> {
        assert_eq!(sets.iter().collect::<BTreeSet<_>>().len(), sets.len(), "a set found twice");
        sets.iter().copied().collect()
    }

    proptest! {
        #[test]
        fn both_lists_are_what_all_subsets_say(causes in vec(1_u64..128, 1..6)) {
            let full = 127;
            let smallest = |is_wanted: &dyn Fn(u64) -> bool| -> BTreeSet<u64> {
                let wanted = (0..=full).filter(|set| is_wanted(*set));
                wanted.filter(|set| bits(*set).all(|bit| !is_wanted(set & !bit))).collect()
            };
            let found = minimal_sets(7, LIMITS, |set| Some(holds_none(&causes, set)));
            assert!(found.is_complete);
            assert_eq!(sorted(&found.conflicts), smallest(&|set| !holds_none(&causes, set)));
            assert_eq!(sorted(&found.corrections), smallest(&|set| holds_none(&causes, full & !set)));
        }
    }

    #[test]
    fn an_end_of_asking_leaves_what_was_found_and_says_so() {
        let mut left = 3_u32;
        let found = minimal_sets(40, LIMITS, |set| {
            left = left.checked_sub(1)?;
            Some(set & 3 != 3)
        });
        assert!(!found.is_complete);
        assert_eq!(found.conflicts, Vec::<u64>::new());
        // Three of the others were spared; that the rest is smallest nobody has shown.
        assert_eq!(found.unfinished.unwrap() & 3, 3);
    }

    #[test]
    fn the_last_of_sixty_four_is_a_demand_too() {
        let last = 1_u64.reverse_bits();
        let found = minimal_sets(64, LIMITS, |set| Some(set & last == 0));
        assert_eq!((found.conflicts, found.corrections), (vec![last], vec![last]));
    }

    #[test]
    fn a_limit_ends_the_enumeration() {
        let pairs = |set: u64| (0..10_u32).all(|pair| (set >> (2 * pair)) & 3 != 3);
        let limits = Limits { conflicts: 4, corrections: 1000 };
        let found = minimal_sets(20, limits, |set| Some(pairs(set)));
        assert!(!found.is_complete && found.conflicts.len() == 4);
    }
}

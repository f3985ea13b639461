//! Eight small numbers in one word, compared all at once.
//!
//! A row passes a limit when none of its eight lanes exceeds the limit's. A lane holds a rank of seven bits: exact
//! while an attribute has at most [`RANKS_MAX`] values, coarser beyond, and then it only ever lets too much through.
//! Whoever scans checks the survivors on the exact values. An attribute of which more is better is ranked negated.
#![expect(clippy::arithmetic_side_effects, reason = "lanes stay within seven bits of their byte")]

/// The most cuts that a lane tells apart.
pub(crate) const RANKS_MAX: usize = 126;

/// Lanes of a word.
pub(crate) const LANES: usize = 8;

const HIGH: u64 = 0x8080_8080_8080_8080;

/// Eight ranks, or eight limits on them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Lanes(u64);

impl Lanes {
    /// The limit that lets everything through.
    pub(crate) const OPEN: [u8; LANES] = [127; LANES];

    /// A word of eight numbers of seven bits.
    pub(crate) const fn pack(lanes: [u8; LANES]) -> Self {
        Self(u64::from_le_bytes(lanes) & !HIGH)
    }

    /// The lower of two words, lane by lane: a limit that admits either admits this.
    pub(crate) fn lower(self, other: Self) -> Self {
        let mut lanes = self.0.to_le_bytes();
        for (mine, theirs) in lanes.iter_mut().zip(other.0.to_le_bytes()) {
            *mine = theirs.min(*mine);
        }
        Self(u64::from_le_bytes(lanes))
    }

    /// The limit as it is compared: every lane with its guard bit set.
    pub(crate) const fn guarded(self) -> Guarded {
        Guarded(self.0 | HIGH)
    }
}

/// A limit ready for comparing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Guarded(u64);

impl Guarded {
    /// Whether no lane of the row exceeds the limit's.
    pub(crate) const fn admits(self, row: Lanes) -> bool {
        // A guard bit survives the subtraction exactly where the lane does not exceed its limit.
        (self.0 - row.0) & HIGH == HIGH
    }
}

/// The cuts by which an attribute is ranked.
///
/// All but the outermost cuts lie in stretches of equal length, so that a rank is looked up and not searched for: the
/// outermost may be as far away as infinity is.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ranks {
    cuts: Vec<i64>,
    /// Where the first stretch begins.
    base: i64,
    /// Binary digits of the length of a stretch.
    shift: u32,
    /// How many cuts come before each stretch.
    before: Vec<u8>,
}

/// Binary digits of the number of stretches.
const STRETCH_DIGITS: u32 = 8;

impl Ranks {
    /// Cuts for the values of an attribute: all of them, or evenly chosen ones.
    pub(crate) fn of(mut values: Vec<i64>) -> Self {
        values.sort_unstable();
        values.dedup();
        let step = values.len().div_ceil(RANKS_MAX).max(1);
        let cuts: Vec<i64> = values.into_iter().step_by(step).collect();
        let [base, top] = match cuts.as_slice() {
            [_, base, .., top, _] => [*base, *top],
            [.., last] => [*last; 2],
            [] => [0; 2],
        };
        let span = top.abs_diff(base);
        let digits = u64::BITS - span.leading_zeros();
        let shift = digits.saturating_sub(STRETCH_DIGITS);
        let before = (0..=span >> shift).map(|stretch| {
            let start = base.saturating_add_unsigned(stretch << shift);
            u8::try_from(cuts.partition_point(|cut| *cut < start)).unwrap_or(0)
        });
        Self { before: before.collect(), cuts, base, shift }
    }

    /// The rank of a value or of a limit. A value at or below a limit never ranks above it.
    pub(crate) fn rank(&self, value: i64) -> u8 {
        let mut rank = if self.base <= value {
            let stretch = value.abs_diff(self.base) >> self.shift;
            let stretch = usize::try_from(stretch).unwrap_or(usize::MAX);
            let before = self.before.get(stretch).or_else(|| self.before.last());
            before.copied().unwrap_or(0)
        } else {
            0
        };
        while self.cuts.get(usize::from(rank)).is_some_and(|cut| *cut <= value) {
            rank += 1;
        }
        rank
    }
}

/// A whole number in the order of a finite or infinite figure.
pub(crate) fn ordered(figure: f64) -> i64 {
    let bits = i64::from_ne_bytes(figure.to_bits().to_ne_bytes());
    if bits < 0 { i64::MIN - bits } else { bits }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_passes_only_when_no_lane_exceeds_its_limit() {
        let limit = Lanes::pack([3, 127, 0, 5, 127, 127, 127, 9]).guarded();
        assert!(limit.admits(Lanes::pack([3, 0, 0, 5, 127, 1, 2, 9])));
        assert!(!limit.admits(Lanes::pack([4, 0, 0, 5, 127, 1, 2, 9])));
        assert!(!limit.admits(Lanes::pack([3, 0, 1, 5, 127, 1, 2, 9])));
        assert!(!limit.admits(Lanes::pack([3, 0, 0, 5, 127, 1, 2, 10])));
    }

    #[test]
    fn whatever_admits_a_row_admits_the_lower_of_it_and_another() {
        let row = Lanes::pack([3, 9, 0, 5, 127, 1, 2, 9]);
        let lower = row.lower(Lanes::pack([4, 2, 1, 5, 0, 1, 3, 9]));
        assert_eq!(lower, Lanes::pack([3, 2, 0, 5, 0, 1, 2, 9]));
        assert!(Lanes::pack([3, 9, 0, 5, 127, 1, 2, 9]).guarded().admits(lower));
    }

    #[test]
    fn ranks_keep_the_order_of_values_and_limits_however_coarse() {
        for count in [3_i64, 126, 127, 1_000] {
            let ranks = Ranks::of((0..count).map(|value| value * 7).collect());
            let tried: Vec<i64> = (-3..count * 7 + 3).collect();
            assert!(tried.is_sorted_by_key(|value| ranks.rank(*value)), "{count}");
        }
        let far = [ordered(f64::NEG_INFINITY), -5, -3, 0, 2, 9, ordered(f64::INFINITY)];
        let ranks = Ranks::of(far.to_vec());
        for value in far.iter().flat_map(|value| [value.saturating_sub(1), *value, *value + 1]) {
            let reached = far.iter().filter(|cut| **cut <= value).count();
            assert_eq!(usize::from(ranks.rank(value)), reached, "{value}");
        }
        for few in 0..6 {
            let cuts = &far[..few];
            let reached = cuts.iter().filter(|cut| **cut <= 0).count();
            assert_eq!(usize::from(Ranks::of(cuts.to_vec()).rank(0)), reached, "{cuts:?}");
        }
        let exact = Ranks::of(vec![400, 500, 600]);
        assert!(exact.rank(500) <= exact.rank(599) && exact.rank(599) < exact.rank(600));
    }

    #[test]
    fn figures_keep_their_order_as_whole_numbers() {
        let figures: [f64; 8] =
            [f64::NEG_INFINITY, -2.5, -1.0, 0.0, 1e-9, 43.0, 65.0, f64::INFINITY];
        assert!(figures.is_sorted_by_key(|figure| ordered(*figure)));
    }
}

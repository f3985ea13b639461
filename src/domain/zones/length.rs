//! Lengths of paths in plan, compared exactly wherever the path is one straight line between whole millimetres.
//!
//! Absent here: how a path is found.
#![expect(
    clippy::as_conversions,
    clippy::cast_precision_loss,
    reason = "squared lengths in a room stay far below 2^53"
)]

use std::cmp::Ordering;

/// Two lengths closer than this are the same length, once a path bends.
pub const TOLERANCE_MM: f64 = 1e-6;

/// A length: the squared whole number when the path is straight, else the sum of its legs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    squared: Option<i64>,
    mm: f64,
}

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self { squared: Some(0), mm: 0.0 };

    /// A straight line, by the square of its length.
    pub fn straight(squared: i64) -> Self {
        Self { squared: Some(squared), mm: libm::sqrt(squared as f64) }
    }

    /// A path of several legs, or over a partition.
    pub const fn bent(mm: f64) -> Self {
        Self { squared: None, mm }
    }

    /// Millimetres.
    pub const fn mm(self) -> f64 {
        self.mm
    }

    /// Whether it is that of one straight line, and so exact.
    pub const fn is_straight(self) -> bool {
        self.squared.is_some()
    }

    /// How this length stands to a limit of whole millimetres.
    ///
    /// ```
    /// use rungwright::domain::zones::length::Length;
    /// use std::cmp::Ordering;
    /// // 600.0008 mm would print as 600.0 and is still beyond 600.
    /// assert_eq!(Length::straight(360_001).against(600), Ordering::Greater);
    /// assert_eq!(Length::straight(360_000).against(600), Ordering::Equal);
    /// ```
    pub fn against(self, limit_mm: i64) -> Ordering {
        if let Some(squared) = self.squared {
            return squared.cmp(&limit_mm.saturating_mul(limit_mm));
        }
        let excess = self.mm - limit_mm as f64;
        if libm::fabs(excess) <= TOLERANCE_MM { Ordering::Equal } else { excess.total_cmp(&0.0) }
    }

    /// The shorter of two lengths; an exact one wins a tie.
    #[must_use]
    pub fn shorter(self, other: Self) -> Self {
        let exact_tie = self.squared.is_some() && self.compare(other) == Ordering::Equal;
        if exact_tie || self.compare(other) == Ordering::Less { self } else { other }
    }

    /// Order by length.
    pub fn compare(self, other: Self) -> Ordering {
        match (self.squared, other.squared) {
            (Some(own), Some(their)) => own.cmp(&their),
            (None, _) | (_, None) => self.mm.total_cmp(&other.mm),
        }
    }
}

//! Discounts: on a line or on the whole document, by percent or by amount, with a reason, under a ceiling.
//!
//! Absent here: who may grant how much, which the caller's rights say.
#![deny(clippy::float_arithmetic)]

use std::fmt;

use crate::domain::money::Minor;
use crate::domain::money::Overflow;
use crate::domain::money::TaxRate;

/// How much is taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reduction {
    /// Hundredths of a percent: 500 is 5 %.
    Percent(u32),
    /// A net amount.
    Amount(Minor),
}

/// A discount and why it is granted.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Discount {
    /// How much.
    pub reduction: Reduction,
    /// Why, as it is printed.
    pub reason: Box<str>,
}

/// Most that may be taken off, in hundredths of a percent of what it is taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DiscountCeiling(u32);

/// Why a discount is not granted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoDiscount {
    /// Nothing or less is taken off, or more than there is.
    Senseless,
    /// More than the ceiling allows.
    OverCeiling(DiscountCeiling),
    /// The sum cannot be held.
    TooLarge,
}

impl DiscountCeiling {
    /// The ceiling taken when nobody sets one: 15 % (our own choice).
    pub const USUAL: Self = Self(1_500);

    /// A ceiling of hundredths of a percent; none above the whole.
    pub fn new(basis_points: u32) -> Option<Self> {
        (basis_points <= 10_000).then_some(Self(basis_points))
    }

    /// Hundredths of a percent.
    pub const fn basis_points(self) -> u32 {
        self.0
    }
}

impl fmt::Display for NoDiscount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Senseless => {
                f.write_str("a discount takes off more than nothing and no more than there is")
            }
            Self::OverCeiling(ceiling) => {
                let percent = TaxRate::new(ceiling.0).percent();
                write!(f, "the discount is over the ceiling of {percent} %")
            }
            Self::TooLarge => f.write_str("the amount is too large to be held"),
        }
    }
}

impl From<Overflow> for NoDiscount {
    fn from(_: Overflow) -> Self {
        Self::TooLarge
    }
}

impl Discount {
    /// What is taken off a net amount, rounded half away from zero, if the ceiling allows it.
    ///
    /// ```
    /// use rungwright::domain::money::Minor;
    /// use rungwright::domain::pricing::discount::{Discount, DiscountCeiling, Reduction};
    /// let tenth = Discount { reduction: Reduction::Percent(1_000), reason: "opening".into() };
    /// assert_eq!(tenth.of(Minor::new(33_333), DiscountCeiling::USUAL), Ok(Minor::new(3_333)));
    /// // An amount is measured against the same ceiling as a percentage.
    /// let amount = Discount { reduction: Reduction::Amount(Minor::new(5_001)), reason: "opening".into() };
    /// assert!(amount.of(Minor::new(33_333), DiscountCeiling::USUAL).is_err());
    /// ```
    pub fn of(&self, net: Minor, ceiling: DiscountCeiling) -> Result<Minor, NoDiscount> {
        let off = match self.reduction {
            Reduction::Percent(basis_points) => net.share(basis_points)?,
            Reduction::Amount(amount) => amount,
        };
        if off <= Minor::ZERO || net < off {
            return Err(NoDiscount::Senseless);
        }
        if net.share(ceiling.0)? < off {
            return Err(NoDiscount::OverCeiling(ceiling));
        }
        Ok(off)
    }
}

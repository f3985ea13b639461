//! Lines and totals of a bill: what each part costs and what is owed.
//!
//! A line's net is rounded once; tax is taken once per rate on the summed net (EN 16931 BR-CO-17). Rounding itself
//! is in `money`. Absent here: which parts stand on the bill.
#![deny(clippy::float_arithmetic)]

pub mod document;
pub mod discount;
pub mod delivery;
pub mod vat_number;
pub mod taxing;

use super::catalogue::PartKind;
use super::catalogue::Sku;
use super::money::Currency;
use super::money::Minor;
use super::money::Overflow;
use super::money::TaxRate;
use super::money::UnitPrice;

/// One line of a bill of materials.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Part number.
    pub sku: Sku,
    /// What kind of part it is.
    pub kind: PartKind,
    /// Its name.
    pub name: Box<str>,
    /// How many.
    pub quantity: u32,
    /// Net price of one.
    pub unit_net: UnitPrice,
    /// Net price of the line, rounded once.
    pub net: Minor,
    /// Why it is on the bill.
    pub why: String,
    /// The part in whose carton it comes, at no price of its own.
    pub included_with: Option<Sku>,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
}

/// What is owed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Total {
    /// What the amounts are in.
    pub currency: Currency,
    /// Sum of the lines.
    pub net: Minor,
    /// Tax on the summed net.
    pub tax: Minor,
    /// Net and tax.
    pub gross: Minor,
    /// The rate taken.
    pub rate: TaxRate,
}

impl Total {
    /// The total of a summed net.
    ///
    /// ```
    /// use rungwright::domain::money::{Currency, Minor, TaxRate};
    /// use rungwright::domain::pricing::Total;
    /// // Three lines of 0.99: 0.60 if each were taxed by itself, 0.59 on their sum.
    /// let total = Total::of(Minor::new(297), TaxRate::new(2000), Currency::GBP).unwrap();
    /// assert_eq!((total.tax, total.gross), (Minor::new(59), Minor::new(356)));
    /// ```
    pub fn of(net: Minor, rate: TaxRate, currency: Currency) -> Result<Self, Overflow> {
        let tax = net.tax(rate)?;
        Ok(Self { currency, net, tax, gross: net.plus(tax)?, rate })
    }

    /// The total of lines.
    pub fn of_lines(lines: &[Line], rate: TaxRate, currency: Currency) -> Result<Self, Overflow> {
        Self::of(Minor::sum(lines.iter().map(|line| line.net))?, rate, currency)
    }
}

//! The sums of a commercial document: lines, allowances, charges, tax by category and rate, what is payable.
//!
//! The rules are those of EN 16931 (BR-CO-10 to BR-CO-17, BR-S-08), an invoice standard used here for its arithmetic:
//! every amount is an exact sum of rounded parts, and tax is rounded once a rate. A market may round tax per line
//! instead; the document then says so.
#![deny(clippy::float_arithmetic)]

pub use crate::domain::catalogue::TaxCategory;
pub use crate::domain::catalogue::TaxRounding;
pub use crate::domain::catalogue::Taxation;
use crate::domain::money::Minor;
use crate::domain::money::Overflow;

/// An amount with its taxation: a line's net, an allowance or a charge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taxed {
    /// Net amount; positive for allowances too.
    pub net: Minor,
    /// How it is taxed.
    pub taxation: Taxation,
}

/// What a document sums up.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Amounts {
    /// Nets of the lines (BT-131).
    pub lines: Vec<Taxed>,
    /// Allowances on the document as a whole.
    pub allowances: Vec<Taxed>,
    /// Charges on the document as a whole: delivery.
    pub charges: Vec<Taxed>,
}

/// Tax of one category and rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TaxGroup {
    /// Category and rate.
    pub taxation: Taxation,
    /// Taxable amount (BT-116).
    pub base: Minor,
    /// Tax (BT-117).
    pub tax: Minor,
}

/// The totals of a document, by the names of EN 16931.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentTotals {
    /// Sum of the lines (BT-106).
    pub lines: Minor,
    /// Sum of the allowances (BT-107).
    pub allowances: Minor,
    /// Sum of the charges (BT-108).
    pub charges: Minor,
    /// Net total (BT-109).
    pub net: Minor,
    /// Tax (BT-110).
    pub tax: Minor,
    /// With tax (BT-112), which is also what is payable (BT-115).
    pub gross: Minor,
    /// The tax by category and rate, in that order.
    pub groups: Vec<TaxGroup>,
}

impl Amounts {
    /// The totals.
    ///
    /// ```
    /// use rungwright::domain::money::{Minor, TaxRate};
    /// use rungwright::domain::pricing::document::{Amounts, TaxCategory, TaxRounding, Taxation, Taxed};
    /// let taxation = Taxation { category: TaxCategory::Standard, rate: TaxRate::new(2_000) };
    /// let line = Taxed { net: Minor::new(99), taxation };
    /// let amounts = Amounts { lines: vec![line; 3], ..Amounts::default() };
    /// // A penny lies between the two ways of rounding; a document must say which it took.
    /// assert_eq!(amounts.totals(TaxRounding::PerRate).unwrap().gross, Minor::new(356));
    /// assert_eq!(amounts.totals(TaxRounding::PerLine).unwrap().gross, Minor::new(357));
    /// ```
    pub fn totals(&self, rounding: TaxRounding) -> Result<DocumentTotals, Overflow> {
        let sum = |amounts: &[Taxed]| Minor::sum(amounts.iter().map(|amount| amount.net));
        let (lines, allowances, charges) =
            (sum(&self.lines)?, sum(&self.allowances)?, sum(&self.charges)?);
        let groups = self.groups(rounding)?;
        let net = lines.minus(allowances)?.plus(charges)?;
        let tax = Minor::sum(groups.iter().map(|group| group.tax))?;
        Ok(DocumentTotals { lines, allowances, charges, net, tax, gross: net.plus(tax)?, groups })
    }

    fn groups(&self, rounding: TaxRounding) -> Result<Vec<TaxGroup>, Overflow> {
        let signed = self.signed()?;
        let mut kinds: Vec<Taxation> = signed.iter().map(|amount| amount.taxation).collect();
        kinds.sort();
        kinds.dedup();
        let group = |taxation: Taxation| {
            let of_kind = || signed.iter().filter(|amount| amount.taxation == taxation);
            let base = Minor::sum(of_kind().map(|amount| amount.net))?;
            let tax = match rounding {
                TaxRounding::PerRate => base.tax(taxation.rate)?,
                TaxRounding::PerLine => {
                    let taxes = of_kind().map(|amount| amount.net.tax(taxation.rate));
                    Minor::sum(taxes.collect::<Result<Vec<_>, _>>()?)?
                }
            };
            Ok(TaxGroup { taxation, base, tax })
        };
        kinds.into_iter().map(group).collect()
    }

    /// Lines and charges as they are, allowances with their sign turned: what bases are summed from (BR-S-08).
    fn signed(&self) -> Result<Vec<Taxed>, Overflow> {
        let mut signed = self.lines.clone();
        signed.extend(&self.charges);
        for allowance in &self.allowances {
            signed.push(Taxed { net: Minor::ZERO.minus(allowance.net)?, ..*allowance });
        }
        Ok(signed)
    }
}

/// Shares out an amount over weights so that the parts add up to it: largest remainder, ties to the earlier part.
///
/// Nothing is shared out where every weight is nought.
///
/// ```
/// use rungwright::domain::money::Minor;
/// use rungwright::domain::pricing::document::share_out;
/// // Ten pounds over three equal lines: the odd penny goes to the first.
/// let parts = share_out(Minor::new(1_000), &[Minor::new(1), Minor::new(1), Minor::new(1)]);
/// assert_eq!(parts.unwrap(), [334, 333, 333].map(Minor::new));
/// ```
pub fn share_out(amount: Minor, weights: &[Minor]) -> Result<Vec<Minor>, Overflow> {
    let total = Minor::sum(weights.iter().copied())?.value();
    if total <= 0 || weights.iter().any(|weight| weight.value() < 0) {
        return Err(Overflow);
    }
    let product = |weight: &Minor| i128::from(amount.value()).checked_mul(weight.value().into());
    let divisor = i128::from(total);
    let mut parts = Vec::with_capacity(weights.len());
    let mut remainders = Vec::with_capacity(weights.len());
    for (index, weight) in weights.iter().enumerate() {
        let product = product(weight).ok_or(Overflow)?;
        parts.push(product.div_euclid(divisor));
        remainders.push((std::cmp::Reverse(product.rem_euclid(divisor)), index));
    }
    let missing = i128::from(amount.value()).saturating_sub(parts.iter().sum::<i128>());
    remainders.sort();
    let raised = usize::try_from(missing).map_err(|_too_many| Overflow)?;
    for (_, index) in remainders.into_iter().take(raised) {
        if let Some(part) = parts.get_mut(index) {
            *part = part.saturating_add(1);
        }
    }
    let parts = parts.into_iter().map(|part| i64::try_from(part).map(Minor::new));
    parts.collect::<Result<_, _>>().map_err(|_too_large| Overflow)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::money::TaxRate;

    const STANDARD: Taxation =
        Taxation { category: TaxCategory::Standard, rate: TaxRate::new(2_000) };

    fn taxed(net: i64) -> Taxed {
        Taxed { net: Minor::new(net), taxation: STANDARD }
    }

    #[test]
    fn an_allowance_lowers_the_base_and_a_charge_raises_it() {
        let amounts = Amounts {
            lines: vec![taxed(10_000)],
            allowances: vec![taxed(1_000)],
            charges: vec![taxed(500)],
        };
        let totals = amounts.totals(TaxRounding::PerRate).unwrap();
        assert_eq!(totals.net, Minor::new(9_500));
        assert_eq!(totals.groups.len(), 1);
        assert_eq!(totals.groups[0].base, Minor::new(9_500));
        assert_eq!(totals.gross, Minor::new(11_400));
    }

    #[test]
    fn two_rates_give_two_groups_that_add_up() {
        let export = Taxed {
            net: Minor::new(50),
            taxation: Taxation { category: TaxCategory::Export, rate: TaxRate::new(0) },
        };
        let amounts = Amounts { lines: vec![taxed(100), export], ..Amounts::default() };
        let totals = amounts.totals(TaxRounding::PerRate).unwrap();
        assert_eq!(totals.groups.iter().map(|group| group.tax.value()).sum::<i64>(), 20);
        assert_eq!((totals.net, totals.gross), (Minor::new(150), Minor::new(170)));
    }

    #[test]
    fn shares_follow_their_weights() {
        // Row 14 of the worked rows: 33.33 over 299.00, 84.50 and 12.99.
        let weights = [29_900, 8_450, 1_299].map(Minor::new);
        assert_eq!(
            share_out(Minor::new(3_333), &weights).unwrap(),
            [2_514, 710, 109].map(Minor::new)
        );
        assert!(share_out(Minor::new(100), &[Minor::ZERO]).is_err());
    }
}

//! The totals of a quote as they go out.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::quote::QuoteContent;

/// What is owed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct QuoteTotalView {
    /// ISO 4217 code.
    currency: String,
    /// Sum of the lines (BT-106).
    lines: String,
    /// Sum of the allowances (BT-107).
    allowances: String,
    /// Sum of the charges (BT-108).
    charges: String,
    /// Net (BT-109).
    net: String,
    /// Tax (BT-110).
    tax: String,
    /// With tax (BT-112), which is payable (BT-115).
    gross: String,
    /// Tax by category and rate.
    taxes: Vec<TaxView>,
    /// `per_rate` or `per_line`.
    tax_rounding: &'static str,
    /// Where the rate is from, and how that is known.
    tax_source: String,
    /// By how much the lines with tax differ from prices that a list states with tax.
    moved: String,
}

/// Tax of one category and rate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TaxView {
    /// UNCL 5305.
    category: &'static str,
    /// The rate.
    rate_percent: String,
    /// Taxable amount (BT-116).
    base: String,
    /// Tax (BT-117).
    tax: String,
}

impl From<&QuoteContent> for QuoteTotalView {
    fn from(content: &QuoteContent) -> Self {
        let currency = content.currency;
        let totals = &content.totals;
        let taxes = totals.groups.iter().map(|group| TaxView {
            category: group.taxation.category.code(),
            rate_percent: group.taxation.rate.percent(),
            base: currency.format(group.base),
            tax: currency.format(group.tax),
        });
        Self {
            currency: currency.code().to_owned(),
            lines: currency.format(totals.lines),
            allowances: currency.format(totals.allowances),
            charges: currency.format(totals.charges),
            net: currency.format(totals.net),
            tax: currency.format(totals.tax),
            gross: currency.format(totals.gross),
            taxes: taxes.collect(),
            tax_rounding: content.tax_rounding.word(),
            tax_source: content.tax_source.to_string(),
            moved: currency.format(content.moved),
        }
    }
}

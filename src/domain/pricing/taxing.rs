//! How a supply to a customer is taxed on a day: a row of the market, or the market's standard rate.
//!
//! Whether a customer *may* be supplied under a category is a question of law that the seller answers; what is checked
//! here is only what can be checked. Absent here: the sums.

use jiff::civil::Date;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::Taxation;
use crate::domain::evidence::Source;

use super::vat_number::VatNumber;

/// Countries of the European Union by ISO 3166-1 alpha-2 (from memory, 2026).
pub const EUROPEAN_UNION: [&str; 27] = [
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT",
    "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
];

/// Who is supplied, as far as tax goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TaxedCustomer<'a> {
    /// Country of the customer, two capitals, if stated.
    pub country: Option<&'a str>,
    /// VAT number, if stated.
    pub vat_number: Option<&'a VatNumber>,
}

/// A taxation with its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taxing {
    /// Category and rate.
    pub taxation: Taxation,
    /// Where the rate is from.
    pub source: Source,
}

/// Why a category cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotTaxable {
    /// The market has no row for it on the day.
    NoRow,
    /// Intra-community supply needs a VAT number of another country of the union, and a seller inside it.
    NotIntraCommunity,
    /// Export needs a country outside the seller's tax territory.
    NotExport,
    /// Reverse charge needs a customer with a VAT number.
    NotReverseCharge,
}

impl NotTaxable {
    /// The reason in a sentence.
    pub const fn text(self) -> &'static str {
        match self {
            Self::NoRow => "the market has no row for this tax category on that day",
            Self::NotIntraCommunity => {
                "category K needs a seller in the European Union and a customer's VAT number of another of its countries"
            }
            Self::NotExport => {
                "category G needs the country of a customer outside the seller's tax territory"
            }
            Self::NotReverseCharge => {
                "category AE needs the VAT number of the customer (EN 16931, BR-AE-02)"
            }
        }
    }
}

/// The taxation of a category in a market on a day.
pub fn taxation(
    edition: &Edition,
    market: &Market,
    (category, day): (TaxCategory, Date),
    customer: TaxedCustomer<'_>,
) -> Result<Taxing, NotTaxable> {
    let seller = edition.terms().market(&market.code).seller_country;
    check_customer(category, &seller, customer)?;
    if let Some(row) = edition.terms().tax_row(&market.code, category, day) {
        let taxation = Taxation { category, rate: row.rate };
        return Ok(Taxing { taxation, source: row.source.clone() });
    }
    if category == TaxCategory::Standard {
        let taxation = Taxation { category, rate: market.tax_rate };
        return Ok(Taxing { taxation, source: market.tax_source.clone() });
    }
    Err(NotTaxable::NoRow)
}

fn check_customer(
    category: TaxCategory,
    seller: &str,
    customer: TaxedCustomer<'_>,
) -> Result<(), NotTaxable> {
    let in_union = |country: &str| EUROPEAN_UNION.contains(&country);
    match category {
        TaxCategory::Standard | TaxCategory::ZeroRated => Ok(()),
        TaxCategory::ReverseCharge => {
            customer.vat_number.map(|_stated| ()).ok_or(NotTaxable::NotReverseCharge)
        }
        TaxCategory::IntraCommunity => {
            // Greece writes EL in its VAT numbers.
            let of_number = customer.vat_number.map(|number| match number.country() {
                "EL" => "GR",
                other => other,
            });
            let fits = of_number.is_some_and(|country| in_union(country) && country != seller);
            if fits && in_union(seller) { Ok(()) } else { Err(NotTaxable::NotIntraCommunity) }
        }
        TaxCategory::Export => {
            let outside = customer.country.is_some_and(|country| {
                country != seller && !(in_union(country) && in_union(seller))
            });
            if outside { Ok(()) } else { Err(NotTaxable::NotExport) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(category: TaxCategory, seller: &str, country: &str, number: &str) -> bool {
        let vat_number = VatNumber::parse(number).ok();
        let customer = TaxedCustomer { country: Some(country), vat_number: vat_number.as_ref() };
        check_customer(category, seller, customer).is_ok()
    }

    #[test]
    fn a_category_fits_its_customer() {
        assert!(check(TaxCategory::IntraCommunity, "IE", "DE", "DE123456788"));
        assert!(!check(TaxCategory::IntraCommunity, "IE", "IE", "IE1234567T"));
        assert!(!check(TaxCategory::IntraCommunity, "GB", "DE", "DE123456788"));
        assert!(check(TaxCategory::Export, "GB", "DE", ""));
        assert!(check(TaxCategory::Export, "DE", "GB", ""));
        assert!(!check(TaxCategory::Export, "DE", "IE", ""));
        assert!(!check(TaxCategory::Export, "GB", "GB", ""));
        assert!(!check(TaxCategory::ReverseCharge, "GB", "GB", ""));
        assert!(check(TaxCategory::ReverseCharge, "GB", "GB", "GB123456782"));
    }
}

//! From checked rooms to a quote about to be saved: the seller's day, the price list, the offer's last day.

use jiff::Timestamp;
use jiff::ToSpan;
use jiff::civil::Date;

use crate::domain::catalogue::Market;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::Tier;
use crate::domain::catalogue::VALIDITY_DAYS_MAX;
use crate::domain::catalogue::time_zone;
use crate::domain::compatibility::Catalogue;
use crate::domain::fault::Fault;
use crate::domain::pricing::discount::Discount;
use crate::domain::quote::AskedRoom;
use crate::domain::quote::Composer;
use crate::domain::quote::Customer;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::expiry;
use crate::domain::quote::local_day;

use super::desk::Rights;

/// What is wished for beyond the rooms.
#[derive(Debug, Clone)]
pub struct Wish {
    /// Whose prices.
    pub tier: Tier,
    /// Who asks.
    pub customer: Customer,
    /// Tax category.
    pub category: TaxCategory,
    /// Discount on the whole.
    pub discount: Option<Discount>,
    /// Destination band.
    pub band: Option<Box<str>>,
    /// Last day; by the market's terms when absent.
    pub valid_until: Option<Date>,
}

/// A content and how long it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Composed {
    /// What is on offer.
    pub content: QuoteContent,
    /// Last day.
    pub valid_until: Date,
    /// End of that day in the seller's time zone.
    pub expires_at: Timestamp,
    /// The seller's year.
    pub year: i16,
}

/// Why there is no quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoQuote {
    /// No price list of the tier holds on the day.
    NoPriceList(Tier, Date),
    /// Every fault, its pointer from the body of the request.
    Faults(Vec<Fault>),
}

/// The day on which a market's seller works at an instant.
pub fn seller_day(catalogue: &Catalogue, market: &str, now: Timestamp) -> Date {
    local_day(now, &catalogue.edition().terms().market(market).time_zone)
}

/// Composes a quote at an instant.
pub fn quote_parts(
    catalogue: &Catalogue,
    market: &Market,
    (rooms, wish): (Vec<AskedRoom>, Wish),
    (now, rights): (Timestamp, Rights),
) -> Result<Composed, NoQuote> {
    let edition = catalogue.edition();
    let day = seller_day(catalogue, &market.code, now);
    let list = edition.price_list_of(wish.tier, &market.code, day);
    let list: &PriceList = list.ok_or(NoQuote::NoPriceList(wish.tier, day))?;
    let lasts = lasts(catalogue, market, (day, wish.valid_until));
    let composer = Composer {
        edition,
        market,
        list,
        day,
        customer: wish.customer,
        category: wish.category,
        ceiling: rights.discount_ceiling,
        discount: wish.discount,
        band: wish.band,
    };
    match (composer.compose(rooms), lasts) {
        (Ok(content), Ok((valid_until, expires_at))) => {
            Ok(Composed { content, valid_until, expires_at, year: day.year() })
        }
        (Ok(_), Err(fault)) => Err(NoQuote::Faults(vec![fault])),
        (Err(faults), Ok(_)) => Err(NoQuote::Faults(faults)),
        (Err(mut faults), Err(fault)) => {
            faults.push(fault);
            Err(NoQuote::Faults(faults))
        }
    }
}

/// Last day of the offer and its end.
fn lasts(
    catalogue: &Catalogue,
    market: &Market,
    (today, wished): (Date, Option<Date>),
) -> Result<(Date, Timestamp), Fault> {
    let terms = catalogue.edition().terms().market(&market.code);
    let fault = |text: String| Fault::new("/valid_until", Fault::OUT_OF_RANGE, text);
    let days = |count: u16| today.checked_add(i64::from(count).days());
    let last = days(VALIDITY_DAYS_MAX).map_err(|error| fault(error.to_string()))?;
    let usual = days(terms.validity_days).map_err(|error| fault(error.to_string()))?;
    let day = wished.unwrap_or(usual);
    if day < today || last < day {
        return Err(fault(format!("the last day is {day}, allowed are {today} to {last}")));
    }
    let zone = time_zone(&terms.time_zone).map_err(|error| fault(error.to_string()))?;
    let end = expiry(day, &zone).map_err(|error| fault(error.to_string()))?;
    Ok((day, end))
}

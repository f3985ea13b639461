//! Terms of sale that an edition carries beside its prices: tiers, quantity breaks, tax rows, delivery, the seller.
//!
//! All of it may be left out: a price list without a row is a retail list of net prices, a market without a row has
//! the terms of [`MarketTerms::usual`]. Absent here: the arithmetic (`pricing`).

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::tz::TimeZoneDatabase;

use crate::domain::evidence::Source;
use crate::domain::money::Minor;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;

use super::market::Market;
use super::market::PriceList;
use super::seller::SellerLine;
use super::seller::SellerWords;
use super::seller::line_faults;
use super::sku::Sku;
use super::taxation::TaxCategory;
use super::taxation::TaxRounding;

/// What kind of customer a price list is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Tier {
    /// Anybody.
    #[default]
    Retail,
    /// Fitters and electricians.
    Trade,
    /// Those who sell on.
    Merchant,
}

impl Tier {
    /// The three tiers.
    pub const ALL: [Self; 3] = [Self::Retail, Self::Trade, Self::Merchant];

    /// The word for it in JSON, SQL and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Retail => "retail",
            Self::Trade => "trade",
            Self::Merchant => "merchant",
        }
    }

    /// The tier of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|tier| tier.word() == word)
    }
}

/// What a price list is for, beyond market and days.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ListTerms {
    /// Code of the list.
    pub list: Box<str>,
    /// Its customers.
    pub tier: Tier,
    /// Whether its prices contain the standard tax; the net is then derived first.
    pub includes_tax: bool,
}

/// A lower price from a quantity on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct QuantityBreak {
    /// Code of the list.
    pub list: Box<str>,
    /// The part.
    pub sku: Sku,
    /// Smallest quantity that has this price.
    pub quantity_min: u32,
    /// Price of one, as the list states prices.
    pub unit_price: UnitPrice,
}

/// Most pieces of one line, and the largest quantity a break may name.
pub const QUANTITY_MAX: u32 = 9_999;

/// A tax rate of a market for a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaxRow {
    /// The market.
    pub market: Box<str>,
    /// What it is for.
    pub category: TaxCategory,
    /// The rate.
    pub rate: TaxRate,
    /// First day.
    pub valid_from: Date,
    /// Last day; open when absent.
    pub valid_to: Option<Date>,
    /// Where it is from.
    pub source: Source,
}

/// What a delivery costs up to a mass and a length.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct DeliveryCharge {
    /// The market.
    pub market: Box<str>,
    /// Destination band: `mainland`.
    pub band: Box<str>,
    /// Heaviest shipment.
    pub mass_g_max: u32,
    /// Longest piece in it.
    pub length_mm_max: u32,
    /// Net charge.
    pub net: Minor,
}

/// Who sells in a market, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarketTerms {
    /// The market.
    pub market: Box<str>,
    /// Country of the seller, ISO 3166-1 alpha-2 in capitals.
    pub seller_country: Box<str>,
    /// Time zone in which the seller's days end, by its IANA name.
    pub time_zone: Box<str>,
    /// Days that a quote stands when nobody says.
    pub validity_days: u16,
    /// Where tax is rounded.
    pub tax_rounding: TaxRounding,
}

/// Days that a quote stands when the market's terms do not say (common practice, no source).
pub const VALIDITY_DAYS_USUAL: u16 = 30;
/// Most days that a quote may stand.
pub const VALIDITY_DAYS_MAX: u16 = 366;

impl MarketTerms {
    /// The terms of a market that states none: days end in universal time.
    pub fn usual(market: &str) -> Self {
        Self {
            market: market.into(),
            seller_country: market.to_ascii_uppercase().into(),
            time_zone: "UTC".into(),
            validity_days: VALIDITY_DAYS_USUAL,
            tax_rounding: TaxRounding::PerRate,
        }
    }
}

/// All terms of an edition.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Terms {
    /// What the lists are for.
    pub lists: Vec<ListTerms>,
    /// Quantity breaks.
    pub breaks: Vec<QuantityBreak>,
    /// Tax rows.
    pub taxes: Vec<TaxRow>,
    /// Delivery charges.
    pub deliveries: Vec<DeliveryCharge>,
    /// Sellers.
    pub markets: Vec<MarketTerms>,
    /// What the sellers have printed.
    pub seller_lines: Vec<SellerLine>,
}

impl Terms {
    /// The customers of a list: retail when nothing is said.
    pub fn tier(&self, list: &str) -> Tier {
        self.list(list).map_or(Tier::Retail, |terms| terms.tier)
    }

    /// Whether the prices of a list contain tax.
    pub fn includes_tax(&self, list: &str) -> bool {
        self.list(list).is_some_and(|terms| terms.includes_tax)
    }

    /// The terms of a market.
    pub fn market(&self, code: &str) -> MarketTerms {
        let found = self.markets.iter().find(|terms| &*terms.market == code);
        found.cloned().unwrap_or_else(|| MarketTerms::usual(code))
    }

    /// What the seller of a market has printed.
    pub fn seller(&self, code: &str) -> SellerWords {
        SellerWords::of(&self.seller_lines, code)
    }

    /// Whether a market states its terms.
    pub fn states_market(&self, code: &str) -> bool {
        self.markets.iter().any(|terms| &*terms.market == code)
    }

    /// The tax row of a market, category and day: the one that began last.
    pub fn tax_row(&self, market: &str, category: TaxCategory, day: Date) -> Option<&TaxRow> {
        let holds = |row: &&TaxRow| {
            &*row.market == market
                && row.category == category
                && row.valid_from <= day
                && row.valid_to.is_none_or(|last| day <= last)
        };
        self.taxes.iter().filter(holds).max_by_key(|row| row.valid_from)
    }

    /// The price of one piece at a quantity: that of the highest break reached, else the list's.
    pub fn unit_price(&self, list: &PriceList, sku: &Sku, quantity: u32) -> Option<UnitPrice> {
        let plain = *list.prices.get(sku)?;
        let reached = self
            .breaks
            .iter()
            .filter(|row| row.list == list.code && row.sku == *sku && row.quantity_min <= quantity);
        let best = reached.max_by_key(|row| row.quantity_min);
        Some(best.map_or(plain, |row| row.unit_price))
    }

    fn list(&self, code: &str) -> Option<&ListTerms> {
        self.lists.iter().find(|terms| &*terms.list == code)
    }

    pub(super) fn sort(&mut self) {
        self.lists.sort();
        self.breaks.sort();
        self.deliveries.sort();
        self.taxes.sort_by(|left, right| {
            (&left.market, left.category, left.valid_from).cmp(&(
                &right.market,
                right.category,
                right.valid_from,
            ))
        });
        self.markets.sort_by(|left, right| left.market.cmp(&right.market));
        self.seller_lines.sort();
    }
}

/// The time zone of an IANA name, from the table inside the program: the same on every machine.
pub fn time_zone(name: &str) -> Result<TimeZone, jiff::Error> {
    TimeZoneDatabase::bundled().get(name)
}

/// What is wrong with the terms of a content, as sentences.
pub(super) fn faults(terms: &Terms, markets: &[Market], lists: &[PriceList]) -> Vec<String> {
    let list_of = |code: &str| lists.iter().find(|list| &*list.code == code);
    let mut faults = Vec::new();
    for row in terms.lists.iter().filter(|row| list_of(&row.list).is_none()) {
        faults.push(format!("there is no price list {}", row.list));
    }
    for row in &terms.breaks {
        let priced = list_of(&row.list).is_some_and(|list| list.prices.contains_key(&row.sku));
        if !priced {
            faults.push(format!("{} has a quantity break but no price in {}", row.sku, row.list));
        }
        if row.quantity_min < 2 || QUANTITY_MAX < row.quantity_min {
            faults.push(format!("a break of {} begins at 2 to {QUANTITY_MAX} pieces", row.sku));
        }
    }
    faults.extend(market_faults(terms, markets));
    faults.extend(line_faults(&terms.seller_lines));
    for row in terms.deliveries.iter().filter(|row| row.net < Minor::ZERO) {
        faults.push(format!("the delivery band {} of {} pays the customer", row.band, row.market));
    }
    for row in terms.taxes.iter().filter(|row| row.category != TaxCategory::Standard) {
        if row.rate.basis_points() != 0 {
            faults.push(format!("category {} of {} has a rate", row.category.code(), row.market));
        }
    }
    faults
}

fn market_faults(terms: &Terms, markets: &[Market]) -> Vec<String> {
    let has_market = |code: &str| markets.iter().any(|market| &*market.code == code);
    let mut faults = Vec::new();
    let named = terms.taxes.iter().map(|row| &row.market);
    let named = named.chain(terms.deliveries.iter().map(|row| &row.market));
    let named = named.chain(terms.seller_lines.iter().map(|row| &row.market));
    for market in named.chain(terms.markets.iter().map(|row| &row.market)) {
        if !has_market(market) {
            faults.push(format!("there is no market {market}"));
        }
    }
    for row in &terms.markets {
        if row.validity_days < 1 || VALIDITY_DAYS_MAX < row.validity_days {
            faults.push(format!("quotes of {} stand 1 to {VALIDITY_DAYS_MAX} days", row.market));
        }
        if let Err(error) = time_zone(&row.time_zone) {
            faults.push(format!("the time zone of {} is not known: {error}", row.market));
        }
    }
    faults
}

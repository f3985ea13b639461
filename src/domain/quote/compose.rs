//! From rooms and wishes to the content of a quote: prices, discounts, delivery, tax, totals.
//!
//! Collects every fault, not the first. Absent here: which parts fit (they come checked), and rights (they come as
//! limits).

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::MarketTerms;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Stock;
use crate::domain::catalogue::TaxCategory;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Users;
use crate::domain::compatibility::net_price;
use crate::domain::fault::Fault;
use crate::domain::money::Minor;
use crate::domain::money::Overflow;
use crate::domain::money::UnitPrice;
use crate::domain::pricing::delivery::NoCharge;
use crate::domain::pricing::delivery::Shipment;
use crate::domain::pricing::delivery::delivery_charge;
use crate::domain::pricing::discount::Discount;
use crate::domain::pricing::discount::DiscountCeiling;
use crate::domain::pricing::document::DocumentTotals;
use crate::domain::pricing::taxing::NotTaxable;
use crate::domain::pricing::taxing::TaxedCustomer;
use crate::domain::pricing::taxing::Taxing;
use crate::domain::pricing::taxing::taxation;
use crate::domain::pricing::vat_number::NOT_PROVED;
use crate::domain::pricing::vat_number::VatNumber;
use crate::domain::units::Deciwatts;

use super::content::Customer;
use super::content::KeptNotice;
use super::content::KeptRequirement;
use super::content::QUOTE_LINES_MAX;
use super::content::QuoteContent;
use super::content::QuotedDelivery;
use super::content::QuotedDiscount;
use super::content::QuotedLine;
use super::content::QuotedRoom;
use super::content::Seller;
use super::sheet::RoomSheet;
use super::sums::granted;
use super::sums::sums;

/// A line to be priced.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedLine {
    /// The part.
    pub sku: Sku,
    /// How many.
    pub quantity: u32,
    /// Why it is there.
    pub why: Box<str>,
    /// The part in whose carton it comes, at no price of its own.
    pub included_with: Option<Sku>,
    /// Discount on the line.
    pub discount: Option<LineDiscount>,
    /// What asked for it: a JSON pointer into the request.
    pub place: Box<str>,
}

/// A discount on one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineDiscount {
    /// Where it stands in the request: a JSON pointer.
    pub place: Box<str>,
    /// How much, and why.
    pub discount: Discount,
}

/// A room to be priced, its parts already checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedRoom {
    /// Its name.
    pub name: Box<str>,
    /// Length, width and height in millimetres.
    pub size_mm: Option<[u32; 3]>,
    /// The heat requirement.
    pub requirement: Option<KeptRequirement>,
    /// What body and element give the room.
    pub delivered: Option<Deciwatts>,
    /// Where the rail is to hang.
    pub place: Place,
    /// Who uses the room.
    pub users: Users,
    /// Its lines.
    pub lines: Vec<AskedLine>,
    /// Every rule that spoke.
    pub checks: Vec<Finding>,
    /// Cautions.
    pub notices: Vec<KeptNotice>,
    /// Why clashing parts are on offer.
    pub override_reason: Option<Box<str>>,
    /// What the installation and care sheets say.
    pub sheet: Option<RoomSheet>,
    /// What was asked, as JSON.
    pub request: Box<str>,
    /// What was answered, as JSON.
    pub answer: Box<str>,
}

/// Why there is no quote: every fault, its pointer from the body of the request.
pub type Faulty = Vec<Fault>;

/// What a quote is composed from.
#[derive(Debug, Clone)]
pub struct Composer<'a> {
    /// The edition.
    pub edition: &'a Edition,
    /// The market.
    pub market: &'a Market,
    /// The price list of the customer's tier.
    pub list: &'a PriceList,
    /// Day whose prices and taxes count.
    pub day: Date,
    /// Who asked.
    pub customer: Customer,
    /// Tax category.
    pub category: TaxCategory,
    /// Most that may be taken off.
    pub ceiling: DiscountCeiling,
    /// Discount on the whole.
    pub discount: Option<Discount>,
    /// Destination band.
    pub band: Option<Box<str>>,
}

/// Net price of one, and the price with tax that the list states.
type LinePrice = (UnitPrice, Option<UnitPrice>);

/// Rooms, discount and delivery as they are charged.
type Priced = (Vec<QuotedRoom>, Option<QuotedDiscount>, Option<QuotedDelivery>);

fn count_faults(rooms: &[AskedRoom]) -> Faulty {
    let count = rooms.iter().map(|room| room.lines.len()).fold(0, usize::saturating_add);
    let mut faults = Vec::new();
    if QUOTE_LINES_MAX < count {
        let text = format!("the quote has {count} lines, {QUOTE_LINES_MAX} at the most");
        faults.push(Fault::new("/rooms", "too-many", text));
    }
    if count == 0 {
        faults.push(Fault::new("/rooms", "too-few", "the quote has no line".to_owned()));
    }
    faults
}

impl Composer<'_> {
    /// The content, or every fault.
    pub fn compose(&self, rooms: Vec<AskedRoom>) -> Result<QuoteContent, Faulty> {
        let terms = self.edition.terms().market(&self.market.code);
        let mut faults = count_faults(&rooms);
        let taxing = self.taxing(&mut faults);
        let shipment = self.shipment(&rooms);
        let rooms = self.priced(rooms, &mut faults);
        let delivery = self.delivery(shipment, &mut faults);
        let lines = Minor::sum(rooms.iter().flat_map(|room| &room.lines).map(|line| line.net));
        let discount = match lines {
            Ok(net) => self.quote_discount(net, &mut faults),
            Err(Overflow) => None,
        };
        let Some(taxing) = taxing.filter(|_| faults.is_empty()) else { return Err(faults) };
        let Ok((totals, moved)) = sums(
            &rooms,
            (discount.as_ref(), delivery.as_ref()),
            (&taxing, &terms),
            (self.list, self.market),
        ) else {
            return Err(vec![Fault::new("/rooms", "amount-too-large", Overflow.to_string())]);
        };
        Ok(self.content((rooms, discount, delivery), (taxing, terms), (totals, moved)))
    }

    fn content(
        &self,
        (rooms, discount, delivery): Priced,
        (taxing, terms): (Taxing, MarketTerms),
        (totals, moved): (DocumentTotals, Minor),
    ) -> QuoteContent {
        QuoteContent {
            edition: self.edition.number(),
            market: self.market.code.clone(),
            language: self.market.language.clone(),
            currency: self.list.currency,
            tier: self.edition.terms().tier(&self.list.code),
            price_list: self.list.code.clone(),
            price_list_valid_to: self.list.valid_to,
            price_date: self.day,
            notices: self.notices(moved),
            seller: Seller {
                country: terms.seller_country,
                time_zone: terms.time_zone,
                words: Some(self.edition.terms().seller(&self.market.code)),
            },
            customer: self.customer.clone(),
            rooms,
            discount,
            delivery,
            taxation: taxing.taxation,
            tax_source: taxing.source,
            tax_rounding: terms.tax_rounding,
            totals,
            moved,
        }
    }

    fn taxing(&self, faults: &mut Faulty) -> Option<Taxing> {
        let number = self.customer.vat_number.as_deref();
        let number = number.and_then(|text| VatNumber::parse(text).ok());
        let customer = TaxedCustomer {
            country: self.customer.country.as_deref(),
            vat_number: number.as_ref(),
        };
        let found = taxation(self.edition, self.market, (self.category, self.day), customer);
        let refused = |reason: &NotTaxable| {
            let text = NotTaxable::text(*reason).to_owned();
            faults.push(Fault::new("/tax_category", "not-taxable", text));
        };
        found.inspect_err(refused).ok()
    }

    fn shipment(&self, rooms: &[AskedRoom]) -> Shipment {
        let lines = rooms.iter().flat_map(|room| &room.lines);
        lines.fold(Shipment::default(), |shipment, line| match self.edition.find(&line.sku) {
            Some(part) => shipment.with(self.edition, part, line.quantity),
            None => shipment,
        })
    }

    fn delivery(&self, shipment: Shipment, faults: &mut Faulty) -> Option<QuotedDelivery> {
        let band = self.band.as_deref()?;
        let row = delivery_charge(self.edition.terms(), &self.market.code, band, shipment);
        match row {
            Ok(row) => Some(QuotedDelivery {
                band: row.band.clone(),
                mass_g: shipment.mass_g,
                length_mm: shipment.length_mm,
                net: row.net,
            }),
            Err(NoCharge::UnknownBand) => {
                let text = format!("the market has no delivery band {band:?}");
                faults.push(Fault::new("/delivery/band", "unknown", text));
                None
            }
            Err(NoCharge::TooLarge) => {
                let Shipment { mass_g, length_mm } = shipment;
                let text = format!("no row of the band carries {mass_g} g and {length_mm} mm");
                faults.push(Fault::new("/delivery/band", "too-large", text));
                None
            }
        }
    }

    fn quote_discount(&self, net: Minor, faults: &mut Faulty) -> Option<QuotedDiscount> {
        granted(self.discount.as_ref()?, net, self.ceiling, ("/discount", faults))
    }

    fn priced(&self, rooms: Vec<AskedRoom>, faults: &mut Faulty) -> Vec<QuotedRoom> {
        let mut quantities: BTreeMap<Sku, u32> = BTreeMap::new();
        for line in rooms.iter().flat_map(|room| &room.lines) {
            if line.included_with.is_none() {
                let count = quantities.entry(line.sku.clone()).or_default();
                *count = count.saturating_add(line.quantity);
            }
        }
        rooms.into_iter().map(|room| self.priced_room(room, &quantities, faults)).collect()
    }

    fn priced_room(
        &self,
        room: AskedRoom,
        quantities: &BTreeMap<Sku, u32>,
        faults: &mut Faulty,
    ) -> QuotedRoom {
        let mut lines = Vec::new();
        for line in room.lines {
            let reached = quantities.get(&line.sku).copied().unwrap_or(line.quantity);
            lines.extend(self.line(line, reached, faults));
        }
        QuotedRoom {
            name: room.name,
            size_mm: room.size_mm,
            requirement: room.requirement,
            delivered: room.delivered,
            place: room.place,
            users: room.users,
            lines,
            checks: room.checks,
            notices: room.notices,
            override_reason: room.override_reason,
            sheet: room.sheet,
            request: room.request,
            answer: room.answer,
        }
    }

    fn line(&self, line: AskedLine, reached: u32, faults: &mut Faulty) -> Option<QuotedLine> {
        let place = &*line.place;
        let part = self.edition.find(&line.sku)?;
        let card = self.edition.card(part)?;
        let priced = self.price(part, &line, reached);
        let Some((unit_net, unit_stated)) = priced else {
            let text = format!("{} has no price in list {}", line.sku, self.list.code);
            faults.push(Fault::new(place, "no-price", text));
            return None;
        };
        let Ok(full) = unit_net.times(line.quantity, self.list.currency) else {
            faults.push(Fault::new(place, "amount-too-large", Overflow.to_string()));
            return None;
        };
        let discount = line.discount.as_ref();
        let discount = discount.and_then(|LineDiscount { place: asked_at, discount }| {
            granted(discount, full, self.ceiling, (asked_at, faults))
        });
        let off = discount.as_ref().map_or(Minor::ZERO, |discount| discount.net);
        Some(QuotedLine {
            kind: part.kind,
            name: card.name.clone(),
            lead_days: card.lead_days,
            sku: line.sku,
            quantity: line.quantity,
            unit_net,
            unit_stated,
            net: full.minus(off).unwrap_or(full),
            discount,
            why: line.why,
            included_with: line.included_with,
        })
    }

    /// Net price of one, and the price with tax that the list states.
    fn price(&self, part: PartRef, line: &AskedLine, reached: u32) -> Option<LinePrice> {
        if line.included_with.is_some() {
            return Some((UnitPrice::default(), None));
        }
        let card = self.edition.card(part)?;
        if card.stock == Stock::Discontinued {
            return None;
        }
        let stated = self.edition.terms().unit_price(self.list, &line.sku, reached)?;
        let net = net_price(self.edition, self.list, stated)?;
        let includes_tax = self.edition.terms().includes_tax(&self.list.code);
        Some((net, includes_tax.then_some(stated)))
    }

    fn notices(&self, moved: Minor) -> Vec<KeptNotice> {
        let mut notices = Vec::new();
        let mut say = |code: &str, text: String| {
            notices.push(KeptNotice { code: code.into(), text: text.into() });
        };
        if self.customer.vat_number.is_some() {
            say("vat-number-not-proved", NOT_PROVED.to_owned());
        }
        if !self.edition.terms().states_market(&self.market.code) {
            let text = "The market states no terms of sale: days end in universal time.";
            say("seller-terms-assumed", text.to_owned());
        }
        if moved != Minor::ZERO {
            let moved = self.list.currency.format(moved);
            let text = format!(
                "The list states prices with tax. Net prices were derived first and tax taken on their sum, which moves \
                 the sum of the lines with tax by {moved}."
            );
            say("gross-moved", text);
        }
        notices
    }
}

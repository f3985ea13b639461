//! What a quote keeps for ever: all that its papers say.

use jiff::civil::Date;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::SellerWords;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::TaxRounding;
use crate::domain::catalogue::Taxation;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Users;
use crate::domain::evidence::Source;
use crate::domain::money::Currency;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;
use crate::domain::notice::Notice;
use crate::domain::pricing::document::DocumentTotals;
use crate::domain::units::Deciwatts;

use super::sheet::RoomSheet;

/// Most rooms of one quote.
pub const ROOMS_MAX: usize = 50;
/// Most lines of one quote, with what comes in cartons.
pub const QUOTE_LINES_MAX: usize = 5_000;

/// Everything that is on offer, and everything that led to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteContent {
    /// The edition that answered.
    pub edition: u32,
    /// The market.
    pub market: Box<str>,
    /// Language of the papers (BCP 47).
    pub language: Box<str>,
    /// What all amounts are in.
    pub currency: Currency,
    /// Whose prices.
    pub tier: Tier,
    /// The price list.
    pub price_list: Box<str>,
    /// Last day of the price list; open when absent.
    pub price_list_valid_to: Option<Date>,
    /// Day whose prices count, in the seller's time zone.
    pub price_date: Date,
    /// Who sells.
    pub seller: Seller,
    /// Who asked.
    pub customer: Customer,
    /// Rooms with their lines, in the order asked.
    pub rooms: Vec<QuotedRoom>,
    /// Discount on the whole.
    pub discount: Option<QuotedDiscount>,
    /// Delivery.
    pub delivery: Option<QuotedDelivery>,
    /// How it is taxed.
    pub taxation: Taxation,
    /// Where the tax rate is from.
    pub tax_source: Source,
    /// Where tax is rounded, as it is printed.
    pub tax_rounding: TaxRounding,
    /// The totals.
    pub totals: DocumentTotals,
    /// By how much the lines with tax differ from the prices with tax that the list states; nought for net lists.
    pub moved: Minor,
    /// Cautions about the whole.
    pub notices: Vec<KeptNotice>,
}

/// Who sells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seller {
    /// Country, two capitals.
    pub country: Box<str>,
    /// Time zone in which days end, by its IANA name.
    pub time_zone: Box<str>,
    /// What the seller has printed; absent in quotes of an earlier program.
    pub words: Option<SellerWords>,
}

/// Who asked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Customer {
    /// The caller's own reference.
    pub reference: Option<Box<str>>,
    /// Name.
    pub name: Option<Box<str>>,
    /// Country, two capitals.
    pub country: Option<Box<str>>,
    /// VAT number: checked for its form, never proved.
    pub vat_number: Option<Box<str>>,
    /// Address, line by line; absent in quotes of an earlier program.
    pub address: Option<Vec<Box<str>>>,
}

/// One room and what goes into it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotedRoom {
    /// Its name.
    pub name: Box<str>,
    /// Length, width and height in millimetres, where the room is described.
    pub size_mm: Option<[u32; 3]>,
    /// The heat requirement, where there is one.
    pub requirement: Option<KeptRequirement>,
    /// What body and element give the room.
    pub delivered: Option<Deciwatts>,
    /// Where the rail is to hang.
    pub place: Place,
    /// Who uses the room.
    pub users: Users,
    /// The lines.
    pub lines: Vec<QuotedLine>,
    /// Every rule that spoke, and how it came out.
    pub checks: Vec<Finding>,
    /// Cautions.
    pub notices: Vec<KeptNotice>,
    /// Why parts that clash are on offer all the same; printed.
    pub override_reason: Option<Box<str>>,
    /// What the installation and care sheets say; absent in quotes of an earlier program.
    pub sheet: Option<RoomSheet>,
    /// What was asked, as JSON.
    pub request: Box<str>,
    /// The answer that led to it, as JSON; empty for parts that the caller chose.
    pub answer: Box<str>,
}

/// The heat requirement as it was answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptRequirement {
    /// What the rail must deliver.
    pub required: Deciwatts,
    /// What the room needs.
    pub room: Deciwatts,
    /// `given`, `steady_state` or `quick_rule`.
    pub basis: Box<str>,
    /// The quick rule beside it.
    pub quick_rule: Option<Deciwatts>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotedLine {
    /// Part number.
    pub sku: Sku,
    /// Kind.
    pub kind: PartKind,
    /// Name.
    pub name: Box<str>,
    /// How many.
    pub quantity: u32,
    /// Net price of one.
    pub unit_net: UnitPrice,
    /// Price of one with tax, where the list states it so.
    pub unit_stated: Option<UnitPrice>,
    /// Discount on the line.
    pub discount: Option<QuotedDiscount>,
    /// Net of the line (BT-131): quantity times price, rounded once, less the discount.
    pub net: Minor,
    /// Why it is there.
    pub why: Box<str>,
    /// The part in whose carton it comes.
    pub included_with: Option<Sku>,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
}

/// A discount that was granted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotedDiscount {
    /// Why.
    pub reason: Box<str>,
    /// Hundredths of a percent, where it was granted so.
    pub percent_bp: Option<u32>,
    /// What it takes off.
    pub net: Minor,
}

/// Delivery as it is charged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotedDelivery {
    /// Destination band.
    pub band: Box<str>,
    /// Mass of the bodies.
    pub mass_g: u32,
    /// Longest piece.
    pub length_mm: u32,
    /// Net charge.
    pub net: Minor,
}

/// A caution as it was shown.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeptNotice {
    /// Stable code.
    pub code: Box<str>,
    /// A sentence or two.
    pub text: Box<str>,
}

impl From<&Notice> for KeptNotice {
    fn from(notice: &Notice) -> Self {
        Self { code: notice.code.into(), text: (&*notice.text).into() }
    }
}

impl QuoteContent {
    /// The lines of all rooms.
    pub fn lines(&self) -> impl Iterator<Item = &QuotedLine> {
        self.rooms.iter().flat_map(|room| &room.lines)
    }
}

//! Quotes as they go out.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::money::Currency;
use crate::domain::quote::Change;
use crate::domain::quote::KeptNotice;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuoteState;
use crate::domain::quote::QuotedDiscount;
use crate::domain::quote::QuotedLine;
use crate::domain::quote::QuotedRoom;
use crate::domain::units::Deciwatts;
use crate::http::bills::CheckView;

use super::total_view::QuoteTotalView;

/// One revision of a quote. All but state, instants and acceptance stays the same for ever.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct QuoteView {
    /// Number, shared by all revisions.
    #[schema(example = "GB-2026-000123")]
    number: String,
    /// 1 is the first.
    revision: u32,
    /// The revision that it replaces.
    #[serde(skip_serializing_if = "Option::is_none")]
    predecessor: Option<u32>,
    /// `draft`, `issued`, `accepted`, `expired`, `withdrawn` or `superseded`.
    state: &'static str,
    /// When it was drafted (RFC 3339, universal time).
    created_at: String,
    /// Last day of the offer, in the seller's time zone.
    valid_until: String,
    /// The first instant at which the offer no longer stands.
    expires_at: String,
    /// When it was issued.
    #[serde(skip_serializing_if = "Option::is_none")]
    issued_at: Option<String>,
    /// Who accepted, and when.
    #[serde(skip_serializing_if = "Option::is_none")]
    acceptance: Option<AcceptanceView>,
    /// Why it was withdrawn, and when.
    #[serde(skip_serializing_if = "Option::is_none")]
    withdrawal: Option<WithdrawalView>,
    /// The edition that answered.
    edition: u32,
    /// The market.
    market: String,
    /// Language of the papers.
    language: String,
    /// Whose prices: `retail`, `trade` or `merchant`.
    tier: &'static str,
    /// The price list.
    price_list: String,
    /// Day whose prices count.
    price_date: String,
    /// Who sells.
    seller: SellerView,
    /// Who asked.
    customer: CustomerView,
    /// The rooms.
    rooms: Vec<RoomView>,
    /// Discount on the whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    discount: Option<DiscountView>,
    /// Delivery.
    #[serde(skip_serializing_if = "Option::is_none")]
    delivery: Option<DeliveryView>,
    /// What is owed, by the sums of EN 16931.
    total: QuoteTotalView,
    /// Cautions about the whole.
    notices: Vec<KeptNoticeView>,
    /// What differs from the predecessor.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    changes: Vec<QuoteChangeView>,
}

/// Who accepted, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AcceptanceView {
    /// Who.
    by: String,
    /// When.
    at: String,
}

/// Why it was withdrawn, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct WithdrawalView {
    /// Why.
    reason: String,
    /// When.
    at: String,
}

/// Who sells.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SellerView {
    /// Country, ISO 3166-1 alpha-2.
    country: String,
    /// Time zone in which days end.
    time_zone: String,
    /// Name.
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    /// Address, line by line.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    address: Vec<String>,
}

/// Who asked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CustomerView {
    /// The caller's own reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    reference: Option<String>,
    /// Name.
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    /// Country.
    #[serde(skip_serializing_if = "Option::is_none")]
    country: Option<String>,
    /// Address, line by line.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    address: Vec<String>,
    /// VAT number, checked for its form and not proved.
    #[serde(skip_serializing_if = "Option::is_none")]
    vat_number: Option<String>,
}

/// One room.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RoomView {
    /// Its name.
    name: String,
    /// What the rail must deliver.
    #[serde(skip_serializing_if = "Option::is_none")]
    required_w: Option<f64>,
    /// `given`, `steady_state` or `quick_rule`.
    #[serde(skip_serializing_if = "Option::is_none")]
    requirement_basis: Option<String>,
    /// What body and element give the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    delivered_w: Option<f64>,
    /// The lines.
    lines: Vec<QuotedLineView>,
    /// Every rule that spoke.
    checks: Vec<CheckView<'static>>,
    /// Cautions.
    notices: Vec<KeptNoticeView>,
    /// Why clashing parts are on offer.
    #[serde(skip_serializing_if = "Option::is_none")]
    override_reason: Option<String>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct QuotedLineView {
    /// Part number.
    sku: String,
    /// `body`, `element`, `control` or `accessory`.
    kind: &'static str,
    /// Its name.
    name: String,
    /// How many.
    quantity: u32,
    /// Net price of one, up to four decimals.
    unit_net: String,
    /// Price of one with tax, where the list states it so.
    #[serde(skip_serializing_if = "Option::is_none")]
    unit_stated: Option<String>,
    /// Discount on the line.
    #[serde(skip_serializing_if = "Option::is_none")]
    discount: Option<DiscountView>,
    /// Net of the line.
    net: String,
    /// Why it is there.
    why: String,
    /// The part in whose carton it comes.
    #[serde(skip_serializing_if = "Option::is_none")]
    included_with: Option<String>,
    /// Working days until it leaves the maker.
    lead_days: u16,
}

/// A discount.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct DiscountView {
    /// Why.
    reason: String,
    /// Net amount taken off.
    net: String,
}

/// Delivery.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct DeliveryView {
    /// Destination band.
    band: String,
    /// Mass of the bodies.
    mass_g: u32,
    /// Longest piece.
    length_mm: u32,
    /// Net charge.
    net: String,
}

/// A caution as it was shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct KeptNoticeView {
    /// Stable code.
    code: String,
    /// A sentence or two.
    text: String,
}

/// One difference from the predecessor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct QuoteChangeView {
    /// What differs: `line`, `quantity`, `unit_net`, `discount`, `check`, `gross` …
    what: String,
    /// Room and part, or room and rule; empty for the whole.
    place: String,
    /// Before; null when it is new.
    from: Option<String>,
    /// After; null when it is gone.
    to: Option<String>,
}

impl QuoteView {
    /// The view of a revision in a state.
    pub fn new(quote: &Quote, state: QuoteState) -> Self {
        let content = &quote.content;
        let currency = content.currency;
        let customer = &content.customer;
        let owned = |text: &Option<Box<str>>| text.as_deref().map(ToOwned::to_owned);
        Self {
            number: quote.number.to_string(),
            revision: quote.revision,
            predecessor: quote.predecessor,
            state: state.word(),
            created_at: quote.created_at.to_string(),
            valid_until: quote.valid_until.to_string(),
            expires_at: quote.expires_at.to_string(),
            issued_at: quote.issued_at.map(|at| at.to_string()),
            acceptance: quote.acceptance.as_ref().map(|acceptance| AcceptanceView {
                by: acceptance.by.to_string(),
                at: acceptance.at.to_string(),
            }),
            withdrawal: quote.withdrawal.as_ref().map(|withdrawal| WithdrawalView {
                reason: withdrawal.reason.to_string(),
                at: withdrawal.at.to_string(),
            }),
            edition: content.edition,
            market: content.market.to_string(),
            language: content.language.to_string(),
            tier: content.tier.word(),
            price_list: content.price_list.to_string(),
            price_date: content.price_date.to_string(),
            seller: SellerView {
                country: content.seller.country.to_string(),
                time_zone: content.seller.time_zone.to_string(),
                name: content.seller.words.as_ref().and_then(|words| owned(&words.name)),
                address: lines(content.seller.words.as_ref().map(|words| &words.address)),
            },
            customer: CustomerView {
                reference: owned(&customer.reference),
                name: owned(&customer.name),
                country: owned(&customer.country),
                address: lines(customer.address.as_ref()),
                vat_number: owned(&customer.vat_number),
            },
            rooms: content.rooms.iter().map(|room| RoomView::new(room, currency)).collect(),
            discount: content.discount.as_ref().map(|found| DiscountView::new(found, currency)),
            delivery: delivery(content),
            total: QuoteTotalView::from(content),
            notices: content.notices.iter().map(Into::into).collect(),
            changes: quote.changes.iter().map(Into::into).collect(),
        }
    }
}

fn lines(texts: Option<&Vec<Box<str>>>) -> Vec<String> {
    texts.into_iter().flatten().map(ToString::to_string).collect()
}

fn delivery(content: &QuoteContent) -> Option<DeliveryView> {
    content.delivery.as_ref().map(|found| DeliveryView {
        band: found.band.to_string(),
        mass_g: found.mass_g,
        length_mm: found.length_mm,
        net: content.currency.format(found.net),
    })
}

impl RoomView {
    fn new(room: &QuotedRoom, currency: Currency) -> Self {
        let requirement = room.requirement.as_ref();
        Self {
            name: room.name.to_string(),
            required_w: requirement.map(|found| found.required.watts()),
            requirement_basis: requirement.map(|found| found.basis.to_string()),
            delivered_w: room.delivered.map(Deciwatts::watts),
            lines: room.lines.iter().map(|line| QuotedLineView::new(line, currency)).collect(),
            checks: room.checks.iter().cloned().map(CheckView::from).collect(),
            notices: room.notices.iter().map(Into::into).collect(),
            override_reason: room.override_reason.as_deref().map(ToOwned::to_owned),
        }
    }
}

impl QuotedLineView {
    fn new(line: &QuotedLine, currency: Currency) -> Self {
        Self {
            sku: line.sku.to_string(),
            kind: line.kind.word(),
            name: line.name.to_string(),
            quantity: line.quantity,
            unit_net: line.unit_net.format(currency),
            unit_stated: line.unit_stated.map(|price| price.format(currency)),
            discount: line.discount.as_ref().map(|found| DiscountView::new(found, currency)),
            net: currency.format(line.net),
            why: line.why.to_string(),
            included_with: line.included_with.as_ref().map(ToString::to_string),
            lead_days: line.lead_days,
        }
    }
}

impl DiscountView {
    fn new(discount: &QuotedDiscount, currency: Currency) -> Self {
        Self { reason: discount.reason.to_string(), net: currency.format(discount.net) }
    }
}

impl From<&KeptNotice> for KeptNoticeView {
    fn from(notice: &KeptNotice) -> Self {
        Self { code: notice.code.to_string(), text: notice.text.to_string() }
    }
}

impl From<&Change> for QuoteChangeView {
    fn from(change: &Change) -> Self {
        let owned = |text: &Option<Box<str>>| text.as_deref().map(ToOwned::to_owned);
        Self {
            what: change.what.to_string(),
            place: change.place.to_string(),
            from: owned(&change.from),
            to: owned(&change.to),
        }
    }
}

//! A part as it goes out: the card, every attribute that it states, and its price where a market is named.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value as Json;
use utoipa::ToSchema;

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Control;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::money::UnitPrice;
use crate::http::Problem;
use crate::http::problem::Code;
use crate::http::references::Unknown;
use crate::http::values::json;
use crate::operations::Snapshot;

/// A page of parts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PartsView {
    /// The edition that answered.
    pub edition: u32,
    /// The parts, by part number.
    pub items: Vec<PartView>,
    /// Opaque: the value of `cursor` for the next page; absent on the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_cursor: Option<String>,
}

/// One part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PartView {
    /// Part number.
    pub sku: String,
    /// `body`, `element`, `control` or `accessory`.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// Trade item number (GS1).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gtin: Option<String>,
    /// `in_stock`, `to_order` or `discontinued`.
    pub stock: &'static str,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
    /// How its figures are known; demonstration parts are `invented`.
    pub evidence: &'static str,
    /// What the part states, by the names that rules use; units end the name. What is not there is not stated.
    pub attributes: BTreeMap<String, Json>,
    /// What comes in its carton: part number and quantity.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub included: BTreeMap<String, u32>,
    /// Its price in the market asked for; absent when it is not sold there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<PriceView>,
}

/// The price of one piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PriceView {
    /// ISO 4217 code.
    pub currency: String,
    /// Price list.
    pub price_list: String,
    /// Net price of one, up to four decimals.
    pub unit_net: String,
    /// Price of one with tax, rounded as a bill of one piece would be.
    pub gross: String,
    /// The tax rate.
    pub tax_rate_percent: String,
}

/// The market whose prices are shown, if any.
#[derive(Debug, Clone, Copy)]
pub struct Pricing<'a> {
    market: Option<(&'a Market, &'a PriceList)>,
}

impl<'a> Pricing<'a> {
    /// Prices of a market on the snapshot's day; 400 for a market that the edition does not hold.
    pub fn of(snapshot: &'a Snapshot, asked: Option<&str>) -> Result<Self, Problem> {
        let Some(code) = asked else { return Ok(Self { market: None }) };
        let edition = snapshot.catalogue().edition();
        let Some(market) = edition.market(code) else {
            let unknown = Unknown::market(edition, code);
            let errors = unknown.iter().map(Unknown::of_parameter).collect();
            return Err(Problem::listing(Code::BadQuery, errors));
        };
        let day = snapshot.today();
        let list = edition.price_list(code, day).ok_or_else(|| {
            Problem::new(Code::NoPriceList, format!("no price list of {code} holds on {day}"))
        })?;
        Ok(Self { market: Some((market, list)) })
    }

    /// The price of a part; absent when no market is asked for or the part is not sold there.
    pub fn price(&self, snapshot: &Snapshot, part: PartRef) -> Option<PriceView> {
        let (market, list) = self.market?;
        let unit: UnitPrice = snapshot.catalogue().price(list, part)?;
        let net = unit.times(1, list.currency).ok()?;
        let gross = net.plus(net.tax(market.tax_rate).ok()?).ok()?;
        Some(PriceView {
            currency: list.currency.code().to_owned(),
            price_list: list.code.to_string(),
            unit_net: unit.format(list.currency),
            gross: list.currency.format(gross),
            tax_rate_percent: market.tax_rate.percent(),
        })
    }
}

impl PartView {
    /// The view of a part.
    pub fn new(snapshot: &Snapshot, part: PartRef, pricing: &Pricing<'_>) -> Option<Self> {
        let edition = snapshot.catalogue().edition();
        let card = edition.card(part)?;
        let own = card.attributes.keys().map(AsRef::as_ref);
        let named = typed(part.kind).iter().copied().chain(own);
        let besides_card = named.filter(|name| !CARD.contains(name));
        let stated = besides_card
            .filter_map(|name| Some((name.to_owned(), json(&edition.attribute(part, name)?))));
        let body = edition.bodies().get(part.index).filter(|_| part.kind == PartKind::Body);
        let included = body.into_iter().flat_map(|body| &body.included);
        Some(Self {
            sku: card.sku.to_string(),
            kind: part.kind.word(),
            name: card.name.to_string(),
            gtin: card.gtin.as_ref().map(ToString::to_string),
            stock: card.stock.word(),
            lead_days: card.lead_days,
            evidence: card.evidence.code(),
            attributes: stated.collect(),
            included: included.map(|row| (row.sku.to_string(), row.quantity)).collect(),
            price: pricing.price(snapshot, part),
        })
    }
}

/// Attributes that stand on the card already.
const CARD: [&str; 3] = ["sku", "stock", "lead_days"];

const fn typed(kind: PartKind) -> &'static [&'static str] {
    match kind {
        PartKind::Body => Body::ATTRIBUTES,
        PartKind::Element => Element::ATTRIBUTES,
        PartKind::Control => Control::ATTRIBUTES,
        PartKind::Accessory => Accessory::ATTRIBUTES,
    }
}

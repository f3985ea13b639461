//! Which fields of a quote are kept, and under which names.

use jiff::civil::Date;
use serde_json::Map;
use serde_json::Value;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::SellerWords;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Side;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::TaxCategory;
use crate::domain::catalogue::TaxRounding;
use crate::domain::catalogue::Taxation;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Outcome;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::StatedSide;
use crate::domain::compatibility::Users;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::money::Currency;
use crate::domain::money::Minor;
use crate::domain::money::TaxRate;
use crate::domain::money::UnitPrice;
use crate::domain::mounting::WallType;
use crate::domain::pricing::document::DocumentTotals;
use crate::domain::pricing::document::TaxGroup;
use crate::domain::quote::Change;
use crate::domain::quote::Customer;
use crate::domain::quote::KeptNotice;
use crate::domain::quote::KeptRequirement;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuotedDelivery;
use crate::domain::quote::QuotedDiscount;
use crate::domain::quote::QuotedLine;
use crate::domain::quote::QuotedRoom;
use crate::domain::quote::Seller;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;
use crate::domain::zones::Zone;

use super::kept::Kept;
use super::kept::NotKept;
use super::kept::field;
use super::kept::kept;
use super::kept::numbered;
use super::kept::object;
use super::kept::worded;

/// The content as JSON text: the same content gives the same bytes.
pub(super) fn keep_content(content: &QuoteContent) -> String {
    content.keep().to_string()
}

/// The content of a JSON text.
pub(super) fn content_back(text: &str) -> Result<QuoteContent, NotKept> {
    read(text)
}

/// Changes as JSON text.
pub(super) fn keep_changes(changes: &[Change]) -> String {
    Value::Array(changes.iter().map(Kept::keep).collect()).to_string()
}

/// The changes of a JSON text.
pub(super) fn changes_back(text: &str) -> Result<Vec<Change>, NotKept> {
    read(text)
}

fn read<T: Kept>(text: &str) -> Result<T, NotKept> {
    let value = serde_json::from_str(text).map_err(|_no_json| NotKept::new("it is not JSON"))?;
    T::back(value)
}

kept! {
    QuoteContent {
        edition, market, language, currency, tier, price_list, price_list_valid_to, price_date, seller, customer,
        rooms, discount, delivery, taxation, tax_source, tax_rounding, totals, moved, notices,
    }
    Seller { country, time_zone, words }
    SellerWords { name, address, contact, tax_number, guarantee, guarantee_ends, claims, terms }
    Customer { reference, name, country, vat_number, address }
    QuotedRoom {
        name, size_mm, requirement, delivered, place, users, lines, checks, notices, override_reason, sheet, request,
        answer,
    }
    KeptRequirement { required, room, basis, quick_rule }
    QuotedLine {
        sku, kind, name, quantity, unit_net, unit_stated, discount, net, why, included_with, lead_days,
    }
    QuotedDiscount { reason, percent_bp, net }
    QuotedDelivery { band, mass_g, length_mm, net }
    KeptNotice { code, text }
    Finding { rule, outcome, severity, detail, left, right, source }
    StatedSide { sku, attribute, value }
    Place {
        region, wall_width, wall_bottom, wall_height, zone, water_jets, connection_distance, side, wall_type,
    }
    Users { children, vulnerable, public_building }
    Taxation { category, rate }
    DocumentTotals { lines, allowances, charges, net, tax, gross, groups }
    TaxGroup { taxation, base, tax }
    Change { what, place, from, to }
}

impl Kept for Source {
    fn keep(&self) -> Value {
        let mut object = Map::new();
        object.insert("text".to_owned(), Value::from(&*self.text));
        object.insert("evidence".to_owned(), self.evidence.keep());
        Value::Object(object)
    }

    fn back(value: Value) -> Result<Self, NotKept> {
        let mut object = object(value)?;
        Ok(Self::stated(field(&mut object, "text")?, field(&mut object, "evidence")?))
    }
}

worded! {
    Sku: ToString::to_string, |text| Sku::parse(text).ok();
    PartKind: |kind| kind.word().to_owned(), PartKind::parse;
    Tier: |tier| tier.word().to_owned(), Tier::parse;
    Currency: |currency| currency.code().to_owned(), Currency::parse;
    Date: ToString::to_string, |text| text.parse().ok();
    TaxCategory: |category| category.code().to_owned(), TaxCategory::parse;
    TaxRounding: |way| way.word().to_owned(), TaxRounding::parse;
    Severity: |severity| severity.word().to_owned(), Severity::parse;
    Evidence: |evidence| evidence.code().to_owned(), Evidence::parse;
    Side: |side| side.word().to_owned(), Side::parse;
    WallType: |wall| wall.code().to_owned(), WallType::parse;
    Outcome: |outcome| outcome.word().to_owned(), outcome_of;
    Zone: |zone| zone_word(*zone).to_owned(), zone_of;
}

numbered! {
    Minor: i64, |amount| amount.value(), Minor::new;
    UnitPrice: i64, |price| price.value(), UnitPrice::new;
    Deciwatts: i64, |power| power.value(), Deciwatts::new;
    TaxRate: u32, |rate| rate.basis_points(), TaxRate::new;
    Millimetres: i32, |length| length.value(), Millimetres::new;
}

fn outcome_of(word: &str) -> Option<Outcome> {
    let all = [Outcome::Holds, Outcome::Warns, Outcome::NotEstablished, Outcome::Clashes];
    all.into_iter().find(|outcome| outcome.word() == word)
}

const ZONES: [Zone; 8] = [
    Zone::Zero,
    Zone::Hidden,
    Zone::One,
    Zone::Two,
    Zone::Three,
    Zone::Outside,
    Zone::NotApplicable,
    Zone::NotEstablished,
];

const fn zone_word(zone: Zone) -> &'static str {
    match zone {
        Zone::Zero => "0",
        Zone::Hidden => "hidden",
        Zone::One => "1",
        Zone::Two => "2",
        Zone::Three => "3",
        Zone::Outside => "outside",
        Zone::NotApplicable => "not_applicable",
        Zone::NotEstablished => "not_established",
    }
}

fn zone_of(word: &str) -> Option<Zone> {
    ZONES.into_iter().find(|zone| zone_word(*zone) == word)
}

//! A quote as OASIS UBL 2.1 Quotation, and an accepted one as Order.
//!
//! The order of elements is that of the published schemas (`UBL-Quotation-2.1.xsd`, `UBL-Order-2.1.xsd`, read), against
//! which a test outside this program validates samples. Units by UN/ECE Recommendation 20 (`C62`, one), tax categories by
//! UNCL 5305, currencies by ISO 4217, countries by ISO 3166-1. An address is kept as its owner writes it, so it goes out
//! line by line and not by street and town. Absent here: whether a tax number is anybody's.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::domain::catalogue::SellerWords;
use crate::domain::money::Minor;
use crate::domain::pricing::vat_number::VatNumber;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuotedLine;
use crate::domain::quote::local_day;

use super::xml::Xml;

const COMPONENTS: &str = "xmlns:cac=\"urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2\" \
     xmlns:cbc=\"urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2\"";

/// The quote as UBL Quotation.
pub fn quotation(quote: &Quote) -> String {
    let content = &quote.content;
    let space = "xmlns=\"urn:oasis:names:specification:ubl:schema:xsd:Quotation-2\"";
    let mut xml = Xml::new("Quotation", &format!("{space} {COMPONENTS}"));
    let issued = quote.issued_at.unwrap_or(quote.created_at);
    xml.leaf("cbc:UBLVersionID", "2.1").leaf("cbc:ID", &document_id(quote));
    dated(&mut xml, issued, content);
    notes(&mut xml, content);
    xml.leaf("cbc:PricingCurrencyCode", content.currency.code());
    xml.leaf("cbc:LineCountNumeric", &content.lines().count().to_string());
    validity(&mut xml, quote);
    seller(&mut xml, content);
    xml.node("cac:OriginatorCustomerParty", |party| customer(party, content));
    allowances(&mut xml, content);
    taxes(&mut xml, content);
    xml.node("cac:QuotedMonetaryTotal", |total| totals(total, content));
    for (index, (room, line)) in lines(content).enumerate() {
        xml.node("cac:QuotationLine", |element| {
            element.leaf("cbc:ID", &index.saturating_add(1).to_string());
            element.leaf("cbc:Note", room);
            element.node("cac:LineItem", |item| line_item(item, content, (index, line)));
        });
    }
    xml.finish()
}

/// An accepted quote as UBL Order; nothing for a quote that nobody accepted.
pub fn order(quote: &Quote) -> Option<String> {
    let accepted = quote.acceptance.as_ref()?;
    let content = &quote.content;
    let space = "xmlns=\"urn:oasis:names:specification:ubl:schema:xsd:Order-2\"";
    let mut xml = Xml::new("Order", &format!("{space} {COMPONENTS}"));
    xml.leaf("cbc:UBLVersionID", "2.1").leaf("cbc:ID", &document_id(quote));
    dated(&mut xml, accepted.at, content);
    notes(&mut xml, content);
    xml.leaf("cbc:DocumentCurrencyCode", content.currency.code());
    xml.leaf_if_any("cbc:CustomerReference", content.customer.reference.as_deref());
    xml.leaf("cbc:LineCountNumeric", &content.lines().count().to_string());
    xml.node("cac:QuotationDocumentReference", |reference| {
        reference.leaf("cbc:ID", &document_id(quote));
    });
    xml.node("cac:BuyerCustomerParty", |party| customer(party, content));
    seller(&mut xml, content);
    allowances(&mut xml, content);
    taxes(&mut xml, content);
    xml.node("cac:AnticipatedMonetaryTotal", |total| totals(total, content));
    for (index, (room, line)) in lines(content).enumerate() {
        xml.node("cac:OrderLine", |element| {
            element.leaf("cbc:Note", room);
            element.node("cac:LineItem", |item| line_item(item, content, (index, line)));
        });
    }
    Some(xml.finish())
}

/// Number and revision.
fn document_id(quote: &Quote) -> String {
    format!("{}.{}", quote.number, quote.revision)
}

/// Day by the seller's calendar, time in universal time beside it would mislead: the day alone.
fn dated(xml: &mut Xml, at: Timestamp, content: &QuoteContent) {
    xml.leaf("cbc:IssueDate", &local_day(at, &content.seller.time_zone).to_string());
}

fn notes(xml: &mut Xml, content: &QuoteContent) {
    let of_rooms = content.rooms.iter().flat_map(|room| &room.notices);
    let mut texts: Vec<&str> =
        content.notices.iter().chain(of_rooms).map(|notice| &*notice.text).collect();
    texts.sort_unstable();
    texts.dedup();
    for text in texts {
        xml.leaf("cbc:Note", text);
    }
}

fn validity(xml: &mut Xml, quote: &Quote) {
    let end = TimeZone::UTC.to_datetime(quote.expires_at);
    xml.node("cac:ValidityPeriod", |period| {
        period.leaf("cbc:EndDate", &quote.valid_until.to_string());
        let zone = &quote.content.seller.time_zone;
        let text = format!("to the end of the day in {zone}, which is {end} in universal time");
        period.leaf("cbc:Description", &text);
    });
}

/// Name, address, tax number and contact as the seller has them printed; a quote of an earlier program kept the country
/// alone.
fn seller(xml: &mut Xml, content: &QuoteContent) {
    let found = &content.seller;
    let unsaid = SellerWords::default();
    let words = found.words.as_ref().unwrap_or(&unsaid);
    // A seller may print words where a number is asked for; only what has the form of a number is given out as one.
    let number = words.tax_number.as_deref().and_then(|text| VatNumber::parse(text).ok());
    xml.node("cac:SellerSupplierParty", |supplier| {
        supplier.node("cac:Party", |party| {
            party_name(party, words.name.as_deref());
            postal_address(party, &words.address, Some(&found.country));
            company(party, number.as_ref().map(VatNumber::as_str));
            contact(party, &words.contact);
        });
    });
}

fn customer(party: &mut Xml, content: &QuoteContent) {
    let found = &content.customer;
    party.node("cac:Party", |inside| {
        if let Some(reference) = &found.reference {
            inside.node("cac:PartyIdentification", |element| {
                element.leaf("cbc:ID", reference);
            });
        }
        party_name(inside, found.name.as_deref());
        let address = found.address.as_deref().unwrap_or_default();
        postal_address(inside, address, found.country.as_deref());
        company(inside, found.vat_number.as_deref());
    });
}

fn party_name(party: &mut Xml, name: Option<&str>) {
    let Some(name) = name else { return };
    party.node("cac:PartyName", |element| {
        element.leaf("cbc:Name", name);
    });
}

fn postal_address(party: &mut Xml, lines: &[Box<str>], country: Option<&str>) {
    if lines.is_empty() && country.is_none() {
        return;
    }
    party.node("cac:PostalAddress", |address| {
        for line in lines {
            address.node("cac:AddressLine", |element| {
                element.leaf("cbc:Line", line);
            });
        }
        let Some(code) = country else { return };
        address.node("cac:Country", |element| {
            element.leaf("cbc:IdentificationCode", code);
        });
    });
}

fn company(party: &mut Xml, number: Option<&str>) {
    let Some(number) = number else { return };
    party.node("cac:PartyTaxScheme", |scheme| {
        scheme.leaf("cbc:CompanyID", number);
        tax_scheme(scheme);
    });
}

fn contact(party: &mut Xml, lines: &[Box<str>]) {
    if lines.is_empty() {
        return;
    }
    party.node("cac:Contact", |element| {
        for line in lines {
            element.leaf("cbc:Note", line);
        }
    });
}

fn tax_scheme(xml: &mut Xml) {
    xml.node("cac:TaxScheme", |scheme| {
        scheme.leaf("cbc:ID", "VAT");
    });
}

fn amount(xml: &mut Xml, name: &'static str, content: &QuoteContent, value: Minor) {
    let currency = content.currency;
    xml.leaf_with(name, Some(("currencyID", currency.code())), &currency.format(value));
}

/// Discount and delivery, each with its tax category.
fn allowances(xml: &mut Xml, content: &QuoteContent) {
    let discount = content.discount.as_ref().map(|found| ("false", &*found.reason, found.net));
    let delivery = content.delivery.as_ref().map(|found| ("true", "delivery", found.net));
    for (is_charge, reason, net) in discount.into_iter().chain(delivery) {
        xml.node("cac:AllowanceCharge", |element| {
            element.leaf("cbc:ChargeIndicator", is_charge);
            element.leaf("cbc:AllowanceChargeReason", reason);
            amount(element, "cbc:Amount", content, net);
            tax_category(element, "cac:TaxCategory", content);
        });
    }
}

fn tax_category(xml: &mut Xml, name: &'static str, content: &QuoteContent) {
    xml.node(name, |category| {
        category.leaf("cbc:ID", content.taxation.category.code());
        category.leaf("cbc:Percent", &content.taxation.rate.percent());
        tax_scheme(category);
    });
}

fn taxes(xml: &mut Xml, content: &QuoteContent) {
    xml.node("cac:TaxTotal", |total| {
        amount(total, "cbc:TaxAmount", content, content.totals.tax);
        for group in &content.totals.groups {
            total.node("cac:TaxSubtotal", |subtotal| {
                amount(subtotal, "cbc:TaxableAmount", content, group.base);
                amount(subtotal, "cbc:TaxAmount", content, group.tax);
                tax_category(subtotal, "cac:TaxCategory", content);
            });
        }
    });
}

fn totals(xml: &mut Xml, content: &QuoteContent) {
    let totals = &content.totals;
    amount(xml, "cbc:LineExtensionAmount", content, totals.lines);
    amount(xml, "cbc:TaxExclusiveAmount", content, totals.net);
    amount(xml, "cbc:TaxInclusiveAmount", content, totals.gross);
    amount(xml, "cbc:AllowanceTotalAmount", content, totals.allowances);
    amount(xml, "cbc:ChargeTotalAmount", content, totals.charges);
    amount(xml, "cbc:PayableAmount", content, totals.gross);
}

fn lines(content: &QuoteContent) -> impl Iterator<Item = (&str, &QuotedLine)> {
    content.rooms.iter().flat_map(|room| room.lines.iter().map(|line| (&*room.name, line)))
}

fn line_item(item: &mut Xml, content: &QuoteContent, (index, line): (usize, &QuotedLine)) {
    item.leaf("cbc:ID", &index.saturating_add(1).to_string());
    item.leaf("cbc:Note", &line.why);
    item.leaf_with("cbc:Quantity", Some(("unitCode", "C62")), &line.quantity.to_string());
    amount(item, "cbc:LineExtensionAmount", content, line.net);
    if let Some(discount) = &line.discount {
        item.node("cac:AllowanceCharge", |element| {
            element.leaf("cbc:ChargeIndicator", "false");
            element.leaf("cbc:AllowanceChargeReason", &discount.reason);
            amount(element, "cbc:Amount", content, discount.net);
        });
    }
    item.node("cac:Price", |price| {
        let currency = content.currency;
        let unit = line.unit_net.format(currency);
        price.leaf_with("cbc:PriceAmount", Some(("currencyID", currency.code())), &unit);
    });
    item.node("cac:Item", |article| {
        article.leaf("cbc:Name", &line.name);
        article.node("cac:SellersItemIdentification", |element| {
            element.leaf("cbc:ID", line.sku.as_str());
        });
        tax_category(article, "cac:ClassifiedTaxCategory", content);
    });
}

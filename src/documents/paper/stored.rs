//! From a stored quote to its papers: nothing else is looked at, so the same quote gives the same papers for ever.
//!
//! A paper says how the quote was left, not what time it is: an offer whose last day is over names that day, and is the
//! same bytes as before. Absent here: what a paper looks like.

mod adjusted;
mod sheets;

pub use sheets::care_sheets;
pub use sheets::has_rail;
pub use sheets::installation_sheets;

use jiff::Timestamp;

use crate::documents::page::Caution;
use crate::documents::paper::Customer;
use crate::documents::paper::Guarantee;
use crate::documents::paper::Identity;
use crate::documents::paper::QuotePaper;
use crate::documents::paper::Seller;
use crate::documents::paper::quote::QuoteLine;
use crate::documents::paper::quote::QuoteRoom;
use crate::domain::catalogue::SellerWords;
use crate::domain::catalogue::time_zone;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;
use crate::domain::quote::QuoteState;
use crate::domain::quote::QuotedLine;
use crate::domain::quote::QuotedRoom;

/// The quote as a paper.
pub fn quote_paper(quote: &Quote) -> QuotePaper {
    let content = &quote.content;
    QuotePaper {
        seller: seller(content),
        customer: customer(content),
        identity: identity(quote),
        standing: standing(quote),
        accepted: quote.acceptance.as_ref().map(|acceptance| {
            format!("Accepted by {} on {}.", acceptance.by, local(acceptance.at, content))
        }),
        currency: content.currency,
        rooms: content.rooms.iter().map(|room| paper_room(room, content)).collect(),
        allowances: adjusted::allowances(content),
        charges: adjusted::charges(content),
        totals: content.totals.clone(),
        rounding: content.tax_rounding,
        tax_notes: adjusted::tax_notes(content),
        overrides: adjusted::overrides(content),
        changes: adjusted::changes(quote),
        notices: adjusted::notices(content),
        terms: words(content).map_or_else(Vec::new, |words| owned(&words.terms)),
    }
}

fn words(content: &QuoteContent) -> Option<&SellerWords> {
    content.seller.words.as_ref()
}

fn owned(texts: &[Box<str>]) -> Vec<String> {
    texts.iter().map(ToString::to_string).collect()
}

pub(super) fn seller(content: &QuoteContent) -> Seller {
    let unnamed = || format!("The seller, {}", content.seller.country);
    let Some(words) = words(content) else {
        return Seller { name: unnamed(), ..Seller::default() };
    };
    Seller {
        name: words.name.as_ref().map_or_else(unnamed, ToString::to_string),
        address: owned(&words.address),
        contact: owned(&words.contact),
        tax_number: words.tax_number.as_ref().map(ToString::to_string),
    }
}

pub(super) fn customer(content: &QuoteContent) -> Customer {
    let found = &content.customer;
    let text = |text: &Option<Box<str>>| text.as_ref().map(ToString::to_string);
    let mut address = owned(found.address.as_deref().unwrap_or_default());
    address.extend(text(&found.country));
    Customer {
        name: text(&found.name).unwrap_or_else(|| "not named".to_owned()),
        address,
        reference: text(&found.reference),
        tax_number: text(&found.vat_number),
    }
}

pub(super) fn identity(quote: &Quote) -> Identity {
    let content = &quote.content;
    let number = quote.number.to_string();
    let predecessor = quote.predecessor;
    let end = format!("the end of {} in {}", quote.valid_until, content.seller.time_zone);
    Identity {
        predecessor: predecessor.map(|revision| format!("{number}, revision {revision}")),
        number,
        revision: quote.revision,
        state: state_words(quote.state).to_owned(),
        issued: quote.issued_at.map(|at| local(at, content)),
        valid_until: (quote.state == QuoteState::Issued).then_some(end),
        market: content.market.to_string(),
        edition: content.edition.to_string(),
        price_list: format!("{}, prices of {}", content.price_list, content.price_date),
    }
}

pub(super) fn guarantee(content: &QuoteContent) -> Guarantee {
    words(content).map_or_else(Guarantee::default, |words| Guarantee {
        promise: owned(&words.guarantee),
        voids: owned(&words.guarantee_ends),
        claims: owned(&words.claims),
    })
}

const fn state_words(state: QuoteState) -> &'static str {
    match state {
        QuoteState::Draft => "draft, no offer yet",
        // An offer that has expired was issued; its last day is printed beside it.
        QuoteState::Issued | QuoteState::Expired => "issued",
        QuoteState::Accepted => "accepted",
        QuoteState::Withdrawn => "withdrawn",
        QuoteState::Superseded => "superseded by a later revision",
    }
}

/// Why the paper is no offer, where it is none.
fn standing(quote: &Quote) -> Option<Caution> {
    let text = match quote.state {
        QuoteState::Issued | QuoteState::Expired | QuoteState::Accepted => return None,
        QuoteState::Draft => {
            "This is a draft. It has not been issued and cannot be accepted.".to_owned()
        }
        QuoteState::Superseded => {
            "A later revision has taken its place. It cannot be accepted.".to_owned()
        }
        QuoteState::Withdrawn => {
            let withdrawal = quote.withdrawal.as_ref();
            let when = withdrawal
                .map(|found| format!(" on {}: {}", local(found.at, &quote.content), found.reason));
            format!("It was withdrawn{}. It cannot be accepted.", when.unwrap_or_default())
        }
    };
    Some(Caution { title: "No offer".to_owned(), texts: vec![text] })
}

/// An instant by the seller's clock, to the minute.
fn local(at: Timestamp, content: &QuoteContent) -> String {
    let name = &content.seller.time_zone;
    let zone = time_zone(name).unwrap_or(jiff::tz::TimeZone::UTC);
    let there = zone.to_datetime(at);
    format!("{} {:02}:{:02} ({name})", there.date(), there.hour(), there.minute())
}

fn paper_room(room: &QuotedRoom, content: &QuoteContent) -> QuoteRoom {
    let sheet = room.sheet.as_ref();
    let description = sheet.map(|sheet| sheet.description.clone());
    let given = || {
        let required = room.requirement.as_ref()?.required.watts();
        let delivered = room.delivered?.watts();
        Some(format!(
            "{required:.1} W are asked of the rail; body and element give {delivered:.1} W."
        ))
    };
    QuoteRoom {
        name: room.name.to_string(),
        description: description.or_else(given).unwrap_or_default(),
        delivered: room.delivered.map(|delivered| {
            let who = match sheet.map(|sheet| sheet.rails.len()) {
                Some(count) if 1 < count => format!("The {count} rails together"),
                Some(_) | None => "Body and element".to_owned(),
            };
            format!("{who} give {:.1} W in this room.", delivered.watts())
        }),
        heat: sheet.and_then(|sheet| sheet.heat),
        lines: room.lines.iter().map(|line| paper_line(line, content)).collect(),
    }
}

fn paper_line(line: &QuotedLine, content: &QuoteContent) -> QuoteLine {
    let currency = content.currency;
    QuoteLine {
        sku: line.sku.to_string(),
        name: line.name.to_string(),
        quantity: line.quantity,
        unit_net: line.unit_net,
        discount: line.discount.as_ref().map(|discount| {
            format!("{} {}, {}", currency.code(), currency.format(discount.net), discount.reason)
        }),
        net: line.net,
        why: line.why.to_string(),
        included_with: line.included_with.as_ref().map(ToString::to_string),
        lead_days: line.lead_days,
    }
}

//! Allowances, charges, notes on tax, overrides, changes and cautions of a stored quote, in words.

use std::collections::BTreeMap;

use crate::documents::paper::quote::Adjustment;
use crate::documents::paper::source_words;
use crate::domain::quote::Change;
use crate::domain::quote::Quote;
use crate::domain::quote::QuoteContent;

/// Most differences printed; the rest is counted.
const CHANGES_MAX: usize = 40;

/// The notices about tax and prices, which stand beside the totals.
const OF_TAX: [&str; 2] = ["vat-number-not-proved", "gross-moved"];

pub(super) fn allowances(content: &QuoteContent) -> Vec<Adjustment> {
    let discount = content.discount.iter();
    discount
        .map(|found| Adjustment {
            reason: match found.percent_bp {
                Some(points) => format!("{}, {} %", found.reason, percent(points)),
                None => found.reason.to_string(),
            },
            net: found.net,
        })
        .collect()
}

fn percent(basis_points: u32) -> String {
    let (whole, rest) = (basis_points.div_euclid(100), basis_points.rem_euclid(100));
    let text = format!("{whole}.{rest:02}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

pub(super) fn charges(content: &QuoteContent) -> Vec<Adjustment> {
    let delivery = content.delivery.iter();
    delivery
        .map(|found| {
            let (kilograms, rest) =
                (found.mass_g.div_euclid(1_000), found.mass_g.rem_euclid(1_000));
            let reason = format!(
                "delivery, {}: {kilograms}.{rest:03} kg, longest piece {} mm",
                found.band, found.length_mm
            );
            Adjustment { reason, net: found.net }
        })
        .collect()
}

pub(super) fn tax_notes(content: &QuoteContent) -> Vec<String> {
    let source = format!("Rate of tax: {}.", source_words(&content.tax_source));
    let law =
        "The tax shown is that of the day of the quote; the law of the day of supply decides."
            .to_owned();
    let of_tax = content.notices.iter().filter(|notice| OF_TAX.contains(&&*notice.code));
    [source, law].into_iter().chain(of_tax.map(|notice| notice.text.to_string())).collect()
}

pub(super) fn overrides(content: &QuoteContent) -> Vec<String> {
    let mut told = Vec::new();
    for room in &content.rooms {
        let Some(reason) = &room.override_reason else { continue };
        let clashes: Vec<&str> = room
            .checks
            .iter()
            .filter(|check| check.refuses())
            .map(|check| check.detail.as_str())
            .collect();
        if !clashes.is_empty() {
            told.push(format!(
                "{}: {} Quoted all the same because: {reason}",
                room.name,
                clashes.join(" ")
            ));
        }
    }
    told
}

pub(super) fn changes(quote: &Quote) -> Vec<String> {
    let mut told: Vec<String> = quote.changes.iter().take(CHANGES_MAX).map(change).collect();
    let more = quote.changes.len().saturating_sub(CHANGES_MAX);
    if 0 < more {
        told.push(format!("… and {more} more, which the quote's JSON form lists."));
    }
    told
}

fn change(change: &Change) -> String {
    let place = if change.place.is_empty() { String::new() } else { format!("{}: ", change.place) };
    let what = change.what.replace('_', " ");
    match (&change.from, &change.to) {
        (Some(from), Some(to)) => format!("{place}{what} {to} instead of {from}."),
        (None, Some(to)) => format!("{place}{what} {to} is new."),
        (Some(from), None) => format!("{place}{what} {from} is gone."),
        (None, None) => format!("{place}{what}."),
    }
}

/// Rooms named in one place, before the rest is counted.
const NAMED_MAX: usize = 3;

fn some_of(rooms: &[&str]) -> String {
    let named: Vec<&str> = rooms.iter().copied().take(NAMED_MAX).collect();
    let more = rooms.len().saturating_sub(NAMED_MAX);
    let rest = if more == 0 { String::new() } else { format!(" and {more} more rooms") };
    format!("{}{rest}", named.join(", "))
}

/// Every caution once; one that is not of every room names its rooms.
pub(super) fn notices(content: &QuoteContent) -> Vec<String> {
    let whole = content.notices.iter().filter(|notice| !OF_TAX.contains(&&*notice.code));
    let mut told: Vec<String> = whole.map(|notice| notice.text.to_string()).collect();
    let mut order: Vec<&str> = Vec::new();
    let mut rooms_of: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for room in &content.rooms {
        for notice in &room.notices {
            let rooms = rooms_of.entry(&notice.text).or_insert_with(|| {
                order.push(&notice.text);
                Vec::new()
            });
            if rooms.last() != Some(&&*room.name) {
                rooms.push(&room.name);
            }
        }
    }
    for text in order {
        let rooms = rooms_of.remove(text).unwrap_or_default();
        if rooms.len() == content.rooms.len() {
            told.push(text.to_owned());
        } else {
            told.push(format!("{text} (Of {}.)", some_of(&rooms)));
        }
    }
    told
}

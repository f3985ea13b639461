//! Installation and care sheets of a stored quote: one for each rail.

use crate::documents::paper::CareSheet;
use crate::documents::paper::InstallationSheet;
use crate::documents::paper::installation::Goods;
use crate::documents::paper::installation::usual_measures;
use crate::domain::catalogue::PartKind;
use crate::domain::quote::Quote;
use crate::domain::quote::QuotedRoom;
use crate::domain::quote::sheet::RailSheet;

use super::customer;
use super::guarantee;
use super::identity;
use super::seller;

/// What a rail's sheet is headed with, which of several it is, and what it says.
type Named = (String, Option<usize>, RailSheet);

/// Whether anything of a room hangs on the wall and is connected.
pub fn has_rail(room: &QuotedRoom) -> bool {
    room.lines.iter().any(|line| line.kind == PartKind::Body || line.kind == PartKind::Element)
}

/// The rails of a room. A quote of an earlier program kept no sheets: then one stands for the room, and says of every
/// figure that it was not stated.
fn rails(room: &QuotedRoom) -> Vec<Named> {
    let kept = room.sheet.as_ref().map(|sheet| sheet.rails.as_slice()).unwrap_or_default();
    if kept.is_empty() {
        return vec![(room.name.to_string(), None, RailSheet::default())];
    }
    let count = kept.len();
    let named = |(number, rail): (usize, &RailSheet)| {
        if count == 1 {
            (room.name.to_string(), None, rail.clone())
        } else {
            let name = format!("{}, rail {number} of {count}", room.name);
            (name, Some(number), rail.clone())
        }
    };
    (1..).zip(kept).map(named).collect()
}

/// The rooms that have a rail; only the one of a name, where a name is given.
fn rooms<'q>(quote: &'q Quote, name: Option<&'q str>) -> impl Iterator<Item = &'q QuotedRoom> {
    let wanted = move |room: &&QuotedRoom| name.is_none_or(|name| *room.name == *name);
    quote.content.rooms.iter().filter(|room| has_rail(room)).filter(wanted)
}

/// The installation sheets of a quote, or of one of its rooms.
pub fn installation_sheets(quote: &Quote, wanted: Option<&str>) -> Vec<InstallationSheet> {
    let content = &quote.content;
    let sheet = |room: &QuotedRoom, (name, number, rail): Named| InstallationSheet {
        seller: seller(content),
        customer: customer(content),
        identity: identity(quote),
        room: name,
        goods: goods(room, rail.lines),
        place: rail.place,
        fitting: rail.fitting,
        supply: rail.supply,
        fill: rail.fill,
        measures: usual_measures(),
        duties: rail.duties,
        cautions: cautions(room, number),
        guarantee: guarantee(content),
    };
    rooms(quote, wanted)
        .flat_map(|room| rails(room).into_iter().map(move |rail| sheet(room, rail)))
        .collect()
}

/// The care sheets of a quote, or of one of its rooms.
pub fn care_sheets(quote: &Quote, wanted: Option<&str>) -> Vec<CareSheet> {
    let content = &quote.content;
    let sheet = |(name, _, rail): Named| CareSheet {
        seller: seller(content),
        customer: customer(content),
        identity: identity(quote),
        room: name,
        rail: if rail.name.is_empty() { "as on the quote".to_owned() } else { rail.name },
        figures: rail.care,
        cautions: Vec::new(),
        guarantee: guarantee(content),
    };
    rooms(quote, wanted).flat_map(rails).map(sheet).collect()
}

/// What is in the delivery for a room, or for one of its rails.
fn goods(room: &QuotedRoom, own: Option<[i32; 2]>) -> Vec<Goods> {
    let own = own.and_then(|[first, end]| {
        room.lines.get(usize::try_from(first).ok()?..usize::try_from(end).ok()?)
    });
    let lines = own.unwrap_or(&room.lines).iter();
    lines
        .map(|line| Goods {
            sku: line.sku.to_string(),
            name: line.name.to_string(),
            quantity: line.quantity,
        })
        .collect()
}

/// Notices that say what the sheet says anyway, or that are of no use on site.
const LEFT_OUT: [&str; 7] = [
    "electrician-decides",
    "licensed-electrician",
    "bridges-not-counted",
    "figures-not-sourced",
    "steady-state-governs",
    "quick-rule-only",
    "ecodesign-not-established",
];

fn cautions(room: &QuotedRoom, number: Option<usize>) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for notice in room.notices.iter().filter(|notice| !LEFT_OUT.contains(&&*notice.code)) {
        let is_of_another = number.is_some_and(|number| is_of_another(&notice.text, number));
        if !is_of_another && !told.iter().any(|text| *text == *notice.text) {
            told.push(notice.text.to_string());
        }
    }
    told
}

/// Whether a notice begins `Rail 2: ` and this is another rail.
fn is_of_another(text: &str, number: usize) -> bool {
    let named = text.strip_prefix("Rail ").and_then(|rest| rest.split_once(": "));
    named.and_then(|(named, _)| named.parse::<usize>().ok()).is_some_and(|named| named != number)
}

//! What differs between two revisions: lines, prices, checks, totals, the offer's last day.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::domain::money::Currency;

use super::content::QuoteContent;
use super::content::QuotedLine;
use super::content::QuotedRoom;

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    /// What differs: `line`, `quantity`, `unit_net`, `discount`, `check`, `gross` …
    pub what: Box<str>,
    /// Where: room and part, or room and rule; empty for the whole.
    pub place: Box<str>,
    /// Before; absent when it is new.
    pub from: Option<Box<str>>,
    /// After; absent when it is gone.
    pub to: Option<Box<str>>,
}

/// What is on offer, and its last day.
type Offered<'a> = (&'a QuoteContent, Date);

type Told = BTreeMap<(Box<str>, Box<str>), Box<str>>;

/// Every difference between two revisions, in order of place.
pub fn changes(before: Offered<'_>, after: Offered<'_>) -> Vec<Change> {
    let mut old = told(before.0);
    let mut new = told(after.0);
    let key = || ("valid_until".into(), "".into());
    old.insert(key(), before.1.to_string().into());
    new.insert(key(), after.1.to_string().into());
    let mut places: Vec<_> = old.keys().chain(new.keys()).cloned().collect();
    places.sort_by(|left, right| (&left.1, &left.0).cmp(&(&right.1, &right.0)));
    places.dedup();
    let change = |at: (Box<str>, Box<str>)| {
        let (from, to) = (old.get(&at).cloned(), new.get(&at).cloned());
        (from != to).then_some(Change { what: at.0, place: at.1, from, to })
    };
    places.into_iter().filter_map(change).collect()
}

/// All that is compared, by what it is and where it stands.
fn told(content: &QuoteContent) -> Told {
    let currency = content.currency;
    let mut told = Told::new();
    for room in &content.rooms {
        for line in &room.lines {
            tell_line(&mut told, room, line, currency);
        }
        tell_checks(&mut told, room);
    }
    let mut whole = |what: &str, value: String| {
        told.insert((what.into(), "".into()), value.into());
    };
    whole("edition", content.edition.to_string());
    whole("price_list", content.price_list.to_string());
    whole(
        "tax",
        format!("{} {}", content.taxation.category.code(), content.taxation.rate.percent()),
    );
    whole("net", currency.format(content.totals.net));
    whole("gross", currency.format(content.totals.gross));
    if let Some(discount) = &content.discount {
        whole("discount", currency.format(discount.net));
    }
    if let Some(delivery) = &content.delivery {
        whole("delivery", format!("{} {}", delivery.band, currency.format(delivery.net)));
    }
    told
}

fn tell_line(told: &mut Told, room: &QuotedRoom, line: &QuotedLine, currency: Currency) {
    let with = line.included_with.as_ref();
    let with = with.map_or_else(String::new, |body| format!(" with {body}"));
    let place: Box<str> = format!("{} / {}{with}", room.name, line.sku).into();
    let mut tell = |what: &str, value: String| {
        told.insert((what.into(), place.clone()), value.into());
    };
    tell("line", line.name.to_string());
    tell("quantity", line.quantity.to_string());
    tell("unit_net", line.unit_net.format(currency));
    if let Some(discount) = &line.discount {
        tell("discount", currency.format(discount.net));
    }
}

fn tell_checks(told: &mut Told, room: &QuotedRoom) {
    for check in &room.checks {
        let sides = [&check.left.sku, &check.right.sku];
        let sides: Vec<String> = sides.into_iter().flatten().map(ToString::to_string).collect();
        let place = format!("{} / {} {}", room.name, check.rule, sides.join(" "));
        told.insert(("check".into(), place.trim_end().into()), check.outcome.word().into());
    }
}

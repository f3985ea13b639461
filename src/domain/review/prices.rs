//! Markets without prices, days without a price list or with two, parts that a market does not price.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Tier;

use super::gathered::Finding;

pub(super) fn findings(edition: &Edition, wiring_rules: &[&str]) -> Vec<Finding> {
    let mut findings = lists(edition);
    findings.push(unpriced(edition));
    let mut unknown = Finding::error(
        "wiring-rules-unknown",
        "A market names wiring rules that there are none of.",
        "Correct the code in markets.csv.",
    );
    for market in &edition.content().markets {
        if !wiring_rules.contains(&&*market.wiring_rules) {
            unknown.add(&market.code, || market.wiring_rules.to_string());
        }
    }
    findings.push(unknown);
    findings
}

fn lists(edition: &Edition) -> Vec<Finding> {
    let mut none = Finding::warning(
        "market-without-price-list",
        "A market has no retail price list, so nothing is sold there.",
        "Add a list to price_lists.csv and its prices to prices.csv.",
    );
    let mut gap = Finding::warning(
        "price-lists-gap",
        "Between two price lists lie days on which none holds.",
        "Let the later list begin on the day after the earlier one ends.",
    );
    let mut overlap = Finding::warning(
        "price-lists-overlap",
        "Two price lists of a market and tier hold on the same days; the one that begins later counts.",
        "End the earlier list on the day before the later one begins.",
    );
    for market in &edition.content().markets {
        if lists_of(edition, market, Tier::Retail).is_empty() {
            none.add(&market.code, || "no retail list".to_owned());
        }
        for tier in Tier::ALL {
            let mut of_tier = lists_of(edition, market, tier);
            of_tier.sort_by_key(|list| list.valid_from);
            for (earlier, later) in of_tier.iter().zip(of_tier.iter().skip(1)) {
                note_seam(market, [*earlier, *later], [&mut gap, &mut overlap]);
            }
        }
    }
    vec![none, gap, overlap]
}

/// Notes days between two lists, or days that both hold.
fn note_seam(
    market: &Market,
    [earlier, later]: [&PriceList; 2],
    [gap, overlap]: [&mut Finding; 2],
) {
    let seam = format!("{} and {}", earlier.code, later.code);
    let begins = later.valid_from;
    match day_after(earlier) {
        Some(next) if next < begins => {
            gap.add(&market.code, || format!("{seam}: from {next} to {begins}"));
        }
        Some(next) if next == begins => {}
        Some(_) | None => overlap.add(&market.code, || format!("{seam}: from {begins}")),
    }
}

fn lists_of<'e>(edition: &'e Edition, market: &Market, tier: Tier) -> Vec<&'e PriceList> {
    let lists = edition.content().price_lists.iter();
    lists
        .filter(|list| list.market == market.code && edition.terms().tier(&list.code) == tier)
        .collect()
}

/// The day after a list's last; nothing for a list without an end.
fn day_after(list: &PriceList) -> Option<Date> {
    list.valid_to?.checked_add(1.day()).ok()
}

fn unpriced(edition: &Edition) -> Finding {
    let mut finding = Finding::warning(
        "part-without-price",
        "A part stands in no retail price list of a market, so it is not sold there.",
        "Add its price to prices.csv, or leave it so if it is not meant for the market.",
    );
    for market in &edition.content().markets {
        let lists = lists_of(edition, market, Tier::Retail);
        if lists.is_empty() {
            continue;
        }
        for part in edition.parts() {
            let Some(card) = edition.card(part) else { continue };
            if !lists.iter().any(|list| list.prices.contains_key(&card.sku)) {
                finding.add(card.sku.as_str(), || format!("in {}", market.code));
            }
        }
    }
    finding
}

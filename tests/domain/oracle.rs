//! The same question answered slowly and plainly: every body with every element, every set of up to three controls, every
//! choice of accessories, all rule rows read one by one, everything sorted at the end.
//!
//! Written to be compared with the trade's rules by reading, not to be fast. It shares with the resolver the catalogue's
//! types, the wiring rules' verdict and the emission law's two constants, and no search. Absent here: explanations.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "sums of a few small prices, and places in lists that were just counted"
)]

mod accessories;
pub(crate) mod bundles;
mod controls;
mod pair;
mod rows;

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::PriceList;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::resolver::Demands;
use rungwright::domain::units::Deciwatts;

pub(crate) use accessories::Chosen;
pub(crate) use rows::all_hold;

/// A complete bill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Answer {
    /// Net and tax, minor units.
    pub gross: i64,
    /// Tenths of a watt beyond the requirement.
    pub surplus: i64,
    /// Parts that are paid for, in the order of the bill: part number and how many.
    pub parts: Vec<(String, u32)>,
    /// How many controls are among them.
    pub control_count: usize,
}

/// A catalogue, the prices of the day, and what is asked.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ask<'a> {
    pub edition: &'a Edition,
    pub list: &'a PriceList,
    pub demands: &'a Demands<'a>,
}

/// The best bill of every body and element that make one, best first.
pub(crate) fn answers(ask: Ask<'_>) -> Vec<Answer> {
    let mut all = Vec::new();
    for body in parts_of(ask.edition, PartKind::Body) {
        for element in parts_of(ask.edition, PartKind::Element) {
            all.extend(bills_of(ask, body, element));
        }
    }
    all.sort_by_key(rank);
    let mut best: Vec<Answer> = Vec::new();
    for answer in all {
        if !best.iter().any(|better| better.parts[..2] == answer.parts[..2]) {
            best.push(answer);
        }
    }
    best
}

/// Gross price, surplus, then part numbers. Between bills of one pair at one price the fewer controls come first, so
/// that nothing stands on a bill merely because it costs nothing.
fn rank(answer: &Answer) -> (i64, i64, Vec<(String, u32)>, usize, Vec<(String, u32)>) {
    let Answer { gross, surplus, parts, control_count } = answer;
    (*gross, *surplus, parts[..2].to_vec(), *control_count, parts[2..].to_vec())
}

fn bills_of(ask: Ask<'_>, body: PartRef, element: PartRef) -> Vec<Answer> {
    let pair = [body, element];
    let Some(delivered) = pair::delivered_tenths(ask, body, element) else { return Vec::new() };
    let surplus = delivered - ask.demands.required.map_or(0, Deciwatts::value);
    if surplus < 0 || !all_hold(ask.edition, &pair) {
        return Vec::new();
    }
    let mut bills = Vec::new();
    for controls in controls::sets(ask, element) {
        for accessories in accessories::choices(ask, body, element) {
            let parts: Vec<PartRef> = pair
                .into_iter()
                .chain(controls.iter().copied())
                .chain(accessories.iter().map(|chosen| chosen.part))
                .collect();
            let gross = gross(ask, &pair, &controls, &accessories);
            let Some(gross) = gross.filter(|_| all_hold(ask.edition, &parts)) else { continue };
            if ask.demands.preferences.budget.is_some_and(|budget| budget.value() < gross) {
                continue;
            }
            let counts = std::iter::repeat_n(1, 2 + controls.len())
                .chain(accessories.iter().map(|chosen| chosen.quantity));
            let parts = parts.iter().map(|part| sku(ask.edition, *part)).zip(counts).collect();
            bills.push(Answer { gross, surplus, parts, control_count: controls.len() });
        }
    }
    bills
}

/// Each line rounded once, tax once on the sum: half away from zero (EN 16931 BR-CO-17). Nothing when a part cannot
/// be sold.
fn gross(
    ask: Ask<'_>,
    pair: &[PartRef],
    controls: &[PartRef],
    accessories: &[Chosen],
) -> Option<i64> {
    let single = pair.iter().chain(controls).map(|part| (*part, 1));
    let several = accessories.iter().map(|chosen| (chosen.part, chosen.quantity));
    let mut net = 0;
    for (part, quantity) in single.chain(several) {
        let card = ask.edition.card(part)?;
        if card.stock == Stock::Discontinued {
            return None;
        }
        let ten_thousandths = ask.list.prices.get(&card.sku)?.value() * i64::from(quantity);
        net += rounded(ten_thousandths, 100);
    }
    let rate = i64::from(ask.demands.surroundings.market.tax_rate.basis_points());
    Some(net + rounded(net * rate, 10_000))
}

/// A quotient of nothing negative, rounded half up.
pub(crate) fn rounded(dividend: i64, divisor: i64) -> i64 {
    (2 * dividend + divisor).div_euclid(2 * divisor)
}

/// The parts of a kind.
pub(crate) fn parts_of(edition: &Edition, kind: PartKind) -> Vec<PartRef> {
    (0..edition.count(kind)).map(|index| PartRef { kind, index }).collect()
}

/// The number of a part.
pub(crate) fn sku(edition: &Edition, part: PartRef) -> String {
    edition.card(part).unwrap().sku.to_string()
}

//! What can be wrong with a country's rules as a whole: a keeper may bring their own, and the engine trusts its figures.
//!
//! Absent here: how rules are read, and whether what they say is true of the country.

use jiff::civil::Date;

use crate::domain::zones::Zone;
use crate::domain::zones::regime::Regime;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::rules::WiringRules;

/// Largest length that rules may state, millimetres: far beyond any zone, far below what arithmetic can hold.
pub const RULE_LENGTH_MAX_MM: i32 = 20_000;
/// Most letters of the stable name of rules.
pub const RULES_ID_LENGTH_MAX: usize = 40;

/// Everything that is wrong with rules, a sentence each; nothing when they are sound.
pub fn faults(rules: &WiringRules) -> Vec<String> {
    let mut faults = Vec::new();
    if !is_id(&rules.id) {
        faults.push(format!(
            "the id {:?} is not 1 to {RULES_ID_LENGTH_MAX} lower-case letters, digits, dots and dashes",
            rules.id
        ));
    }
    let is_word = |place: &String| !place.is_empty() && !place.contains(char::is_whitespace);
    faults.extend(
        rules
            .places
            .iter()
            .filter(|place| !is_word(place))
            .map(|place| format!("the place {place:?} is empty or has a space in it")),
    );
    faults.extend(day_faults(rules));
    if rules.regime.is_none() != rules.rows.is_empty() {
        faults.push("figures of the zones and rows go together: both or neither".to_owned());
    }
    faults.extend(rules.regime.iter().flat_map(regime_faults));
    for (index, row) in rules.rows.iter().enumerate() {
        let of_row = row_faults(row);
        faults.extend(of_row.into_iter().map(|fault| format!("row {index}, from 0: {fault}")));
    }
    faults
}

fn is_id(id: &str) -> bool {
    let is_letter = |letter: u8| {
        letter.is_ascii_lowercase() || letter.is_ascii_digit() || b".-".contains(&letter)
    };
    !id.is_empty() && id.len() <= RULES_ID_LENGTH_MAX && id.bytes().all(is_letter)
}

fn day_faults(rules: &WiringRules) -> Vec<String> {
    let days = [&rules.valid_from, &rules.valid_until].map(Option::as_deref);
    // Longer forms, with a time or a calendar, are read by the parser and are no day of ours.
    let is_day = |day: &str| day.len() == "2026-01-01".len() && day.parse::<Date>().is_ok();
    let wrong = days.into_iter().flatten().filter(|day| !is_day(day));
    let mut faults: Vec<String> =
        wrong.map(|day| format!("{day:?} is no day of the form 2026-01-31")).collect();
    if let [Some(from), Some(until)] = days
        && until < from
    {
        faults.push(format!("they end on {until}, before they begin on {from}"));
    }
    faults
}

fn regime_faults(regime: &Regime) -> Vec<String> {
    let Regime { zone2, zone3, washbasin, .. } = regime;
    let reaches = washbasin.map(|basin| [basin.small, basin.large]).into_iter().flatten();
    let lengths = [
        Some(regime.plane_mm),
        Some(regime.trayless_radius_mm.demountable),
        Some(regime.trayless_radius_mm.fixed),
        Some(regime.over_basin_radius_mm),
        Some(regime.trayless_zone0_mm),
        Some(regime.immersion_below_mm),
        Some(zone2.width_mm),
        zone2.top_mm,
        zone2.over_zone1_to_mm,
        zone3.map(|zone| zone.width_mm),
        zone3.map(|zone| zone.top_mm),
        zone3.and_then(|zone| zone.over_zone2_to_mm),
    ];
    let of_basin = reaches.flat_map(|reach| [reach.plan_mm, reach.above_mm]);
    let litres = washbasin.map(|basin| basin.small_litres);
    let mut faults: Vec<String> = lengths
        .into_iter()
        .flatten()
        .chain(of_basin)
        .chain(litres)
        .filter_map(length_fault)
        .collect();
    let under = [regime.under_tool, regime.under_no_tool];
    let odd = under.iter().filter(|zone| ![Zone::Hidden, Zone::One, Zone::Outside].contains(zone));
    faults.extend(
        odd.map(|zone| format!("below a bath is zone 1, hidden or outside, not {:?}", zone.code())),
    );
    faults
}

fn length_fault(figure: i32) -> Option<String> {
    let sentence = format!("the figure {figure} is not 0 to {RULE_LENGTH_MAX_MM}");
    (!(0..=RULE_LENGTH_MAX_MM).contains(&figure)).then_some(sentence)
}

fn row_faults(row: &PlaceRule) -> Vec<String> {
    let mut faults = Vec::new();
    if row.kinds.is_empty() || row.zones.is_empty() {
        faults.push("it names no kind or no zone".to_owned());
    }
    if row.zones.contains(&Zone::NotEstablished) {
        faults.push("nothing is ruled where the zone is not established".to_owned());
    }
    if let Ruling::Allowed(asked) = &row.ruling {
        let lengths = [asked.height_min_mm, asked.from_zone1_min_mm];
        faults.extend(lengths.into_iter().flatten().filter_map(length_fault));
    }
    faults
}

//! Twins: parts that differ in one attribute only, so that an answer which overlooks it shows. The wrong one is usually
//! the cheaper.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use jiff::civil::date;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::Control;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::Value;
use rungwright::domain::units::Celsius;

use crate::demo::edition;

/// Attributes that tell parts apart without saying what they are.
const LABELS: [&str; 3] = ["sku", "lead_days", "stock"];

/// For each attribute, how many pairs of parts of a kind differ in it alone, and in how many of them prices differ.
fn twins(
    edition: &Edition,
    kind: PartKind,
    names: &[&'static str],
) -> BTreeMap<&'static str, usize> {
    let prices = &edition.price_list("gb", date(2026, 6, 1)).unwrap().prices;
    let parts: Vec<_> = edition.parts().filter(|part| part.kind == kind).collect();
    let values: Vec<Vec<Option<Value>>> = parts
        .iter()
        .map(|part| names.iter().map(|name| edition.attribute(*part, name)).collect())
        .collect();
    let price = |index: usize| prices.get(&edition.card(parts[index]).unwrap().sku);
    let mut found = BTreeMap::new();
    for left in 0..parts.len() {
        for right in left + 1..parts.len() {
            let mut differing = names
                .iter()
                .enumerate()
                .filter(|(index, name)| {
                    !LABELS.contains(name) && values[left][*index] != values[right][*index]
                })
                .map(|(_, name)| *name);
            let (first, second) = (differing.next(), differing.next());
            if let (Some(name), None) = (first, second)
                && price(left) != price(right)
            {
                *found.entry(name).or_default() += 1;
            }
        }
    }
    found
}

fn check(kind: PartKind, names: &[&'static str], wanted: &[&str]) {
    let found = twins(&edition(), kind, names);
    let missing: Vec<_> = wanted.iter().filter(|name| !found.contains_key(**name)).collect();
    assert!(missing.is_empty(), "no twins for {missing:?}; there are {found:?}");
}

#[test]
fn bodies_have_twins_in_what_decides_a_bill() {
    check(
        PartKind::Body,
        Body::ATTRIBUTES,
        &[
            "thread",
            "guarded",
            "heat_source",
            "element_side",
            "immersed_length_mm_max",
            "bore_mm",
            "lowest_tube_mm",
            "filled",
            "fluid_limit_c",
            "finish",
        ],
    );
}

#[test]
fn elements_have_twins_in_what_decides_a_bill() {
    check(
        PartKind::Element,
        Element::ATTRIBUTES,
        &[
            "thread",
            "ip",
            "class",
            "flex_length_mm",
            "flex_mm2",
            "attachment",
            "plug",
            "immersed_length_mm",
            "sheath_diameter_mm",
            "thermal_cut_out",
            "resumes_after_power_cut",
            "declared_zones",
            "control_code",
            "finish",
        ],
    );
}

#[test]
fn controls_have_twins_in_what_decides_a_bill() {
    check(
        PartKind::Control,
        Control::ATTRIBUTES,
        &["load_w_max", "lockable", "control_code", "ip", "finish"],
    );
}

#[test]
fn locks_differ_between_twins() {
    let edition = edition();
    let lock = |sku: &str| {
        let element = edition.elements().iter().find(|found| found.card.sku.as_str() == sku);
        element.unwrap().lockable_at().map(Celsius::value)
    };
    assert_eq!(lock("SRW-E-LEW-400-BK"), Some(43.0));
    assert_eq!(lock("SRW-E-LEW-400-BK-L45"), Some(45.0));
    assert_eq!(lock("SRW-E-LUNTK-400-BK"), Some(60.0));
    assert_eq!(lock("SRW-E-LUNTK-400-BK-NL"), None);
}

#[test]
fn the_wrong_twin_is_usually_the_cheaper() {
    let edition = edition();
    let prices = &edition.price_list("gb", date(2026, 6, 1)).unwrap().prices;
    let price = |sku: &str| {
        let found = prices.iter().find(|(known, _)| known.as_str() == sku);
        *found.unwrap_or_else(|| panic!("{sku} has no price")).1
    };
    let pairs = [
        ("SRW-B-HAAR-500.1200-BK", "SRW-B-HAAR-500.1200-BK-34"),
        ("SRW-B-HAAR-500.1200-BK", "SRW-B-HAAR-500.1200-BK-DF"),
        ("SRW-B-HAAR-500.1200-BK-GD", "SRW-B-HAAR-500.1200-BK"),
        ("SRW-B-HAGAL-500.1000-WH", "SRW-B-HAGAL-500.1000-WH-MT"),
        ("SRW-B-CALLO-500.1200-BK", "SRW-B-CALLO-500.1200-BK-SH"),
        ("SRW-E-GLEED-400-BK", "SRW-E-GLEED-400-BK-34"),
        ("SRW-E-GLEED-400-BK", "SRW-E-GLEED-400-BK-F8"),
        ("SRW-E-GLEED-400-BK", "SRW-E-GLEED-400-BK-NC"),
        ("SRW-E-LUNTK-400-BK", "SRW-E-LUNTK-400-BK-NR"),
        ("SRW-E-DIMRI-400-BK", "SRW-E-DIMRI-400-BK-NL"),
        ("SRW-E-DIMRI-600-BK", "SRW-E-DIMRI-600-BK-X7"),
        ("SRW-C-KLOKK-16-WH", "SRW-C-KLOKK-16-WH-L2"),
        ("SRW-C-KIST-13-WH", "SRW-C-KIST-3-WH"),
    ];
    for (right, wrong) in pairs {
        assert!(price(wrong) < price(right), "{wrong} is not cheaper than {right}");
    }
}

#[test]
fn accessories_of_a_kind_come_for_other_tubes_threads_and_finishes() {
    let edition = edition();
    for kind in [AccessoryKind::Hook, AccessoryKind::Bracket, AccessoryKind::PlugCover] {
        let of_kind = edition.accessories().iter().filter(|found| found.kind == kind);
        let grip: BTreeSet<_> = of_kind.clone().map(|found| (&found.tube, &found.thread)).collect();
        let finishes: BTreeSet<_> = of_kind.map(|found| &found.finish).collect();
        assert!(3 <= grip.len() && 3 <= finishes.len(), "{}", kind.word());
    }
}

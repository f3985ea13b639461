//! The rule packs against the table of zone rules, the table of verdicts and the socket distances, row by row.
#![expect(clippy::too_many_lines, reason = "one line a row of the table")]

use std::collections::BTreeMap;

use rungwright::domain::evidence::Evidence;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::equipment::Connection;
use rungwright::domain::zones::equipment::Equipment;
use rungwright::domain::zones::equipment::Residual;
use rungwright::domain::zones::equipment::Spot;
use rungwright::domain::zones::length::Length;
use rungwright::domain::zones::verdict::Outcome;
use rungwright::domain::zones::verdict::Verdict;
use rungwright::domain::zones::verdict::verdict;
use rungwright::domain::zones::verdict::verdict_in_zone;
use rungwright::store::rule_packs;

use crate::drawing::pack;

/// A piece on a protected circuit, permanently connected, declared for zones 1 and 2.
fn sound(kind: EquipmentKind, ip: &str, class: ProtectionClass) -> Equipment {
    Equipment {
        ip: Some(IpCode::parse(ip).unwrap()),
        class: Some(class),
        declared_zones: Some(vec![Zone::One, Zone::Two]),
        connection: Connection::Permanent,
        residual: Residual::Protected,
        ..Equipment::unknown(kind)
    }
}

fn rail(ip: &str) -> Equipment {
    sound(EquipmentKind::Rail, ip, ProtectionClass::I)
}

fn codes(verdict: &Verdict) -> Vec<&str> {
    verdict.reasons.iter().map(|reason| reason.code).collect()
}

/// Pack, place, piece, expected outcome and, by words, the reasons or notices that must be among the answer's.
type Case = (&'static str, Spot, Equipment, Outcome, &'static str);

fn verdict_cases() -> BTreeMap<&'static str, Case> {
    let (allowed, refused) = (Outcome::Allowed, Outcome::Refused);
    let (gb, at) = ("gb-bs7671", Spot::in_zone);
    let class_two = |ip| sound(EquipmentKind::Rail, ip, ProtectionClass::II);
    let piece = |kind, ip| sound(kind, ip, ProtectionClass::II);
    let unstated = |mut equipment: Equipment| {
        equipment.connection = Connection::NotStated;
        equipment.residual = Residual::NotStated;
        equipment
    };
    let with_jets = Equipment { jets: true, ..rail("IPX4") };
    let unprotected = Equipment { residual: Residual::Unprotected, ..rail("IPX4") };
    let low = Spot { lowest_mm: Some(250), ..at(Zone::Three) };
    BTreeMap::from([
        (
            "R01",
            (
                gb,
                at(Zone::One),
                unstated(rail("IP44")),
                Outcome::AllowedIf,
                "rcd-30ma permanent-connection connection-unit-outside-zones",
            ),
        ),
        ("R03", (gb, at(Zone::Two), rail("IPX4"), allowed, "")),
        ("R04", (gb, at(Zone::Two), rail("IP20"), refused, "ip-below-zone")),
        ("R05", (gb, at(Zone::Outside), rail("IP20"), allowed, "")),
        ("R07", (gb, at(Zone::Two), with_jets, refused, "ip-below-jets")),
        ("R09", (gb, at(Zone::Zero), rail("IPX7"), refused, "zone-not-listed")),
        (
            "R10",
            (
                gb,
                at(Zone::Two),
                piece(EquipmentKind::ConnectionUnit, "IP65"),
                refused,
                "switch-inside-zone",
            ),
        ),
        ("R11", (gb, at(Zone::Outside), piece(EquipmentKind::ConnectionUnit, "IP20"), allowed, "")),
        (
            "R13",
            (
                gb,
                at(Zone::One),
                unstated(piece(EquipmentKind::ElementHead, "IPX4")),
                Outcome::AllowedIf,
                "permanent-connection",
            ),
        ),
        (
            "R15",
            (
                gb,
                at(Zone::Outside),
                piece(EquipmentKind::PullSwitch, "IP20"),
                allowed,
                "place-contested",
            ),
        ),
        ("R16", (gb, at(Zone::Outside), unprotected, refused, "rcd-missing")),
        ("R18", ("it-cei64-8", at(Zone::One), rail("IPX4"), refused, "class-not-accepted")),
        ("R20", ("it-cei64-8", at(Zone::Two), rail("IPX4"), allowed, "")),
        ("R22", ("fr-a5", at(Zone::Two), class_two("IPX4"), allowed, "")),
        ("R23", ("fr-a5", at(Zone::One), class_two("IPX5"), refused, "zone-not-listed")),
        (
            "R24",
            (
                "fr-a5",
                at(Zone::Hidden),
                piece(EquipmentKind::ConnectionBox, "IP65"),
                refused,
                "zone-not-listed",
            ),
        ),
        ("R25", ("es-itc-bt-27", at(Zone::One), rail("IPX4"), refused, "zone-not-listed")),
        ("R27", ("au-nz-3000", at(Zone::One), rail("IPX4"), allowed, "")),
        (
            "R29",
            (
                "au-nz-3000",
                low,
                piece(EquipmentKind::Socket, "IP20"),
                refused,
                "too-low-above-floor",
            ),
        ),
        (
            "R32",
            (
                gb,
                at(Zone::Two),
                piece(EquipmentKind::FlexOutlet, "IPX4"),
                allowed,
                "place-contested",
            ),
        ),
    ])
}

/// Rows of the table that other modules answer; their tests are there.
const ELSEWHERE: [&str; 2] = ["R30", "R31"];

#[test]
fn every_row_of_the_verdict_table_is_answered_as_written() {
    let mut known = verdict_cases();
    let text = include_str!("../fixtures/electrical/placement_verdicts.csv");
    for row in csv::Reader::from_reader(text.as_bytes()).into_records() {
        let row = row.unwrap();
        if ELSEWHERE.contains(&&row[0]) {
            continue;
        }
        let (id, spot, equipment, outcome, among) =
            known.remove(&row[0]).unwrap_or_else(|| panic!("no case for {row:?}"));
        let rules = pack(id);
        let answer = verdict(&rules, &spot, &equipment);
        assert_eq!(answer.outcome, outcome, "{row:?}: {answer:?} [{}]", rules.source);
        // The table's words: a warning is a permission with a notice.
        let written = match &row[4] {
            "allow" | "warn" => Outcome::Allowed,
            "allow_if" => Outcome::AllowedIf,
            "refuse" => Outcome::Refused,
            other => panic!("unknown verdict {other:?}"),
        };
        assert_eq!(answer.outcome, written, "{row:?}");
        let notices = answer.notices.iter().map(|notice| notice.code);
        let told: Vec<_> = codes(&answer).into_iter().chain(notices).collect();
        for code in among.split_whitespace() {
            assert!(told.contains(&code), "{row:?}: {told:?}");
        }
        assert!(told.contains(&"electrician-decides"), "{row:?}");
    }
    assert!(known.is_empty(), "{known:?}");
}

#[test]
fn every_socket_case_is_answered_under_its_edition() {
    let cases = crate::drawing::cases(include_str!("../fixtures/placement/socket_cases.json"));
    assert_eq!(cases.len(), 6);
    for case in &cases {
        let packs = match case["edition"].as_str().unwrap() {
            "A2:2022+" => vec!["gb-bs7671"],
            "18th A1" => vec!["gb-bs7671-2018-a1"],
            "any" => vec!["gb-bs7671", "gb-bs7671-2018-a1"],
            other => panic!("unknown edition {other:?}"),
        };
        let (kind, zone) = match case["item"].as_str().unwrap() {
            "13 A socket" | "13 A socket beside trayless shower" => {
                (EquipmentKind::Socket, Zone::Outside)
            }
            "FCU" => (EquipmentKind::ConnectionUnit, Zone::Outside),
            "shaver unit BS EN 61558-2-5" => (EquipmentKind::ShaverUnit, Zone::Two),
            other => panic!("unknown item {other:?}"),
        };
        let squared = |key: &str| case[key].as_i64().map(|mm| Length::straight(mm * mm));
        let gap = match (squared("dist_mm"), squared("from_outlet_mm")) {
            (Some(length), None) => (length, 0),
            (None, Some(length)) => (length, 1200),
            other => panic!("no distance: {other:?}"),
        };
        let spot = Spot { from_zone1: Some(gap), ..Spot::in_zone(zone) };
        let expected = match case["expect"].as_str().unwrap() {
            "refuse" => Outcome::Refused,
            "allow" | "allow: 2500 mm" | "allow, no direct spray, else IPX4" => Outcome::Allowed,
            other => panic!("unknown expectation {other:?}"),
        };
        for id in packs {
            let answer = verdict(&pack(id), &spot, &sound(kind, "IP20", ProtectionClass::I));
            assert_eq!(answer.outcome, expected, "{case} {id}: {answer:?} [BS 7671 701.512.3]");
        }
    }
}

#[test]
fn without_a_plan_a_socket_is_never_allowed() {
    let answer = verdict_in_zone(
        &pack("gb-bs7671"),
        Zone::Outside,
        &sound(EquipmentKind::Socket, "IP20", ProtectionClass::I),
    );
    assert_eq!(
        (answer.outcome, codes(&answer)),
        (Outcome::NotEstablished, vec!["socket-distance-not-known"])
    );
}

#[test]
fn what_nobody_stated_is_never_allowed() {
    for rules in rule_packs::load_all().unwrap() {
        for zone in [Zone::Zero, Zone::Hidden, Zone::One, Zone::Two, Zone::NotEstablished] {
            for kind in EquipmentKind::ALL {
                let answer = verdict_in_zone(&rules, zone, &Equipment::unknown(kind));
                let open = [Outcome::Refused, Outcome::NotEstablished].contains(&answer.outcome);
                let watertight_unasked = kind == EquipmentKind::ShaverUnit && zone == Zone::Two;
                assert!(open || watertight_unasked, "{} {zone} {kind:?}: {answer:?}", rules.id);
            }
        }
    }
}

#[test]
fn belgium_is_never_established_and_ireland_always_says_that_it_stands_in() {
    for zone in Zone::ALL {
        for kind in EquipmentKind::ALL {
            let piece = sound(kind, "IP65", ProtectionClass::II);
            let belgian = verdict_in_zone(&pack("be-arei"), zone, &piece);
            assert_eq!(belgian.outcome, Outcome::NotEstablished, "{zone} {kind:?}");
            let irish = verdict_in_zone(&pack("ie-is10101"), zone, &piece);
            assert_eq!(irish.evidence, Evidence::Fallback, "{zone} {kind:?}");
            assert!(irish.notices.iter().any(|notice| notice.code == "rules-fallback"));
        }
    }
}

#[test]
fn immersion_alone_does_not_open_zone_1_and_says_nothing_of_splashes() {
    let rules = pack("gb-bs7671");
    let answer = verdict_in_zone(&rules, Zone::One, &rail("IPX7"));
    assert_eq!((answer.outcome, codes(&answer)[0]), (Outcome::NotEstablished, "ip-not-stated"));
    let undeclared = Equipment { declared_zones: Some(vec![Zone::Two]), ..rail("IP65") };
    let refusal = verdict_in_zone(&rules, Zone::One, &undeclared);
    assert_eq!((refusal.outcome, codes(&refusal)[0]), (Outcome::Refused, "zone-not-declared"));
}

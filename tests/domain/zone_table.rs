//! The table of zone rules, row by row, against the pack of its country and edition.
#![expect(
    clippy::match_same_arms,
    clippy::too_many_lines,
    clippy::wildcard_enum_match_arm,
    clippy::shadow_unrelated,
    reason = "one arm a row of the table"
)]

use rungwright::domain::evidence::Evidence;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::Zone;
use rungwright::domain::zones::placement::Plan;
use rungwright::domain::zones::regime::BasinReach;
use rungwright::domain::zones::regime::PartitionPolicy;
use rungwright::domain::zones::regime::PlaneDatum;
use rungwright::domain::zones::regime::Regime;
use rungwright::domain::zones::rules::Refusal;
use rungwright::domain::zones::rules::Requirements;
use rungwright::domain::zones::rules::ResidualDuty;
use rungwright::domain::zones::rules::Ruling;
use rungwright::domain::zones::rules::WiringRules;
use rungwright::domain::zones::scene::PartitionKind;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Solid;
use rungwright::store::rule_packs;

use crate::drawing;
use crate::zone_packs::pack_of;

/// Rows that state a fact of which nothing in the program depends: (country, rule).
const NOT_USED: [(&str, &str); 10] = [
    ("IEC", "height_limit"),
    ("IEC", "lateral_limit"),
    ("IEC", "depth_in_walls_floor_ceiling"),
    ("IEC", "outdoor_covered"),
    ("IE_IS10101", "rcd_lighting"),
    ("DE_VDE0100-701", "masonry_bath"),
    ("DE_VDE0100-701", "residual_wall_depth"),
    ("DE_VDE0100-701", "luminaire_230V"),
    ("DE_VDE0100-701", "limits"),
    ("NL_NEN1010", "clauses"),
];

#[test]
fn every_row_of_the_zone_table_holds_in_its_pack() {
    let text = include_str!("../fixtures/electrical/zones.csv");
    let mut rows = 0_u32;
    for row in csv::Reader::from_reader(text.as_bytes()).into_records() {
        let row = row.unwrap();
        rows += 1;
        let Some(rules) = pack_of(&row[0], &row[1]) else {
            let ids: Vec<_> =
                rule_packs::load_all().unwrap().into_iter().map(|rules| rules.id).collect();
            assert!(!ids.iter().any(|id| id.starts_with("za-")), "{ids:?}");
            continue;
        };
        if NOT_USED.contains(&(&row[0], &row[3])) {
            continue;
        }
        let holds = match &rules.regime {
            Some(regime) => {
                holds(&row[0], (&row[2], &row[3], &row[4]), &Facts { regime, rules: &rules })
            }
            None => rules.rows.is_empty(),
        };
        assert!(holds, "{row:?} does not hold in {}", rules.id);
    }
    assert_eq!(rows, 134);
}

struct Facts<'pack> {
    regime: &'pack Regime,
    rules: &'pack WiringRules,
}

impl Facts<'_> {
    fn zone(&self, scene: &str, (x, y, z): (i32, i32, i32)) -> Zone {
        let plan = Plan::new(&drawing::scene_of(scene), self.regime);
        plan.place(&Solid::of(Point::new(x, y), z)).zone
    }

    fn ruling(&self, kind: EquipmentKind, zone: Zone) -> &Ruling {
        let row = self
            .rules
            .rows
            .iter()
            .find(|row| row.kinds.contains(&kind) && row.zones.contains(&zone));
        row.map_or(&Ruling::NotEstablished, |row| &row.ruling)
    }

    fn asked(&self, kind: EquipmentKind, zone: Zone) -> Requirements {
        match self.ruling(kind, zone) {
            Ruling::Allowed(asked) => asked.clone(),
            other => panic!("{kind:?} in zone {zone}: {other:?}"),
        }
    }

    fn is_refused(&self, kinds: &[EquipmentKind], zones: &[Zone]) -> bool {
        let pairs = kinds.iter().flat_map(|kind| zones.iter().map(move |zone| (*kind, *zone)));
        pairs.into_iter().all(|(kind, zone)| matches!(self.ruling(kind, zone), Ruling::Refused(_)))
    }

    fn rail_ip(&self, zone: Zone) -> Option<String> {
        self.asked(EquipmentKind::Rail, zone).ip.map(|code| code.to_string())
    }

    fn residual(&self) -> bool {
        self.rules.circuit.residual == ResidualDuty::Required
    }
}

fn millimetres(text: &str) -> i32 {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    format!("{whole}{fraction:0<3}").parse().unwrap()
}

const SWITCHES: [EquipmentKind; 3] =
    [EquipmentKind::ConnectionUnit, EquipmentKind::WallControl, EquipmentKind::TimeSwitch];
const ZONES_0_TO_2: [Zone; 3] = [Zone::Zero, Zone::One, Zone::Two];

fn holds(country: &str, row: (&str, &str, &str), facts: &Facts<'_>) -> bool {
    geometry(row, facts)
        .or_else(|| heights(country, row, facts))
        .or_else(|| equipment(country, row, facts))
        .or_else(|| country_rows(country, row, facts))
        .unwrap_or_else(|| panic!("no check written for {country} {row:?}"))
}

fn geometry((zone, rule, value): (&str, &str, &str), facts: &Facts<'_>) -> Option<bool> {
    let regime = facts.regime;
    Some(match rule {
        "extent_with_basin" => facts.zone("B1", (800, 350, 300)) == Zone::Zero,
        "extent_without_basin" => {
            facts.zone("W1", (1200, 1000, 50)) == Zone::Zero
                && facts.zone("W1", (1201, 1000, 50)) != Zone::Zero
        }
        "height_without_basin" => regime.trayless_zone0_mm == millimetres(value),
        "lower_plane" => facts.zone("B1", (800, 350, 0)) == Zone::One,
        "lateral_with_basin" => {
            facts.zone("B1", (1700, 300, 1000)) == Zone::One
                && facts.zone("B1", (1701, 300, 1000)) == Zone::Two
        }
        "radius_without_basin" if value == "1.2" => regime.trayless_radius_mm.demountable == 1200,
        "radius_without_basin" => {
            let radius = regime.trayless_radius_mm;
            value.starts_with("1.2 demountable")
                && (radius.demountable, radius.fixed) == (1200, 600)
        }
        "space_under_bath_no_tool" | "space_under" => facts.zone("B1", (800, 350, 50)) == Zone::One,
        "space_under_bath_tool_only" | "space_under_bricked_bath_tool_only" => {
            facts.zone("B1T", (800, 350, 50)) == Zone::Outside
        }
        "width" if zone == "3" => regime.zone3?.width_mm == millimetres(value),
        "width" => regime.zone2.width_mm == millimetres(value),
        "exists_above_zone_1" => facts.zone("B2", (800, 350, 2400)) == Zone::Outside,
        "washbasin_creates_zone" => facts.zone("N1", (600, 200, 900)) == Zone::NotApplicable,
        "limiters" => {
            facts.zone("E2", (800, 950, 1000)) == Zone::Outside
                && facts.zone("T2", (1100, 300, 1500)) == Zone::Outside
        }
        _ => return None,
    })
}

fn heights(
    country: &str,
    (zone, rule, _value): (&str, &str, &str),
    facts: &Facts<'_>,
) -> Option<bool> {
    let regime = facts.regime;
    let raised = regime.plane_raised_by_head;
    Some(match (country, zone, rule) {
        ("IEC" | "UK_BS7671", "1" | "2", "upper_plane")
        | ("DE_VDE0100-701", "1", "upper_plane") => {
            (regime.plane_mm, regime.plane_datum, raised) == (2250, PlaneDatum::Floor, true)
                && facts.zone("B2", (800, 350, 2350)) == Zone::One
                && facts.zone("B2", (800, 1000, 2350)) == Zone::Two
        }
        ("FR_C15-100", "1", "upper_plane") => {
            raised
                && facts.zone("B1", (800, 350, 2400)) == Zone::One
                && regime.plane_datum == PlaneDatum::BathOrTrayBottom
        }
        ("FR_C15-100", "2", "upper_plane") => regime.zone2.top_mm == Some(3000),
        ("IT_CEI64-8", "1", "upper_plane") => {
            facts.zone("B1", (800, 350, 2251)) != Zone::One
                && facts.zone("B4", (800, 350, 2450)) == Zone::One
        }
        ("ES_ITC-BT-27", "1", "upper_plane") => regime.plane_mm == 2250,
        ("IEC", "1", "upper_plane / radius_without_basin") => {
            (regime.plane_mm, regime.trayless_radius_mm.fixed) == (2250, 1200)
        }
        ("IEC" | "UK_BS7671", "2", "exists_without_basin") => !regime.zone2.trayless,
        ("DE_VDE0100-701", "0", "exists_without_basin") => regime.trayless_zone0_mm == 0,
        ("FR_C15-100", "2", "exists_without_basin") => regime.zone2.trayless,
        ("UK_BS7671", "2", "above_zone_1") => regime.zone2.over_zone1_to_mm == Some(3000),
        ("UK_BS7671", "3", "exists") => {
            let zone3 = regime.zone3?;
            (zone3.width_mm, zone3.top_mm, zone3.over_zone2_to_mm) == (2400, 2250, Some(3000))
        }
        ("FR_C15-100", "3", "exists") => regime.zone3.is_none(),
        ("ES_ITC-BT-27", "2", "width / above zone 1") => {
            (regime.zone2.width_mm, regime.zone2.over_zone1_to_mm) == (600, Some(3000))
        }
        ("AU_NZ_3000", "1", "upper_plane_shower") => regime.plane_mm == 2500,
        ("AU_NZ_3000", "2", "width / upper_plane") => {
            (regime.zone2.width_mm, regime.zone2.top_mm) == (600, Some(2250))
        }
        ("AU_NZ_3000", "3", "width / upper_plane") => {
            regime.zone3.map(|zone3| (zone3.width_mm, zone3.top_mm)) == Some((2400, 2500))
        }
        _ => return None,
    })
}

fn equipment(
    country: &str,
    (zone, rule, value): (&str, &str, &str),
    facts: &Facts<'_>,
) -> Option<bool> {
    use EquipmentKind::{PullSwitch, Rail, ShaverUnit, Socket};
    let ip = |zone: Zone| facts.rail_ip(zone);
    let jets = |zone: Zone| facts.asked(Rail, zone).ip_jets == IpCode::parse("IPX5").ok();
    Some(match (country, zone, rule) {
        // Nothing at mains voltage goes into zone 0, which is stricter than any IP code.
        ("UK_BS7671", "0", "min_ip" | "current_using") => {
            facts.is_refused(&EquipmentKind::ALL, &[Zone::Zero])
        }
        ("UK_BS7671", "1", "min_ip") => ip(Zone::One).as_deref() == Some(value),
        ("UK_BS7671", "2", "min_ip") => ip(Zone::Two).as_deref() == Some(value),
        ("DE_VDE0100-701", _, "min_ip") => {
            ip(Zone::One) == ip(Zone::Two) && ip(Zone::Two).as_deref() == Some("IPX4")
        }
        ("FR_C15-100", "1", "min_ip") => facts.is_refused(&[Rail], &[Zone::One]),
        ("IT_CEI64-8", "3", "min_ip") => {
            ip(Zone::Three).as_deref() == Some("IPX1") && jets(Zone::Three)
        }
        ("ES_ITC-BT-27", "1", "min_ip" | "current_using") => {
            facts.is_refused(&[Rail], &[Zone::One])
        }
        ("ES_ITC-BT-27", "2", "min_ip") => {
            ip(Zone::Two).as_deref() == Some("IPX4") && jets(Zone::Two)
        }
        ("ES_ITC-BT-27", "2", "current_using") => {
            !facts.is_refused(&[Rail], &[Zone::Two]) && facts.residual()
        }
        ("UK_BS7671", _, "min_ip_water_jets") => jets(Zone::One) && jets(Zone::Two),
        ("UK_BS7671", "2", "ip_exception") => facts.asked(ShaverUnit, Zone::Two).ip.is_none(),
        ("UK_BS7671", "1", "current_using") => {
            let asked = facts.asked(Rail, Zone::One);
            asked.permanent && asked.declared
        }
        ("UK_BS7671", "2", "current_using") => !facts.asked(Rail, Zone::Two).declared,
        ("IT_CEI64-8", "1", "current_using") => {
            let asked = facts.asked(Rail, Zone::One);
            asked.permanent && asked.classes == [ProtectionClass::II, ProtectionClass::III]
        }
        ("IT_CEI64-8", "2", "current_using") => {
            facts.asked(Rail, Zone::Two).classes.contains(&ProtectionClass::I)
        }
        ("UK_BS7671", _, "switchgear_accessories" | "fused_connection_unit") => {
            facts.is_refused(&SWITCHES, &ZONES_0_TO_2) && facts.is_refused(&[Socket], &ZONES_0_TO_2)
        }
        ("UK_BS7671", _, "cord_of_pull_switch") => {
            facts.asked(PullSwitch, Zone::Outside).caution.is_some()
        }
        ("UK_BS7671", _, "controls_inside_fixed_equipment") => {
            let head = |zone| facts.asked(EquipmentKind::ElementHead, zone);
            head(Zone::One) == facts.asked(Rail, Zone::One)
                && head(Zone::Two) == facts.asked(Rail, Zone::Two)
        }
        ("UK_BS7671", _, "socket_min_from_zone1") => {
            facts.asked(Socket, Zone::Outside).from_zone1_min_mm == Some(millimetres(value))
        }
        ("UK_BS7671", _, "socket_exceptions") => !facts.is_refused(&[ShaverUnit], &[Zone::Two]),
        ("UK_BS7671" | "IE_IS10101", "room", "socket_230V") => {
            *facts.ruling(Socket, Zone::Outside) == Ruling::Refused(Refusal::NotInRoom)
        }
        ("NL_NEN1010", "0,1,2", "socket_230V") => facts.is_refused(&[Socket], &ZONES_0_TO_2),
        ("NL_NEN1010", "outside 2", "socket_230V") => {
            !facts.is_refused(&[Socket], &[Zone::Outside]) && facts.residual()
        }
        ("IE_IS10101", _, "wall_switch") => facts.is_refused(&SWITCHES, &[Zone::Outside]),
        ("DE_VDE0100-701", "1", "towel_rail") => {
            let asked = facts.asked(Rail, Zone::One);
            asked.permanent && asked.declared
        }
        ("FR_C15-100", "1", "towel_rail") => facts.is_refused(&[Rail], &[Zone::One]),
        ("FR_C15-100", "2", "towel_rail") => {
            facts.asked(Rail, Zone::Two).classes == [ProtectionClass::II]
        }
        ("AU_NZ_3000", "0,1", "sockets / switches") => {
            let zones = [Zone::Zero, Zone::One];
            facts.is_refused(&[Socket], &zones) && facts.is_refused(&SWITCHES, &zones)
        }
        ("AU_NZ_3000", "2", "sockets") => {
            *facts.ruling(Socket, Zone::Two) == Ruling::NotEstablished
        }
        ("AU_NZ_3000", "3", "sockets") => {
            facts.asked(Socket, Zone::Three).height_min_mm == Some(300)
        }
        ("AU_NZ_3000", "2", "switches") => {
            let asked = facts.asked(EquipmentKind::WallControl, Zone::Two);
            asked.height_min_mm == Some(300) && asked.ip == IpCode::parse("IPX4").ok()
        }
        ("AU_NZ_3000", _, "towel_rail_min_ip") => {
            ip(Zone::One).as_deref() == Some("IPX4") && jets(Zone::Two)
        }
        _ => return None,
    })
}

fn country_rows(
    country: &str,
    (zone, rule, _value): (&str, &str, &str),
    facts: &Facts<'_>,
) -> Option<bool> {
    let regime = facts.regime;
    Some(match (country, zone, rule) {
        (_, "location", "rcd" | "rcd_max" | "rcd / bonding") => facts.residual(),
        ("AU_NZ_3000", _, "rcd_for_hard_wired_rail") => !facts.residual(),
        ("UK_BS7671", _, "supplementary_bonding_omit_if") => {
            let bonding = &facts.rules.circuit.bonding;
            ["disconnection times", "30 mA", "main bonding"]
                .iter()
                .all(|part| bonding.contains(part))
        }
        ("IE_IS10101", _, "geometry") => {
            Some(regime) == drawing::pack("iec-2006").regime.as_ref()
                && facts.rules.source.evidence == Evidence::Fallback
        }
        ("DE_VDE0100-701", "1", "ipx7_below") => regime.immersion_below_mm == 100,
        ("DE_VDE0100-701", _, "partition_lower_than_zone") => {
            regime.partitions == PartitionPolicy::StringOverAndRound
        }
        ("DE_VDE0100-701", _, "not_limiting") => !PartitionKind::Curtain.is_lasting(),
        ("DE_VDE0100-701", _, "valid_from / transition_end") => {
            facts.rules.valid_from.as_deref() == Some("2025-06-01")
                && drawing::pack("de-2008").valid_until.as_deref() == Some("2027-12-06")
        }
        ("FR_C15-100", "hidden", "definition") => {
            facts.zone("B1", (800, 350, 50)) == Zone::Hidden
                && facts.is_refused(&EquipmentKind::ALL, &[Zone::Hidden])
        }
        ("FR_C15-100", _, "partition_counts_if") => {
            facts.zone("T2", (1100, 300, 1500)) == Zone::Outside
                && facts.zone("T3", (1100, 300, 1500)) == Zone::Two
        }
        ("ES_ITC-BT-27", _, "screens_count") => facts.zone("T2", (1100, 300, 1500)) == Zone::Two,
        ("AU_NZ_3000", "0", "extent") => facts.zone("T1", (450, 450, 40)) == Zone::Zero,
        ("AU_NZ_3000", _, "extent") if zone.contains("<=40 L") => {
            regime.washbasin?.small == BasinReach { plan_mm: 150, above_mm: 400 }
        }
        ("AU_NZ_3000", _, "extent") => {
            regime.washbasin?.large == BasinReach { plan_mm: 500, above_mm: 1000 }
        }
        ("AU_NZ_3000", _, "shower_over_bath_radius") => {
            facts.zone("B3", (0, 1550, 1500)) == Zone::One
                && facts.zone("B3", (0, 1551, 1500)) == Zone::Two
        }
        ("AU_NZ_3000", _, "barriers") => {
            // A wall up to the ceiling ends zone 1; a lower one does not; above zone 1 there is no zone.
            let mut scene = drawing::scene_of("W6");
            let behind = Solid::of(Point::new(400, 1800), 1500);
            let low = Plan::new(&scene, regime).place(&behind).zone;
            let ceiling_mm = scene.ceiling_mm;
            scene.partitions.iter_mut().for_each(|partition| partition.top_mm = ceiling_mm);
            let high = Plan::new(&scene, regime).place(&behind).zone;
            (low, high) == (Zone::One, Zone::Outside)
                && facts.zone("B2", (800, 350, 2550)) == Zone::Outside
        }
        _ => return None,
    })
}

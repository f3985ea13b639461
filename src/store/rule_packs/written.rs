//! A country's rules back in the form of a pack's file.
//!
//! Absent here: reading (`form`).

use crate::domain::zones::regime::Regime;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::Requirements;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::rules::WiringRules;

use super::form::Allowed;
use super::form::Circuit;
use super::form::Geometry;
use super::form::Pack;
use super::form::Radius;
use super::form::Row;
use super::form::Washbasin;
use super::form::ZoneThree;

/// The form of a country's rules; reading it gives them back.
pub(super) fn pack(rules: &WiringRules) -> Pack {
    let circuit = &rules.circuit;
    Pack {
        id: rules.id.clone(),
        title: rules.title.clone(),
        edition: rules.edition.clone(),
        valid_from: rules.valid_from.clone(),
        valid_until: rules.valid_until.clone(),
        places: rules.places.clone(),
        source: rules.source.text.to_string(),
        evidence: rules.source.evidence.code().to_owned(),
        geometry: rules.regime.as_ref().map(geometry),
        circuit: Circuit {
            residual: circuit.residual.code().to_owned(),
            residual_source: circuit.residual_source.text.to_string(),
            residual_evidence: circuit.residual_source.evidence.code().to_owned(),
            bonding: circuit.bonding.clone(),
            bonding_source: circuit.bonding_source.text.to_string(),
            bonding_evidence: circuit.bonding_source.evidence.code().to_owned(),
            device: circuit.device.code().to_owned(),
            device_source: circuit.device_source.text.to_string(),
            device_evidence: circuit.device_source.evidence.code().to_owned(),
        },
        conflicts: rules.conflicts.clone(),
        drawing_conflicts: rules.drawing_conflicts.clone(),
        rows: rules.rows.iter().map(row).collect(),
    }
}

fn geometry(regime: &Regime) -> Geometry {
    let Regime { zone2, trayless_radius_mm: radius, .. } = regime;
    Geometry {
        plane_mm: regime.plane_mm,
        plane_datum: regime.plane_datum.code().to_owned(),
        plane_raised_by_head: regime.plane_raised_by_head,
        trayless_radius_mm: Radius { demountable: radius.demountable, fixed: radius.fixed },
        over_basin_radius_mm: regime.over_basin_radius_mm,
        trayless_zone0_mm: regime.trayless_zone0_mm,
        immersion_below_mm: regime.immersion_below_mm,
        zone2_mm: zone2.width_mm,
        zone2_top_mm: zone2.top_mm,
        zone2_trayless: zone2.trayless,
        zone2_over_zone1_to_mm: zone2.over_zone1_to_mm,
        zone3: regime.zone3.map(|zone| ZoneThree {
            mm: zone.width_mm,
            top_mm: zone.top_mm,
            over_zone2_to_mm: zone.over_zone2_to_mm,
        }),
        under_tool: regime.under_tool.code().to_owned(),
        under_no_tool: regime.under_no_tool.code().to_owned(),
        partitions: regime.partitions.code().to_owned(),
        washbasin: regime.washbasin.map(|basin| Washbasin {
            small_litres: basin.small_litres,
            small_mm: basin.small.plan_mm,
            small_above_mm: basin.small.above_mm,
            large_mm: basin.large.plan_mm,
            large_above_mm: basin.large.above_mm,
        }),
    }
}

fn row(rule: &PlaceRule) -> Row {
    let mut row = Row {
        kinds: rule.kinds.iter().map(|kind| kind.code().to_owned()).collect(),
        zones: rule.zones.iter().map(|zone| zone.code().to_owned()).collect(),
        refused: None,
        not_established: false,
        allowed: None,
        source: rule.source.text.to_string(),
        evidence: rule.source.evidence.code().to_owned(),
    };
    match &rule.ruling {
        Ruling::Refused(refusal) => row.refused = Some(refusal.code().to_owned()),
        Ruling::NotEstablished => row.not_established = true,
        Ruling::Allowed(asked) => row.allowed = Some(allowed(asked)),
    }
    row
}

fn allowed(asked: &Requirements) -> Allowed {
    Allowed {
        permanent: asked.permanent,
        declared: asked.declared,
        unit_outside: asked.unit_outside,
        ip: asked.ip.map(|code| code.to_string()),
        ip_jets: asked.ip_jets.map(|code| code.to_string()),
        classes: asked.classes.iter().map(|class| class.code().to_owned()).collect(),
        height_min_mm: asked.height_min_mm,
        from_zone1_min_mm: asked.from_zone1_min_mm,
        caution: asked.caution.clone(),
    }
}

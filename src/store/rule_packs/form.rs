//! The form of a pack's file, and its translation into the domain's values.
//!
//! Absent here: which files there are, and the way back (`written`).

use serde::Deserialize;
use serde::Serialize;

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::regime;
use crate::domain::zones::regime::PartitionPolicy;
use crate::domain::zones::regime::PlaneDatum;
use crate::domain::zones::rules::CircuitRules;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::ProtectiveDevice;
use crate::domain::zones::rules::Refusal;
use crate::domain::zones::rules::Requirements;
use crate::domain::zones::rules::ResidualDuty;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::rules::WiringRules;
use crate::store::rule_packs::PackError;

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Pack {
    pub id: String,
    pub title: String,
    pub edition: String,
    pub valid_from: Option<String>,
    pub valid_until: Option<String>,
    pub places: Vec<String>,
    pub source: String,
    pub evidence: String,
    pub geometry: Option<Geometry>,
    pub circuit: Circuit,
    pub conflicts: Vec<String>,
    #[serde(default)]
    pub drawing_conflicts: Vec<String>,
    pub rows: Vec<Row>,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Geometry {
    pub plane_mm: i32,
    pub plane_datum: String,
    pub plane_raised_by_head: bool,
    pub trayless_radius_mm: Radius,
    pub over_basin_radius_mm: i32,
    pub trayless_zone0_mm: i32,
    pub immersion_below_mm: i32,
    pub zone2_mm: i32,
    pub zone2_top_mm: Option<i32>,
    pub zone2_trayless: bool,
    pub zone2_over_zone1_to_mm: Option<i32>,
    pub zone3: Option<ZoneThree>,
    pub under_tool: String,
    pub under_no_tool: String,
    pub partitions: String,
    pub washbasin: Option<Washbasin>,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Radius {
    pub demountable: i32,
    pub fixed: i32,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ZoneThree {
    pub mm: i32,
    pub top_mm: i32,
    pub over_zone2_to_mm: Option<i32>,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Washbasin {
    pub small_litres: i32,
    pub small_mm: i32,
    pub small_above_mm: i32,
    pub large_mm: i32,
    pub large_above_mm: i32,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Circuit {
    pub residual: String,
    pub residual_source: String,
    pub residual_evidence: String,
    pub bonding: String,
    pub bonding_source: String,
    pub bonding_evidence: String,
    pub device: String,
    pub device_source: String,
    pub device_evidence: String,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub kinds: Vec<String>,
    pub zones: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    #[serde(default, skip_serializing_if = "is_no")]
    pub not_established: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<Allowed>,
    pub source: String,
    pub evidence: String,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Allowed {
    #[serde(default, skip_serializing_if = "is_no")]
    pub permanent: bool,
    #[serde(default, skip_serializing_if = "is_no")]
    pub declared: bool,
    #[serde(default, skip_serializing_if = "is_no")]
    pub unit_outside: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ip: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ip_jets: Option<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub classes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_min_mm: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_zone1_min_mm: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
}

pub(super) fn read(pack: &str, text: &str) -> Result<WiringRules, PackError> {
    let form: Pack = serde_json::from_str(text)
        .map_err(|cause| PackError::Form { pack: pack.to_owned(), cause })?;
    value(pack, form)
}

/// A pack's form as the domain's values.
pub(super) fn value(pack: &str, form: Pack) -> Result<WiringRules, PackError> {
    let words = Words { pack };
    Ok(WiringRules {
        source: words.source(form.source, &form.evidence)?,
        regime: form.geometry.map(|geometry| words.regime(geometry)).transpose()?,
        rows: form.rows.into_iter().map(|row| words.row(row)).collect::<Result<_, _>>()?,
        circuit: words.circuit(form.circuit)?,
        id: form.id,
        title: form.title,
        edition: form.edition,
        valid_from: form.valid_from,
        valid_until: form.valid_until,
        places: form.places,
        conflicts: form.conflicts,
        drawing_conflicts: form.drawing_conflicts,
        is_stand_in: false,
    })
}

/// Turns the words of one pack into values, naming the pack when a word is not known.
struct Words<'pack> {
    pack: &'pack str,
}

impl Words<'_> {
    fn known<T>(&self, field: &'static str, word: &str, value: Option<T>) -> Result<T, PackError> {
        value.ok_or_else(|| PackError::Word {
            pack: self.pack.to_owned(),
            field,
            word: word.to_owned(),
        })
    }

    fn source(&self, text: String, evidence: &str) -> Result<Source, PackError> {
        let kind = self.known("evidence", evidence, Evidence::parse(evidence))?;
        Ok(Source::stated(text, kind))
    }

    fn zone(&self, word: &str) -> Result<Zone, PackError> {
        self.known("zone", word, Zone::parse(word))
    }

    fn regime(&self, form: Geometry) -> Result<regime::Regime, PackError> {
        let datum = PlaneDatum::parse(&form.plane_datum);
        let policy = PartitionPolicy::parse(&form.partitions);
        Ok(regime::Regime {
            plane_mm: form.plane_mm,
            plane_datum: self.known("plane_datum", &form.plane_datum, datum)?,
            plane_raised_by_head: form.plane_raised_by_head,
            trayless_radius_mm: regime::TraylessRadius {
                demountable: form.trayless_radius_mm.demountable,
                fixed: form.trayless_radius_mm.fixed,
            },
            over_basin_radius_mm: form.over_basin_radius_mm,
            trayless_zone0_mm: form.trayless_zone0_mm,
            immersion_below_mm: form.immersion_below_mm,
            zone2: regime::ZoneTwo {
                width_mm: form.zone2_mm,
                top_mm: form.zone2_top_mm,
                trayless: form.zone2_trayless,
                over_zone1_to_mm: form.zone2_over_zone1_to_mm,
            },
            zone3: form.zone3.map(|zone| regime::ZoneThree {
                width_mm: zone.mm,
                top_mm: zone.top_mm,
                over_zone2_to_mm: zone.over_zone2_to_mm,
            }),
            under_tool: self.zone(&form.under_tool)?,
            under_no_tool: self.zone(&form.under_no_tool)?,
            partitions: self.known("partitions", &form.partitions, policy)?,
            washbasin: form.washbasin.as_ref().map(washbasin),
        })
    }

    fn circuit(&self, form: Circuit) -> Result<CircuitRules, PackError> {
        let residual = ResidualDuty::parse(&form.residual);
        let device = ProtectiveDevice::parse(&form.device);
        Ok(CircuitRules {
            residual: self.known("residual", &form.residual, residual)?,
            residual_source: self.source(form.residual_source, &form.residual_evidence)?,
            device: self.known("device", &form.device, device)?,
            device_source: self.source(form.device_source, &form.device_evidence)?,
            bonding: form.bonding,
            bonding_source: self.source(form.bonding_source, &form.bonding_evidence)?,
        })
    }

    fn row(&self, form: Row) -> Result<PlaceRule, PackError> {
        let kind = |word: &String| self.known("kind", word, EquipmentKind::parse(word));
        Ok(PlaceRule {
            kinds: form.kinds.iter().map(kind).collect::<Result<_, _>>()?,
            zones: form.zones.iter().map(|word| self.zone(word)).collect::<Result<_, _>>()?,
            ruling: match (form.refused, form.allowed, form.not_established) {
                (Some(word), None, false) => {
                    Ruling::Refused(self.known("refused", &word, Refusal::parse(&word))?)
                }
                (None, Some(asked), false) => Ruling::Allowed(self.requirements(asked)?),
                (None, None, true) => Ruling::NotEstablished,
                (refused, _, _) => {
                    let word = refused.unwrap_or_default();
                    return self.known("ruling, exactly one a row", &word, None);
                }
            },
            source: self.source(form.source, &form.evidence)?,
        })
    }

    fn requirements(&self, form: Allowed) -> Result<Requirements, PackError> {
        let code = |word: String| self.known("ip", &word, IpCode::parse(&word).ok());
        let class = |word: &String| self.known("class", word, ProtectionClass::parse(word));
        Ok(Requirements {
            permanent: form.permanent,
            declared: form.declared,
            unit_outside: form.unit_outside,
            ip: form.ip.map(code).transpose()?,
            ip_jets: form.ip_jets.map(code).transpose()?,
            classes: form.classes.iter().map(class).collect::<Result<_, _>>()?,
            height_min_mm: form.height_min_mm,
            from_zone1_min_mm: form.from_zone1_min_mm,
            caution: form.caution,
        })
    }
}

const fn washbasin(form: &Washbasin) -> regime::WashbasinZone {
    let &Washbasin { small_litres, small_mm, small_above_mm, large_mm, large_above_mm } = form;
    regime::WashbasinZone {
        small_litres,
        small: regime::BasinReach { plan_mm: small_mm, above_mm: small_above_mm },
        large: regime::BasinReach { plan_mm: large_mm, above_mm: large_above_mm },
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form asks with a reference")]
const fn is_no(flag: &bool) -> bool {
    !*flag
}

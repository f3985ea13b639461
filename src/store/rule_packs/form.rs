//! The form of a pack's file, and its translation into the domain's values.
//!
//! Absent here: which files there are.

use serde::Deserialize;

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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Pack {
    id: String,
    title: String,
    edition: String,
    valid_from: Option<String>,
    valid_until: Option<String>,
    places: Vec<String>,
    source: String,
    evidence: String,
    geometry: Option<Geometry>,
    circuit: Circuit,
    conflicts: Vec<String>,
    #[serde(default)]
    drawing_conflicts: Vec<String>,
    rows: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Geometry {
    plane_mm: i32,
    plane_datum: String,
    plane_raised_by_head: bool,
    trayless_radius_mm: Radius,
    over_basin_radius_mm: i32,
    trayless_zone0_mm: i32,
    immersion_below_mm: i32,
    zone2_mm: i32,
    zone2_top_mm: Option<i32>,
    zone2_trayless: bool,
    zone2_over_zone1_to_mm: Option<i32>,
    zone3: Option<ZoneThree>,
    under_tool: String,
    under_no_tool: String,
    partitions: String,
    washbasin: Option<Washbasin>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Radius {
    demountable: i32,
    fixed: i32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ZoneThree {
    mm: i32,
    top_mm: i32,
    over_zone2_to_mm: Option<i32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Washbasin {
    small_litres: i32,
    small_mm: i32,
    small_above_mm: i32,
    large_mm: i32,
    large_above_mm: i32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Circuit {
    residual: String,
    residual_source: String,
    residual_evidence: String,
    bonding: String,
    bonding_source: String,
    bonding_evidence: String,
    device: String,
    device_source: String,
    device_evidence: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    kinds: Vec<String>,
    zones: Vec<String>,
    refused: Option<String>,
    #[serde(default)]
    not_established: bool,
    allowed: Option<Allowed>,
    source: String,
    evidence: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Allowed {
    #[serde(default)]
    permanent: bool,
    #[serde(default)]
    declared: bool,
    #[serde(default)]
    unit_outside: bool,
    ip: Option<String>,
    ip_jets: Option<String>,
    #[serde(default)]
    classes: Vec<String>,
    height_min_mm: Option<i32>,
    from_zone1_min_mm: Option<i32>,
    caution: Option<String>,
}

pub(super) fn read(pack: &str, text: &str) -> Result<WiringRules, PackError> {
    let form: Pack = serde_json::from_str(text)
        .map_err(|cause| PackError::Form { pack: pack.to_owned(), cause })?;
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
        let residual = match form.residual.as_str() {
            "required" => Some(ResidualDuty::Required),
            "not-established" => Some(ResidualDuty::NotEstablished),
            _ => None,
        };
        let device = match form.device.as_str() {
            "cartridge-fuse" => Some(ProtectiveDevice::CartridgeFuse),
            "circuit-breaker" => Some(ProtectiveDevice::CircuitBreaker),
            _ => None,
        };
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

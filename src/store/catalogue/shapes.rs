//! The figures that shape a country's zones: the rows of `wiring_shapes`.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;

use crate::domain::zones::Zone;
use crate::domain::zones::regime::BasinReach;
use crate::domain::zones::regime::PartitionPolicy;
use crate::domain::zones::regime::PlaneDatum;
use crate::domain::zones::regime::Regime;
use crate::domain::zones::regime::TraylessRadius;
use crate::domain::zones::regime::WashbasinZone;
use crate::domain::zones::regime::ZoneThree;
use crate::domain::zones::regime::ZoneTwo;
use crate::domain::zones::rules::WiringRules;
use crate::store::error::StoreError;

use super::fields::Fields;
use super::lists::load_rows;
use super::rows::Cell;
use super::rows::Table;

/// Rows of `wiring_shapes`: one for each rules whose figures were found.
pub(super) fn rows(all: &[WiringRules]) -> Table {
    let shapes = all.iter().filter_map(|rules| Some((rules, rules.regime.as_ref()?)));
    Table {
        insert: "INSERT INTO wiring_shapes (edition, rules_code, plane_mm, plane_datum, plane_raised_by_head, \
                 trayless_demountable_mm, trayless_fixed_mm, over_basin_radius_mm, trayless_zone0_mm, \
                 immersion_below_mm, zone2_mm, zone2_top_mm, zone2_trayless, zone2_over_zone1_to_mm, zone3_mm, \
                 zone3_top_mm, zone3_over_zone2_to_mm, under_tool, under_no_tool, partitions, \
                 washbasin_small_litres, washbasin_small_mm, washbasin_small_above_mm, washbasin_large_mm, \
                 washbasin_large_above_mm) ",
        rows: shapes.map(|(rules, regime)| cells(&rules.id, regime)).collect(),
    }
}

fn cells(id: &str, regime: &Regime) -> Vec<Cell> {
    let Regime { zone2, zone3, washbasin, .. } = regime;
    vec![
        id.into(),
        regime.plane_mm.into(),
        regime.plane_datum.code().into(),
        regime.plane_raised_by_head.into(),
        regime.trayless_radius_mm.demountable.into(),
        regime.trayless_radius_mm.fixed.into(),
        regime.over_basin_radius_mm.into(),
        regime.trayless_zone0_mm.into(),
        regime.immersion_below_mm.into(),
        zone2.width_mm.into(),
        zone2.top_mm.into(),
        zone2.trayless.into(),
        zone2.over_zone1_to_mm.into(),
        zone3.map(|zone| zone.width_mm).into(),
        zone3.map(|zone| zone.top_mm).into(),
        zone3.and_then(|zone| zone.over_zone2_to_mm).into(),
        regime.under_tool.code().into(),
        regime.under_no_tool.code().into(),
        regime.partitions.code().into(),
        washbasin.map(|basin| basin.small_litres).into(),
        washbasin.map(|basin| basin.small.plan_mm).into(),
        washbasin.map(|basin| basin.small.above_mm).into(),
        washbasin.map(|basin| basin.large.plan_mm).into(),
        washbasin.map(|basin| basin.large.above_mm).into(),
    ]
}

/// The shapes of an edition by the rules they belong to.
pub(super) async fn load(
    connection: &mut SqliteConnection,
    edition: u32,
) -> Result<BTreeMap<String, Regime>, StoreError> {
    let select = "SELECT * FROM wiring_shapes WHERE edition = ?";
    let mut shapes = BTreeMap::new();
    for row in &load_rows(connection, select, edition).await? {
        let fields = Fields::new("wiring_shapes", "rules_code", row);
        shapes.insert(fields.text("rules_code")?.into(), read(fields)?);
    }
    Ok(shapes)
}

fn read(fields: Fields<'_>) -> Result<Regime, StoreError> {
    Ok(Regime {
        plane_mm: fields.number("plane_mm")?,
        plane_datum: fields.word("plane_datum", PlaneDatum::parse)?,
        plane_raised_by_head: fields.flag("plane_raised_by_head")?,
        trayless_radius_mm: TraylessRadius {
            demountable: fields.number("trayless_demountable_mm")?,
            fixed: fields.number("trayless_fixed_mm")?,
        },
        over_basin_radius_mm: fields.number("over_basin_radius_mm")?,
        trayless_zone0_mm: fields.number("trayless_zone0_mm")?,
        immersion_below_mm: fields.number("immersion_below_mm")?,
        zone2: ZoneTwo {
            width_mm: fields.number("zone2_mm")?,
            top_mm: fields.number_if_any("zone2_top_mm")?,
            trayless: fields.flag("zone2_trayless")?,
            over_zone1_to_mm: fields.number_if_any("zone2_over_zone1_to_mm")?,
        },
        zone3: zone3(fields)?,
        under_tool: fields.word("under_tool", Zone::parse)?,
        under_no_tool: fields.word("under_no_tool", Zone::parse)?,
        partitions: fields.word("partitions", PartitionPolicy::parse)?,
        washbasin: washbasin(fields)?,
    })
}

fn zone3(fields: Fields<'_>) -> Result<Option<ZoneThree>, StoreError> {
    let Some(width_mm) = fields.number_if_any("zone3_mm")? else { return Ok(None) };
    let top_mm = fields.number("zone3_top_mm")?;
    let over_zone2_to_mm = fields.number_if_any("zone3_over_zone2_to_mm")?;
    Ok(Some(ZoneThree { width_mm, top_mm, over_zone2_to_mm }))
}

fn washbasin(fields: Fields<'_>) -> Result<Option<WashbasinZone>, StoreError> {
    let Some(small_litres) = fields.number_if_any("washbasin_small_litres")? else {
        return Ok(None);
    };
    let reach = |plan_mm, above_mm| {
        let (plan_mm, above_mm) = (fields.number(plan_mm)?, fields.number(above_mm)?);
        Ok(BasinReach { plan_mm, above_mm })
    };
    Ok(Some(WashbasinZone {
        small_litres,
        small: reach("washbasin_small_mm", "washbasin_small_above_mm")?,
        large: reach("washbasin_large_mm", "washbasin_large_above_mm")?,
    }))
}

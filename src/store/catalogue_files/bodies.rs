//! Rows of `bodies.csv`.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::BodyContent;
use crate::domain::catalogue::BodyHeat;
use crate::domain::catalogue::BodyPorts;
use crate::domain::catalogue::BodySize;
use crate::domain::catalogue::HeatSource;
use crate::domain::catalogue::Side;
use crate::domain::thread::ThreadSide;
use crate::domain::units::Celsius;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;
use crate::domain::units::Millimetres;
use crate::domain::units::Watts;

use super::card::card;
use super::card::consistent;
use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Record;

/// The body of a row, without what comes in its carton.
pub(super) fn body(record: &Record) -> RowResult<Body> {
    consistent(contradictions(record).map_err(|fault| vec![fault])?)?;
    assemble(record).map_err(|fault| vec![fault])
}

fn assemble(record: &Record) -> Result<Body, CellFault> {
    Ok(Body {
        card: card(record)?,
        finish: record.text("finish")?,
        tube: record.text("tube")?,
        heat_source: record.word("heat_source", HeatSource::parse)?,
        size: size(record)?,
        heat: heat(record)?,
        content: content(record)?,
        ports: ports(record)?,
        bracket_count: record.count("bracket_count")?,
        is_guarded: record.flag("guarded")?,
        included: Vec::new(),
    })
}

fn contradictions(record: &Record) -> Result<Vec<CellFault>, CellFault> {
    let mut faults = Vec::new();
    let (least, most) = (record.decimal("watts_min")?, record.decimal("watts_max")?);
    if most < least {
        let allowed = format!("the largest element is at least the smallest, {least} W");
        faults.push(CellFault::new("watts_max", &most.to_string(), allowed));
    }
    let (lowest, height) = (record.whole("lowest_tube_mm")?, record.whole("height_mm")?);
    if height <= lowest {
        let allowed = format!("the lowest tube is below the top of the body at {height} mm");
        faults.push(CellFault::new("lowest_tube_mm", &lowest.to_string(), allowed));
    }
    let thread = record.thread("thread")?;
    if thread.side() != ThreadSide::Internal {
        let allowed = "a port has an internal thread".to_owned();
        faults.push(CellFault::new("thread", &thread.to_string(), allowed));
    }
    Ok(faults)
}

fn size(record: &Record) -> Result<BodySize, CellFault> {
    Ok(BodySize {
        width: Millimetres::new(record.whole("width_mm")?),
        height: Millimetres::new(record.whole("height_mm")?),
        depth: Millimetres::new(record.whole("depth_mm")?),
        lowest_tube: Millimetres::new(record.whole("lowest_tube_mm")?),
    })
}

fn heat(record: &Record) -> Result<BodyHeat, CellFault> {
    Ok(BodyHeat {
        rated_output: Watts::new(record.decimal("rated_output_w")?),
        exponent: record.decimal("exponent")?,
        watts_min: Watts::new(record.decimal("watts_min")?),
        watts_max: Watts::new(record.decimal("watts_max")?),
        fluid_limit: Celsius::new(record.decimal("fluid_limit_c")?),
    })
}

fn content(record: &Record) -> Result<BodyContent, CellFault> {
    const PER_THOUSAND: f64 = 1_000.0;
    Ok(BodyContent {
        volume: Litres::new(f64::from(record.whole("fluid_volume_ml")?) / PER_THOUSAND),
        dry_mass: Kilograms::new(f64::from(record.whole("dry_mass_g")?) / PER_THOUSAND),
        permitted_gauge_kpa: record.maybe_decimal("permitted_gauge_kpa")?,
        is_filled: record.flag("filled")?,
    })
}

fn ports(record: &Record) -> Result<BodyPorts, CellFault> {
    Ok(BodyPorts {
        thread: record.thread("thread")?,
        open_count: record.count("open_port_count")?,
        element_side: record.word("element_side", Side::parse)?,
        immersed_length_max: Millimetres::new(record.whole("immersed_length_mm_max")?),
        bore: Millimetres::new(record.whole("bore_mm")?),
    })
}

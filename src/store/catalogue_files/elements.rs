//! Rows of `elements.csv`.

use crate::domain::catalogue::Attachment;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::ElementControl;
use crate::domain::catalogue::ElementSafety;
use crate::domain::catalogue::ElementShape;
use crate::domain::catalogue::Flex;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Thousandths;
use crate::domain::thread::ThreadSide;
use crate::domain::units::Celsius;
use crate::domain::units::Millimetres;
use crate::domain::units::Watts;

use super::card::card;
use super::card::consistent;
use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Record;

/// The element of a row.
pub(super) fn element(record: &Record) -> RowResult<Element> {
    consistent(contradictions(record).map_err(|fault| vec![fault])?)?;
    assemble(record).map_err(|fault| vec![fault])
}

fn assemble(record: &Record) -> Result<Element, CellFault> {
    Ok(Element {
        card: card(record)?,
        finish: record.text("finish")?,
        head: record.text("head")?,
        watts: Watts::new(record.decimal("watts")?),
        regulation: regulation(record)?,
        shape: shape(record)?,
        flex: flex(record)?,
        safety: safety(record)?,
        control: ElementControl {
            code: record.control_code("control_code")?,
            timed_drying: record.flag("timed_drying")?,
            resumes_after_power_cut: record.stated("resumes_after_power_cut")?,
        },
    })
}

fn contradictions(record: &Record) -> Result<Vec<CellFault>, CellFault> {
    let mut faults = match &*record.text("regulation")? {
        "fixed" => fixed_faults(record),
        _ => adjustable_faults(record)?,
    };
    let thread = record.thread("thread")?;
    if thread.side() != ThreadSide::External {
        let allowed = "a boss has an external thread".to_owned();
        faults.push(CellFault::new("thread", &thread.to_string(), allowed));
    }
    Ok(faults)
}

fn fixed_faults(record: &Record) -> Vec<CellFault> {
    let too_much = |column: &&str| record.states(column);
    let columns = ["set_point_c_min", "set_point_max_c_lockable"].into_iter().filter(too_much);
    let allowed = "empty: a fixed element has one set point, in set_point_c_max, and no lock";
    columns.map(|column| CellFault::new(column, "stated", allowed.to_owned())).collect()
}

fn adjustable_faults(record: &Record) -> Result<Vec<CellFault>, CellFault> {
    let columns = ["set_point_c_min", "set_point_c_max"];
    let absent = columns.into_iter().filter(|column| !record.states(column));
    let needed = "an adjustable element states its lowest and highest set point";
    let mut faults: Vec<CellFault> =
        absent.map(|column| CellFault::new(column, "", needed.to_owned())).collect();
    faults.extend(order_faults(record)?);
    Ok(faults)
}

fn order_faults(record: &Record) -> Result<Vec<CellFault>, CellFault> {
    let mut faults = Vec::new();
    let low = record.maybe_decimal("set_point_c_min")?.unwrap_or(f64::NEG_INFINITY);
    let high = record.maybe_decimal("set_point_c_max")?.unwrap_or(f64::INFINITY);
    if high < low {
        let sentence = format!("the highest set point is at least the lowest, {low} °C");
        faults.push(CellFault::new("set_point_c_max", &high.to_string(), sentence));
    }
    let lock = record.maybe_decimal("set_point_max_c_lockable")?;
    if let Some(lock) = lock.filter(|lock| *lock < low || high < *lock) {
        let sentence = format!("the lock lies between the set points, {low} and {high} °C");
        faults.push(CellFault::new("set_point_max_c_lockable", &lock.to_string(), sentence));
    }
    Ok(faults)
}

fn regulation(record: &Record) -> Result<Regulation, CellFault> {
    let highest = record.maybe_decimal("set_point_c_max")?.map(Celsius::new);
    if &*record.text("regulation")? == "fixed" {
        return Ok(Regulation::Fixed { set_point: highest });
    }
    Ok(Regulation::Adjustable {
        set_point_min: Celsius::new(record.decimal("set_point_c_min")?),
        set_point_max: Celsius::new(record.decimal("set_point_c_max")?),
        lockable_at: record.maybe_decimal("set_point_max_c_lockable")?.map(Celsius::new),
    })
}

fn shape(record: &Record) -> Result<ElementShape, CellFault> {
    const PER_TENTH: i64 = 100;
    Ok(ElementShape {
        thread: record.thread("thread")?,
        immersed_length: Millimetres::new(record.whole("immersed_length_mm")?),
        sheath_diameter_mm_e1: scaled(record, "sheath_diameter_mm", PER_TENTH)?,
        head_length: Millimetres::new(record.whole("head_length_mm")?),
        displacement_ml: record.count("displacement_ml")?,
    })
}

fn flex(record: &Record) -> Result<Flex, CellFault> {
    const PER_HUNDREDTH: i64 = 10;
    Ok(Flex {
        length: Millimetres::new(record.whole("flex_length_mm")?),
        area_mm2_e2: scaled(record, "flex_mm2", PER_HUNDREDTH)?,
        attachment: record.word("attachment", Attachment::parse)?,
        has_plug: record.flag("plug")?,
    })
}

/// A number as a whole count of steps of so many thousandths. What falls between two steps is refused, not rounded.
fn scaled(record: &Record, column: &str, step: i64) -> Result<u16, CellFault> {
    let number = record.decimal(column)?;
    let thousandths = Thousandths::nearest(number).value();
    let steps = thousandths.checked_div_euclid(step).and_then(|count| u16::try_from(count).ok());
    let is_whole = thousandths.checked_rem_euclid(step) == Some(0);
    steps.filter(|_count| is_whole).ok_or_else(|| {
        let step = Thousandths::new(step);
        CellFault::new(column, &number.to_string(), format!("a multiple of {step}"))
    })
}

fn safety(record: &Record) -> Result<ElementSafety, CellFault> {
    Ok(ElementSafety {
        ip: record.maybe_ip("ip")?,
        class: record.maybe_class("class")?,
        declared_zones: record.words("declared_zones")?.into_iter().collect(),
        thermal_cut_out: record.stated("thermal_cut_out")?,
        fluid_limit: Celsius::new(record.decimal("fluid_limit_c")?),
    })
}

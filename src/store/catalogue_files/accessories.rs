//! Rows of `accessories.csv` and `included.csv`.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Included;
use crate::domain::catalogue::Sku;
use crate::domain::units::Millimetres;

use super::card::card;
use super::card::consistent;
use super::fault::CellFault;
use super::fault::Faults;
use super::fault::Place;
use super::fault::RowResult;
use super::record::Record;

/// The accessory of a row.
pub(super) fn accessory(record: &Record) -> RowResult<Accessory> {
    let kind = record.word("kind", AccessoryKind::parse).map_err(|fault| vec![fault])?;
    consistent(contradictions(record, kind))?;
    assemble(record, kind).map_err(|fault| vec![fault])
}

fn assemble(record: &Record, kind: AccessoryKind) -> Result<Accessory, CellFault> {
    Ok(Accessory {
        card: card(record)?,
        kind,
        finish: record.maybe_text("finish")?,
        tube: record.maybe_text("tube")?,
        thread: record.maybe_thread("thread")?.map(|thread| thread.to_string().into()),
        cover_length: record.maybe_whole("cover_length_mm")?.map(Millimetres::new),
        dose_ml_per_litre: record.maybe_count("dose_ml_per_litre")?,
        pack_ml: record.maybe_count("pack_ml")?,
    })
}

/// The columns that make sense of a kind: without them nothing could be said about the accessory.
const fn needed(kind: AccessoryKind) -> &'static [&'static str] {
    match kind {
        AccessoryKind::FlexCover => &["finish", "cover_length_mm"],
        AccessoryKind::PlugCover => &["finish", "thread"],
        AccessoryKind::Bracket | AccessoryKind::Hook | AccessoryKind::Shelf => &["finish", "tube"],
        AccessoryKind::Inhibitor => &["dose_ml_per_litre", "pack_ml"],
        AccessoryKind::VentKey => &[],
        AccessoryKind::WallPlate => &["finish"],
    }
}

fn contradictions(record: &Record, kind: AccessoryKind) -> Vec<CellFault> {
    let absent = needed(kind).iter().filter(|column| !record.states(column));
    let fault = |column: &&str| {
        CellFault::new(column, "", format!("a {} states it", kind.word().replace('_', " ")))
    };
    absent.map(fault).collect()
}

/// Puts into each body's carton what `included.csv` says.
///
/// A body that could not be read is not blamed here a second time, so bodies are looked up only when all were read.
pub(super) fn include(file: &str, records: &[Record], bodies: &mut [Body], faults: &mut Faults) {
    let known: BTreeSet<Sku> = bodies.iter().map(|body| body.card.sku.clone()).collect();
    let is_complete = faults.are_none_in("bodies.csv");
    let mut cartons: BTreeMap<Sku, Vec<Included>> = BTreeMap::new();
    for record in records {
        let place = Place { file, row: record.row() };
        match included(record) {
            Ok((body, row)) => {
                if is_complete && !known.contains(&body) {
                    let allowed = "a body of bodies.csv".to_owned();
                    faults.of_cell(place, CellFault::new("body", body.as_str(), allowed));
                }
                cartons.entry(body).or_default().push(row);
            }
            Err(fault) => faults.of_cell(place, fault),
        }
    }
    for body in bodies {
        body.included = cartons.remove(&body.card.sku).unwrap_or_default();
    }
}

fn included(record: &Record) -> Result<(Sku, Included), CellFault> {
    let row = Included { sku: record.sku("accessory")?, quantity: record.count("quantity")? };
    Ok((record.sku("body")?, row))
}

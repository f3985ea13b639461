//! Rows of `controls.csv`.

use crate::domain::catalogue::Control;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Roles;
use crate::domain::units::Watts;

use super::card::card;
use super::card::consistent;
use super::fault::CellFault;
use super::fault::RowResult;
use super::record::Record;

/// The control of a row.
pub(super) fn control(record: &Record) -> RowResult<Control> {
    let roles = roles(record).map_err(|fault| vec![fault])?;
    consistent(contradictions(record, roles))?;
    assemble(record, roles).map_err(|fault| vec![fault])
}

fn assemble(record: &Record, roles: Roles) -> Result<Control, CellFault> {
    Ok(Control {
        card: card(record)?,
        finish: record.text("finish")?,
        roles,
        load_max: Watts::new(record.decimal("load_w_max")?),
        fuse_a_max: record.maybe_count("fuse_a_max")?,
        code: record.control_code("control_code")?,
        is_lockable: record.flag("lockable")?,
        ip: record.maybe_ip("ip")?,
        class: record.maybe_class("class")?,
    })
}

fn roles(record: &Record) -> Result<Roles, CellFault> {
    let words = record.words("roles")?;
    Ok(words.iter().filter_map(|word| Role::parse(word)).fold(Roles::NONE, Roles::with))
}

fn contradictions(record: &Record, roles: Roles) -> Vec<CellFault> {
    let has_fuse = record.states("fuse_a_max");
    if has_fuse == roles.has(Role::ConnectionUnit) {
        return Vec::new();
    }
    let value = if has_fuse { "stated" } else { "" };
    let allowed = "the largest fuse, for a fused connection unit and for nothing else";
    vec![CellFault::new("fuse_a_max", value, allowed.to_owned())]
}

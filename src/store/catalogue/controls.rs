//! Controls: the rows of `controls`.

use sqlx::SqliteConnection;

use crate::domain::catalogue::Control;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Roles;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::units::CONTROL_LOAD_W;
use crate::domain::units::Watts;
use crate::store::error::StoreError;

use super::cards::Attributes;
use super::cards::read_card;
use super::elements::read_control_code;
use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;

/// Rows of `controls`.
pub(super) fn control_rows(content: &EditionContent) -> Result<Table, StoreError> {
    Ok(Table {
        insert: "INSERT INTO controls (edition, sku, finish, \
                 fused_connection_unit, time_switch, wall_thermostat, \
                 load_w_max, fuse_a_max, control_code, lockable, ip, class) ",
        rows: content.controls.iter().map(control_cells).collect::<Result<_, _>>()?,
    })
}

/// The controls of an edition.
pub(super) async fn load_controls(
    connection: &mut SqliteConnection,
    edition: u32,
    attributes: &mut Attributes,
) -> Result<Vec<Control>, StoreError> {
    let rows = sqlx::query(
        "SELECT name, gtin, stock, lead_days, evidence, controls.* FROM controls
         JOIN parts USING (edition, sku) WHERE edition = ? ORDER BY sku",
    )
    .bind(edition)
    .fetch_all(connection)
    .await
    .map_err(StoreError::Read)?;
    let read = |row| read_control(Fields::new("controls", "sku", row), attributes);
    rows.iter().map(read).collect()
}

/// The column of a role.
const fn column(role: Role) -> &'static str {
    match role {
        Role::ConnectionUnit => "fused_connection_unit",
        Role::TimeSwitch => "time_switch",
        Role::WallThermostat => "wall_thermostat",
    }
}

fn control_cells(control: &Control) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "controls", key: control.card.sku.as_str() };
    let roles = control.roles;
    Ok(vec![
        control.card.sku.as_str().into(),
        (*control.finish).into(),
        roles.has(Role::ConnectionUnit).into(),
        roles.has(Role::TimeSwitch).into(),
        roles.has(Role::WallThermostat).into(),
        row.real(control.load_max.value(), &CONTROL_LOAD_W)?,
        control.fuse_a_max.into(),
        control.code.to_string().into(),
        control.is_lockable.into(),
        control.ip.as_ref().map(ToString::to_string).into(),
        control.class.map(ProtectionClass::code).into(),
    ])
}

fn read_control(fields: Fields<'_>, attributes: &mut Attributes) -> Result<Control, StoreError> {
    let mut roles = Roles::NONE;
    for role in Role::ALL {
        if fields.flag(column(role))? {
            roles = roles.with(role);
        }
    }
    Ok(Control {
        card: read_card(fields, attributes)?,
        finish: fields.text("finish")?,
        roles,
        load_max: Watts::new(fields.real("load_w_max", &CONTROL_LOAD_W)?),
        fuse_a_max: fields.number_if_any("fuse_a_max")?,
        code: read_control_code(fields)?,
        is_lockable: fields.flag("lockable")?,
        ip: fields.word_if_any("ip", |text| IpCode::parse(text).ok())?,
        class: fields.word_if_any("class", ProtectionClass::parse)?,
    })
}

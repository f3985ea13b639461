//! Parts as rows of their tables.
//!
//! A figure is written as it is held, not as rules round it: what the columns cannot hold is then refused by the reader
//! and never changed on the way.

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Card;
use crate::domain::catalogue::Control;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Role;
use crate::domain::units::Celsius;
use crate::domain::units::Millimetres;

use super::columns;
use super::columns::Column;
use super::tables::Row;
use super::tables::Tables;
use super::tables::table_of;
use super::tables::yes;

/// The four tables of parts.
pub(super) fn part_tables(content: &EditionContent) -> Tables {
    let bodies = content.bodies.iter().map(|body| (&body.card, body_cells(body))).collect();
    let elements =
        content.elements.iter().map(|element| (&element.card, element_cells(element))).collect();
    let controls =
        content.controls.iter().map(|control| (&control.card, control_cells(control))).collect();
    let accessories =
        content.accessories.iter().map(|found| (&found.card, accessory_cells(found))).collect();
    let mut tables = Tables::new();
    for (kind, file, columns, parts) in [
        (PartKind::Body, "bodies.csv", columns::BODIES, bodies),
        (PartKind::Element, "elements.csv", columns::ELEMENTS, elements),
        (PartKind::Control, "controls.csv", columns::CONTROLS, controls),
        (PartKind::Accessory, "accessories.csv", columns::ACCESSORIES, accessories),
    ] {
        let own = keeper_columns(content, kind);
        let header = columns::CARD.iter().chain(columns).map(|column: &Column| column.name);
        let header = header.chain(own.iter().copied()).collect();
        let rows: Vec<(&Card, Row)> = parts;
        let rows = rows.into_iter().map(|(card, cells)| row(card, cells, &own)).collect();
        tables.insert(file, table_of(file, header, rows));
    }
    tables
}

fn keeper_columns(content: &EditionContent, kind: PartKind) -> Vec<&str> {
    let declared = content.attributes.iter().filter(|row| row.attribute.kind == kind);
    declared.map(|row| row.attribute.name()).collect()
}

fn row(card: &Card, own: Row, keeper: &[&str]) -> Row {
    let mut cells = vec![
        card.sku.to_string(),
        card.name.to_string(),
        card.gtin.as_deref().unwrap_or_default().to_owned(),
        card.stock.word().to_owned(),
        card.lead_days.to_string(),
        card.evidence.code().to_owned(),
    ];
    cells.extend(own);
    let value = |name: &&str| card.attributes.get(*name).map(ToString::to_string);
    cells.extend(keeper.iter().map(|name| value(name).unwrap_or_default()));
    cells
}

fn body_cells(body: &Body) -> Row {
    let (size, heat, content, ports) = (&body.size, &body.heat, &body.content, &body.ports);
    vec![
        body.finish.to_string(),
        body.tube.to_string(),
        body.heat_source.word().to_owned(),
        size.width.value().to_string(),
        size.height.value().to_string(),
        size.depth.value().to_string(),
        size.lowest_tube.value().to_string(),
        heat.rated_output.value().to_string(),
        heat.exponent.to_string(),
        heat.watts_min.value().to_string(),
        heat.watts_max.value().to_string(),
        heat.fluid_limit.value().to_string(),
        thousandfold(content.volume.value()),
        thousandfold(content.dry_mass.value()),
        text(content.permitted_gauge_kpa),
        yes(content.is_filled).to_owned(),
        ports.thread.to_string(),
        ports.open_count.to_string(),
        ports.element_side.word().to_owned(),
        ports.immersed_length_max.value().to_string(),
        ports.bore.value().to_string(),
        body.bracket_count.to_string(),
        yes(body.is_guarded).to_owned(),
    ]
}

fn element_cells(element: &Element) -> Row {
    let (shape, flex, safety) = (&element.shape, &element.flex, &element.safety);
    let mut cells = vec![
        element.finish.to_string(),
        element.head.to_string(),
        element.watts.value().to_string(),
        element.regulation.word().to_owned(),
    ];
    cells.extend(set_points(&element.regulation));
    cells.extend([
        shape.thread.to_string(),
        shape.immersed_length.value().to_string(),
        scaled(shape.sheath_diameter_mm_e1, 1),
        shape.head_length.value().to_string(),
        shape.displacement_ml.to_string(),
        flex.length.value().to_string(),
        scaled(flex.area_mm2_e2, 2),
        flex.attachment.word().to_owned(),
        yes(flex.has_plug).to_owned(),
        text(safety.ip.as_ref()),
        safety.class.map(|class| class.code().to_owned()).unwrap_or_default(),
        safety.declared_zones.iter().map(AsRef::as_ref).collect::<Vec<&str>>().join(" "),
        safety.thermal_cut_out.word().to_owned(),
        safety.fluid_limit.value().to_string(),
        element.control.code.to_string(),
        yes(element.control.timed_drying).to_owned(),
        element.control.resumes_after_power_cut.word().to_owned(),
    ]);
    cells
}

fn set_points(regulation: &Regulation) -> [String; 3] {
    match regulation {
        Regulation::Fixed { set_point } => {
            [String::new(), text(set_point.map(Celsius::value)), String::new()]
        }
        Regulation::Adjustable { set_point_min, set_point_max, lockable_at } => [
            set_point_min.value().to_string(),
            set_point_max.value().to_string(),
            text(lockable_at.map(Celsius::value)),
        ],
    }
}

fn control_cells(control: &Control) -> Row {
    let roles: Vec<&str> = control.roles.iter().map(Role::word).collect();
    vec![
        control.finish.to_string(),
        roles.join(" "),
        control.load_max.value().to_string(),
        text(control.fuse_a_max),
        control.code.to_string(),
        yes(control.is_lockable).to_owned(),
        text(control.ip.as_ref()),
        control.class.map(|class| class.code().to_owned()).unwrap_or_default(),
    ]
}

fn accessory_cells(accessory: &Accessory) -> Row {
    vec![
        accessory.kind.word().to_owned(),
        text(accessory.finish.as_ref()),
        text(accessory.tube.as_ref()),
        text(accessory.thread.as_ref()),
        text(accessory.cover_length.map(Millimetres::value)),
        text(accessory.dose_ml_per_litre),
        text(accessory.pack_ml),
    ]
}

fn text<T: ToString>(value: Option<T>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// Litres as millilitres, kilograms as grams: whole ones wherever the figure came from a file.
fn thousandfold(number: f64) -> String {
    const PER_UNIT: f64 = 1_000.0;
    let whole = libm::round(number * PER_UNIT);
    let is_exact = (whole / PER_UNIT).to_bits() == number.to_bits();
    if is_exact { whole.to_string() } else { (number * PER_UNIT).to_string() }
}

/// A whole count of tenths or hundredths as a decimal text.
fn scaled(count: u16, decimals: usize) -> String {
    let digits = format!("{count:0>width$}", width = decimals.saturating_add(1));
    let (whole, fraction) = digits.split_at(digits.len().saturating_sub(decimals));
    let fraction = fraction.trim_end_matches('0');
    let point = if fraction.is_empty() { "" } else { "." };
    format!("{whole}{point}{fraction}")
}

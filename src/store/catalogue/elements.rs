//! Elements: the rows of `elements`.

use sqlx::SqliteConnection;

use crate::domain::catalogue::Attachment;
use crate::domain::catalogue::EditionContent;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::ElementControl;
use crate::domain::catalogue::ElementSafety;
use crate::domain::catalogue::ElementShape;
use crate::domain::catalogue::Flex;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Stated;
use crate::domain::ecodesign::ControlCode;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::thread::Thread;
use crate::domain::units::Celsius;
use crate::domain::units::ELEMENT_WATTS;
use crate::domain::units::FLEX_LENGTH_MM;
use crate::domain::units::FLUID_LIMIT_C;
use crate::domain::units::HEAD_LENGTH_MM;
use crate::domain::units::IMMERSED_LENGTH_MM;
use crate::domain::units::Millimetres;
use crate::domain::units::SET_POINT_C;
use crate::domain::units::Watts;
use crate::store::error::StoreError;

use super::cards::Attributes;
use super::cards::read_card;
use super::fields::Fields;
use super::rows::Cell;
use super::rows::NewRow;
use super::rows::Table;

/// Rows of `elements`.
pub(super) fn element_rows(content: &EditionContent) -> Result<Table, StoreError> {
    Ok(Table {
        insert: "INSERT INTO elements (edition, sku, finish, head, watts, \
                 regulation, set_point_c, set_point_c_min, set_point_c_max, set_point_c_lockable, \
                 thread, immersed_length_mm, sheath_diameter_mm_e1, head_length_mm, displacement_ml, \
                 flex_length_mm, flex_area_mm2_e2, attachment, plug, \
                 ip, class, declared_zones, thermal_cut_out, fluid_limit_c, \
                 control_code, timed_drying, resumes_after_power_cut) ",
        rows: content.elements.iter().map(element_cells).collect::<Result<_, _>>()?,
    })
}

/// The elements of an edition.
pub(super) async fn load_elements(
    connection: &mut SqliteConnection,
    edition: u32,
    attributes: &mut Attributes,
) -> Result<Vec<Element>, StoreError> {
    let rows = sqlx::query(
        "SELECT name, gtin, stock, lead_days, evidence, elements.* FROM elements
         JOIN parts USING (edition, sku) WHERE edition = ? ORDER BY sku",
    )
    .bind(edition)
    .fetch_all(connection)
    .await
    .map_err(StoreError::Read)?;
    let read = |row| read_element(Fields::new("elements", "sku", row), attributes);
    rows.iter().map(read).collect()
}

fn element_cells(element: &Element) -> Result<Vec<Cell>, StoreError> {
    let row = NewRow { table: "elements", key: element.card.sku.as_str() };
    let Element { shape, flex, safety, control, .. } = element;
    let mut cells = vec![
        element.card.sku.as_str().into(),
        (*element.finish).into(),
        (*element.head).into(),
        row.real(element.watts.value(), &ELEMENT_WATTS)?,
        element.regulation.word().into(),
    ];
    cells.extend(set_point_cells(row, element.regulation)?);
    cells.extend([
        shape.thread.to_string().into(),
        row.whole(shape.immersed_length.value(), &IMMERSED_LENGTH_MM)?,
        shape.sheath_diameter_mm_e1.into(),
        row.whole(shape.head_length.value(), &HEAD_LENGTH_MM)?,
        shape.displacement_ml.into(),
        row.whole(flex.length.value(), &FLEX_LENGTH_MM)?,
        flex.area_mm2_e2.into(),
        flex.attachment.word().into(),
        flex.has_plug.into(),
        safety.ip.as_ref().map(ToString::to_string).into(),
        safety.class.map(ProtectionClass::code).into(),
        row.words("declared_zones", &safety.declared_zones)?,
        safety.thermal_cut_out.word().into(),
        row.real(safety.fluid_limit.value(), &FLUID_LIMIT_C)?,
        control.code.to_string().into(),
        control.timed_drying.into(),
        control.resumes_after_power_cut.word().into(),
    ]);
    Ok(cells)
}

fn set_point_cells(row: NewRow<'_>, regulation: Regulation) -> Result<[Cell; 4], StoreError> {
    let cell = |point: Celsius| row.real(point.value(), &SET_POINT_C);
    Ok(match regulation {
        Regulation::Fixed { set_point } => {
            let set_point = set_point.map(cell).transpose()?;
            [set_point.into(), Cell::Null, Cell::Null, Cell::Null]
        }
        Regulation::Adjustable { set_point_min, set_point_max, lockable_at } => {
            let lockable = lockable_at.map(cell).transpose()?;
            [Cell::Null, cell(set_point_min)?, cell(set_point_max)?, lockable.into()]
        }
    })
}

fn read_element(fields: Fields<'_>, attributes: &mut Attributes) -> Result<Element, StoreError> {
    Ok(Element {
        card: read_card(fields, attributes)?,
        finish: fields.text("finish")?,
        head: fields.text("head")?,
        watts: Watts::new(fields.real("watts", &ELEMENT_WATTS)?),
        regulation: read_regulation(fields)?,
        shape: read_shape(fields)?,
        flex: Flex {
            length: Millimetres::new(fields.whole("flex_length_mm", &FLEX_LENGTH_MM)?),
            area_mm2_e2: fields.number("flex_area_mm2_e2")?,
            attachment: fields.word("attachment", Attachment::parse)?,
            has_plug: fields.flag("plug")?,
        },
        safety: ElementSafety {
            ip: fields.word_if_any("ip", |text| IpCode::parse(text).ok())?,
            class: fields.word_if_any("class", ProtectionClass::parse)?,
            declared_zones: fields.words("declared_zones")?,
            thermal_cut_out: fields.word("thermal_cut_out", parse_stated)?,
            fluid_limit: Celsius::new(fields.real("fluid_limit_c", &FLUID_LIMIT_C)?),
        },
        control: ElementControl {
            code: read_control_code(fields)?,
            timed_drying: fields.flag("timed_drying")?,
            resumes_after_power_cut: fields.word("resumes_after_power_cut", parse_stated)?,
        },
    })
}

/// The control code of a row of elements or controls.
pub(super) fn read_control_code(fields: Fields<'_>) -> Result<ControlCode, StoreError> {
    fields.word("control_code", ControlCode::parse)
}

fn read_regulation(fields: Fields<'_>) -> Result<Regulation, StoreError> {
    let point = |column| Ok(Celsius::new(fields.real(column, &SET_POINT_C)?));
    let point_if_any = |column| Ok(fields.real_if_any(column, &SET_POINT_C)?.map(Celsius::new));
    match &*fields.text("regulation")? {
        "fixed" => Ok(Regulation::Fixed { set_point: point_if_any("set_point_c")? }),
        "adjustable" => Ok(Regulation::Adjustable {
            set_point_min: point("set_point_c_min")?,
            set_point_max: point("set_point_c_max")?,
            lockable_at: point_if_any("set_point_c_lockable")?,
        }),
        other => Err(fields.error("regulation", format!("{other:?} is no kind of regulation"))),
    }
}

fn read_shape(fields: Fields<'_>) -> Result<ElementShape, StoreError> {
    let immersed = fields.whole("immersed_length_mm", &IMMERSED_LENGTH_MM)?;
    Ok(ElementShape {
        thread: fields.word("thread", |text| Thread::parse(text).ok())?,
        immersed_length: Millimetres::new(immersed),
        sheath_diameter_mm_e1: fields.number("sheath_diameter_mm_e1")?,
        head_length: Millimetres::new(fields.whole("head_length_mm", &HEAD_LENGTH_MM)?),
        displacement_ml: fields.number("displacement_ml")?,
    })
}

fn parse_stated(word: &str) -> Option<Stated> {
    [Stated::Yes, Stated::No, Stated::NotStated].into_iter().find(|stated| stated.word() == word)
}

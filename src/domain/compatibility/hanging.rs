//! A body with its element as a thing to be hung on a wall.
//!
//! Absent here: where.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Side;
use crate::domain::mounting::PortSide;
use crate::domain::positions::Hanging;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::verdict::Equipment;

use super::zone::equipment;

/// Flex taken when no element is named, millimetres (common practice, no source).
pub const FLEX_USUAL_MM: i32 = 1_000;

/// A body, with an element or without one, as it hangs; `young_children` that are not known count as there.
pub fn hanging(
    body: &Body,
    element: Option<&Element>,
    (young_children, water_jets): (Option<bool>, bool),
) -> Hanging {
    let head = element.map(|element| element.shape.head_length.value());
    let flex = element.map(|element| element.flex.length.value());
    let jets = water_jets;
    let unknown = || Equipment { jets, ..Equipment::unknown(EquipmentKind::Rail) };
    Hanging {
        width_mm: body.size.width.value(),
        height_mm: body.size.height.value(),
        depth_mm: body.size.depth.value(),
        head_length_mm: head.unwrap_or_default(),
        lowest_heated_mm: body.size.lowest_tube.value(),
        flex_length_mm: flex.unwrap_or(FLEX_USUAL_MM),
        equipment: element.map_or_else(unknown, |element| equipment(element, water_jets)),
        young_children,
        port: None,
    }
}

/// The one port of a side; none when either will do.
pub const fn port(side: Side) -> Option<PortSide> {
    match side {
        Side::Left => Some(PortSide::Left),
        Side::Right => Some(PortSide::Right),
        Side::Either => None,
    }
}

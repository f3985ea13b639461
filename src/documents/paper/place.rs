//! Plan and elevation of a place: zones, fittings, the rail and its connection unit, numbered, with a key.
//!
//! Parts carry numbers instead of names, so that no two names can lie over one another; the key below says what each
//! is. Absent here: which zone is where.

use crate::documents::page::drawing::Anchor;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Drawing;
use crate::documents::page::drawing::Filling;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::Shape;
use crate::documents::page::drawing::at;
use crate::domain::quote::sheet::Look;
use crate::domain::quote::sheet::View;
use crate::domain::quote::sheet::ZonePatch;

/// Most width or height of a drawing, so that two stand side by side.
const SIDE_MAX: f32 = 222.0;
/// Space around the drawing.
const BORDER: f32 = 8.0;
/// Side of the field with a number.
const FIELD: f32 = 13.0;
/// Most parts of a drawing; what is beyond is left out, and the key says so.
pub const PARTS_MAX: usize = 40;

impl View {
    /// The view as a drawing.
    pub fn drawing(&self) -> Drawing {
        let [width, height] = self.size_mm.map(|length| whole(length).max(1.0));
        let scale = (SIDE_MAX / width).min(SIDE_MAX / height);
        let place = |[x, y]: [i32; 2]| at(BORDER + whole(x) * scale, BORDER + whole(y) * scale);
        let size = |[x, y]: [i32; 2]| at(whole(x) * scale, whole(y) * scale);
        let parts = || self.parts.iter().take(PARTS_MAX);
        let mut shapes = Vec::new();
        for patch in &self.zones {
            shapes.extend(patch.boxes_mm.iter().flat_map(|[x, y, across, down]| {
                filled(place([*x, *y]), size([*across, *down]), patch.look)
            }));
        }
        for part in parts() {
            shapes.extend(outline(place(part.corner_mm), size(part.size_mm), part.look));
        }
        let corner = at(BORDER, BORDER);
        let room = at(width * scale, height * scale);
        let (pen, filling) = (Pen::Thick, Filling::None);
        shapes.push(Shape::Box { corner, size: room, pen, filling });
        let labels = self.zones.iter().map(|patch| place(patch.label_mm));
        let named = parts().filter(|part| !part.name.is_empty());
        let labels = labels.chain(
            named.map(|part| label_spot(place(part.corner_mm), size(part.size_mm), part.look)),
        );
        let mut taken: Vec<At> = Vec::new();
        for (number, wished) in (1_u32..).zip(labels) {
            let spot = free_spot(wished, &taken);
            taken.push(spot);
            shapes.extend(label(number, spot));
        }
        Drawing {
            caption: self.key(),
            description: format!("{} The numbers stand at the parts named.", self.key()),
            size: at(room.x + 2.0 * BORDER, room.y + 2.0 * BORDER),
            shapes,
        }
    }

    fn key(&self) -> String {
        let [width, height] = self.size_mm;
        let zones = self.zones.iter().map(|patch: &ZonePatch| &patch.name);
        let parts = zones.chain(self.parts.iter().take(PARTS_MAX).map(|part| &part.name));
        let parts = parts.filter(|name| !name.is_empty());
        let names: Vec<String> =
            (1_u32..).zip(parts).map(|(number, name)| format!("{number} {name}")).collect();
        let more = if PARTS_MAX < self.parts.len() { "; further parts are not drawn" } else { "" };
        format!("{}, {width} × {height} mm. {}{more}.", self.title, names.join("; "))
    }
}

fn outline(corner: At, size: At, look: Look) -> Vec<Shape> {
    let part = |pen: Pen, filling: Filling| Shape::Box { corner, size, pen, filling };
    match look {
        Look::InnerZone => vec![part(Pen::None, Filling::White), part(Pen::Thin, Filling::Crossed)],
        Look::OuterZone => vec![part(Pen::None, Filling::White), part(Pen::Thin, Filling::Rising)],
        Look::Beyond => vec![part(Pen::Thin, Filling::Falling)],
        // What is below a bath or in front of a wall keeps its hatching.
        Look::Fitting => vec![part(Pen::Thin, Filling::None)],
        Look::Rail => vec![part(Pen::Thick, Filling::White)],
        Look::Unit => vec![part(Pen::Thick, Filling::Black)],
        Look::Route => vec![Shape::Line {
            from: corner,
            to: at(corner.x + size.x, corner.y + size.y),
            pen: Pen::Thick,
        }],
    }
}

/// A box of a zone, without an outline: its neighbours carry it on.
fn filled(corner: At, size: At, look: Look) -> Vec<Shape> {
    let filling = match look {
        Look::InnerZone => Filling::Crossed,
        Look::OuterZone => Filling::Rising,
        Look::Beyond => Filling::Falling,
        Look::Fitting | Look::Rail | Look::Unit | Look::Route => Filling::None,
    };
    vec![Shape::Box { corner, size, pen: Pen::None, filling }]
}

/// Where a number stands: at the lower right of a zone, where zones of one corner differ, else in the middle.
fn label_spot(corner: At, size: At, look: Look) -> At {
    let middle = at(corner.x + size.x / 2.0, corner.y + size.y / 2.0);
    match look {
        Look::InnerZone | Look::OuterZone => {
            at(corner.x + size.x - FIELD / 2.0 - 2.0, corner.y + size.y - FIELD / 2.0 - 2.0)
        }
        Look::Fitting | Look::Rail | Look::Beyond => middle,
        Look::Unit => at(middle.x, corner.y - FIELD / 2.0 - 2.0),
        Look::Route => at(middle.x, middle.y + FIELD / 2.0 + 2.0),
    }
}

/// The nearest place to a wished one at which the field of a number covers no earlier one.
fn free_spot(wished: At, taken: &[At]) -> At {
    let is_free = |spot: &At| {
        taken
            .iter()
            .all(|other| APART <= (other.x - spot.x).abs() || APART <= (other.y - spot.y).abs())
    };
    let steps = [0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0];
    let around = steps.into_iter().flat_map(|down| steps.map(|across| (across, down)));
    let mut spots =
        around.map(|(across, down)| at(wished.x + across * APART, wished.y + down * APART));
    spots.find(is_free).unwrap_or(wished)
}

/// Least distance between the middles of two numbers.
const APART: f32 = FIELD + 1.0;

/// A number in a white field.
fn label(number: u32, point: At) -> Vec<Shape> {
    let field = at(point.x - FIELD / 2.0, point.y - FIELD / 2.0);
    vec![
        Shape::Box {
            corner: field,
            size: at(FIELD, FIELD),
            pen: Pen::Thin,
            filling: Filling::White,
        },
        Shape::Text {
            place: at(point.x, point.y + 3.0),
            size: 8.5,
            anchor: Anchor::Middle,
            text: number.to_string(),
        },
    ]
}

/// Longest length that is drawn; a room is far shorter.
const LENGTH_MAX_MM: i32 = 30_000;

/// Millimetres as they are drawn.
fn whole(length_mm: i32) -> f32 {
    let short = i16::try_from(length_mm.clamp(-LENGTH_MAX_MM, LENGTH_MAX_MM)).unwrap_or(i16::MAX);
    f32::from(short)
}

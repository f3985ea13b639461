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

/// Most width or height of a drawing, so that two stand side by side.
const SIDE_MAX: f32 = 222.0;
/// Space around the drawing.
const BORDER: f32 = 8.0;
/// Side of the field with a number.
const FIELD: f32 = 13.0;
/// Most parts of a drawing; what is beyond is left out, and the key says so.
pub const PARTS_MAX: usize = 40;

/// A view of the room, in millimetres from its upper left corner.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct View {
    /// What it shows: `Plan`, `Elevation of the east wall`.
    pub title: String,
    /// Width and height.
    pub size_mm: [i32; 2],
    /// What is in it; later parts lie over earlier ones.
    pub parts: Vec<ViewPart>,
}

/// Something in a view.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ViewPart {
    /// What the key says: `Zone 2`, `Rail, lower edge 600 mm above the floor`.
    pub name: String,
    /// Upper left corner.
    pub corner_mm: [i32; 2],
    /// Width and height.
    pub size_mm: [i32; 2],
    /// How it looks.
    pub look: Look,
}

/// How a part of a view looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Zone 0 or 1: crossed lines.
    InnerZone,
    /// Zone 2: rising lines.
    OuterZone,
    /// Bath, tray, basin, window, door.
    Fitting,
    /// The rail.
    Rail,
    /// Connection unit or switch.
    Unit,
    /// The route of the flex.
    Route,
}

impl View {
    /// The view as a drawing.
    pub fn drawing(&self) -> Drawing {
        let [width, height] = self.size_mm.map(|length| whole(length).max(1.0));
        let scale = (SIDE_MAX / width).min(SIDE_MAX / height);
        let place = |[x, y]: [i32; 2]| at(BORDER + whole(x) * scale, BORDER + whole(y) * scale);
        let size = |[x, y]: [i32; 2]| at(whole(x) * scale, whole(y) * scale);
        let parts = || self.parts.iter().take(PARTS_MAX);
        let mut shapes = Vec::new();
        for part in parts() {
            shapes.extend(outline(place(part.corner_mm), size(part.size_mm), part.look));
        }
        let corner = at(BORDER, BORDER);
        let room = at(width * scale, height * scale);
        let (pen, filling) = (Pen::Thick, Filling::None);
        shapes.push(Shape::Box { corner, size: room, pen, filling });
        for (number, part) in (1_u32..).zip(parts()) {
            shapes.extend(label(number, place(part.corner_mm), size(part.size_mm), part.look));
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
        let parts = (1_u32..).zip(self.parts.iter().take(PARTS_MAX));
        let names: Vec<String> =
            parts.map(|(number, part)| format!("{number} {}", part.name)).collect();
        let more = if PARTS_MAX < self.parts.len() { "; further parts are not drawn" } else { "" };
        format!("{}, {width} × {height} mm. {}{more}.", self.title, names.join("; "))
    }
}

fn outline(corner: At, size: At, look: Look) -> Vec<Shape> {
    let part = |pen: Pen, filling: Filling| Shape::Box { corner, size, pen, filling };
    match look {
        Look::InnerZone => vec![part(Pen::None, Filling::White), part(Pen::Thin, Filling::Crossed)],
        Look::OuterZone => vec![part(Pen::None, Filling::White), part(Pen::Thin, Filling::Rising)],
        Look::Fitting => vec![part(Pen::Thin, Filling::White)],
        Look::Rail => vec![part(Pen::Thick, Filling::White)],
        Look::Unit => vec![part(Pen::Thick, Filling::Black)],
        Look::Route => vec![Shape::Line {
            from: corner,
            to: at(corner.x + size.x, corner.y + size.y),
            pen: Pen::Thick,
        }],
    }
}

/// A number in a white field: at the lower right of a zone, where zones of one corner differ, else in the middle.
fn label(number: u32, corner: At, size: At, look: Look) -> Vec<Shape> {
    let middle = at(corner.x + size.x / 2.0, corner.y + size.y / 2.0);
    let point = match look {
        Look::InnerZone | Look::OuterZone => {
            at(corner.x + size.x - FIELD / 2.0 - 2.0, corner.y + size.y - FIELD / 2.0 - 2.0)
        }
        Look::Fitting | Look::Rail => middle,
        Look::Unit => at(middle.x, corner.y - FIELD / 2.0 - 2.0),
        Look::Route => at(middle.x, middle.y + FIELD / 2.0 + 2.0),
    };
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

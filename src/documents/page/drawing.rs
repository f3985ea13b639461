//! Simple drawings for papers: lines, boxes, hatching and texts in black and white, with a text for who cannot see them.
//!
//! Lengths are points (1/72 inch) from the upper left corner. Both renderers draw the same shapes, so that screen and
//! paper agree. Absent here: what is drawn.

/// Distance between the lines of a hatching.
const HATCH_STEP: f32 = 5.0;

/// A point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At {
    /// To the right.
    pub x: f32,
    /// Downwards.
    pub y: f32,
}

/// A point.
pub const fn at(x: f32, y: f32) -> At {
    At { x, y }
}

/// A drawing with its caption.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it shows, printed below it.
    pub caption: String,
    /// The same in words, for who cannot see it.
    pub description: String,
    /// Width and height.
    pub size: At,
    /// What is drawn, later shapes over earlier ones.
    pub shapes: Vec<Shape>,
}

/// One shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// Where it begins.
        from: At,
        /// Where it ends.
        to: At,
        /// How it is drawn.
        pen: Pen,
    },
    /// A box along the axes.
    Box {
        /// Upper left corner.
        corner: At,
        /// Width and height.
        size: At,
        /// Its outline.
        pen: Pen,
        /// What fills it.
        filling: Filling,
    },
    /// A text that stands on its point.
    Text {
        /// End of the base line that the anchor names.
        place: At,
        /// Size of the letters.
        size: f32,
        /// Where the point is in relation to the text.
        anchor: Anchor,
        /// The text.
        text: String,
    },
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// Not at all.
    None,
    /// Thin.
    Thin,
    /// Thick.
    Thick,
    /// Thin, in dashes.
    Dashed,
}

impl Pen {
    /// Width of the line.
    pub const fn width(self) -> f32 {
        match self {
            Self::None => 0.0,
            Self::Thin | Self::Dashed => 0.7,
            Self::Thick => 1.8,
        }
    }
}

/// What fills a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filling {
    /// Nothing.
    None,
    /// White, which hides what is below.
    White,
    /// Black.
    Black,
    /// Lines rising to the right.
    Rising,
    /// Lines falling to the right.
    Falling,
    /// Both, crossed.
    Crossed,
}

/// Where a text stands in relation to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// The lines that hatch a box: `x + y` constant for rising ones, `x - y` for falling ones.
///
/// They lie on one raster for the whole drawing, so that boxes which touch are hatched as one surface.
///
/// ```
/// use rungwright::documents::page::drawing::{Filling, at, hatching};
/// // White and black are surfaces, not lines.
/// assert!(hatching(at(0.0, 0.0), at(10.0, 10.0), Filling::Black).is_empty());
/// for [from, to] in hatching(at(3.0, 4.0), at(20.0, 7.0), Filling::Crossed) {
///     for point in [from, to] {
///         assert!(3.0 <= point.x && point.x <= 23.0 && 4.0 <= point.y && point.y <= 11.0);
///     }
/// }
/// ```
pub fn hatching(corner: At, size: At, filling: Filling) -> Vec<[At; 2]> {
    let (is_rising, is_sinking) = match filling {
        Filling::None | Filling::White | Filling::Black => (false, false),
        Filling::Rising => (true, false),
        Filling::Falling => (false, true),
        Filling::Crossed => (true, true),
    };
    let place = |x: f32, y: f32| at(corner.x + x, corner.y + y);
    let mut lines = Vec::new();
    for offset in offsets(corner.x + corner.y, size.x + size.y).take_while(|_| is_rising) {
        // Where the line meets the upper or left edge, and the right or lower one.
        let from = place((offset - size.y).max(0.0), offset.min(size.y));
        lines.push([from, place(offset.min(size.x), (offset - size.x).max(0.0))]);
    }
    for offset in offsets(corner.x - corner.y - size.y, size.x + size.y).take_while(|_| is_sinking)
    {
        let from = place((offset - size.y).max(0.0), (size.y - offset).max(0.0));
        lines.push([from, place(offset.min(size.x), (size.y - offset + size.x).min(size.y))]);
    }
    lines
}

/// Distances from the corner, by the sum or difference of the coordinates, at which lines of the raster cross a box.
fn offsets(first: f32, length: f32) -> impl Iterator<Item = f32> {
    let start = (first / HATCH_STEP).ceil() * HATCH_STEP - first;
    std::iter::successors(Some(start), |offset| Some(offset + HATCH_STEP))
        .filter(|offset| 0.0 < *offset)
        .take_while(move |offset| *offset < length)
}

//! Drawings on a sheet: the shapes of the page model at their place, smaller where they would be too wide.
//!
//! Absent here: what is drawn, and captions.

use crate::documents::page::drawing::Anchor;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Drawing;
use crate::documents::page::drawing::Filling;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::Shape;
use crate::documents::page::drawing::at;
use crate::documents::page::drawing::hatching;
use crate::documents::pdf::flow::Flow;
use crate::documents::pdf::flow::SMALL;
use crate::documents::pdf::flow::pitch;
use crate::documents::pdf::fonts::Weight;
use crate::documents::pdf::line::Line;
use crate::documents::pdf::line::Style;
use crate::documents::pdf::line::single;
use crate::documents::pdf::line::wrap;
use crate::documents::pdf::sheet::BOTTOM;
use crate::documents::pdf::sheet::Ink;
use crate::documents::pdf::sheet::MARGIN;
use crate::documents::pdf::sheet::Owner;
use crate::documents::pdf::sheet::Role;
use crate::documents::pdf::sheet::TEXT_WIDTH;
use crate::documents::pdf::sheet::TOP;

/// Space between drawings side by side.
const GAP: f32 = 20.0;

/// Where a drawing goes and how much smaller it is.
#[derive(Clone, Copy)]
struct Place {
    corner: At,
    scale: f32,
}

impl Place {
    fn point(self, point: At) -> At {
        at(self.corner.x + point.x * self.scale, self.corner.y + point.y * self.scale)
    }

    fn size(self, size: At) -> At {
        at(size.x * self.scale, size.y * self.scale)
    }
}

/// How much smaller a drawing must be to fit the text's width and a sheet's height.
fn scale(drawing: &Drawing) -> f32 {
    let height_max = BOTTOM - TOP - 40.0;
    (TEXT_WIDTH / drawing.size.x).min(height_max / drawing.size.y).min(1.0)
}

impl Flow {
    /// Drawings, side by side as far as they fit, each with its caption.
    pub(super) fn drawings(&mut self, drawings: &[Drawing]) {
        let mut left = drawings;
        while let Some(count) = (!left.is_empty()).then(|| fitting(left)) {
            let (row, rest) = left.split_at_checked(count).unwrap_or((left, &[]));
            self.drawing_row(row);
            left = rest;
        }
    }

    /// Height of the first row of drawings.
    pub(super) fn drawings_height(&self, drawings: &[Drawing]) -> f32 {
        let row = drawings.iter().take(fitting(drawings));
        row.map(|drawing| self.drawing_height(drawing)).fold(0.0, f32::max)
    }

    fn drawing_height(&self, drawing: &Drawing) -> f32 {
        let text: f32 = self.caption(drawing).iter().map(|_| pitch(SMALL)).sum();
        drawing.size.y * scale(drawing) + text + 6.0
    }

    fn drawing_row(&mut self, row: &[Drawing]) {
        let captions: Vec<Vec<Line>> = row.iter().map(|drawing| self.caption(drawing)).collect();
        let height = self.drawings_height(row);
        self.reserve(height);
        let (top, mut x) = (self.y, MARGIN);
        for (drawing, caption) in row.iter().zip(captions) {
            let place = Place { corner: at(x, top), scale: scale(drawing) };
            self.open(Role::Figure(drawing.description.clone()));
            let owner = self.leaf(None);
            for shape in &drawing.shapes {
                self.shape(owner, place, shape);
            }
            self.close();
            self.open(Role::Paragraph);
            self.y = top + drawing.size.y * place.scale + 3.0;
            for line in caption {
                self.line(line, x, SMALL);
            }
            self.close();
            x += drawing.size.x * place.scale + GAP;
        }
        self.y = top + height + 4.0;
    }

    fn caption(&self, drawing: &Drawing) -> Vec<Line> {
        wrap(self.fonts, &drawing.caption, SMALL, drawing.size.x * scale(drawing))
    }

    fn shape(&mut self, owner: Owner, place: Place, shape: &Shape) {
        match shape {
            Shape::Line { from, to, pen } => {
                self.draw(owner, Ink::Rule([place.point(*from), place.point(*to)], *pen));
            }
            Shape::Box { corner, size, pen, filling } => {
                let frame = [place.point(*corner), place.size(*size)];
                match filling {
                    Filling::Black => self.draw(owner, Ink::Surface(frame, true)),
                    Filling::White => self.draw(owner, Ink::Surface(frame, false)),
                    Filling::None | Filling::Rising | Filling::Falling | Filling::Crossed => {}
                }
                for [from, to] in hatching(*corner, *size, *filling) {
                    let ends = [place.point(from), place.point(to)];
                    self.draw(owner, Ink::Rule(ends, Pen::Thin));
                }
                self.draw(owner, Ink::Frame(frame, *pen));
            }
            Shape::Text { place: point, size, anchor, text } => {
                let style = Style { size: size * place.scale, weight: Weight::Regular };
                let line = single(self.fonts, text, style);
                let point = place.point(*point);
                let x = match anchor {
                    Anchor::Start => point.x,
                    Anchor::Middle => point.x - line.width / 2.0,
                    Anchor::End => point.x - line.width,
                };
                self.draw(owner, Ink::Text(at(x, point.y), line));
            }
        }
    }
}

/// How many drawings fit beside one another; at least one.
fn fitting(drawings: &[Drawing]) -> usize {
    let mut x = -GAP;
    let beside = drawings.iter().take_while(|drawing| {
        x += GAP + drawing.size.x * scale(drawing);
        x <= TEXT_WIDTH
    });
    beside.count().max(1)
}

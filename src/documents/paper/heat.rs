//! The heat of a room as a small drawing: what each part loses, what is needed, what the rail gives.
//!
//! Figures are watts as the caller computed them. Absent here: the sum.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64 or f32")]

use crate::documents::page::drawing::Anchor;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Drawing;
use crate::documents::page::drawing::Filling;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::Shape;
use crate::documents::page::drawing::at;
use crate::domain::quote::sheet::HeatFigures;

/// Where bars begin.
const LEFT: f32 = 120.0;
/// Length of the longest bar.
const LENGTH: f32 = 270.0;
/// Distance from bar to bar.
const STEP: f32 = 19.0;
/// Height of a bar.
const THICKNESS: f32 = 12.0;
/// Width of the drawing: a figure stands behind the longest bar.
const WIDTH: f32 = 450.0;
const LETTERS: f32 = 8.5;

impl HeatFigures {
    /// The figures as bars.
    pub fn drawing(&self) -> Drawing {
        let bars = [
            ("Walls, windows, floor", self.transmission.watts(), Filling::Rising),
            ("Thermal bridges", self.bridges.watts(), Filling::Rising),
            ("Air change", self.ventilation.watts(), Filling::Rising),
            ("Warming up", self.reheat.watts(), Filling::Rising),
            ("The room needs", self.required.watts(), Filling::Crossed),
            ("The rail gives", self.delivered.watts(), Filling::Black),
        ];
        let most = bars.iter().map(|(_, watts, _)| watts.abs()).fold(1.0, f64::max);
        let mut shapes = Vec::new();
        let mut y = 0.0;
        for (label, watts, filling) in bars {
            let length = LENGTH * narrow((watts / most).clamp(0.0, 1.0));
            let base = y + THICKNESS - 2.5;
            shapes.push(text(at(LEFT - 6.0, base), Anchor::End, label.to_owned()));
            if 0.5 < length {
                let (corner, size) = (at(LEFT, y), at(length, THICKNESS));
                shapes.push(Shape::Box { corner, size, pen: Pen::Thin, filling });
            }
            shapes.push(text(
                at(LEFT + length + 5.0, base),
                Anchor::Start,
                format!("{watts:.1} W"),
            ));
            y += STEP;
        }
        let (from, to) = (at(LEFT, -3.0), at(LEFT, y - 3.0));
        shapes.push(Shape::Line { from, to, pen: Pen::Thin });
        Drawing {
            caption: format!(
                "Heat of the room. The rule of thumb of 100 W per square metre would say {:.0} W; it is shown for \
                 comparison only.",
                self.quick_rule.watts()
            ),
            description: self.description(),
            size: at(WIDTH, y),
            shapes,
        }
    }

    fn description(&self) -> String {
        format!(
            "Bars: walls, windows and floor {:.1} W, thermal bridges {:.1} W, air change {:.1} W, warming up {:.1} W; \
             the room needs {:.1} W, the rail gives {:.1} W.",
            self.transmission.watts(),
            self.bridges.watts(),
            self.ventilation.watts(),
            self.reheat.watts(),
            self.required.watts(),
            self.delivered.watts()
        )
    }
}

fn text(place: At, anchor: Anchor, text: String) -> Shape {
    Shape::Text { place, size: LETTERS, anchor, text }
}

#[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "a share of one")]
const fn narrow(share: f64) -> f32 {
    share as f32
}

//! A drawing as SVG inside the page, with title and description for who cannot see it.
//!
//! Absent here: what is drawn.

use maud::Markup;
use maud::html;

use crate::documents::page::drawing::Anchor;
use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Drawing;
use crate::documents::page::drawing::Filling;
use crate::documents::page::drawing::Pen;
use crate::documents::page::drawing::Shape;
use crate::documents::page::drawing::hatching;
use crate::documents::plain_text::printable;

use super::text;

/// The drawing with its caption.
pub(super) fn figure(drawing: &Drawing) -> Markup {
    let (width, height) = (number(drawing.size.x), number(drawing.size.y));
    html! {
        figure {
            svg role="img" aria-label=(printable(&drawing.description)) width={ (width) "pt" } height={ (height) "pt" }
                viewBox={ "0 0 " (width) " " (height) } font-family="Noto Sans, DejaVu Sans, Arial, sans-serif" {
                @for shape in &drawing.shapes { (self::shape(shape)) }
            }
            figcaption { (text(&drawing.caption)) }
        }
    }
}

fn shape(shape: &Shape) -> Markup {
    match shape {
        Shape::Line { from, to, pen } => line(*from, *to, *pen),
        Shape::Box { corner, size, pen, filling } => html! {
            rect x=(number(corner.x)) y=(number(corner.y)) width=(number(size.x)) height=(number(size.y))
                fill=(surface(*filling)) stroke="none" {}
            @for [from, to] in hatching(*corner, *size, *filling) { (line(from, to, Pen::Thin)) }
            @if *pen != Pen::None {
                rect x=(number(corner.x)) y=(number(corner.y)) width=(number(size.x)) height=(number(size.y))
                    fill="none" stroke="#000" stroke-width=(number(pen.width())) stroke-dasharray=[dashes(*pen)] {}
            }
        },
        Shape::Text { place, size, anchor, text } => html! {
            text x=(number(place.x)) y=(number(place.y)) font-size=(number(*size))
                text-anchor=(anchor_word(*anchor)) { (printable(text)) }
        },
    }
}

fn line(from: At, to: At, pen: Pen) -> Markup {
    html! {
        @if pen != Pen::None {
            line x1=(number(from.x)) y1=(number(from.y)) x2=(number(to.x)) y2=(number(to.y))
                stroke="#000" stroke-width=(number(pen.width())) stroke-dasharray=[dashes(pen)] {}
        }
    }
}

const fn surface(filling: Filling) -> &'static str {
    match filling {
        Filling::White => "#fff",
        Filling::Black => "#000",
        Filling::None | Filling::Rising | Filling::Falling | Filling::Crossed => "none",
    }
}

const fn dashes(pen: Pen) -> Option<&'static str> {
    match pen {
        Pen::Dashed => Some("4 3"),
        Pen::None | Pen::Thin | Pen::Thick => None,
    }
}

const fn anchor_word(anchor: Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    }
}

/// At most two decimals, so that files stay small and equal.
fn number(value: f32) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

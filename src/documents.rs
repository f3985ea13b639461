//! From domain values to bytes that people look at: drawings as SVG, papers as HTML and PDF. Same value, same bytes.
//!
//! Every text is cleaned and escaped. Absent here: where the values come from, HTTP, and anything stored.

mod svg;
mod xml;
mod scale;
mod chart;
mod warming_curve;
pub mod heat_drawing;
pub mod output_drawing;
pub mod plain_text;
pub mod page;
pub mod html;
pub mod pdf;
pub mod paper;
pub mod ubl;
pub mod line_table;
pub mod plan;

//! From domain values to bytes that people look at: drawings, later papers. Same value, same bytes.
//!
//! Every text is escaped. Absent here: where the values come from, HTTP, and anything stored.

mod svg;
mod xml;
mod scale;
mod chart;
mod warming_curve;
pub mod heat_drawing;
pub mod output_drawing;
pub mod ubl;
pub mod line_table;

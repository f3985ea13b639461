//! What is on each sheet of paper once everything has its place, and the tree of meanings that points to it.
//!
//! Absent here: how places are found, and the file format.

use crate::documents::page::drawing::At;
use crate::documents::page::drawing::Pen;
use crate::documents::pdf::line::Line;

/// Width of a sheet: A4, in points.
pub(super) const WIDTH: f32 = 595.28;
/// Height of a sheet.
pub(super) const HEIGHT: f32 = 841.89;
/// Left and right margin.
pub(super) const MARGIN: f32 = 48.0;
/// Where the text begins.
pub(super) const TOP: f32 = 46.0;
/// Where the text ends at the latest.
pub(super) const BOTTOM: f32 = 778.0;
/// Width of the text.
pub(super) const TEXT_WIDTH: f32 = WIDTH - 2.0 * MARGIN;

/// One sheet.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    /// What is drawn, in order.
    pub marks: Vec<Mark>,
}

/// Something drawn.
#[derive(Debug)]
pub(super) struct Mark {
    /// What it means: the leaf of the tree that it belongs to, or mere decoration.
    pub owner: Owner,
    /// What is drawn.
    pub ink: Ink,
}

/// To which part of the meaning a mark belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Owner {
    /// Decoration: rules, frames, repeated headings.
    Nothing,
    /// The foot of the page.
    Foot,
    /// A leaf, by its number, and what is said in its place.
    Leaf(usize, Option<&'static str>),
}

/// What is drawn.
#[derive(Debug)]
pub(super) enum Ink {
    /// A line of text from a point on its base line.
    Text(At, Line),
    /// A straight line.
    Rule([At; 2], Pen),
    /// A box: upper left corner, width and height.
    Frame([At; 2], Pen),
    /// A box filled black (`true`) or white.
    Surface([At; 2], bool),
    /// Nothing: an empty cell, which is still a cell.
    Empty,
}

/// What a part of the paper is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Role {
    /// The whole.
    Whole,
    /// A heading of a level from 1.
    Heading(u16, String),
    /// A paragraph.
    Paragraph,
    /// A caution.
    Caution,
    /// A list.
    List,
    /// A list with numbers.
    Numbered,
    /// Its point.
    Point,
    /// The label of a point.
    Label,
    /// The text of a point.
    Body,
    /// A table.
    Table(String),
    /// The row of a table.
    Row,
    /// A heading of a column.
    ColumnHeading,
    /// A heading of a row.
    RowHeading,
    /// A cell.
    Cell,
    /// A drawing, with its description.
    Figure(String),
}

/// A part with its parts.
#[derive(Debug)]
pub(super) struct Branch {
    /// What it is.
    pub role: Role,
    /// What it has.
    pub children: Vec<Twig>,
}

/// A part of a part.
#[derive(Debug)]
pub(super) enum Twig {
    /// With parts of its own.
    Branch(Branch),
    /// What is drawn.
    Leaf(usize),
}

/// An entry of the list of headings.
#[derive(Debug)]
pub(super) struct Landmark {
    /// The heading.
    pub title: String,
    /// On which sheet, from nought.
    pub sheet: usize,
    /// How far down.
    pub y: f32,
}

/// Everything laid out.
#[derive(Debug)]
pub(super) struct LaidOut {
    /// The sheets.
    pub sheets: Vec<Sheet>,
    /// What it all means.
    pub whole: Branch,
    /// The headings.
    pub landmarks: Vec<Landmark>,
    /// How many leaves there are.
    pub leaf_count: usize,
}

impl Branch {
    /// A part without parts yet.
    pub(super) const fn new(role: Role) -> Self {
        Self { role, children: Vec::new() }
    }
}

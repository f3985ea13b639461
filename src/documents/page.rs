//! The page model: what stands on a paper, in order, before anyone knows how wide a page is.
//!
//! Two renderers share it, `html` and `pdf`. Every text in it is plain: no markup, no escapes; the renderers clean and
//! escape. Nothing is told by colour. Absent here: the words of any one paper, sizes and page breaks.

pub mod drawing;

use crate::documents::page::drawing::Drawing;

/// A paper, ready to be rendered.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// What it is, with its number: `Quote GB-2026-000017`.
    pub title: String,
    /// One line below the title: for whom and what.
    pub subtitle: String,
    /// Who gives it out, line by line; the first is the name.
    pub sender: Vec<String>,
    /// What the foot of every page repeats, beside `page 1 of 3`.
    pub footer: String,
    /// What stands on it.
    pub blocks: Vec<Block>,
}

/// One thing after the other.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading of a part of the paper.
    Heading(String),
    /// A heading within a part.
    Subheading(String),
    /// A paragraph.
    Paragraph(String),
    /// A paragraph in small letters.
    Small(String),
    /// A framed caution, its title in bold.
    Caution(Caution),
    /// Points without an order.
    List(Vec<String>),
    /// Labels and values.
    Pairs(Vec<Pair>),
    /// A table whose heading is repeated on every page it reaches.
    Table(Table),
    /// Labels and amounts, aligned at the right: totals.
    Sums(Vec<Sum>),
    /// Numbered steps with a box to tick.
    Steps(Vec<Step>),
    /// A drawing with its caption.
    Drawing(Drawing),
    /// Drawings that may stand side by side.
    Drawings(Vec<Drawing>),
    /// Who signs: for each a line for the name, one for the signature and one for the date.
    Signatures(Vec<String>),
    /// What follows begins a new page.
    NewPage,
}

/// A caution in a frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Its title: `Electric shock`.
    pub title: String,
    /// Its sentences.
    pub texts: Vec<String>,
}

/// A label and its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// What it is.
    pub label: String,
    /// The value, or a line to write it on.
    pub value: Value,
}

/// A value that is known, or one to be written down by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// It is known.
    Text(String),
    /// A line to write on.
    Blank,
}

/// A table.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What the table holds, for a reader who hears it.
    pub caption: String,
    /// The columns, with their headings.
    pub columns: Vec<Column>,
    /// The rows; a row shorter than the columns ends with empty cells.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// Its share of the width, in relation to the other columns.
    pub share: f32,
    /// Whether its cells are amounts, aligned at the right.
    pub is_amount: bool,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Text.
    Text(String),
    /// Text and a remark below it in small letters.
    Noted(String, String),
    /// Space to write a measured value in.
    Blank,
    /// A box to tick.
    Tick,
}

/// A line of the totals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// What it is.
    pub label: String,
    /// How much, with its currency.
    pub amount: String,
    /// Whether it is the one that counts in the end.
    pub is_final: bool,
}

/// A step of a piece of work, with a box to tick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub text: String,
    /// What to beware of.
    pub caution: Option<String>,
}

impl Pair {
    /// A label with a known value.
    pub fn new<L: Into<String>, V: Into<String>>(label: L, value: V) -> Self {
        Self { label: label.into(), value: Value::Text(value.into()) }
    }

    /// A label with a line to write on.
    pub fn blank<L: Into<String>>(label: L) -> Self {
        Self { label: label.into(), value: Value::Blank }
    }
}

impl Column {
    /// A column of texts.
    pub fn text<H: Into<String>>(heading: H, share: f32) -> Self {
        Self { heading: heading.into(), share, is_amount: false }
    }

    /// A column of amounts.
    pub fn amount<H: Into<String>>(heading: H, share: f32) -> Self {
        Self { heading: heading.into(), share, is_amount: true }
    }
}

impl Cell {
    /// A cell of text.
    pub fn text<T: Into<String>>(text: T) -> Self {
        Self::Text(text.into())
    }
}

impl Step {
    /// A step without a caution.
    pub fn new<T: Into<String>>(text: T) -> Self {
        Self { text: text.into(), caution: None }
    }
}

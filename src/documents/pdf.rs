//! A page as PDF: A4, tagged for reading aloud (PDF/UA-1), fonts embedded, the same bytes for the same page.
//!
//! Laid out first, written second, since the foot of each page names the number of pages. No clock, no chance, no
//! random identifier. A letter that no embedded font has is drawn as a replacement sign and keeps its text.
//! Absent here: the words.

mod fonts;
mod line;
mod sheet;
mod flow;
mod grid;
mod figure;
mod blocks;
mod ink;

use std::fmt;

use krilla::error::KrillaError;

use crate::documents::page::Page;
use crate::documents::pdf::flow::Flow;
use crate::documents::pdf::fonts::Fonts;

/// Why a page could not be written.
#[derive(Debug)]
pub enum PdfError {
    /// An embedded font cannot be read.
    Font,
    /// A measure is not one of a page.
    Measure,
    /// The writer refused.
    Write(KrillaError),
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Font => f.write_str("an embedded font cannot be read"),
            Self::Measure => f.write_str("a measure on the page is not a number"),
            Self::Write(_) => f.write_str("the PDF could not be written"),
        }
    }
}

impl std::error::Error for PdfError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Font | Self::Measure => None,
            Self::Write(cause) => Some(cause),
        }
    }
}

/// The page as a PDF file.
///
/// ```
/// use rungwright::documents::page::Page;
/// use rungwright::documents::pdf;
/// let page = Page {
///     title: String::from("Quote"),
///     subtitle: String::new(),
///     sender: Vec::new(),
///     footer: String::new(),
///     blocks: Vec::new(),
/// };
/// let bytes = pdf::render(&page).unwrap();
/// // No date and no random identifier is in it.
/// assert_eq!(bytes, pdf::render(&page).unwrap());
/// ```
pub fn render(page: &Page) -> Result<Vec<u8>, PdfError> {
    render_all(page, &[])
}

/// Several papers as one PDF file, each beginning a new sheet under a head and above a foot of its own.
pub fn render_all(first: &Page, more: &[Page]) -> Result<Vec<u8>, PdfError> {
    let fonts = Fonts::load()?;
    let mut flow = Flow::new(fonts);
    flow.page(first);
    for page in more {
        flow.new_sheet();
        flow.page(page);
    }
    ink::write(first, fonts, &flow.finish())
}

//! The papers that go with a rail: the quote, the installation sheet, the care sheet; what each needs to know.
//!
//! The structures hold finished words and figures, so that a paper can be filled from a stored quote alone and comes
//! out the same for ever. Dates are texts: whoever fills them has done so in the seller's time zone.
//! Absent here: storing, numbering, and the layout of a page.

pub mod place;
pub mod heat;
pub mod quote;
pub mod installation;
pub mod care;
pub mod stored;

pub use care::CareSheet;
pub use installation::InstallationSheet;
pub use quote::QuotePaper;

use crate::documents::html;
use crate::documents::page::Block;
use crate::documents::page::Page;
use crate::documents::page::Pair;
use crate::documents::pdf;
use crate::documents::pdf::PdfError;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;

/// Who sells: the seller's own data, printed as they are.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seller {
    /// Name.
    pub name: String,
    /// Address, line by line.
    pub address: Vec<String>,
    /// Telephone, mail, whatever the seller wants written to.
    pub contact: Vec<String>,
    /// Tax number.
    pub tax_number: Option<String>,
}

/// Who buys.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Customer {
    /// Name.
    pub name: String,
    /// Address, line by line.
    pub address: Vec<String>,
    /// The customer's own reference.
    pub reference: Option<String>,
    /// Tax number, where one was given.
    pub tax_number: Option<String>,
}

/// Which quote it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Identity {
    /// Its number.
    pub number: String,
    /// Its revision, from 1.
    pub revision: u32,
    /// The number and revision that it takes the place of.
    pub predecessor: Option<String>,
    /// Its state, as a word: `draft`, `issued`.
    pub state: String,
    /// When it was issued, in the seller's time zone; nothing for a draft.
    pub issued: Option<String>,
    /// Until when it may be accepted, to the instant, with the zone.
    pub valid_until: Option<String>,
    /// The market.
    pub market: String,
    /// The catalogue edition that answers it.
    pub edition: String,
    /// The price list.
    pub price_list: String,
}

/// The seller's guarantee: only the seller's own words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Guarantee {
    /// What is promised and for how long.
    pub promise: Vec<String>,
    /// What ends it.
    pub voids: Vec<String>,
    /// Where to turn.
    pub claims: Vec<String>,
}

/// A paper in the two forms it is given out in.
pub trait Paper {
    /// The paper as blocks, before it is rendered.
    fn page(&self) -> Page;

    /// The paper as one HTML file.
    fn html(&self) -> String {
        html::render(&self.page())
    }

    /// The paper as a PDF file.
    fn pdf(&self) -> Result<Vec<u8>, PdfError> {
        pdf::render(&self.page())
    }
}

/// Several papers as one HTML file; nothing of no papers.
pub fn html_of<P: Paper>(papers: &[P]) -> Option<String> {
    let pages: Vec<Page> = papers.iter().map(P::page).collect();
    let (first, more) = pages.split_first()?;
    Some(html::render_all(first, more))
}

/// Several papers as one PDF file; nothing of no papers.
pub fn pdf_of<P: Paper>(papers: &[P]) -> Result<Option<Vec<u8>>, PdfError> {
    let pages: Vec<Page> = papers.iter().map(P::page).collect();
    let Some((first, more)) = pages.split_first() else { return Ok(None) };
    pdf::render_all(first, more).map(Some)
}

/// What every paper says of a figure that nobody stated.
pub(crate) const NOT_STATED: &str = "not stated: ask the maker before you go on";

/// Said wherever a guarantee is.
pub(crate) const STATUTORY: &str =
    "The rights that the law gives the buyer remain untouched by this guarantee, whatever it says.";

impl Seller {
    /// Name, address, contact and tax number as the lines of a letterhead.
    pub(crate) fn letterhead(&self) -> Vec<String> {
        let tax = self.tax_number.iter().map(|number| format!("Tax number {number}"));
        let lines = std::iter::once(&self.name).chain(&self.address).chain(&self.contact);
        lines.cloned().chain(tax).collect()
    }
}

impl Identity {
    /// Number and revision.
    pub(crate) fn name(&self) -> String {
        format!("{}, revision {}", self.number, self.revision)
    }

    /// State, days, market, edition, as labels and values; number and revision stand in the title.
    pub(crate) fn pairs(&self) -> Vec<Pair> {
        let mut pairs = vec![Pair::new("State", &self.state)];
        let optional = [
            ("Takes the place of", &self.predecessor),
            ("Issued", &self.issued),
            ("May be accepted until", &self.valid_until),
        ];
        let stated =
            optional.into_iter().filter_map(|(label, value)| Some((label, value.clone()?)));
        pairs.extend(stated.map(|(label, value)| Pair::new(label, value)));
        pairs.push(Pair::new("Market", &self.market));
        pairs.push(Pair::new(
            "Catalogue and prices",
            format!("edition {}, price list {}", self.edition, self.price_list),
        ));
        pairs
    }
}

impl Customer {
    /// Name, address, reference and tax number, as labels and values.
    pub(crate) fn pairs(&self) -> Vec<Pair> {
        let mut pairs = vec![Pair::new("Customer", &self.name)];
        if !self.address.is_empty() {
            pairs.push(Pair::new("Address", self.address.join(", ")));
        }
        let optional =
            [("Your reference", &self.reference), ("Customer's tax number", &self.tax_number)];
        let stated =
            optional.into_iter().filter_map(|(label, value)| Some((label, value.clone()?)));
        pairs.extend(stated.map(|(label, value)| Pair::new(label, value)));
        pairs
    }
}

impl Guarantee {
    /// Promise, what ends it, where to turn, and that statutory rights remain.
    pub(crate) fn blocks(&self) -> Vec<Block> {
        let mut blocks: Vec<Block> = self.promise.iter().cloned().map(Block::Paragraph).collect();
        if self.promise.is_empty() {
            let text = "The seller has given no guarantee beyond the law.";
            blocks.push(Block::Paragraph(text.to_owned()));
        }
        if !self.voids.is_empty() {
            blocks.push(Block::Subheading("The seller's guarantee ends when".to_owned()));
            blocks.push(Block::List(self.voids.clone()));
        }
        blocks.extend(self.claims.iter().cloned().map(Block::Paragraph));
        blocks.push(Block::Paragraph(STATUTORY.to_owned()));
        blocks
    }
}

/// A stated text, or that it was not stated.
pub(crate) fn stated(text: Option<&String>) -> String {
    text.cloned().unwrap_or_else(|| NOT_STATED.to_owned())
}

/// A text as a sentence of its own: a capital at its head, a stop at its end.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    let mut sentence: String = first.to_uppercase().chain(letters).collect();
    if !sentence.ends_with(['.', '!', '?', '…', ';', ':']) {
        sentence.push('.');
    }
    sentence
}

/// Where something comes from and how it is known, in words for a reader on site.
pub(crate) fn source_words(source: &Source) -> String {
    // Marks such as `[S73]` point into a list of sources that no reader of the paper has.
    let pieces = source.text.split('[').map(|piece| match piece.split_once(']') {
        Some((mark, rest)) if mark.starts_with('S') => rest,
        Some(_) | None => piece,
    });
    let text = pieces.collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ");
    let text = text.replace(" ;", ";").replace(" ,", ",");
    format!("{} ({})", text.trim_end_matches('.'), evidence_words(source.evidence))
}

const fn evidence_words(evidence: Evidence) -> &'static str {
    match evidence {
        Evidence::Read => "read there",
        Evidence::ReadSecondary => "read where it is quoted",
        Evidence::Computed => "computed",
        Evidence::Inferred => "inferred",
        Evidence::Practice => "practice of the trade",
        Evidence::Memory => "from memory: look it up",
        Evidence::Fallback => "a strict stand-in: look it up",
        Evidence::Invented => "made up",
    }
}

/// A heading and what follows it; nothing where nothing follows.
pub(crate) fn section(heading: &str, blocks: Vec<Block>) -> Vec<Block> {
    if blocks.is_empty() {
        return Vec::new();
    }
    std::iter::once(Block::Heading(heading.to_owned())).chain(blocks).collect()
}

//! The quote as a paper: parts and why each is there, what they cost, tax, validity, the room's heat, notices, terms.
//!
//! Every amount is printed exactly as it was computed; nothing is summed here. Absent here: pricing.

use crate::documents::page::Block;
use crate::documents::page::Caution;
use crate::documents::page::Cell;
use crate::documents::page::Column;
use crate::documents::page::Page;
use crate::documents::page::Sum;
use crate::documents::page::Table;
use crate::documents::paper::Customer;
use crate::documents::paper::Identity;
use crate::documents::paper::Paper;
use crate::documents::paper::Seller;
use crate::documents::paper::section;
use crate::documents::paper::sentence;
use crate::domain::money::Currency;
use crate::domain::money::Minor;
use crate::domain::money::UnitPrice;
use crate::domain::pricing::document::DocumentTotals;
use crate::domain::pricing::document::TaxCategory;
use crate::domain::pricing::document::TaxGroup;
use crate::domain::pricing::document::TaxRounding;
use crate::domain::quote::sheet::HeatFigures;

/// What a quote shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotePaper {
    /// Who sells.
    pub seller: Seller,
    /// Who buys.
    pub customer: Customer,
    /// Which quote.
    pub identity: Identity,
    /// Why the paper is no offer, where it is none.
    pub standing: Option<Caution>,
    /// Who accepted it, and when; then there is nothing to sign.
    pub accepted: Option<String>,
    /// The currency of every amount.
    pub currency: Currency,
    /// The rooms, each with its bill.
    pub rooms: Vec<QuoteRoom>,
    /// Allowances on the whole quote.
    pub allowances: Vec<Adjustment>,
    /// Charges on the whole quote: delivery.
    pub charges: Vec<Adjustment>,
    /// The totals, by the names of EN 16931.
    pub totals: DocumentTotals,
    /// Where tax was rounded.
    pub rounding: TaxRounding,
    /// What is to be said of the tax: a tax number checked for its form only, a supply that the customer accounts for.
    pub tax_notes: Vec<String>,
    /// Rules that do not hold and were overridden, each with who and the written reason.
    pub overrides: Vec<String>,
    /// What changed since the predecessor.
    pub changes: Vec<String>,
    /// Cautions.
    pub notices: Vec<String>,
    /// The seller's terms, paragraph by paragraph.
    pub terms: Vec<String>,
}

/// A room with its bill.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct QuoteRoom {
    /// Its name.
    pub name: String,
    /// Its use, size and temperatures, in a sentence.
    pub description: String,
    /// What body and element give, in a sentence.
    pub delivered: Option<String>,
    /// Its heat, where the rail is to heat it.
    pub heat: Option<HeatFigures>,
    /// Its parts.
    pub lines: Vec<QuoteLine>,
}

/// A line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteLine {
    /// Part number.
    pub sku: String,
    /// Name.
    pub name: String,
    /// How many.
    pub quantity: u32,
    /// Net price of one.
    pub unit_net: UnitPrice,
    /// What was taken off the line, with the reason, in words.
    pub discount: Option<String>,
    /// Net price of the line.
    pub net: Minor,
    /// Why it is there.
    pub why: String,
    /// The part in whose carton it comes.
    pub included_with: Option<String>,
    /// Working days until it leaves the maker.
    pub lead_days: u16,
}

/// An allowance or a charge on the whole quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Adjustment {
    /// Why.
    pub reason: String,
    /// Net, positive for both.
    pub net: Minor,
}

impl Paper for QuotePaper {
    fn page(&self) -> Page {
        let mut blocks =
            vec![Block::Pairs(self.customer.pairs()), Block::Pairs(self.identity.pairs())];
        blocks.extend(self.standing.clone().map(Block::Caution));
        blocks.extend(section("Since the predecessor", list(&self.changes)));
        for room in &self.rooms {
            blocks.extend(room.blocks(self.currency));
        }
        blocks.extend(section("What it costs", self.costs()));
        if !self.overrides.is_empty() {
            blocks.push(Block::Caution(Caution {
                title: "Sold although a rule does not hold".to_owned(),
                texts: self.overrides.clone(),
            }));
        }
        blocks.extend(section("To be observed", list(&self.notices)));
        blocks.extend(section("Terms", self.terms.iter().cloned().map(Block::Paragraph).collect()));
        blocks.extend(self.acceptance());
        Page {
            title: format!("Quote {}", self.identity.number),
            subtitle: format!("Revision {}, for {}", self.identity.revision, self.customer.name),
            sender: self.seller.letterhead(),
            footer: format!("{} · Quote {}", self.seller.name, self.identity.name()),
            blocks,
        }
    }
}

fn list(points: &[String]) -> Vec<Block> {
    if points.is_empty() { Vec::new() } else { vec![Block::List(points.to_vec())] }
}

impl QuotePaper {
    fn amount(&self, amount: Minor) -> String {
        format!("{} {}", self.currency.code(), self.currency.format(amount))
    }

    fn costs(&self) -> Vec<Block> {
        let sum = |label: String, amount: String| Sum { label, amount, is_final: false };
        let totals = &self.totals;
        let mut sums = vec![sum("Sum of the lines".to_owned(), self.amount(totals.lines))];
        for allowance in &self.allowances {
            let amount = format!("− {}", self.amount(allowance.net));
            sums.push(sum(format!("Less: {}", allowance.reason), amount));
        }
        for charge in &self.charges {
            sums.push(sum(format!("Plus: {}", charge.reason), self.amount(charge.net)));
        }
        sums.push(sum("Net".to_owned(), self.amount(totals.net)));
        for group in &totals.groups {
            sums.push(sum(self.tax_label(group), self.amount(group.tax)));
        }
        if 1 < totals.groups.len() {
            sums.push(sum("Tax altogether".to_owned(), self.amount(totals.tax)));
        }
        let (label, amount) = ("Total to pay".to_owned(), self.amount(totals.gross));
        sums.push(Sum { label, amount, is_final: true });
        let policy = match self.rounding {
            TaxRounding::PerRate => {
                "Tax is taken once for each rate on the summed net and rounded half away from zero."
            }
            TaxRounding::PerLine => {
                "Tax is taken on each line and rounded half away from zero; the rounded amounts are summed."
            }
        };
        let notes = std::iter::once(policy.to_owned()).chain(self.tax_notes.iter().cloned());
        std::iter::once(Block::Sums(sums)).chain(notes.map(Block::Small)).collect()
    }

    fn tax_label(&self, group: &TaxGroup) -> String {
        let rate = group.taxation.rate.percent();
        let base = self.amount(group.base);
        let why = match group.taxation.category {
            TaxCategory::Standard => "",
            TaxCategory::ZeroRated => ", zero-rated",
            TaxCategory::IntraCommunity => ", supply to another country of the European Union",
            TaxCategory::Export => ", export",
            TaxCategory::ReverseCharge => ", the customer accounts for the tax",
        };
        format!("Tax {rate} % on {base}{why}")
    }

    fn acceptance(&self) -> Vec<Block> {
        if let Some(accepted) = &self.accepted {
            return section("Acceptance", vec![Block::Paragraph(accepted.clone())]);
        }
        if self.standing.is_some() {
            return Vec::new();
        }
        let until = self.identity.valid_until.as_ref();
        let until = until.map(|until| format!(" It may be accepted until {until}."));
        let text = format!(
            "This acceptance is of quote {} and of no other revision.{}",
            self.identity.name(),
            until.unwrap_or_default()
        );
        let signatures = Block::Signatures(vec!["For the customer".to_owned()]);
        section("Acceptance", vec![Block::Paragraph(text), signatures])
    }
}

impl QuoteRoom {
    fn blocks(&self, currency: Currency) -> Vec<Block> {
        let mut blocks = Vec::new();
        if !self.description.is_empty() {
            blocks.push(Block::Paragraph(self.description.clone()));
        }
        blocks.extend(self.delivered.iter().cloned().map(Block::Paragraph));
        blocks.extend(self.heat.iter().map(|heat| Block::Drawing(heat.drawing())));
        blocks.push(Block::Table(Table {
            caption: format!("Parts for {}; prices in {} without tax", self.name, currency.code()),
            columns: vec![
                Column::text("Part number", 2.1),
                Column::text("What and why", 4.3),
                Column::amount("Pieces", 0.85),
                Column::amount("Each", 1.0),
                Column::amount("Together", 1.25),
            ],
            rows: self.lines.iter().map(|line| line.cells(currency)).collect(),
        }));
        section(&self.name, blocks)
    }
}

impl QuoteLine {
    fn cells(&self, currency: Currency) -> Vec<Cell> {
        let own = self.included_with.is_none().then(|| sentence(&self.why));
        let mut remarks: Vec<String> = own.into_iter().collect();
        remarks.extend(self.discount.iter().map(|why| sentence(&format!("discount: {why}"))));
        remarks.extend(
            self.included_with
                .iter()
                .map(|with| format!("Comes in the carton of {with}, at no price of its own.")),
        );
        remarks.push(format!("Leaves the maker after {} working days.", self.lead_days));
        vec![
            Cell::text(&self.sku),
            Cell::Noted(self.name.clone(), remarks.join(" ")),
            Cell::text(self.quantity.to_string()),
            Cell::text(self.unit_net.format(currency)),
            Cell::text(currency.format(self.net)),
        ]
    }
}

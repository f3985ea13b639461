//! The installation sheet for the electrician: where the rail goes, how it is fed, filled, tested and signed off.
//!
//! What nobody stated is printed as not stated, never as allowed. Limits stand beside the values to write down, each
//! with how it is known. Absent here: verdicts, figures and duties themselves, which come with the quote.

mod connection;
mod measures;

use crate::documents::page::Block;
use crate::documents::page::Caution;
use crate::documents::page::Cell;
use crate::documents::page::Column;
use crate::documents::page::Page;
use crate::documents::page::Pair;
use crate::documents::page::Step;
use crate::documents::page::Table;
use crate::documents::paper::Customer;
use crate::documents::paper::Guarantee;
use crate::documents::paper::Identity;
use crate::documents::paper::Paper;
use crate::documents::paper::Seller;
use crate::documents::paper::section;
use crate::documents::paper::sentence;
use crate::documents::paper::source_words;
use crate::documents::paper::stated;
use crate::domain::quote::sheet::FillFigures;
use crate::domain::quote::sheet::Fitting;
use crate::domain::quote::sheet::PlaceFigures;
use crate::domain::quote::sheet::PlacedItem;
use crate::domain::quote::sheet::Sourced;
use crate::domain::quote::sheet::SupplyFigures;
use crate::domain::quote::sheet::View;
use crate::domain::supply::notification::Duty;
use crate::domain::zones::verdict::Outcome;

pub use measures::Measure;
pub use measures::usual_measures;

/// What an installation sheet shows.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct InstallationSheet {
    /// Who sells.
    pub seller: Seller,
    /// Who buys.
    pub customer: Customer,
    /// Which quote it belongs to.
    pub identity: Identity,
    /// The room.
    pub room: String,
    /// What should be in the delivery.
    pub goods: Vec<Goods>,
    /// Where it hangs.
    pub place: PlaceFigures,
    /// How the element is fitted.
    pub fitting: Fitting,
    /// How it is fed.
    pub supply: SupplyFigures,
    /// How it is filled.
    pub fill: FillFigures,
    /// Values to write down, with their limits.
    pub measures: Vec<Measure>,
    /// Who must be told, with where that comes from.
    pub duties: Vec<Sourced>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// The seller's guarantee.
    pub guarantee: Guarantee,
}

/// A part of the delivery.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Goods {
    /// Part number.
    pub sku: String,
    /// Name.
    pub name: String,
    /// How many.
    pub quantity: u32,
}

impl Paper for InstallationSheet {
    fn page(&self) -> Page {
        let mut blocks = vec![Block::Pairs(self.head()), Block::Caution(self.caution())];
        blocks.extend(section("1 · Inspect on delivery", self.delivery()));
        blocks.extend(section("2 · Place and zones", self.place.blocks()));
        blocks.extend(section("3 · Element and flex", self.fitting.blocks()));
        blocks.extend(section("4 · Supply", self.supply.blocks()));
        blocks.extend(section("5 · Fill and first heating", self.fill.blocks()));
        blocks.extend(section("6 · Measured values", measures::blocks(&self.measures)));
        blocks.extend(section("7 · Who must be told", sourced(&self.duties)));
        blocks.extend(section("8 · Guarantee", self.guarantee.blocks()));
        blocks.extend(section("9 · Handing over", handing_over()));
        Page {
            title: "Installation sheet".to_owned(),
            subtitle: format!("{} · quote {}", self.room, self.identity.name()),
            sender: self.seller.letterhead(),
            footer: format!(
                "{} · Installation sheet, {} · quote {}",
                self.seller.name,
                self.room,
                self.identity.name()
            ),
            blocks,
        }
    }
}

impl InstallationSheet {
    fn head(&self) -> Vec<Pair> {
        let mut pairs = vec![Pair::new("Room", &self.room)];
        pairs.extend(self.customer.pairs());
        pairs.push(Pair::new("Quote", self.identity.name()));
        pairs
    }

    fn caution(&self) -> Caution {
        let first = [
            "For a licensed electrician. The local wiring code and the electrician on site decide; where this sheet \
             and they differ, they are right.",
            "Isolate, secure against switching on, and prove dead before any work. Never switch an element on dry.",
        ];
        let texts = first.map(str::to_owned).into_iter().chain(self.cautions.iter().cloned());
        Caution { title: "Caution".to_owned(), texts: texts.collect() }
    }

    fn delivery(&self) -> Vec<Block> {
        let row = |goods: &Goods| {
            let number = Cell::text(goods.quantity.to_string());
            vec![Cell::Tick, Cell::text(&goods.sku), Cell::text(&goods.name), number, Cell::Blank]
        };
        if self.goods.is_empty() {
            return vec![Block::Paragraph("The quote names no part for this room.".to_owned())];
        }
        let text = "Open every carton before anything is fitted. Tick what is there and sound; write down what is \
                    damaged or missing and tell the seller at once, with a picture.";
        vec![
            Block::Paragraph(text.to_owned()),
            Block::Table(Table {
                caption: "The delivery, part by part".to_owned(),
                columns: vec![
                    Column::text("Sound", 0.8),
                    Column::text("Part number", 2.0),
                    Column::text("Part", 2.6),
                    Column::amount("Pieces", 0.9),
                    Column::text("Damage, or nothing", 2.2),
                ],
                rows: self.goods.iter().map(row).collect(),
            }),
        ]
    }
}

impl PlaceFigures {
    fn blocks(&self) -> Vec<Block> {
        let mut blocks = vec![Block::Pairs(vec![
            Pair::new("Wiring rules", stated(self.rules.as_ref())),
            Pair::new("Wall and fixings", stated(self.mounting.as_ref())),
        ])];
        if self.verdicts.is_empty() {
            let text = "The zone of each piece is not established: the electrician establishes it on site.";
            blocks.push(Block::Paragraph(text.to_owned()));
        } else {
            blocks.push(Block::Table(self.verdict_table()));
        }
        if self.views.is_empty() {
            let zone = self.stated_zone.as_ref();
            let zone = zone.map(|zone| format!(" The zone was stated as: {zone}."));
            let text = format!(
                "No drawn room came with the quote, so there is no plan and no elevation.{} Measure the zones on site \
                 before anything is fixed.",
                zone.unwrap_or_default()
            );
            blocks.push(Block::Paragraph(text));
        } else {
            blocks.push(Block::Drawings(self.views.iter().map(View::drawing).collect()));
            let text = "Crossed lines: zone 0 or 1. Rising lines: zone 2 or 3. Falling lines: beyond the walls. Thick \
                        frame: the rail. Black: connection unit or point.";
            blocks.push(Block::Small(text.to_owned()));
        }
        blocks
    }

    fn verdict_table(&self) -> Table {
        let row = |item: &PlacedItem| {
            let reasons = format!(
                "{} Source: {}.",
                sentence(&item.reasons.join("; ")),
                source_words(&item.source)
            );
            vec![
                Cell::text(&item.name),
                Cell::text(&item.zone),
                Cell::Noted(outcome_words(item.outcome).to_owned(), reasons),
                Cell::Tick,
            ]
        };
        Table {
            caption: "What the rules say of each piece, to be confirmed on site".to_owned(),
            columns: vec![
                Column::text("Piece", 1.8),
                Column::text("Zone", 1.1),
                Column::text("Rules, conditions, source", 4.2),
                Column::text("Confirmed", 1.2),
            ],
            rows: self.verdicts.iter().map(row).collect(),
        }
    }
}

const fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Allowed => "may hang here",
        Outcome::AllowedIf => "may hang here once the conditions are met",
        Outcome::NotEstablished => "not established: do not fit before it is",
        Outcome::Refused => "must not hang here",
    }
}

/// What the law asks, as a sentence for the sheet.
pub const fn duty_words(duty: Duty) -> &'static str {
    match duty {
        Duty::NotNotifiable => {
            "Nobody need be told of this work; it must be done right all the same."
        }
        Duty::Notifiable => {
            "Building control must be told, or a registered electrician certifies the work himself."
        }
        Duty::TreatAsNotifiable => {
            "The law is not clear today: treat the work as notifiable and tell building control."
        }
        Duty::RestrictedWithCertificate => {
            "Only a registered contractor may do this work, and hands over a completion certificate."
        }
        Duty::CheckWarrant => {
            "Ask the local authority before work begins whether a building warrant is needed."
        }
        Duty::NotEstablished => {
            "Whom the law wants told here is not established: ask the local authority before work begins."
        }
    }
}

fn sourced(sentences: &[Sourced]) -> Vec<Block> {
    let point = |said: &Sourced| {
        format!("{} Source: {}.", sentence(&said.text), source_words(&said.source))
    };
    if sentences.is_empty() {
        return Vec::new();
    }
    vec![Block::List(sentences.iter().map(point).collect())]
}

fn handing_over() -> Vec<Block> {
    let steps = [
        "Joints dry after the first heating, vent in the position asked for.",
        "Use, surface temperature and switching off shown to the household.",
        "Care sheet, this sheet and certificates handed over.",
    ];
    let signatures = ["Fitter or electrician", "Customer"].map(str::to_owned);
    vec![
        Block::Pairs(vec![
            Pair::blank("Electrician registered as"),
            Pair::blank("Certificate number"),
        ]),
        Block::Steps(steps.map(Step::new).into()),
        Block::Signatures(signatures.into()),
    ]
}

//! Values that the electrician measures and writes down, with the limit beside each and how the limit is known.
//!
//! Absent here: limits of a country whose rules ask for other ones; whoever fills the sheet puts those in.

use crate::documents::page::Block;
use crate::documents::page::Cell;
use crate::documents::page::Column;
use crate::documents::page::Table;
use crate::documents::paper::source_words;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;

/// A value to write down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// What is measured.
    pub what: String,
    /// What it must be.
    pub limit: String,
    /// Where the limit comes from and how it is known.
    pub source: Source,
}

impl Measure {
    /// A value with its limit.
    pub fn new<W: Into<String>, L: Into<String>>(what: W, limit: L, source: Source) -> Self {
        Self { what: what.into(), limit: limit.into(), source }
    }
}

/// What is measured wherever BS 7671 is followed; the sources say how well each limit is known.
pub fn usual_measures() -> Vec<Measure> {
    let practice = |text: &'static str| Source::new(text, Evidence::Practice);
    vec![
        Measure::new(
            "Proved dead before work, instrument proved before and after",
            "dead",
            practice("custom of the trade"),
        ),
        Measure::new(
            "Insulation resistance at 500 V d.c., MΩ",
            "at least 1.0 MΩ",
            Source::new("BS 7671 table 64, quoted in an exam item", Evidence::ReadSecondary),
        ),
        Measure::new(
            "Earth continuity of the body (class I), Ω",
            "at most 0.1 Ω and the resistance of the conductor",
            Source::new("not looked up in the standard", Evidence::Memory),
        ),
        Measure::new("Polarity", "correct", practice("custom of the trade")),
        Measure::new(
            "Rated residual current of the RCD, mA",
            "at most 30 mA",
            Source::new("BS 7671 701.411.3.3", Evidence::ReadSecondary),
        ),
        Measure::new(
            "Trip time of the RCD, ms, and its type",
            "the limit of its product standard",
            practice("the instrument or the standard gives the limit of the type fitted"),
        ),
        Measure::new("Fuse or breaker fitted, A", "as in part 4", practice("this sheet")),
        Measure::new("Fluid poured in, l", "as in part 5", practice("this sheet")),
        Measure::new(
            "Hottest surface after the first heating, °C",
            "as told to the household",
            practice("this sheet"),
        ),
    ]
}

pub(super) fn blocks(measures: &[Measure]) -> Vec<Block> {
    let row = |measure: &Measure| {
        let limit = Cell::Noted(
            measure.limit.clone(),
            format!("Source: {}.", source_words(&measure.source)),
        );
        vec![Cell::text(&measure.what), limit, Cell::Blank, Cell::Tick]
    };
    if measures.is_empty() {
        return Vec::new();
    }
    vec![Block::Table(Table {
        caption: "To be measured and written down".to_owned(),
        columns: vec![
            Column::text("What", 3.0),
            Column::text("Must be", 2.8),
            Column::text("Measured", 1.7),
            Column::text("In order", 1.0),
        ],
        rows: measures.iter().map(row).collect(),
    })]
}

//! The care sheet for the household: use, heat, drying, what to check when something is wrong, the right replacement.
//!
//! It sends the reader to an electrician before anything is opened. Absent here: repairs, and what the maker has to say
//! of his own goods.

use crate::documents::page::Block;
use crate::documents::page::Caution;
use crate::documents::page::Cell;
use crate::documents::page::Column;
use crate::documents::page::Page;
use crate::documents::page::Pair;
use crate::documents::page::Table;
use crate::documents::paper::Customer;
use crate::documents::paper::Guarantee;
use crate::documents::paper::Identity;
use crate::documents::paper::Paper;
use crate::documents::paper::Seller;
use crate::documents::paper::section;
use crate::documents::paper::stated;
use crate::domain::quote::sheet::CareFigures;
use crate::domain::quote::sheet::Replacement;
use crate::domain::quote::sheet::SetPoint;

/// What a care sheet shows.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CareSheet {
    /// Who sells.
    pub seller: Seller,
    /// Who buys.
    pub customer: Customer,
    /// Which quote it belongs to.
    pub identity: Identity,
    /// The room.
    pub room: String,
    /// The rail: name and part number of body and element.
    pub rail: String,
    /// Temperature, users, and what to order when the element has failed.
    pub figures: CareFigures,
    /// Cautions of the quote that a household should know.
    pub cautions: Vec<String>,
    /// The seller's guarantee.
    pub guarantee: Guarantee,
}

/// What is seen, what may be checked, and what then.
const TROUBLES: [[&str; 3]; 6] = [
    [
        "It stays cold",
        "Is the connection unit switched on? Does the time switch or thermostat ask for heat at the moment? Does another \
         thing on the same circuit work?",
        "Switch off. An electrician checks fuse, supply and element.",
    ],
    [
        "It is half hot",
        "The uppermost tube stays cooler: that is air left on purpose. The element sits at the bottom, and heat rises.",
        "If much more than the top is cold, switch off: fluid may be missing. Do not top it up yourself.",
    ],
    [
        "It is noisy",
        "A tick while it warms up or cools down is the metal stretching. Look for a bracket that rubs.",
        "If it boils, bubbles or hums, switch off and call the fitter.",
    ],
    [
        "It leaks",
        "Switch off at the connection unit, dry your hands first. Put a bowl below; the fluid may be hot and may hold \
         additives: keep children and pets away.",
        "Leave it off until the fitter has been. An element without fluid is spoilt within moments.",
    ],
    [
        "It trips the breaker or the RCD",
        "Switch off at the connection unit. Reset once with the rail off.",
        "If it trips again only with the rail on, leave the rail off and call an electrician. Never reset again and \
         again.",
    ],
    [
        "The flex or the head is damaged",
        "Switch off. Do not touch bare metal or wires.",
        "An electrician decides whether the flex may be replaced or the element must be.",
    ],
];

impl Paper for CareSheet {
    fn page(&self) -> Page {
        let mut head = vec![Pair::new("Room", &self.room), Pair::new("Rail", &self.rail)];
        head.extend(self.customer.pairs());
        let mut blocks = vec![Block::Pairs(head), Block::Caution(self.caution())];
        blocks.extend(section("Every day", vec![Block::List(self.use_points())]));
        blocks.extend(section("Drying and cleaning", vec![Block::List(drying())]));
        blocks.extend(section("When something is wrong", troubles()));
        blocks.extend(section("The right replacement", self.figures.replacement.blocks()));
        blocks.extend(section("Guarantee", self.guarantee_blocks()));
        Page {
            title: "Care sheet".to_owned(),
            subtitle: format!("{} · keep it near the rail", self.room),
            sender: self.seller.letterhead(),
            footer: format!(
                "{} · Care sheet, {} · quote {}",
                self.seller.name,
                self.room,
                self.identity.name()
            ),
            blocks,
        }
    }
}

impl CareSheet {
    fn caution(&self) -> Caution {
        let surface = match self.figures.surface_max_c {
            Some(surface) => {
                format!("In use the rail may be as hot as {surface} °C: hot enough to hurt.")
            }
            None => "How hot the rail becomes was not stated: take it to be hot enough to burn."
                .to_owned(),
        };
        let mut texts = vec![surface];
        if self.figures.is_for_vulnerable {
            texts.push(
                "Small children, and people who feel or move with difficulty, must not be left alone with it. For them \
                 a surface of at most 43 °C is advised (HSE guidance, read second-hand)."
                    .to_owned(),
            );
        }
        texts.push(
            "Never open the rail, its element or the connection unit yourself: a licensed electrician does that."
                .to_owned(),
        );
        texts.push(
            "Where the rail may hang and how it is fed, the local wiring code and a licensed electrician decide."
                .to_owned(),
        );
        texts.extend(self.cautions.iter().cloned());
        Caution { title: "Caution".to_owned(), texts }
    }

    fn use_points(&self) -> Vec<String> {
        let regulation = match self.figures.regulation {
            Some(SetPoint { low_c, high_c }) if low_c == high_c => format!(
                "The maker has set it to {high_c} °C; it cannot be set otherwise. Switch it on and off at its control."
            ),
            Some(SetPoint { low_c, high_c }) => format!(
                "You set it between {low_c} and {high_c} °C. Lower is cheaper and gentler to the skin."
            ),
            None => "How its temperature is set was not stated: ask the seller.".to_owned(),
        };
        let more = [
            "Let it run only while towels dry or the room needs heat: a time switch saves most of the energy that a rail \
             left on all day uses.",
            "The first time, and after a long pause, it takes a while until all tubes are warm.",
        ];
        std::iter::once(regulation).chain(more.map(str::to_owned)).collect()
    }

    fn guarantee_blocks(&self) -> Vec<Block> {
        let mut blocks = self.guarantee.blocks();
        blocks.push(Block::Subheading("Record, to be filled in and kept with the bill".to_owned()));
        let entries = [
            "Date of purchase",
            "Date of first heating",
            "Fitted by",
            "Connected by (electrician)",
            "Fluid and litres",
            "Serial number of the element",
        ];
        blocks.push(Block::Pairs(entries.map(Pair::blank).into()));
        blocks
    }
}

impl Replacement {
    fn blocks(&self) -> Vec<Block> {
        let power = self.power_w.map(|power| format!("{power} W"));
        let length = self.length_mm.map(|length| format!("{length} mm in the tube"));
        let pairs = vec![
            Pair::new("Part number", stated(self.sku.as_ref())),
            Pair::new("Thread", stated(self.thread.as_ref())),
            Pair::new("Power", stated(power.as_ref())),
            Pair::new("Length", stated(length.as_ref())),
            Pair::new("Finish", stated(self.finish.as_ref())),
            Pair::new("Flex", stated(self.flex.as_ref())),
            Pair::new("IP code", stated(self.ip.as_ref())),
        ];
        let text = "When the element has failed, order one that agrees with every line below; more watts make the rail \
                    hotter, not better, and a longer element does not fit. A licensed electrician changes it.";
        vec![Block::Paragraph(text.to_owned()), Block::Pairs(pairs)]
    }
}

fn drying() -> Vec<String> {
    let points = [
        "One layer of towel on each tube dries fastest; a rail wholly covered gives little heat to the room.",
        "Hang only fabric washed in water. Nothing soaked in solvent, oil or paint.",
        "Do not climb on it, hang anything heavy on it, or lean against it.",
        "Clean it cold, with a soft damp cloth and mild soap; no scouring, no acid, no jet of water.",
    ];
    points.map(str::to_owned).into()
}

fn troubles() -> Vec<Block> {
    vec![Block::Table(Table {
        caption: "What you may check yourself, and when to stop".to_owned(),
        columns: vec![
            Column::text("What you see", 1.4),
            Column::text("Check", 3.0),
            Column::text("Then", 2.6),
        ],
        rows: TROUBLES.map(|row| row.map(Cell::text).into()).into(),
    })]
}

//! Small random catalogues with a question each: few values, so that prices tie and parts nearly fit.
//!
//! A case is made from a seed alone. Requirement and budget are set a hair beside what the catalogue can just do.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "small counts, and lists with something in them"
)]

mod parts;
mod question;
mod rules;

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use jiff::civil::date;
use rungwright::domain::catalogue::Connection;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::Market;
use rungwright::domain::catalogue::PriceList;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Terms;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::money::Currency;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::resolver::Demands;

use crate::oracle::Answer;
use crate::oracle::Ask;
use crate::oracle::answers;

pub(crate) use question::Question;

/// Random numbers from a seed (splitmix64, Steele, Lea and Flood 2014, from memory): the same on every machine.
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A number below a limit.
    pub(crate) fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next().rem_euclid(u64::try_from(limit).unwrap())).unwrap()
    }

    /// One of several; written twice is twice as likely.
    pub(crate) fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())].clone()
    }

    /// Whether something of so many percent happens.
    pub(crate) fn happens(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// A value in so many percent of cases.
    pub(crate) fn maybe<T: Clone>(&mut self, percent: usize, from: &[T]) -> Option<T> {
        let value = self.pick(from);
        self.happens(percent).then_some(value)
    }

    /// The same things in another order.
    pub(crate) fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            let other = self.below(last + 1);
            things.swap(last, other);
        }
    }
}

/// A catalogue and a question put to it.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    pub catalogue: Catalogue,
    pub question: Question,
}

impl Case {
    /// The case of a seed.
    pub(crate) fn of(seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        let catalogue = compiled(content(&mut dice));
        let question = question::random(&mut dice);
        let mut case = Self { catalogue, question };
        question::sharpen(&mut dice, &mut case);
        case
    }

    pub(crate) const fn edition(&self) -> &Edition {
        self.catalogue.edition()
    }

    /// The price list of the question's market.
    pub(crate) fn list(&self) -> &PriceList {
        self.edition().price_list(&self.question.market, date(2026, 3, 1)).unwrap()
    }

    /// The question as the resolver takes it.
    pub(crate) fn demands(&self) -> Demands<'_> {
        self.question.demands(self.edition())
    }

    /// What the oracle says to these demands.
    pub(crate) fn oracle(&self, demands: &Demands<'_>) -> Vec<Answer> {
        answers(Ask { edition: self.edition(), list: self.list(), demands })
    }
}

/// A content as a catalogue; the generator makes no faults.
pub(crate) fn compiled(content: EditionContent) -> Catalogue {
    Catalogue::compile(Edition::new(1, content).unwrap())
}

fn content(dice: &mut Dice) -> EditionContent {
    let finishes = &["black", "chrome", "white"][..2 + dice.below(2)];
    let accessories = parts::accessories(dice, finishes);
    let mut content = EditionContent {
        bodies: parts::bodies(dice, finishes, &accessories),
        elements: parts::elements(dice, finishes),
        controls: parts::controls(dice, finishes),
        accessories,
        attributes: rules::attributes(),
        rules: rules::rules(dice),
        listed_pairs: rules::listed_pairs(dice),
        thread_matings: rules::thread_matings(),
        finishes: finishes.iter().map(|finish| ((*finish).into(), (*finish).into())).collect(),
        markets: markets(),
        price_lists: Vec::new(),
        terms: Terms::default(),
        wiring_rules: Vec::new(),
        samples: Vec::new(),
    };
    content.price_lists = markets().iter().map(|market| prices(dice, &content, market)).collect();
    content
}

fn markets() -> Vec<Market> {
    let market = |code: &str, currency, rate, rules: &str, connection| Market {
        code: code.into(),
        currency,
        tax_rate: TaxRate::new(rate),
        tax_source: invented(),
        language: "en".into(),
        wiring_rules: rules.into(),
        connection,
        connection_source: invented(),
        regions: Vec::new(),
    };
    let unit = Connection::FusedConnectionUnit;
    vec![
        market("de", Currency::EUR, 1_900, "de-2025", Connection::CircuitBreaker),
        market("gb", Currency::GBP, 2_000, "gb-bs7671", unit),
        market("ie", Currency::EUR, 2_300, "ie-is10101", unit),
    ]
}

/// Prices of few values, now and then none at all, nothing, or a fraction of a penny.
fn prices(dice: &mut Dice, content: &EditionContent, market: &Market) -> PriceList {
    let mut prices = BTreeMap::new();
    let mut set = |sku: &Sku, pounds: &[i64]| {
        let fraction = dice.pick(&[0, 0, 0, 0, 0, 0, 0, 1_250, 50]);
        let price = UnitPrice::new(dice.pick(pounds) * 10_000 + fraction);
        if !dice.happens(4) {
            prices.insert(sku.clone(), price);
        }
    };
    content.bodies.iter().for_each(|body| set(&body.card.sku, &[100, 100, 110]));
    content.elements.iter().for_each(|element| set(&element.card.sku, &[40, 50, 50]));
    content.controls.iter().for_each(|control| set(&control.card.sku, &[0, 10, 10, 20, 20, 25]));
    content.accessories.iter().for_each(|found| set(&found.card.sku, &[2, 5, 5, 10, 20, 40]));
    PriceList {
        code: market.code.clone(),
        market: market.code.clone(),
        currency: market.currency,
        valid_from: date(2026, 1, 1),
        valid_to: None,
        prices,
    }
}

const fn invented() -> Source {
    Source::new("made up for a test", Evidence::Invented)
}

/// A set of words.
fn words(words: &[&str]) -> BTreeSet<Box<str>> {
    words.iter().map(|word| (*word).into()).collect()
}

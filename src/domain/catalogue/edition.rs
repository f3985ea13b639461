//! One immutable edition: everything sorted by part number, every reference checked.

mod rule_faults;

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::domain::thread::Thread;
use crate::domain::thread::ThreadSide;
use crate::domain::zones::rules::WiringRules;

use super::accessory::Accessory;
use super::body::Body;
use super::control::Control;
use super::element::Element;
use super::fault::Fault;
use super::market::Market;
use super::market::PriceList;
use super::mating::ThreadMating;
use super::part::Card;
use super::rule::AttributeName;
use super::rule::ListedPair;
use super::rule::Rule;
use super::sample::SampleRequest;
use super::sku::PartKind;
use super::sku::Sku;
use super::terms;
use super::terms::Terms;
use super::terms::Tier;
use super::typing::typed_attribute;
use super::value::Value;
use super::value::ValueType;
use super::wiring;

/// The keeper's own attribute, declared before any part or rule may use it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttributeDeclaration {
    /// Whose attribute, and its name.
    pub attribute: AttributeName,
    /// Type of its values.
    pub value_type: ValueType,
    /// Unit of a number, empty otherwise.
    pub unit: Box<str>,
}

/// What an edition is made of, as loaded and not yet checked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EditionContent {
    /// Bodies.
    pub bodies: Vec<Body>,
    /// Elements.
    pub elements: Vec<Element>,
    /// Controls.
    pub controls: Vec<Control>,
    /// Accessories.
    pub accessories: Vec<Accessory>,
    /// The keeper's own attributes.
    pub attributes: Vec<AttributeDeclaration>,
    /// Compatibility rules.
    pub rules: Vec<Rule>,
    /// Rows of the pair tables.
    pub listed_pairs: Vec<ListedPair>,
    /// Rows of the thread mating table.
    pub thread_matings: Vec<ThreadMating>,
    /// Known finishes, with the words people use for them.
    pub finishes: BTreeMap<Box<str>, Box<str>>,
    /// Markets.
    pub markets: Vec<Market>,
    /// Price lists.
    pub price_lists: Vec<PriceList>,
    /// Terms of sale.
    pub terms: Terms,
    /// Wiring rules of countries. None at all: those of the program stand in, and answers say so.
    pub wiring_rules: Vec<WiringRules>,
    /// Sample requests.
    pub samples: Vec<SampleRequest>,
}

/// A part of an edition by kind and place in the sorted list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PartRef {
    /// Which list.
    pub kind: PartKind,
    /// Place in it.
    pub index: usize,
}

/// One immutable catalogue, sorted and checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Edition {
    number: u32,
    content: EditionContent,
    index: BTreeMap<Sku, PartRef>,
    rules_of: BTreeMap<Concerned, Vec<usize>>,
}

/// The kinds of part that a rule is about, the earlier of [`PartKind::ALL`] first.
type Concerned = (PartKind, Option<PartKind>);

impl Edition {
    /// The edition of a content, or **every** fault in it.
    pub fn new(number: u32, mut content: EditionContent) -> Result<Self, Vec<Fault>> {
        content.bodies.sort_by(|left, right| left.card.sku.cmp(&right.card.sku));
        content.elements.sort_by(|left, right| left.card.sku.cmp(&right.card.sku));
        content.controls.sort_by(|left, right| left.card.sku.cmp(&right.card.sku));
        content.accessories.sort_by(|left, right| left.card.sku.cmp(&right.card.sku));
        content.rules.sort_by(|left, right| left.code.cmp(&right.code));
        content.listed_pairs.sort();
        content.markets.sort_by(|left, right| left.code.cmp(&right.code));
        content.price_lists.sort_by(|left, right| {
            (&left.market, left.valid_from, &left.code).cmp(&(
                &right.market,
                right.valid_from,
                &right.code,
            ))
        });
        content.terms.sort();
        content.wiring_rules.sort_by(|left, right| left.id.cmp(&right.id));
        content.samples.sort();
        let rules_of = sorted_out(&content.rules);
        let mut edition = Self { number, content, index: BTreeMap::new(), rules_of };
        let mut faults = edition.fill_index();
        faults.extend(edition.part_faults());
        faults.extend(edition.rule_faults());
        faults.extend(edition.price_faults());
        faults.extend(edition.sample_faults());
        let EditionContent { terms, markets, price_lists, wiring_rules, .. } = &edition.content;
        faults.extend(wiring::faults(wiring_rules, markets));
        let terms = terms::faults(terms, markets, price_lists).into_iter();
        faults.extend(terms.map(|sentence| Fault::Terms(sentence.into())));
        faults.sort();
        if faults.is_empty() { Ok(edition) } else { Err(faults) }
    }

    /// Its number.
    pub const fn number(&self) -> u32 {
        self.number
    }

    /// Bodies by part number.
    pub fn bodies(&self) -> &[Body] {
        &self.content.bodies
    }

    /// Elements by part number.
    pub fn elements(&self) -> &[Element] {
        &self.content.elements
    }

    /// Controls by part number.
    pub fn controls(&self) -> &[Control] {
        &self.content.controls
    }

    /// Accessories by part number.
    pub fn accessories(&self) -> &[Accessory] {
        &self.content.accessories
    }

    /// Rules by code.
    pub fn rules(&self) -> &[Rule] {
        &self.content.rules
    }

    /// Rules by code that are about these two kinds, in either order, or about one kind alone.
    pub fn rules_of(&self, kinds: (PartKind, Option<PartKind>)) -> impl Iterator<Item = &Rule> {
        let places = self.rules_of.get(&ordered(kinds)).into_iter().flatten();
        places.filter_map(|place| self.content.rules.get(*place))
    }

    /// Everything it holds, as it was loaded and sorted.
    pub const fn content(&self) -> &EditionContent {
        &self.content
    }

    /// Whether a pair stands in a table.
    pub fn lists_pair(&self, pair: &ListedPair) -> bool {
        self.content.listed_pairs.binary_search(pair).is_ok()
    }

    /// The row of the mating table for two threads, whichever is the external one.
    pub fn thread_mating(&self, left: Thread, right: Thread) -> Option<&ThreadMating> {
        let (external, internal) = match left.side() {
            ThreadSide::External => (left, right),
            ThreadSide::Internal => (right, left),
        };
        let joins = |row: &&ThreadMating| {
            row.external == external.form() && row.internal == internal.form()
        };
        self.content.thread_matings.iter().find(joins)
    }

    /// The finishes that bodies have.
    pub fn body_finishes(&self) -> BTreeSet<&str> {
        self.bodies().iter().map(|body| &*body.finish).collect()
    }

    /// Whether some part may have this finish.
    pub fn knows_finish(&self, finish: &str) -> bool {
        self.content.finishes.contains_key(finish)
    }

    /// The part of a number.
    pub fn find(&self, sku: &Sku) -> Option<PartRef> {
        self.index.get(sku).copied()
    }

    /// The body of a number.
    pub fn body(&self, sku: &Sku) -> Option<&Body> {
        self.content.bodies.get(self.position(sku, PartKind::Body)?)
    }

    /// The element of a number.
    pub fn element(&self, sku: &Sku) -> Option<&Element> {
        self.content.elements.get(self.position(sku, PartKind::Element)?)
    }

    /// The control of a number.
    pub fn control(&self, sku: &Sku) -> Option<&Control> {
        self.content.controls.get(self.position(sku, PartKind::Control)?)
    }

    /// The accessory of a number.
    pub fn accessory(&self, sku: &Sku) -> Option<&Accessory> {
        self.content.accessories.get(self.position(sku, PartKind::Accessory)?)
    }

    /// Place of a part in the list of its kind.
    pub fn position(&self, sku: &Sku, kind: PartKind) -> Option<usize> {
        self.find(sku).filter(|part| part.kind == kind).map(|part| part.index)
    }

    /// The card of a part.
    pub fn card(&self, part: PartRef) -> Option<&Card> {
        match part.kind {
            PartKind::Body => self.bodies().get(part.index).map(|body| &body.card),
            PartKind::Element => self.elements().get(part.index).map(|element| &element.card),
            PartKind::Control => self.controls().get(part.index).map(|control| &control.card),
            PartKind::Accessory => self.accessories().get(part.index).map(|found| &found.card),
        }
    }

    /// An attribute of a part; absent when the part does not state it.
    pub fn attribute(&self, part: PartRef, name: &str) -> Option<Value> {
        match part.kind {
            PartKind::Body => self.bodies().get(part.index)?.attribute(name),
            PartKind::Element => self.elements().get(part.index)?.attribute(name),
            PartKind::Control => self.controls().get(part.index)?.attribute(name),
            PartKind::Accessory => self.accessories().get(part.index)?.attribute(name),
        }
    }

    /// How many parts of a kind there are.
    pub fn count(&self, kind: PartKind) -> usize {
        match kind {
            PartKind::Body => self.bodies().len(),
            PartKind::Element => self.elements().len(),
            PartKind::Control => self.controls().len(),
            PartKind::Accessory => self.accessories().len(),
        }
    }

    /// The market of a code.
    pub fn market(&self, code: &str) -> Option<&Market> {
        self.content.markets.iter().find(|market| &*market.code == code)
    }

    /// The terms of sale.
    pub const fn terms(&self) -> &Terms {
        &self.content.terms
    }

    /// The retail price list of a market that holds on a day: the one that began last.
    pub fn price_list(&self, market: &str, day: Date) -> Option<&PriceList> {
        self.price_list_of(Tier::Retail, market, day)
    }

    /// Wiring rules by stable name; none when the edition leaves them to the program.
    pub fn wiring_rules(&self) -> &[WiringRules] {
        &self.content.wiring_rules
    }

    /// The price list of a tier and market that holds on a day. A tier without a list of its own has none.
    pub fn price_list_of(&self, tier: Tier, market: &str, day: Date) -> Option<&PriceList> {
        let of_market = |list: &&PriceList| {
            &*list.market == market
                && list.holds_on(day)
                && self.content.terms.tier(&list.code) == tier
        };
        self.content.price_lists.iter().rev().find(of_market)
    }

    /// Every part, kind by kind, in order of part number.
    pub fn parts(&self) -> impl Iterator<Item = PartRef> {
        let of_kind = |kind| (0..self.count(kind)).map(move |index| PartRef { kind, index });
        PartKind::ALL.into_iter().flat_map(of_kind)
    }

    fn fill_index(&mut self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for part in self.parts().collect::<Vec<_>>() {
            let Some(sku) = self.card(part).map(|card| card.sku.clone()) else { continue };
            if self.index.insert(sku.clone(), part).is_some() {
                faults.push(Fault::DuplicateSku(sku));
            }
        }
        faults
    }

    fn part_faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for part in self.parts() {
            let Some(card) = self.card(part) else { continue };
            let undeclared = card
                .attributes
                .iter()
                .filter(|(name, value)| self.declared(part.kind, name) != Some(value.value_type()));
            faults.extend(undeclared.map(|(name, _)| Fault::UndeclaredAttribute {
                sku: card.sku.clone(),
                attribute: name.clone(),
            }));
            if let Some(Value::Text(finish)) = self.attribute(part, "finish")
                && !self.knows_finish(&finish)
            {
                faults.push(Fault::UnknownFinish { sku: card.sku.clone(), finish });
            }
        }
        for body in self.bodies() {
            let unknown = body.included.iter().filter(|row| self.accessory(&row.sku).is_none());
            faults.extend(unknown.map(|row| Fault::UnknownIncluded {
                body: body.card.sku.clone(),
                included: row.sku.clone(),
            }));
        }
        faults
    }

    fn declared(&self, kind: PartKind, name: &str) -> Option<ValueType> {
        let is_it = |row: &&AttributeDeclaration| {
            row.attribute.kind == kind && &*row.attribute.name == name
        };
        self.content.attributes.iter().find(is_it).map(|row| row.value_type)
    }

    /// The type of an attribute: a part's own, or as the keeper declared it.
    pub fn attribute_type(&self, attribute: &AttributeName) -> Option<ValueType> {
        let AttributeName { kind, name } = attribute;
        typed_attribute(*kind, name).or_else(|| self.declared(*kind, name))
    }

    fn sample_faults(&self) -> Vec<Fault> {
        let pairs = self.content.samples.windows(2);
        let twice = pairs.filter_map(|pair| match pair {
            [first, second] if first.name == second.name => Some(first.name.clone()),
            _ => None,
        });
        twice.map(Fault::DuplicateSample).collect()
    }

    fn price_faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for list in &self.content.price_lists {
            let market = self.market(&list.market);
            if market.is_none_or(|market| market.currency != list.currency) {
                faults.push(Fault::UnknownMarket(list.code.clone()));
            }
            let unknown = list.prices.keys().filter(|sku| self.find(sku).is_none());
            faults.extend(
                unknown
                    .map(|sku| Fault::UnknownPriced { list: list.code.clone(), sku: sku.clone() }),
            );
        }
        faults
    }
}

fn ordered((kind, other): (PartKind, Option<PartKind>)) -> Concerned {
    match other {
        Some(other) if other < kind => (other, Some(kind)),
        Some(_) | None => (kind, other),
    }
}

/// The places of rules by the kinds that they are about.
fn sorted_out(rules: &[Rule]) -> BTreeMap<Concerned, Vec<usize>> {
    let mut sorted: BTreeMap<Concerned, Vec<usize>> = BTreeMap::new();
    for (place, rule) in rules.iter().enumerate() {
        sorted.entry(ordered(rule.kinds())).or_default().push(place);
    }
    sorted
}

//! Prices of pairs from the compiled catalogue: controls by class, accessories by body and by what decides about them.
#![expect(
    clippy::indexing_slicing,
    reason = "places within the snapshot, and ways of which there are so many"
)]

use std::collections::BTreeMap;

use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::query::Query;
use crate::domain::resolver::question::Question;
use crate::domain::resolver::question::Shed;
use crate::domain::resolver::question::control_wish;
use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Index;

use super::pricing::NOTHING;
use super::pricing::Nets;
use super::pricing::Pricing;
use super::pricing::WAYS;

/// Which elements take the same accessories.
#[derive(Debug)]
pub(super) struct Supplies {
    /// By element of the snapshot: equal numbers, equal accessories in any one body.
    numbers: Vec<usize>,
    count: usize,
}

impl Supplies {
    /// Those of a snapshot.
    pub(super) fn of(index: &Index) -> Self {
        let mut known = BTreeMap::new();
        let number = |row: &ElementRow| {
            let next = known.len();
            // The dose goes by the fluid that the element displaces.
            *known.entry((row.accessory_class, row.displacement_ml)).or_insert(next)
        };
        let numbers = index.elements.iter().map(number).collect();
        Self { numbers, count: known.len() }
    }
}

/// How a way asks for accessories and controls.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// Place among the questions about accessories.
    accessories: usize,
    /// Where the controls table answers.
    controls: Option<usize>,
}

/// One wall space.
#[derive(Debug)]
pub(super) struct LaidOut<'a> {
    index: &'a Index,
    supplies: &'a Supplies,
    /// Without wishes.
    bare: Question<'a>,
    /// About accessories; nothing where a kind cannot be had at all.
    questions: Vec<Option<Question<'a>>>,
    ways: Vec<Way>,
    /// By element of the snapshot, whether it meets the demands on it alone.
    usable: Vec<bool>,
    /// The body at hand, where it is sold and meets the demands on it alone.
    slot: Option<usize>,
    shed: Shed,
    /// Price of the body's accessories in each way, by supply.
    known: Vec<Option<Nets>>,
}

impl<'a> LaidOut<'a> {
    /// Prices for a query without wishes and for demands with them; nothing where no pair could be finished.
    pub(super) fn new(
        query: &Query<'a>,
        demands: &'a [Demands<'a>],
        (index, supplies): (&'a Index, &'a Supplies),
    ) -> Option<Self> {
        let bare = Question::new(query, (index, 1))?;
        let mut asked: Vec<&'a Demands<'a>> = Vec::new();
        let mut ways = Vec::new();
        for way in demands {
            let is_alike = |other: &&Demands<'_>| is_alike(other, way);
            let known = asked.iter().position(is_alike);
            let accessories = known.unwrap_or(asked.len());
            if known.is_none() {
                asked.push(way);
            }
            ways.push(Way { accessories, controls: index.controls.place_of(control_wish(way)) });
        }
        let question = |way| Question::new(&Query { demands: way, ..*query }, (index, 1));
        let questions = asked.into_iter().map(question);
        let questions = questions.collect();
        let usable = index.elements.iter().map(|row| bare.element_meets(row)).collect();
        let known = vec![None; supplies.count];
        let (slot, shed) = (None, Shed::default());
        Some(Self { index, supplies, bare, questions, ways, usable, slot, shed, known })
    }

    /// The pair of the body and an element, if it works here.
    fn pair(&mut self, element: usize) -> Option<Together<'a>> {
        let slot = self.slot?;
        let place = self.index.element_slots[element].filter(|place| self.usable[*place])?;
        let (body, row) = (&self.index.bodies[slot], &self.index.elements[place]);
        let delivered = self.bare.delivered(body, row, &mut self.shed)?;
        let works = self.bare.required <= delivered && self.bare.fluid_passes(body, row);
        works.then_some(Together { slot, body, element: row, supply: self.supplies.numbers[place] })
    }

    /// Net prices of the accessories of a pair, by question.
    fn accessories(&mut self, pair: &Together<'_>) -> Nets {
        if let Some(known) = self.known[pair.supply] {
            return known;
        }
        let mut nets = [NOTHING; WAYS];
        for (net, question) in nets.iter_mut().zip(&self.questions) {
            let asked = question.as_ref();
            let found =
                asked.and_then(|asked| asked.accessories_net((pair.slot, pair.body), pair.element));
            *net = found.unwrap_or(NOTHING);
        }
        self.known[pair.supply] = Some(nets);
        nets
    }

    fn net(&self, pair: &Together<'_>, way: Way, accessories: &Nets) -> i64 {
        let (body, element) = (pair.body, pair.element);
        let table = &self.index.controls;
        let set = way
            .controls
            .and_then(|wish| table.set(wish, body.control_class, element.control_class));
        let controls = set.map_or(NOTHING, |set| set.net);
        [element.net, accessories[way.accessories], controls]
            .into_iter()
            .fold(body.net, i64::saturating_add)
    }
}

/// A pair that works.
#[derive(Debug, Clone, Copy)]
struct Together<'a> {
    slot: usize,
    body: &'a BodyRow,
    element: &'a ElementRow,
    supply: usize,
}

fn is_alike(left: &Demands<'_>, right: &Demands<'_>) -> bool {
    let asked = |demands: &Demands<'_>| {
        let wished = &demands.preferences;
        (wished.flex_cover, wished.accessories.clone())
    };
    asked(left) == asked(right)
}

impl Pricing for LaidOut<'_> {
    const WORK: usize = 1;

    fn begin(&mut self, body: usize) {
        let Index { bodies, body_slots, .. } = self.index;
        self.slot = body_slots[body].filter(|slot| self.bare.body_meets(&bodies[*slot]));
        self.shed = Shed::default();
        if self.slot.is_some() {
            self.known.fill(None);
        }
    }

    fn standing(&mut self, element: usize) -> i64 {
        let Some(pair) = self.pair(element) else { return NOTHING };
        let accessories = self.accessories(&pair);
        self.net(&pair, self.ways[0], &accessories)
    }

    fn all(&mut self, element: usize) -> Nets {
        let mut nets = [NOTHING; WAYS];
        let Some(pair) = self.pair(element) else { return nets };
        let accessories = self.accessories(&pair);
        for (net, way) in nets.iter_mut().zip(&self.ways) {
            *net = self.net(&pair, *way, &accessories);
        }
        nets
    }
}

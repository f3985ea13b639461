//! Prices of pairs by completing them: for any catalogue, any place. Slower than the compiled one and just as exact.
//!
//! Where no rule rows join controls with accessories the two are priced apart, and remembered by what decides about them.

use std::collections::BTreeMap;

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::RuleIndex;
use crate::domain::compatibility::flex_route;
use crate::domain::money::Minor;
use crate::domain::resolver::completion::accessories_net;
use crate::domain::resolver::completion::complete;
use crate::domain::resolver::controls::Remembered;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::pairs::Pair;
use crate::domain::resolver::pairs::body_meets;
use crate::domain::resolver::pairs::pair;
use crate::domain::resolver::pairs::usable_elements;
use crate::domain::resolver::query::Query;
use crate::domain::units::Millimetres;

use super::pricing::NOTHING;
use super::pricing::Nets;
use super::pricing::Pricing;
use super::pricing::WAYS;

/// One wall space.
#[derive(Debug)]
pub(super) struct OneByOne<'a> {
    bare: Query<'a>,
    ways: Vec<Way<'a>>,
    /// Net price by element, where it is sold and meets the demands on it alone.
    elements: Vec<Option<Minor>>,
    /// The body at hand, where it is sold and meets the demands on it alone.
    body: Option<(PartRef, Minor)>,
    /// Nothing where rule rows join controls with accessories.
    apart: Option<Apart>,
}

/// A query with wishes, and the controls found for it.
type Way<'a> = (Query<'a>, Remembered);

/// The number of an element, and the route of the flex.
type Supply = (usize, Option<Millimetres>);

/// Prices of controls and of accessories, found once for whatever shares them.
#[derive(Debug)]
struct Apart {
    /// By body and by element: equal numbers, equal controls.
    controlled: [Vec<usize>; 2],
    /// By element: equal numbers, equal accessories in any one body and at one route of the flex.
    supplied: Vec<usize>,
    /// By the two numbers.
    controls: BTreeMap<[usize; 2], Nets>,
    /// Of the body at hand, by number and route.
    accessories: BTreeMap<Supply, Nets>,
}

impl Apart {
    fn new(rules: &RuleIndex, edition: &Edition) -> Option<Self> {
        if rules.joins(PartKind::Control, PartKind::Accessory) {
            return None;
        }
        let bodies = (0..edition.bodies().len()).map(|index| {
            rules.signature(PartRef { kind: PartKind::Body, index }, PartKind::Control)
        });
        let elements = || {
            let elements = edition.elements().iter().enumerate();
            elements.map(|(index, element)| (PartRef { kind: PartKind::Element, index }, element))
        };
        let driven = elements().map(|(part, element)| {
            let watts = element.watts.value().to_bits();
            (rules.signature(part, PartKind::Control), element.control.code, watts)
        });
        // The dose goes by the fluid that the element displaces.
        let supplied = elements().map(|(part, element)| {
            (rules.signature(part, PartKind::Accessory), element.shape.displacement_ml)
        });
        Some(Self {
            controlled: [numbered(bodies), numbered(driven)],
            supplied: numbered(supplied),
            controls: BTreeMap::new(),
            accessories: BTreeMap::new(),
        })
    }

    /// Net prices by way of the controls and the accessories of a pair, summed.
    fn nets(&mut self, ways: &mut [Way<'_>], pair: &Pair) -> Option<Nets> {
        let (standing, _) = ways.first()?;
        let edition = standing.catalogue.edition();
        let body = edition.bodies().get(pair.body.index)?;
        let element = edition.elements().get(pair.element.index)?;
        let [of_bodies, of_elements] = &self.controlled;
        let key = [*of_bodies.get(pair.body.index)?, *of_elements.get(pair.element.index)?];
        let route = flex_route(body, element, &standing.demands.surroundings);
        let supply = (*self.supplied.get(pair.element.index)?, route);
        let controls = *self.controls.entry(key).or_insert_with(|| {
            each(ways, |(query, remembered)| {
                Some(remembered.controls(query, (pair, element), false).first()?.net)
            })
        });
        let accessories = self.accessories.entry(supply);
        let accessories =
            accessories.or_insert_with(|| each(ways, |(query, _)| accessories_net(query, pair)));
        let mut nets = controls;
        for (net, more) in nets.iter_mut().zip(accessories) {
            *net = net.saturating_add(*more);
        }
        Some(nets)
    }
}

/// A price by way.
fn each<F: FnMut(&mut Way<'_>) -> Option<Minor>>(ways: &mut [Way<'_>], mut price: F) -> Nets {
    let mut nets = [NOTHING; WAYS];
    for (net, way) in nets.iter_mut().zip(ways) {
        *net = price(way).map_or(NOTHING, Minor::value);
    }
    nets
}

/// Numbers for keys: equal keys, equal numbers.
fn numbered<K: Ord, I: Iterator<Item = K>>(keys: I) -> Vec<usize> {
    let mut known = BTreeMap::new();
    let number = |key| {
        let next = known.len();
        *known.entry(key).or_insert(next)
    };
    keys.map(number).collect()
}

impl<'a> OneByOne<'a> {
    /// Prices for demands without wishes, completed by demands with them.
    pub(super) fn new(query: &Query<'a>, bare: &'a Demands<'a>, ways: &'a [Demands<'a>]) -> Self {
        let asking = |demands| Query { demands, ..*query };
        let bare = asking(bare);
        let ways = ways.iter().map(|demands| (asking(demands), Remembered::default()));
        let edition = query.catalogue.edition();
        let mut elements = vec![None; edition.elements().len()];
        for (part, net) in usable_elements(&bare) {
            if let Some(place) = elements.get_mut(part.index) {
                *place = Some(net);
            }
        }
        let apart = Apart::new(query.catalogue.index(), edition);
        Self { bare, ways: ways.collect(), elements, body: None, apart }
    }

    fn pair(&self, element: usize) -> Option<Pair> {
        let (part, body_net) = self.body?;
        let net = body_net.plus((*self.elements.get(element)?)?).ok()?;
        let body = self.bare.catalogue.edition().bodies().get(part.index)?;
        let other = PartRef { kind: PartKind::Element, index: element };
        pair(&self.bare, body, part, other).map(|pair| Pair { net, ..pair })
    }

    fn completed(&mut self, element: usize) -> Option<Nets> {
        let pair = self.pair(element)?;
        let Some(apart) = &mut self.apart else {
            return Some(each(&mut self.ways, |(query, remembered)| {
                complete(query, &pair, remembered).map(|done| done.net)
            }));
        };
        let mut nets = apart.nets(&mut self.ways, &pair)?;
        for net in &mut nets {
            *net = net.saturating_add(pair.net.value());
        }
        Some(nets)
    }
}

impl Pricing for OneByOne<'_> {
    /// A shape is placed in a drawn room in the time of many quick steps.
    const WORK: usize = 100;

    fn begin(&mut self, body: usize) {
        let part = PartRef { kind: PartKind::Body, index: body };
        let found = self.bare.catalogue.edition().bodies().get(body);
        let meets = found.is_some_and(|found| body_meets(self.bare.demands, found));
        self.body = self.bare.net(part, 1).filter(|_| meets).map(|net| (part, net));
        if let Some(apart) = &mut self.apart {
            apart.accessories.clear();
        }
    }

    fn standing(&mut self, element: usize) -> i64 {
        let [net, ..] = self.all(element);
        net
    }

    fn all(&mut self, element: usize) -> Nets {
        self.completed(element).unwrap_or([NOTHING; WAYS])
    }
}

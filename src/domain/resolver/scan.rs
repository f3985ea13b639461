//! One rail: the order of bodies scanned up to the price that still counts.
//!
//! Exact: the order's price is the least that a rail with the body can cost, what is added is the least of any, and
//! the scan stops only when the two exceed the last price kept, so bills of equal price are all seen. Whatever the
//! lanes let through is checked again on the values themselves.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "places within the orders and menus of the snapshot, counted up"
)]

use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Lanes;

use super::allowance::Nodes;
use super::best::Best;
use super::best::Bundle;
use super::best::Rail;
use super::question::Question;
use super::question::Shed;
use super::sought::RAILS_MAX;

/// A rail that meets every demand but the requirement.
#[derive(Debug, Clone, Copy)]
pub(super) struct Offered {
    pub rail: Rail,
    pub net: i64,
    pub delivered: i64,
    pub width: i32,
}

/// Looks for bills of one rail.
pub(super) fn scan(question: &Question<'_>, best: &mut Best, nodes: &mut Nodes<'_>) {
    let index = question.index;
    let Some(step) = index.step_for(question.required) else { return };
    let Some(order) = index.orders.get(step) else { return };
    let Some(element) = question.cheapest_element(question.required) else { return };
    let element = element.saturating_add(question.extras_least);
    let limit = Lanes::pack(question.body_limits).guarded();
    let mut firsts = Firsts::new(question, question.required, step);
    for (place, (lanes, least)) in order.lanes.iter().zip(&order.least).enumerate() {
        if !limit.admits(*lanes) {
            continue;
        }
        let least = least.saturating_add(question.added_least);
        if best.bound() < least {
            return;
        }
        let slot = order.body(place);
        if best.bound() < index.bases[slot].saturating_add(element) {
            continue;
        }
        let body = &index.bodies[slot];
        let Some(first) = firsts.of(question, body.menu) else { continue };
        let asked = Asked { slot, body, required: question.required, first };
        let bound = best.bound();
        let seen = rails(question, &asked, bound, best);
        nodes.spend(seen);
        if nodes.is_spent() {
            nodes.leave(least);
            return;
        }
    }
}

/// A body asked for rails.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub slot: usize,
    pub body: &'a BodyRow,
    pub required: i64,
    /// The first entry of its menu with an element that meets the demands on it alone.
    pub first: usize,
}

/// The first entry of each menu with an element that has the watts and meets the demands on it alone, found when it is
/// first asked for: bodies share menus, and no menu is begun anew.
#[derive(Debug)]
pub(super) struct Firsts {
    step: usize,
    limit: Guarded,
    /// By menu: nought is not known yet, one less is the entry.
    known: Vec<usize>,
}

/// A menu on which nothing meets the demands.
const NOTHING: usize = usize::MAX;

impl Firsts {
    /// Nothing known yet.
    pub(super) fn new(question: &Question<'_>, required: i64, step: usize) -> Self {
        let limit = question.any_element_limit(required);
        Self { step, limit, known: vec![0; question.menus.count()] }
    }

    /// The first entry of a menu; nothing when no element on it will do.
    pub(super) fn of(&mut self, question: &Question<'_>, menu: usize) -> Option<usize> {
        if self.known[menu] == 0 {
            let menus = question.menus;
            let mut entries = menus.entries(menu, self.step);
            let first = entries.find(|entry| {
                self.limit.admits(menus.lanes(*entry))
                    && question.element_meets(&question.index.elements[menus.slot(*entry)])
            });
            self.known[menu] = first.map_or(NOTHING, |first| first + 1);
        }
        let known = self.known[menu];
        (known != NOTHING).then(|| known - 1)
    }
}

/// Who takes the rails of a body.
pub(super) trait Taker {
    /// Whether a rail that costs at least this and delivers at most that may matter.
    fn wants(&self, least: i64, most: i64) -> bool;
    /// Takes a rail; says above which price none is wanted any more.
    fn take(&mut self, offered: Offered) -> i64;
}

impl Taker for Best {
    fn wants(&self, _least: i64, _most: i64) -> bool {
        true
    }

    fn take(&mut self, offered: Offered) -> i64 {
        self.offer(Bundle::single(&offered));
        self.bound()
    }
}

/// Hands every rail with a body, by the price of the element, to a taker as long as it can cost no more than a bound,
/// which the taker may lower. Says how many pairs were looked at, the body itself counted.
pub(super) fn rails<T: Taker>(
    question: &Question<'_>,
    asked: &Asked<'_>,
    mut bound: i64,
    taker: &mut T,
) -> usize {
    let index = question.index;
    let body = asked.body;
    if !question.body_meets(body) {
        return 1;
    }
    let mut seen = 1;
    let mut known = Known::default();
    let fixed = index.bases[asked.slot].saturating_add(question.extras_least);
    let first = &index.elements[question.menus.slot(asked.first)];
    if bound < fixed.saturating_add(first.net).saturating_add(question.controls_least) {
        return seen;
    }
    let limit = question.element_limit(body, asked.required);
    for entry in asked.first..question.menus.end(body.menu) {
        if !limit.admits(question.menus.lanes(entry)) {
            continue;
        }
        let element = &index.elements[question.menus.slot(entry)];
        if bound < fixed.saturating_add(element.net).saturating_add(question.controls_least) {
            break;
        }
        if !question.element_meets(element) {
            continue;
        }
        let least = fixed.saturating_add(question.element_least(element));
        if bound < least || !taker.wants(least, element.rating) {
            continue;
        }
        seen += 1;
        let Some(delivered) = question.delivered(body, element, &mut known.shed) else { continue };
        if delivered < asked.required || !taker.wants(least, delivered) {
            continue;
        }
        let net = price(question, asked, element, &mut known).filter(|net| *net <= bound);
        let Some(net) = net.filter(|_| question.fluid_passes(body, element)) else { continue };
        let rail = Rail { body: asked.slot, element: element.index };
        bound = taker.take(Offered { rail, net, delivered, width: body.width });
    }
    seen
}

/// A class of elements and what the accessories cost with it.
type ClassPrice = (usize, Option<i64>);

/// What has been worked out for a body.
#[derive(Default)]
struct Known {
    shed: Shed,
    /// Price of the accessories with elements of a class.
    accessories: Option<ClassPrice>,
}

/// Net price of a finished rail; nothing when a part of it cannot be had.
fn price(
    question: &Question<'_>,
    asked: &Asked<'_>,
    element: &ElementRow,
    known: &mut Known,
) -> Option<i64> {
    let (body, class) = (asked.body, element.accessory_class);
    let remembered = known.accessories.filter(|(of, _)| *of == class);
    let accessories = if let Some((_, net)) = remembered {
        net
    } else {
        let net = question.accessories_net((asked.slot, body), element);
        if question.is_one_price(asked.slot, class) {
            known.accessories = Some((class, net));
        }
        net
    };
    let controls = question.controls_net(body, element)?;
    body.net.checked_add(element.net)?.checked_add(accessories?)?.checked_add(controls)
}

impl Bundle {
    /// The bill of one rail.
    pub(super) fn single(offered: &Offered) -> Self {
        let rails = [offered.rail, Rail::default(), Rail::default()];
        const { assert!(RAILS_MAX == 3, "as many rails as an array of them holds") };
        Self { net: offered.net, count: 1, delivered: offered.delivered, rails }
    }
}

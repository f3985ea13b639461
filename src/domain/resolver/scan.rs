//! One rail: the orders of bodies walked up to the price that still counts.
//!
//! Exact: the order's price is the least that a rail with the body can cost, what is added is the least of any, and
//! the scan stops only when the two exceed the last price kept, so bills of equal price are all seen. Whatever the
//! lanes let through is checked again on the values themselves.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "places within the orders and menus of the snapshot, counted up"
)]

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::Stand;

use super::allowance::Nodes;
use super::best::Best;
use super::best::Bundle;
use super::best::Rail;
use super::narrowed::Narrowed;
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

/// Looks for bills of one rail, in the finish first where the least that one costs is lowest.
pub(super) fn scan(question: &Question<'_>, best: &mut Best, nodes: &mut Nodes<'_>) {
    let index = question.index;
    let Some(step) = index.step_for(question.required) else { return };
    let rated = question.rated_limit(question.required, question.shed_most);
    let leasts = index.finish_leasts.of_step(step).iter().zip(index.finish_leasts.of_rated(rated));
    let finishes = question.finishes();
    let mut waiting = Vec::with_capacity(finishes.len());
    let asked = leasts.enumerate().skip(finishes.start).take(finishes.len());
    waiting.extend(asked.filter_map(|(finish, (with_watts, with_output))| {
        let least = *with_watts.max(with_output);
        let total = least.saturating_add(question.added_least);
        (least < i64::MAX && total <= best.bound()).then_some(Reverse((total, finish)))
    }));
    // Most finishes are never reached, so they are not sorted.
    let mut waiting = BinaryHeap::from(waiting);
    while let Some(Reverse((least, finish))) = waiting.pop() {
        if best.bound() < least {
            return;
        }
        if nodes.is_spent() {
            nodes.leave(least);
            return;
        }
        if let Some(narrowed) = Narrowed::new(question, finish) {
            scan_finish(&narrowed, step, best, nodes);
        }
    }
}

fn scan_finish(narrowed: &Narrowed<'_>, step: usize, best: &mut Best, nodes: &mut Nodes<'_>) {
    let question = narrowed.question;
    let required = question.required;
    let Some(order) = narrowed.shelf.order(step) else { return };
    let limits = narrowed.element_limits(required);
    let limit = Lanes::pack(narrowed.limits(required)).guarded();
    let most = |bound: i64| bound.saturating_sub(question.added_least);
    let mut cheapest = [None; 2];
    let mut firsts = Firsts::default();
    order.walk((limit, most(best.bound())), |stand| {
        let bound = best.bound();
        let guard = usize::from(stand.is_guarded);
        // Many finishes are left before a body of theirs is met.
        let element = *cheapest[guard].get_or_insert_with(|| {
            let least = narrowed.cheapest_element((required, stand.is_guarded), limits[guard]);
            least.saturating_add(question.extras_least)
        });
        if bound < stand.base.saturating_add(element)
            || element == i64::MAX
            || narrowed.most_roughly(stand) < required
        {
            return most(bound);
        }
        let asked = Asked { stand, required, step, elements: limits[guard] };
        let seen = rails((question, &mut firsts), &asked, bound, best);
        nodes.spend(seen);
        if nodes.is_spent() {
            nodes.leave(stand.least.saturating_add(question.added_least));
            return i64::MIN;
        }
        most(best.bound())
    });
}

/// A body asked for rails.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub stand: &'a Stand,
    pub required: i64,
    /// The step from which its menu is read.
    pub step: usize,
    /// Limits on elements in any body that has a guard, or none, as this one.
    pub elements: Guarded,
}

/// Where on each menu the first element stands that is within the limits and meets the demands on it alone.
///
/// Many bodies of a finish share a menu, and what is asked of an element by itself is the same for all of them.
#[derive(Debug)]
pub(super) struct Firsts([First; MENUS_KNOWN]);

/// A menu and its first element.
type First = (u32, Option<usize>);

/// How many menus are remembered at a time; a power of two.
const MENUS_KNOWN: usize = 16;

impl Default for Firsts {
    fn default() -> Self {
        Self([(u32::MAX, None); MENUS_KNOWN])
    }
}

impl Firsts {
    fn of(&mut self, question: &Question<'_>, asked: &Asked<'_>) -> Option<usize> {
        let key = asked.stand.menu_key();
        let place = usize::try_from(key).unwrap_or_default() & (MENUS_KNOWN - 1);
        let (known, remembered) = self.0[place];
        if known == key {
            return remembered;
        }
        let (index, menus) = (question.index, question.menus);
        let first = menus.entries(asked.stand.menu(), asked.step).find(|entry| {
            let element = &index.elements[menus.slot(*entry)];
            // The highest price is that of an element whose controls are not to be had.
            asked.elements.admits(menus.lanes(*entry))
                && question.element_meets(element)
                && question.element_least(element) < i64::MAX
        });
        self.0[place] = (key, first);
        first
    }
}

/// Who takes the rails of a body.
pub(super) trait Taker {
    /// Whether a rail that costs at least this and delivers at most that may matter.
    fn wants(&mut self, least: i64, most: i64) -> bool;
    /// Hears that a rail was left out because it costs more than the bound.
    fn leave_out(&mut self);
    /// Takes a rail; says above which price none is wanted any more.
    fn take(&mut self, offered: Offered) -> i64;
}

impl Taker for Best {
    fn wants(&mut self, _least: i64, _most: i64) -> bool {
        true
    }

    fn leave_out(&mut self) {}

    fn take(&mut self, offered: Offered) -> i64 {
        self.offer(Bundle::single(&offered));
        self.bound()
    }
}

/// Hands every rail with a body, by the price of the element, to a taker as long as it can cost no more than a bound,
/// which the taker may lower. Says how many pairs were looked at, the body itself counted.
pub(super) fn rails<T: Taker>(
    (question, firsts): (&Question<'_>, &mut Firsts),
    asked: &Asked<'_>,
    mut bound: i64,
    taker: &mut T,
) -> usize {
    let (index, menus) = (question.index, question.menus);
    let fixed = asked.stand.base.saturating_add(question.extras_least);
    let least_with = |element: &ElementRow| {
        fixed.saturating_add(element.net).saturating_add(question.controls_least)
    };
    // Most bodies have no affordable element, which shows before a power is worked out.
    let Some(first) = firsts.of(question, asked) else { return 1 };
    if bound < least_with(&index.elements[menus.slot(first)]) {
        taker.leave_out();
        return 1;
    }
    let body = &index.bodies[asked.stand.body()];
    if !question.body_meets(body) {
        return 1;
    }
    let mut seen = 1;
    let mut known = Known::default();
    let limit = question.element_limit(body, asked.required);
    for entry in first..menus.end(asked.stand.menu()) {
        if !limit.admits(menus.lanes(entry)) {
            continue;
        }
        let element = &index.elements[menus.slot(entry)];
        if bound < least_with(element) {
            taker.leave_out();
            break;
        }
        if !question.element_meets(element) {
            continue;
        }
        let least = fixed.saturating_add(question.element_least(element));
        if bound < least {
            taker.leave_out();
            continue;
        }
        if !taker.wants(least, element.rating) {
            continue;
        }
        seen += 1;
        let Some(delivered) = question.delivered(body, element, &mut known.shed) else { continue };
        if delivered < asked.required || !taker.wants(least, delivered) {
            continue;
        }
        let net = price(question, (asked.stand.body(), body), element, &mut known);
        let Some(net) = net.filter(|_| question.fluid_passes(body, element)) else { continue };
        if bound < net {
            taker.leave_out();
            continue;
        }
        let rail = Rail { body: asked.stand.body(), element: element.index };
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
    (slot, body): (usize, &BodyRow),
    element: &ElementRow,
    known: &mut Known,
) -> Option<i64> {
    let class = element.accessory_class;
    let remembered = known.accessories.filter(|(of, _)| *of == class);
    let accessories = if let Some((_, net)) = remembered {
        net
    } else {
        let net = question.accessories_net((slot, body), element);
        if question.is_one_price(slot, class) {
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

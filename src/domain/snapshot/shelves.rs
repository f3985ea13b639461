//! What there is of one finish: its bodies in their orders, and the elements that any of them takes.
//!
//! Rails of one bill share a finish, and rules mostly pair elements with finishes: so a bound worked out on one shelf is
//! much nearer to the truth than one on the whole catalogue. Its elements are those on the shortest menus. An element left
//! out there is beaten by one of the same watts that costs no more, is no cooler and meets each demand that the other
//! meets, so the cheapest and the hottest of those that meet a demand are never missing.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "places made here, fewer than u32 holds"
)]

use fixedbitset::FixedBitSet;

use super::Index;
use super::RANKS;
use super::lanes::Lanes;
use super::lanes::ordered;
use super::orders::Order;
use super::orders::Stand;
use super::rows::Protection;

/// The bodies and elements of a finish.
#[derive(Debug, Clone, Default)]
pub(crate) struct Shelf {
    /// Its bodies, by step of wattage.
    orders: Vec<Order>,
    /// Whether a body of it has a guard, behind which set points are as made.
    has_guard: bool,
    /// The highest rating of its elements, tenths of a watt.
    strongest: i64,
    /// The least price of a body up to each rank of the rated output.
    rated_leasts: Vec<i64>,
    /// Elements in order of price and part number.
    by_price: Vec<Listed>,
    /// The same from the hottest down, by protection.
    by_heat: [Vec<Listed>; Protection::ALL.len()],
    /// Where in the order of price the first element of a kind stands, by protection and rank of its rating.
    by_price_firsts: [[Vec<u32>; Protection::ALL.len()]; KINDS],
    /// Where from the hottest down the first element of a kind stands, by protection.
    by_heat_firsts: [[u32; Protection::ALL.len()]; KINDS],
}

/// Elements of any kind, those with a fixed set point, those with an adjustable one.
pub(crate) type ElementKind = Option<bool>;

/// How many kinds there are.
const KINDS: usize = 3;

const EVERY_KIND: [ElementKind; KINDS] = [None, Some(true), Some(false)];

const fn kind_index(is_fixed: ElementKind) -> usize {
    match is_fixed {
        None => 0,
        Some(true) => 1,
        Some(false) => 2,
    }
}

/// An element on a shelf.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Listed {
    lanes: Lanes,
    slot: u32,
}

impl Listed {
    /// Lanes of the element.
    pub(crate) const fn lanes(&self) -> Lanes {
        self.lanes
    }

    /// Place of the element among the snapshot's.
    pub(crate) const fn slot(&self) -> usize {
        self.slot as usize
    }
}

impl Shelf {
    /// Its bodies in the order of a step.
    pub(crate) fn order(&self, step: usize) -> Option<&Order> {
        self.orders.get(step)
    }

    /// Whether a body of it has a guard, behind which set points are as made.
    pub(crate) const fn has_guard(&self) -> bool {
        self.has_guard
    }

    /// Its elements in order of price, from the first of a kind that works under a protection and whose rating ranks no
    /// further than a limit.
    pub(crate) fn by_price_from(
        &self,
        (kind, protection): (ElementKind, Protection),
        limit: u8,
    ) -> &[Listed] {
        let firsts = &self.by_price_firsts[kind_index(kind)][protection.place()];
        let first =
            firsts.get(usize::from(limit)).map_or(self.by_price.len(), |first| *first as usize);
        &self.by_price[first..]
    }

    /// Its elements from the hottest down as a protection lets them work, from the first of a kind.
    pub(crate) fn by_heat_from(&self, kind: ElementKind, protection: Protection) -> &[Listed] {
        let first = self.by_heat_firsts[kind_index(kind)][protection.place()];
        &self.by_heat[protection.place()][first as usize..]
    }

    /// The highest rating of its elements, tenths of a watt.
    pub(crate) const fn strongest(&self) -> i64 {
        self.strongest
    }

    /// The least price of a rail in the order of a step.
    pub(super) fn least(&self, step: usize) -> Option<i64> {
        self.orders.get(step)?.least()
    }

    /// The least price of a rail whose body's rated output ranks no further than a limit.
    pub(super) fn rated_least(&self, limit: usize) -> Option<i64> {
        self.rated_leasts.get(limit).copied()
    }

    /// Memory it takes.
    pub(crate) fn heap_bytes(&self) -> usize {
        let listed = self.by_heat.iter().chain([&self.by_price]);
        let listed = listed.map(|list| size_of_val(list.as_slice())).sum::<usize>();
        let orders = self.orders.iter().map(Order::heap_bytes).sum::<usize>();
        let firsts = self.by_price_firsts.iter().flatten();
        let firsts = firsts.map(|ranks| size_of_val(ranks.as_slice())).sum::<usize>();
        listed + firsts + orders + size_of_val(self.rated_leasts.as_slice())
    }
}

/// The shelves of all finishes, from rows and menus.
pub(super) fn shelves(index: &Index) -> Vec<Shelf> {
    let [menus, ..] = &index.menus;
    let strongest = |menu| menus.strongest(menu);
    let lanes: Vec<Lanes> =
        index.bodies.iter().map(|row| index.body_ranks.lanes(row, strongest(row.menu))).collect();
    let mut bodies: Vec<Vec<usize>> = vec![Vec::new(); index.finishes.len()];
    for (place, row) in index.bodies.iter().enumerate() {
        bodies[row.finish].push(place);
    }
    bodies.iter().map(|bodies| shelf(index, bodies, &lanes)).collect()
}

fn shelf(index: &Index, bodies: &[usize], lanes: &[Lanes]) -> Shelf {
    let orders: Vec<Order> =
        (0..index.steps.len()).map(|step| Order::of(stands(index, bodies, step), lanes)).collect();
    let by_price = elements(index, bodies);
    let by_heat = Protection::ALL.map(|protection| {
        let mut hottest = by_price.clone();
        let heat = |listed: &Listed| {
            ordered(-index.elements[listed.slot()].set_points[protection.place()])
        };
        hottest.sort_by_key(heat);
        hottest
    });
    let has_guard = bodies.iter().any(|place| index.bodies[*place].is_guarded);
    let rated_leasts = rated_leasts(index, orders.first());
    let ratings = by_price.iter().map(|listed| index.elements[listed.slot()].rating);
    let strongest = ratings.max().unwrap_or_default();
    let by_price_firsts = EVERY_KIND
        .map(|kind| Protection::ALL.map(|protection| firsts(index, &by_price, (kind, protection))));
    let by_heat_firsts = EVERY_KIND.map(|kind| {
        Protection::ALL.map(|protection| {
            let listed = &by_heat[protection.place()];
            let first = listed.iter().position(|listed| is_kind(index, listed, kind));
            first.unwrap_or(listed.len()) as u32
        })
    });
    Shelf {
        orders,
        has_guard,
        strongest,
        rated_leasts,
        by_price,
        by_heat,
        by_price_firsts,
        by_heat_firsts,
    }
}

fn is_kind(index: &Index, listed: &Listed, kind: ElementKind) -> bool {
    kind.is_none_or(|is_fixed| index.elements[listed.slot()].is_fixed == is_fixed)
}

/// Where among elements the first of a kind stands that works under a protection, by the highest rank of its rating.
fn firsts(
    index: &Index,
    by_price: &[Listed],
    (kind, protection): (ElementKind, Protection),
) -> Vec<u32> {
    let mut firsts = vec![by_price.len() as u32; RANKS];
    for (place, listed) in by_price.iter().enumerate().rev() {
        let row = &index.elements[listed.slot()];
        let works = f64::NEG_INFINITY < row.set_points[protection.place()];
        if works && is_kind(index, listed, kind) {
            firsts[usize::from(index.element_ranks.rating.rank(-row.rating))] = place as u32;
        }
    }
    for rank in 1..RANKS {
        firsts[rank] = firsts[rank].min(firsts[rank - 1]);
    }
    firsts
}

/// The bodies that can have the watts of a step, with the least that each then costs.
fn stands(index: &Index, bodies: &[usize], step: usize) -> Vec<Stand> {
    // The cheapest with the watts is on the menus of every band.
    let [menus, ..] = &index.menus;
    let stand = |place: &usize| {
        let (row, base) = (&index.bodies[*place], index.bases[*place]);
        let element = &index.elements[menus.slot(menus.entries(row.menu, step).next()?)];
        let least = base.saturating_add(element.net);
        let strongest = menus.strongest(row.menu);
        (least < i64::MAX).then(|| Stand::new((*place, row), [least, base], strongest))
    };
    bodies.iter().filter_map(stand).collect()
}

/// The elements on any menu of some bodies, by price.
fn elements(index: &Index, bodies: &[usize]) -> Vec<Listed> {
    let [menus, ..] = &index.menus;
    let mut known = FixedBitSet::with_capacity(menus.count());
    let mut found = FixedBitSet::with_capacity(index.elements.len());
    for place in bodies {
        let menu = index.bodies[*place].menu;
        if !known.put(menu) {
            found.extend(menus.all(menu).map(|entry| menus.slot(entry)));
        }
    }
    // Elements are in order of price already.
    let listed = |slot: usize| Listed { lanes: index.element_lanes[slot], slot: slot as u32 };
    found.ones().map(listed).collect()
}

fn rated_leasts(index: &Index, order: Option<&Order>) -> Vec<i64> {
    let mut leasts = vec![i64::MAX; RANKS];
    for stand in order.into_iter().flat_map(Order::stands) {
        let rank = usize::from(index.body_ranks.rated_rank(&index.bodies[stand.body()]));
        leasts[rank] = stand.least.min(leasts[rank]);
    }
    for rank in 1..RANKS {
        leasts[rank] = leasts[rank].min(leasts[rank - 1]);
    }
    leasts
}

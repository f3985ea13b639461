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

    /// Its elements in order of price.
    pub(crate) fn by_price(&self) -> &[Listed] {
        &self.by_price
    }

    /// Its elements from the hottest down, as a protection lets them work.
    pub(crate) fn by_heat(&self, protection: Protection) -> &[Listed] {
        &self.by_heat[protection.place()]
    }

    /// The highest rating of its elements, tenths of a watt.
    pub(crate) const fn strongest(&self) -> i64 {
        self.strongest
    }

    /// The least price of a rail in the order of a step.
    pub(crate) fn least(&self, step: usize) -> Option<i64> {
        self.orders.get(step)?.least()
    }

    /// The least price of a rail whose body's rated output ranks no further than a limit.
    pub(crate) fn rated_least(&self, limit: u8) -> Option<i64> {
        self.rated_leasts.get(usize::from(limit)).copied().filter(|least| *least < i64::MAX)
    }

    /// Memory it takes.
    pub(crate) fn heap_bytes(&self) -> usize {
        let listed = self.by_heat.iter().chain([&self.by_price]);
        let listed = listed.map(|list| size_of_val(list.as_slice())).sum::<usize>();
        let orders = self.orders.iter().map(Order::heap_bytes).sum::<usize>();
        listed + orders + size_of_val(self.rated_leasts.as_slice())
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
    Shelf { orders, has_guard, strongest, rated_leasts, by_price, by_heat }
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

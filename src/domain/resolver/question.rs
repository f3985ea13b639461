//! A request as a snapshot sees it: limits on lanes for the scan, exact values for the check, what is added to a rail.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "bounded lengths and prices; kinds of accessory index tables of kinds"
)]

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Amount;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Side;
use crate::domain::compatibility::CHILD_HEIGHT;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::FLEX_SLACK;
use crate::domain::compatibility::fluid_passes;
use crate::domain::compatibility::pair_fill;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::RATED_EXCESS;
use crate::domain::emission::delivered_output;
use crate::domain::money::Minor;
use crate::domain::pricing::Total;
use crate::domain::snapshot::BodyRow;
use crate::domain::snapshot::ControlWish;
use crate::domain::snapshot::ElementRow;
use crate::domain::snapshot::Guarded;
use crate::domain::snapshot::Index;
use crate::domain::snapshot::Lanes;
use crate::domain::snapshot::Menus;
use crate::domain::snapshot::Protection;
use crate::domain::snapshot::kind_place;
use crate::domain::snapshot::ordered;
use crate::domain::snapshot::zone_bit;
use crate::domain::units::Deciwatts;
use crate::domain::units::Kelvins;
use crate::domain::units::Millimetres;
use crate::domain::units::Watts;

use super::demands::Demands;
use super::demands::RegulationWish;
use super::query::Query;

/// Kinds of accessory.
pub(super) const KINDS: usize = AccessoryKind::ALL.len();

/// A request put to a snapshot.
#[derive(Debug)]
pub(super) struct Question<'a> {
    pub index: &'a Index,
    /// The menus for as many options as are wanted.
    pub menus: &'a Menus,
    pub catalogue: &'a Catalogue,
    pub demands: &'a Demands<'a>,
    /// Least that must be delivered, tenths of a watt; nothing asked is nought.
    pub required: i64,
    pub protection: Protection,
    /// Number of the finish.
    pub finish: Option<usize>,
    /// Highest hang under which children are safe.
    pub hang_max: Option<i32>,
    /// Bit of the zone; nought when none is asked.
    pub zone: u16,
    /// Limits on the lanes of a body.
    pub body_limits: [u8; 8],
    /// Limits on the lanes of an element, before a body is known.
    pub element_limits: [u8; 8],
    /// Where the controls table answers the wish.
    pub wish: usize,
    pub extras: Extras,
    /// Least that wishes add to any rail.
    pub extras_least: i64,
    /// Least that controls add to any rail.
    pub controls_least: i64,
    /// Least that wishes and controls add to any rail.
    pub added_least: i64,
    /// Least that controls cost, by class of elements.
    control_leasts: &'a [i64],
    /// Most that may be spent, net.
    pub net_max: i64,
    /// The share of its rated output that the best body sheds here; infinite where nothing switches off.
    pub shed_most: f64,
}

/// What is wished for beyond a body's own needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Extras {
    wished: [u32; KINDS],
    /// The route of the flex that is to be covered.
    cover: Option<Millimetres>,
    /// Whether wishes change the body's own needs.
    is_own_changed: bool,
    is_any: bool,
}

/// The lane of the rated output, of the finish and its mirror.
pub(super) const RATED: usize = 3;
const FINISH: usize = 6;
const FINISH_BACK: usize = 7;
/// Watts below the requirement that the filters let through, so that rounding never costs an answer.
const SLACK: f64 = 1e-3;
/// Relative rounding that never hides an answer.
const NOISE: f64 = 1e-9;
/// Kelvins below the needed set point that the filter lets through.
const SLACK_K: f64 = 1e-2;

impl<'a> Question<'a> {
    /// The question of a request; nothing when the snapshot holds no part that could answer it.
    pub(super) fn new(query: &Query<'a>, index: &'a Index) -> Option<Self> {
        let demands = query.demands;
        let surroundings = &demands.surroundings;
        let place = &surroundings.place;
        let wished_finish = demands.preferences.finish.as_ref();
        let finish = match wished_finish {
            Some(finish) => Some(index.finishes.binary_search(finish).ok()?),
            None => None,
        };
        let wish = index.controls.place_of(ControlWish {
            regime: demands.regime().regime,
            time_control: demands.preferences.time_control,
            wall_control: demands.preferences.wall_control,
        })?;
        let top = place.wall_bottom.zip(place.wall_height);
        let top = top.filter(|_| surroundings.users.children);
        let hang_max = top.map(|(bottom, height)| {
            bottom.value().saturating_add(height.value()).saturating_sub(CHILD_HEIGHT.value())
        });
        let mut question = Question {
            index,
            menus: index.menus_for(demands.options_max),
            catalogue: query.catalogue,
            demands,
            required: demands.required.map_or(0, Deciwatts::value).max(0),
            protection: Protection::of(surroundings.users),
            finish,
            hang_max,
            zone: place.zone.map_or(0, |zone| zone_bit(zone, place.water_jets)),
            body_limits: Lanes::OPEN,
            element_limits: Lanes::OPEN,
            wish,
            extras: Extras::new(demands),
            extras_least: 0,
            controls_least: index.controls.least(wish),
            added_least: 0,
            control_leasts: index.controls.element_leasts(wish),
            net_max: net_max(query),
            shed_most: 0.0,
        };
        question.shed_most = question.find_shed_most();
        question.body_limits = question.limit_bodies();
        question.element_limits = question.limit_elements();
        question.extras_least = question.find_extras_least(query.catalogue.edition())?;
        question.added_least = question.extras_least.saturating_add(question.controls_least);
        Some(question)
    }

    fn limit_bodies(&self) -> [u8; 8] {
        let ranks = &self.index.body_ranks;
        let place = &self.demands.surroundings.place;
        let mut limits = Lanes::OPEN;
        if let Some(wall) = place.wall_width {
            limits[0] = ranks.width.rank(i64::from(wall.value()));
        }
        if let Some(wall) = place.wall_height {
            let head = self.index.extremes.head_least;
            limits[1] = ranks.height.rank(i64::from(wall.value()) - i64::from(head));
        }
        if let Some(hang) = self.hang_max {
            limits[2] = ranks.hang.rank(i64::from(hang));
        }
        limits[RATED] = self.rated_limit(self.required);
        match place.side {
            Side::Left => limits[4] = 0,
            Side::Right => limits[5] = 0,
            Side::Either => {}
        }
        if let Some(finish) = self.finish {
            [limits[FINISH], limits[FINISH_BACK]] = self.finish_limits(finish);
        }
        limits
    }

    /// Limits on the two lanes of the finish that let one finish through.
    pub(super) fn finish_limits(&self, finish: usize) -> [u8; 2] {
        let ranks = &self.index.body_ranks;
        let finish = i64::try_from(finish).unwrap_or(i64::MAX);
        [ranks.finish.rank(finish), ranks.finish_back.rank(-finish)]
    }

    /// The limits for bodies of one finish that need not meet the requirement alone.
    pub(super) fn limits_of_finish(&self, finish: usize) -> [u8; 8] {
        let mut limits = self.body_limits;
        limits[RATED] = Lanes::OPEN[RATED];
        [limits[FINISH], limits[FINISH_BACK]] = self.finish_limits(finish);
        limits
    }

    /// The most that a body can deliver here with any element, tenths of a watt; never too little.
    pub(super) fn most_delivered(&self, body: &BodyRow) -> i64 {
        let hottest = self.hottest();
        let strongest = self.menus.strongest(body.menu);
        if hottest == f64::INFINITY {
            return strongest;
        }
        let excess = hottest - self.demands.surroundings.room.value();
        let shed = self.emitter(body).output(Kelvins::new(excess)).value();
        strongest.min(Watts::new(shed * (1.0_f64 + NOISE)).delivered().value())
    }

    /// [`Question::most_delivered`] without working out a power, and coarser.
    pub(super) fn most_roughly(&self, body: &BodyRow) -> i64 {
        let strongest = self.menus.strongest(body.menu);
        let shed = body.emitter.rated.value() * self.shed_most;
        strongest.min(Watts::new(shed * (1.0_f64 + NOISE)).delivered().value())
    }

    /// The hottest set point that any element has for these users.
    fn hottest(&self) -> f64 {
        let extremes = &self.index.extremes;
        let hottest = extremes.set_points[self.protection.place()];
        if extremes.has_guard { hottest.max(extremes.set_points[0]) } else { hottest }
    }

    /// The share of its rated output that the best body sheds at the hottest set point; infinite without one.
    fn find_shed_most(&self) -> f64 {
        let surroundings = &self.demands.surroundings;
        let extremes = &self.index.extremes;
        let ratio = (self.hottest() - surroundings.room.value()) / RATED_EXCESS.value();
        if ratio <= 0.0_f64 || ratio.is_infinite() {
            return f64::max(ratio, 0.0);
        }
        let powers = [extremes.exponent_least, extremes.exponent_most];
        let [low, high] = powers.map(|exponent| libm::pow(ratio, exponent));
        surroundings.towels_factor * low.max(high)
    }

    /// The limit on the rated output of bodies that can deliver so much here, at the hottest set point there is.
    pub(super) fn rated_limit(&self, required: i64) -> u8 {
        if required <= 0 || self.shed_most == f64::INFINITY {
            return Lanes::OPEN[RATED];
        }
        if self.shed_most <= 0.0_f64 {
            return self.index.body_ranks.rated.rank(i64::MIN);
        }
        let watts = Deciwatts::new(required).watts() - SLACK;
        let rated = watts / self.shed_most;
        self.index.body_ranks.rated.rank(ordered(-(rated * (1.0_f64 - NOISE))))
    }

    fn limit_elements(&self) -> [u8; 8] {
        let ranks = &self.index.element_ranks;
        let mut limits = Lanes::OPEN;
        limits[0] = ranks.rating.rank(-self.required);
        if let Some(route) = self.demands.surroundings.place.connection_distance {
            limits[4] = ranks.flex.rank(-i64::from(route.value()) - i64::from(FLEX_SLACK.value()));
        }
        match self.demands.preferences.regulation {
            RegulationWish::Fixed => limits[6] = 0,
            RegulationWish::Adjustable => limits[7] = 0,
            RegulationWish::Either => {}
        }
        limits
    }

    /// Net price of the cheapest element that has the watts and meets every demand on it alone; nothing when none does.
    /// With the controls that it needs at least.
    pub(super) fn cheapest_element(&self, required: i64) -> Option<i64> {
        let limit = self.any_element_limit(required);
        let both = self.index.element_lanes.iter().zip(&self.index.elements);
        let mut cheapest = i64::MAX;
        for (lanes, row) in both {
            if cheapest <= row.net.saturating_add(self.controls_least) {
                break;
            }
            if limit.admits(*lanes) && self.element_meets(row) {
                cheapest = self.element_least(row).min(cheapest);
            }
        }
        (cheapest < i64::MAX).then_some(cheapest)
    }

    /// Hands over the rating and the least price of every element that meets the demands on it alone, and the least
    /// that those not yet handed over cost, until told to stop.
    pub(super) fn each_element<F: FnMut(i64, i64, i64) -> bool>(&self, mut sink: F) {
        let limit = self.any_element_limit(0);
        for (lanes, row) in self.index.element_lanes.iter().zip(&self.index.elements) {
            let next = row.net.saturating_add(self.controls_least);
            if limit.admits(*lanes)
                && self.element_meets(row)
                && !sink(row.rating, self.element_least(row), next)
            {
                return;
            }
        }
    }

    /// The limits on elements in any body.
    pub(super) fn any_element_limit(&self, required: i64) -> Guarded {
        let mut limits = self.element_limits;
        let ranks = &self.index.element_ranks;
        limits[0] = ranks.rating.rank(-required);
        if !self.index.extremes.has_guard {
            limits[1 + self.protection.place()] = ranks.set_points.rank(ordered(-f64::MIN));
        }
        Lanes::pack(limits).guarded()
    }

    /// The least that an element and its controls cost.
    pub(super) fn element_least(&self, element: &ElementRow) -> i64 {
        element.net.saturating_add(self.control_leasts[element.control_class])
    }

    /// Which users count for a body.
    pub(super) const fn protection_of(&self, body: &BodyRow) -> Protection {
        if body.is_guarded { Protection::Ordinary } else { self.protection }
    }

    /// The body as a giver of heat here.
    pub(super) const fn emitter(&self, body: &BodyRow) -> Emitter {
        Emitter { towels_factor: self.demands.surroundings.towels_factor, ..body.emitter }
    }

    /// The limits on elements in a body that must deliver so much.
    pub(super) fn element_limit(&self, body: &BodyRow, required: i64) -> Guarded {
        let ranks = &self.index.element_ranks;
        let surroundings = &self.demands.surroundings;
        let mut limits = self.element_limits;
        limits[0] = ranks.rating.rank(-required);
        if let Some(wall) = surroundings.place.wall_height {
            limits[5] = ranks.head.rank(i64::from(wall.value()) - i64::from(body.height));
        }
        let protection = self.protection_of(body);
        let least = if required <= 0 {
            f64::MIN
        } else {
            let shed = Watts::new(Deciwatts::new(required).watts() - SLACK);
            let excess = self.emitter(body).excess(shed).value();
            surroundings.room.value() + excess - SLACK_K
        };
        limits[1 + protection.place()] = ranks.set_points.rank(ordered(-least));
        Lanes::pack(limits).guarded()
    }

    /// Whether a body meets every demand on it alone.
    pub(super) fn body_meets(&self, body: &BodyRow) -> bool {
        let place = &self.demands.surroundings.place;
        self.finish.is_none_or(|finish| finish == body.finish)
            && place.wall_width.is_none_or(|wall| body.width <= wall.value())
            && self.hang_max.is_none_or(|hang| body.hang <= hang)
            && body.side.serves(place.side)
    }

    /// Whether an element meets every demand on it alone.
    pub(super) fn element_meets(&self, element: &ElementRow) -> bool {
        let regulation = match self.demands.preferences.regulation {
            RegulationWish::Either => true,
            RegulationWish::Fixed => element.is_fixed,
            RegulationWish::Adjustable => !element.is_fixed,
        };
        let route = self.demands.surroundings.place.connection_distance;
        let reaches = route
            .is_none_or(|route| route.value().saturating_add(FLEX_SLACK.value()) <= element.flex);
        regulation && reaches && element.zones & self.zone == self.zone
    }

    /// What a pair delivers, tenths of a watt; nothing when the two do not work here. The fluid is not looked at.
    ///
    /// What the body sheds at a set point is remembered, because many elements share one.
    pub(super) fn delivered(
        &self,
        body: &BodyRow,
        element: &ElementRow,
        shed: &mut Shed,
    ) -> Option<i64> {
        let surroundings = &self.demands.surroundings;
        let set_point = element.set_points[self.protection_of(body).place()];
        let wall = surroundings.place.wall_height;
        if set_point == f64::NEG_INFINITY
            || wall.is_some_and(|wall| wall.value() < body.height.saturating_add(element.head))
        {
            return None;
        }
        let full = Watts::new(f64::MAX);
        let given = shed.at(set_point, || {
            let drive = ElementDrive { watts: full, ..element.drive(set_point) };
            delivered_output(&self.emitter(body), drive, surroundings.room)
        });
        // The lower of the watts and what is shed, as the law of delivered output has it.
        let given = if given < element.watts { given } else { element.watts };
        Some(given.delivered().value())
    }

    /// Whether the fluid of a pair stays within its limits.
    pub(super) fn fluid_passes(&self, body: &BodyRow, element: &ElementRow) -> bool {
        if element.has_cut_out {
            return true;
        }
        let edition = self.catalogue.edition();
        let pair = edition.bodies().get(body.index).zip(edition.elements().get(element.index));
        let surroundings = &self.demands.surroundings;
        pair.is_some_and(|(rail, heater)| {
            fluid_passes(rail, heater, surroundings.room, surroundings.towels_factor)
        })
    }

    /// Whether accessories of a body cost the same with every element of a class.
    pub(super) fn is_one_price(&self, slot: usize, class: usize) -> bool {
        let [least, most] = self.index.own_needs[slot * self.index.element_classes + class];
        least == most && !self.extras.is_own_changed
    }

    /// Net price of the accessories of a pair; nothing when one cannot be had. Exact.
    pub(super) fn accessories_net(
        &self,
        (slot, body): (usize, &BodyRow),
        element: &ElementRow,
    ) -> Option<i64> {
        let class = element.accessory_class;
        let [least, most] = self.index.own_needs[slot * self.index.element_classes + class];
        if least == most && !self.extras.is_any {
            return (least < i64::MAX).then_some(least);
        }
        let is_own_known = least == most && !self.extras.is_own_changed;
        let mut net = if is_own_known { least } else { 0 };
        for (kind, amount) in self.amounts(body, element, is_own_known) {
            let classes = (body.accessory_class, class);
            let accessories = self.accessories();
            let supply = self.index.accessories.cheapest(accessories, classes, (kind, amount))?;
            net = net.checked_add(supply.net.value())?;
        }
        (net < i64::MAX).then_some(net)
    }

    /// Net price of the controls of a pair; nothing when no set will do.
    pub(super) fn controls_net(&self, body: &BodyRow, element: &ElementRow) -> Option<i64> {
        let set = self.index.controls.set(self.wish, body.control_class, element.control_class)?;
        Some(set.net)
    }

    fn accessories(&self) -> &'a [Accessory] {
        self.catalogue.edition().accessories()
    }

    fn amounts(
        &self,
        body: &BodyRow,
        element: &ElementRow,
        is_own_known: bool,
    ) -> impl Iterator<Item = (usize, Amount)> {
        AccessoryKind::ALL.into_iter().enumerate().filter_map(move |(kind, named)| {
            let (wished, carton) = (self.extras.wished[kind], &body.needs.cartons[kind]);
            let pieces = |needed: u32| carton.pieces_left(needed);
            let amount = match named {
                AccessoryKind::PlugCover | AccessoryKind::Bracket | AccessoryKind::Inhibitor
                    if is_own_known =>
                {
                    None
                }
                AccessoryKind::PlugCover => pieces(wished.max(body.needs.open_ports)),
                AccessoryKind::Bracket => pieces(wished.max(body.needs.brackets)),
                AccessoryKind::FlexCover => {
                    self.extras.cover.and_then(|route| carton.cover_left(route))
                }
                AccessoryKind::Inhibitor => self.dose(body, element, wished),
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => pieces(wished),
            };
            amount.map(|amount| (kind, amount))
        })
    }

    fn dose(&self, body: &BodyRow, element: &ElementRow, wished: u32) -> Option<Amount> {
        if body.needs.is_filled && wished == 0 {
            return None;
        }
        let edition = self.catalogue.edition();
        let carton = body.needs.cartons[kind_place(AccessoryKind::Inhibitor)];
        let body = edition.bodies().get(body.index)?;
        let fill = pair_fill(body, Some(edition.elements().get(element.index)?));
        carton.dose_left(fill.volume().value())
    }

    /// The least that wishes add to any rail; nothing when one cannot be had at all.
    fn find_extras_least(&self, edition: &Edition) -> Option<i64> {
        let mut net = 0_i64;
        for (kind, named) in AccessoryKind::ALL.into_iter().enumerate() {
            let carton = &self.index.extremes.cartons[kind];
            let amount = match named {
                AccessoryKind::FlexCover => {
                    self.extras.cover.and_then(|route| carton.cover_left(route))
                }
                // These change what a body needs anyway, and the least of that is in the orders.
                AccessoryKind::PlugCover | AccessoryKind::Bracket | AccessoryKind::Inhibitor => {
                    None
                }
                AccessoryKind::Hook
                | AccessoryKind::Shelf
                | AccessoryKind::VentKey
                | AccessoryKind::WallPlate => carton.pieces_left(self.extras.wished[kind]),
            };
            if let Some(amount) = amount {
                let least = self.index.accessories.least(edition.accessories(), kind, amount)?;
                net = net.saturating_add(least.value());
            }
        }
        Some(net)
    }
}

/// What one body sheds at the set points met so far.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shed {
    known: [Option<(f64, Watts)>; SHED_MAX],
    next: usize,
}

/// How many set points are remembered at a time.
const SHED_MAX: usize = 6;

impl Shed {
    fn at<F: FnOnce() -> Watts>(&mut self, set_point: f64, find: F) -> Watts {
        let bits = set_point.to_bits();
        let known = self.known.iter().flatten().find(|(known, _)| known.to_bits() == bits);
        if let Some((_, shed)) = known {
            return *shed;
        }
        let shed = find();
        self.known[self.next % SHED_MAX] = Some((set_point, shed));
        self.next += 1;
        shed
    }
}

impl Extras {
    fn new(demands: &Demands<'_>) -> Self {
        let mut wished = [0_u32; KINDS];
        for kind in &demands.preferences.accessories {
            let count = &mut wished[kind_place(*kind)];
            *count = count.saturating_add(1);
        }
        let is_wished = |kind| 0 < wished[kind_place(kind)];
        let covered = demands.surroundings.users.need_protection()
            || demands.preferences.flex_cover
            || is_wished(AccessoryKind::FlexCover);
        let route = demands.surroundings.place.connection_distance.unwrap_or_default();
        let own = [AccessoryKind::PlugCover, AccessoryKind::Bracket, AccessoryKind::Inhibitor];
        Self {
            wished,
            cover: covered.then_some(route),
            is_own_changed: own.into_iter().any(is_wished),
            is_any: covered || !demands.preferences.accessories.is_empty(),
        }
    }
}

/// The largest net price whose gross is within the budget.
fn net_max(query: &Query<'_>) -> i64 {
    let Some(budget) = query.demands.preferences.budget else { return i64::MAX };
    let rate = query.demands.surroundings.market.tax_rate;
    let currency = query.list.currency;
    let is_within = |net: i64| {
        Total::of(Minor::new(net), rate, currency).is_ok_and(|total| total.gross <= budget)
    };
    let share = 10_000 + i128::from(rate.basis_points());
    let guess = i128::from(budget.value()) * 10_000;
    let mut net = i64::try_from(guess.div_euclid(share)).unwrap_or(i64::MAX).saturating_add(2);
    while 0 <= net && !is_within(net) {
        net -= 1;
    }
    net
}

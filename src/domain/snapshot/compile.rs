//! Putting the tables of a snapshot together.
#![expect(
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "places made here; prices are added with saturation"
)]

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Carton;
use crate::domain::catalogue::Connection;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Stock;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Surroundings;
use crate::domain::compatibility::Users;
use crate::domain::compatibility::pair_fill;
use crate::domain::ecodesign::Regime;
use crate::domain::fill::FillQuestion;
use crate::domain::money::UnitPrice;
use crate::domain::units::Celsius;
use crate::domain::units::Litres;
use crate::domain::zones::rules::WiringRules;

use super::Extremes;
use super::Index;
use super::accessories::AccessoryTable;
use super::accessories::Stocked;
use super::accessories::kind_place;
use super::classes::Classes;
use super::controls::ControlTable;
use super::controls::Driven;
use super::controls::Range;
use super::lanes::Lanes;
use super::leasts;
use super::leasts::FinishLeasts;
use super::menus::BANDS;
use super::menus::ElementRanks;
use super::menus::Menus;
use super::orders::BodyRanks;
use super::rows::BodyRow;
use super::rows::ElementRow;
use super::rows::zones;
use super::shelves::shelves;

/// A catalogue at the prices of a list.
struct Source<'a> {
    catalogue: &'a Catalogue,
    list: &'a PriceList,
}

impl<'a> Source<'a> {
    const fn edition(&self) -> &'a Edition {
        self.catalogue.edition()
    }

    /// Price of one piece of a part that may be sold: priced, not discontinued, no rule against it.
    fn price(&self, part: PartRef) -> Option<UnitPrice> {
        let card = self.edition().card(part)?;
        let sold = card.stock != Stock::Discontinued && self.catalogue.index().stands_alone(part);
        if sold { self.catalogue.price(self.list, part) } else { None }
    }

    fn net(&self, part: PartRef) -> Option<i64> {
        Some(self.price(part)?.times(1, self.list.currency).ok()?.value())
    }

    fn parts(&self, kind: PartKind) -> impl Iterator<Item = PartRef> + use<> {
        (0..self.edition().count(kind)).map(move |index| PartRef { kind, index })
    }

    fn sold(&self, kind: PartKind) -> FixedBitSet {
        let mut sold = FixedBitSet::with_capacity(self.edition().count(kind));
        let priced = self.parts(kind).filter(|part| self.net(*part).is_some());
        sold.extend(priced.map(|part| part.index));
        sold
    }
}

/// Compiles everything a search reads.
pub(crate) fn index(
    catalogue: &Catalogue,
    list: &PriceList,
    market: &Market,
    rules: Option<&WiringRules>,
) -> Index {
    let source = Source { catalogue, list };
    let sold = PartKind::ALL.map(|kind| source.sold(kind));
    let [_, sold_elements, sold_controls, sold_accessories] = &sold;
    let edition = source.edition();

    let mut elements = elements(&source, market, rules);
    let (for_accessories, driven) = class_elements(&source, &mut elements, &sold);

    let mut menus = Classes::default();
    let mut accessories = Classes::default();
    let mut controls = Classes::default();
    let finishes = super::rows::finishes(edition);
    let mut bodies = bodies(&source);
    for row in &mut bodies {
        let part = PartRef { kind: PartKind::Body, index: row.index };
        let class = |classes: &mut Classes, kind, for_sale| {
            classes.class_of(catalogue.index(), part, (kind, for_sale))
        };
        row.menu = class(&mut menus, PartKind::Element, sold_elements);
        row.accessory_class = class(&mut accessories, PartKind::Accessory, sold_accessories);
        row.control_class = class(&mut controls, PartKind::Control, sold_controls);
        row.finish = finishes.binary_search(&edition.bodies()[row.index].finish).unwrap_or(0);
    }

    let ((steps, is_every_step), element_ranks) =
        (leasts::steps(&elements), ElementRanks::of(&elements));
    let element_lanes: Vec<Lanes> = elements.iter().map(|row| element_ranks.lanes(row)).collect();
    let menus = BANDS
        .map(|band| Menus::compile((band, menus.partners()), &elements, &element_lanes, &steps));
    let table = accessory_table(&source, &accessories, &for_accessories);
    let own_needs = own_needs(edition, &table, &bodies, &elements);
    let element_classes = for_accessories.count();
    let [shortest, ..] = &menus;
    let body_ranks = BodyRanks::of(&bodies, |row| shortest.strongest(row.menu));
    let mut index = Index {
        body_ranks,
        extremes: extremes(&bodies, &elements),
        controls: control_table(&source, market, &controls, &driven),
        accessories: table,
        shelves: Vec::new(),
        finish_leasts: FinishLeasts::default(),
        width_cuts: leasts::width_cuts(&bodies),
        bases: leasts::bases(&bodies, &own_needs, element_classes),
        element_lanes,
        body_slots: slots(edition.bodies().len(), bodies.iter().map(|row| row.index)),
        element_slots: slots(edition.elements().len(), elements.iter().map(|row| row.index)),
        bodies,
        own_needs,
        element_classes,
        elements,
        finishes,
        element_ranks,
        menus,
        steps,
        is_every_step,
    };
    index.shelves = shelves(&index);
    index.finish_leasts = FinishLeasts::of(&index.shelves, index.steps.len());
    index
}

/// Where each of so many parts of the edition stands among rows, given by the part of each row.
fn slots<I: Iterator<Item = usize>>(count: usize, parts: I) -> Vec<Option<usize>> {
    let mut slots = vec![None; count];
    for (slot, part) in parts.enumerate() {
        slots[part] = Some(slot);
    }
    slots
}

/// Finds the classes of elements as accessories and as controls see them.
fn class_elements(
    source: &Source<'_>,
    elements: &mut [ElementRow],
    [_, _, sold_controls, sold_accessories]: &[FixedBitSet; 4],
) -> (Classes, DrivenClasses) {
    let rules = source.catalogue.index();
    let mut for_accessories = Classes::default();
    let mut driven = DrivenClasses::default();
    for row in elements {
        let part = PartRef { kind: PartKind::Element, index: row.index };
        let accessories = (PartKind::Accessory, sold_accessories);
        row.accessory_class = for_accessories.class_of(rules, part, accessories);
        row.control_class = driven.class_of(source, part, sold_controls);
    }
    (for_accessories, driven)
}

fn elements(source: &Source<'_>, market: &Market, rules: Option<&WiringRules>) -> Vec<ElementRow> {
    let surroundings = Surroundings {
        market,
        rules,
        room: Celsius::new(0.0),
        towels_factor: 1.0,
        users: Users::default(),
        place: Place::default(),
        plan: None,
    };
    let mut judged: BTreeMap<_, u16> = BTreeMap::new();
    let mut rows: Vec<ElementRow> = source
        .parts(PartKind::Element)
        .filter_map(|part| {
            let element = source.edition().elements().get(part.index)?;
            let safety = &element.safety;
            let ratings = (
                safety.ip.as_ref().map(ToString::to_string),
                safety.class,
                &safety.declared_zones,
                element.flex.has_plug,
            );
            let zones = *judged.entry(ratings).or_insert_with(|| zones(element, &surroundings));
            Some(ElementRow::new(part.index, element, source.net(part)?, zones))
        })
        .collect();
    rows.sort_by_key(|row| (row.net, row.index));
    rows
}

fn bodies(source: &Source<'_>) -> Vec<BodyRow> {
    let parts = source.parts(PartKind::Body);
    parts
        .filter_map(|part| {
            let body = source.edition().bodies().get(part.index)?;
            Some(BodyRow::new(source.edition(), part.index, body, source.net(part)?))
        })
        .collect()
}

/// Fitting controls, code and bits of the watts.
type DrivenKey = (usize, String, u64);

/// Classes of elements as the choice of controls sees them.
#[derive(Default)]
struct DrivenClasses {
    fits: Classes,
    known: BTreeMap<DrivenKey, usize>,
    rows: Vec<(Driven, FixedBitSet)>,
}

impl DrivenClasses {
    fn class_of(&mut self, source: &Source<'_>, part: PartRef, sold: &FixedBitSet) -> usize {
        let rules = source.catalogue.index();
        let fits = self.fits.class_of(rules, part, (PartKind::Control, sold));
        let Element { watts, control, .. } = &source.edition().elements()[part.index];
        let key = (fits, control.code.to_string(), watts.value().to_bits());
        let next = self.rows.len();
        let class = *self.known.entry(key).or_insert(next);
        if class == next {
            let driven = Driven { code: control.code, watts: *watts };
            self.rows.push((driven, self.fits.partners()[fits].clone()));
        }
        class
    }
}

fn control_table(
    source: &Source<'_>,
    market: &Market,
    bodies: &Classes,
    elements: &DrivenClasses,
) -> ControlTable {
    let nets: Vec<Option<i64>> =
        source.parts(PartKind::Control).map(|part| source.net(part)).collect();
    let range = Range {
        controls: source.edition().controls(),
        nets: &nets,
        needs_unit: market.connection == Connection::FusedConnectionUnit,
    };
    // A question may name a region that the market does not list, so no regime is left out.
    ControlTable::compile(&range, &Regime::ALL, bodies.partners(), &elements.rows)
}

fn accessory_table(source: &Source<'_>, bodies: &Classes, elements: &Classes) -> AccessoryTable {
    let prices: Vec<Option<UnitPrice>> =
        source.parts(PartKind::Accessory).map(|part| source.price(part)).collect();
    let stocked = Stocked {
        accessories: source.edition().accessories(),
        prices: &prices,
        currency: source.list.currency,
    };
    AccessoryTable::compile(&stocked, bodies.partners(), elements.partners())
}

fn extremes(bodies: &[BodyRow], elements: &[ElementRow]) -> Extremes {
    let exponents = || bodies.iter().map(|row| row.emitter.exponent);
    let hottest = |place: usize| {
        let points = elements.iter().map(|row| row.set_points[place]);
        points.fold(f64::NEG_INFINITY, f64::max)
    };
    let mut cartons = [Carton::default(); AccessoryKind::ALL.len()];
    for row in bodies {
        for (most, carton) in cartons.iter_mut().zip(row.needs.cartons) {
            most.is_any |= carton.is_any;
            most.pieces = carton.pieces.max(most.pieces);
            most.covered = carton.covered.max(most.covered);
            most.treated_litres = carton.treated_litres.max(most.treated_litres);
        }
    }
    Extremes {
        head_least: elements.iter().map(|row| row.head).min().unwrap_or_default(),
        head_most: elements.iter().map(|row| row.head).max().unwrap_or_default(),
        width_least: bodies.iter().map(|row| row.width).min().unwrap_or_default(),
        exponent_least: exponents().fold(f64::INFINITY, f64::min),
        exponent_most: exponents().fold(f64::NEG_INFINITY, f64::max),
        set_points: [hottest(0), hottest(1), hottest(2)],
        has_guard: bodies.iter().any(|row| row.is_guarded),
        cartons,
    }
}

/// Least and most that each body's own needs cost: closed ports, brackets, a treated fill.
fn own_needs(
    edition: &Edition,
    table: &AccessoryTable,
    bodies: &[BodyRow],
    elements: &[ElementRow],
) -> Vec<[i64; 2]> {
    let classes = elements.iter().map(|row| row.accessory_class + 1).max().unwrap_or_default();
    let displacements = || elements.iter().map(|row| row.displacement_ml);
    let displaced =
        [displacements().max().unwrap_or_default(), displacements().min().unwrap_or_default()];
    let each = bodies.iter().flat_map(|row| (0..classes).map(move |class| (row, class)));
    each.map(|(row, class)| {
        let body = &edition.bodies()[row.index];
        displaced.map(|displaced| own_need(edition, table, (row, body), (class, displaced)))
    })
    .collect()
}

fn own_need(
    edition: &Edition,
    table: &AccessoryTable,
    (row, body): (&BodyRow, &Body),
    (class, displaced_ml): (usize, u16),
) -> i64 {
    let needs = &row.needs;
    let missing = |kind, count: u32| {
        let kind = kind_place(kind);
        Some((kind, needs.cartons[kind].pieces_left(count)?))
    };
    let displaced = Litres::new(f64::from(displaced_ml) / 1_000.0_f64);
    let fill = FillQuestion { element_displacement: displaced, ..pair_fill(body, None) };
    let inhibitor = kind_place(AccessoryKind::Inhibitor);
    let dose = needs.cartons[inhibitor].dose_left(fill.volume().value());
    let amounts = [
        missing(AccessoryKind::PlugCover, needs.open_ports),
        missing(AccessoryKind::Bracket, needs.brackets),
        dose.filter(|_| !needs.is_filled).map(|dose| (inhibitor, dose)),
    ];
    let supplies = amounts.into_iter().flatten().map(|amount| {
        let classes = (row.accessory_class, class);
        let supply = table.cheapest(edition.accessories(), classes, amount);
        supply.map_or(i64::MAX, |supply| supply.net.value())
    });
    supplies.fold(0, i64::saturating_add)
}

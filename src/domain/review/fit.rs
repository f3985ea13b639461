//! Parts that go with nothing, and bodies that every element overfeeds.

use std::collections::BTreeSet;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Sku;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::emitter;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::delivered_output;
use crate::domain::units::Celsius;

use super::gathered::Finding;

/// The room for which the heat of a body is judged.
const ROOM_USUAL: Celsius = Celsius::new(20.0);

pub(super) fn findings(catalogue: &Catalogue) -> Vec<Finding> {
    let mut reach = Reach::new(catalogue);
    let mut findings = reach.bodies();
    findings.extend(reach.others());
    findings
}

/// What fits bodies and elements.
struct Reach<'a> {
    catalogue: &'a Catalogue,
    elements: FixedBitSet,
    accessories: FixedBitSet,
    controls: FixedBitSet,
}

impl<'a> Reach<'a> {
    fn new(catalogue: &'a Catalogue) -> Self {
        let edition = catalogue.edition();
        let none = |kind| FixedBitSet::with_capacity(edition.count(kind));
        let mut reach = Self {
            catalogue,
            elements: none(PartKind::Element),
            accessories: none(PartKind::Accessory),
            controls: none(PartKind::Control),
        };
        let index = catalogue.index();
        reach.accessories = joined(catalogue, PartKind::Body, PartKind::Accessory);
        if index.joins(PartKind::Element, PartKind::Accessory) {
            // Beside a body an accessory must also go with some element.
            let with_elements = joined(catalogue, PartKind::Element, PartKind::Accessory);
            reach.accessories.intersect_with(&with_elements);
        }
        reach.controls = joined(catalogue, PartKind::Element, PartKind::Control);
        reach
    }

    fn bodies(&mut self) -> Vec<Finding> {
        let mut lonely = Finding::warning(
            "body-without-element",
            "No element fits a body, so it can never be sold.",
            "Ask POST /v1/checks why a likely element is refused, and add an element, a pair or a mating.",
        );
        let mut overfed = Finding::warning(
            "body-overfed",
            "Every element that fits a body has more watts than the body sheds in a room of 20 °C at the set point.",
            "Add a smaller element, or check rated_output_w and exponent.",
        );
        let edition = self.catalogue.edition();
        let watts: Vec<f64> =
            edition.elements().iter().map(|element| element.watts.value()).collect();
        for (index, body) in edition.bodies().iter().enumerate() {
            let part = PartRef { kind: PartKind::Body, index };
            // Not kept: by their many figures hardly two bodies of a large catalogue are alike to the rules.
            let fitting = self.catalogue.index().partners(part, PartKind::Element);
            self.elements.union_with(&fitting);
            let sku = body.card.sku.as_str();
            let Some(least) = least(&watts, &fitting) else {
                lonely.add(sku, || rated(body));
                continue;
            };
            let least = edition.elements().get(least);
            if let Some(excess) = least.and_then(|element| overfeeding(body, element)) {
                overfed.add(sku, || excess);
            }
        }
        vec![lonely, overfed]
    }

    fn others(&self) -> Vec<Finding> {
        let mut findings = vec![
            Finding::warning(
                "element-fits-nothing",
                "An element fits no body.",
                "Ask POST /v1/checks why, or take the element out of the catalogue.",
            ),
            Finding::warning(
                "accessory-fits-nothing",
                "An accessory fits no body with an element, and comes in no carton.",
                "Ask POST /v1/checks why, or take the accessory out of the catalogue.",
            ),
            Finding::warning(
                "control-fits-nothing",
                "A control goes with no element.",
                "Ask POST /v1/checks why, or take the control out of the catalogue.",
            ),
        ];
        let edition = self.catalogue.edition();
        let included: BTreeSet<&Sku> =
            edition.bodies().iter().flat_map(|body| &body.included).map(|row| &row.sku).collect();
        let kinds = [
            (PartKind::Element, &self.elements),
            (PartKind::Accessory, &self.accessories),
            (PartKind::Control, &self.controls),
        ];
        for (finding, (kind, reached)) in findings.iter_mut().zip(kinds) {
            let unreached = (0..edition.count(kind)).filter(|index| !reached.contains(*index));
            let cards = unreached.filter_map(|index| edition.card(PartRef { kind, index }));
            for card in cards.filter(|card| !included.contains(&card.sku)) {
                finding.add(card.sku.as_str(), || card.name.to_string());
            }
        }
        findings
    }
}

/// Parts of a kind that fit at least one part of another; asked once for all parts that the rules cannot tell apart.
fn joined(catalogue: &Catalogue, from: PartKind, kind: PartKind) -> FixedBitSet {
    let index = catalogue.index();
    let mut all = FixedBitSet::with_capacity(catalogue.edition().count(kind));
    let mut known = BTreeSet::new();
    for place in 0..catalogue.edition().count(from) {
        let part = PartRef { kind: from, index: place };
        if known.insert((index.stands_alone(part), index.signature(part, kind))) {
            all.union_with(&index.partners(part, kind));
        }
    }
    all
}

fn rated(body: &Body) -> String {
    format!("{} W by EN 442", body.heat.rated_output.value())
}

/// The first of the fitting elements with the least watts.
fn least(watts: &[f64], fitting: &FixedBitSet) -> Option<usize> {
    let known = fitting.ones().filter_map(|index| Some((index, watts.get(index)?)));
    known.min_by(|(_, left), (_, right)| left.total_cmp(right)).map(|(index, _)| index)
}

/// The watts of an element and what the body sheds with it, when the element has more.
fn overfeeding(body: &Body, element: &Element) -> Option<String> {
    let (watts, sheds) = (element.watts.value(), shed(body, element)?);
    (sheds < watts).then(|| format!("the smallest has {watts} W, the body sheds {sheds:.0} W"))
}

/// What a body sheds at an element's highest set point, if it has one.
fn shed(body: &Body, element: &Element) -> Option<f64> {
    element.regulation.set_point_max()?;
    let drive =
        ElementDrive { watts: element.watts, set_point: element.regulation.set_point_max() };
    Some(delivered_output(&emitter(body, 1.0), drive, ROOM_USUAL).delivered().watts())
}

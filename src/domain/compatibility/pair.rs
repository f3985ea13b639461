//! Body and element as the physics of the fill and of warm-up sees them.
//!
//! What a maker leaves out is taken on the safe side: an element without a set point may bring the fluid up to the
//! limit. Absent here: whether the two fit together.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Value;
use crate::domain::emission::uncapped_fluid;
use crate::domain::emission::warming::HeatCapacity;
use crate::domain::emission::warming::METALS;
use crate::domain::emission::warming::WarmedMass;
use crate::domain::fill::FillAmount;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::HEADSPACE_USUAL;
use crate::domain::fill::VentClosing;
use crate::domain::units::Celsius;
use crate::domain::units::Kilograms;
use crate::domain::units::Litres;

use super::built_in::emitter;

/// The keeper's attribute that states when a body's vent is to be closed.
const VENT_ATTRIBUTE: &str = "vent_closing";

/// The keeper's attribute that states what a body is made of.
const METAL_ATTRIBUTE: &str = "metal";

/// Specific heat taken for a body whose metal is not stated, J/kgK: steel's. The fluid outweighs the metal.
const SPECIFIC_HEAT_USUAL: f64 = 450.0;

/// Warmest room that a rail is likely to hang in, for the hottest fluid of an element that nothing switches off.
const ROOM_WARM: Celsius = Celsius::new(24.0);

/// The fill of a body beside an element: water, filled cold, the usual share left to air, data of the maker as stated.
pub fn pair_fill(body: &Body, element: Option<&Element>) -> FillQuestion {
    let displaced = element.map_or(0.0_f64, |element| f64::from(element.shape.displacement_ml));
    FillQuestion {
        element_displacement: Litres::new(displaced / MILLILITRES),
        hot: hottest_fluid(body, element),
        permitted_gauge_kpa: body.content.permitted_gauge_kpa,
        vent_closing: vent_closing(body),
        ..FillQuestion::new(body.content.volume, FillAmount::Headspace(HEADSPACE_USUAL))
    }
}

/// The hottest fluid of a pair: the highest set point, or without one what the watts reach on a body under towels, at
/// most the limit; for a body alone its limit.
pub fn hottest_fluid(body: &Body, element: Option<&Element>) -> Celsius {
    let Some(element) = element else { return body.heat.fluid_limit };
    if let Some(set_point) = element.regulation.set_point_max() {
        return set_point;
    }
    let limit = body.heat.fluid_limit.value().min(element.safety.fluid_limit.value());
    let covered = emitter(body, TOWELS_FACTOR_WORST);
    Celsius::new(uncapped_fluid(&covered, element.watts, ROOM_WARM).value().min(limit))
}

/// Share of the output left under towels, for the hottest fluid.
const TOWELS_FACTOR_WORST: f64 = 0.5;

/// When the maker wants the vent closed, where the catalogue says so.
pub fn vent_closing(body: &Body) -> Option<VentClosing> {
    VentClosing::parse(text(body, VENT_ATTRIBUTE)?)
}

/// What a filled body stores: metal and fluid.
pub fn pair_capacity(body: &Body, fill: &FillQuestion) -> Option<HeatCapacity> {
    let metal = text(body, METAL_ATTRIBUTE);
    let known = METALS.iter().find(|known| metal == Some(known.code));
    let litres = fill.volume().value();
    let fluid = litres * fill.fluid.density(fill.cold)? / MILLILITRES;
    let masses = [
        WarmedMass {
            mass: body.content.dry_mass,
            specific_heat: known.map_or(SPECIFIC_HEAT_USUAL, |known| known.specific_heat),
        },
        WarmedMass { mass: Kilograms::new(fluid), specific_heat: fill.fluid.specific_heat()? },
    ];
    Some(HeatCapacity::of(&masses))
}

/// Millilitres in a litre, and litres in a cubic metre.
const MILLILITRES: f64 = 1_000.0;

fn text<'a>(body: &'a Body, attribute: &str) -> Option<&'a str> {
    match body.card.attributes.get(attribute)? {
        Value::Text(text) => Some(text),
        Value::Flag(_) | Value::Number(_) | Value::Words(_) => None,
    }
}

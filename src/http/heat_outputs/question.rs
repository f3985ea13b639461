//! A question about a pair's output as it comes over the wire.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Stated;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::pair_capacity;
use crate::domain::compatibility::pair_fill;
use crate::domain::ecodesign::ControlCode;
use crate::domain::ecodesign::RegimeChoice;
use crate::domain::ecodesign::choose_regime;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::question::OutputQuestion;
use crate::domain::emission::warming::HeatCapacity;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Watts;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::named_parts::find_body;
use crate::http::named_parts::find_element;
use crate::http::problem::FieldCode;
use crate::http::schedule::schedule;
use crate::http::schema;
use crate::operations::describe_output::OutputOrder;

/// A body with an element in a room.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewHeatOutput {
    /// Part number of the body. Give this, or `rated_output_w` and `exponent`.
    #[schema(max_length = 40, required = false)]
    pub body: Option<String>,
    /// Part number of the element. Give this, or `element_w`.
    #[schema(max_length = 40, required = false)]
    pub element: Option<String>,
    /// Output of the body at 50 K.
    #[schema(schema_with = schema::optional::rated_output_w, required = false)]
    pub rated_output_w: Option<f64>,
    /// Exponent of the emission law.
    #[schema(schema_with = schema::optional::exponent, required = false)]
    pub exponent: Option<f64>,
    /// Rating of the element.
    #[schema(schema_with = schema::optional::element_w, required = false)]
    pub element_w: Option<f64>,
    /// Temperature at which the element switches off; a named element's highest when left out.
    #[schema(schema_with = schema::optional::set_point_c, required = false)]
    pub set_point_c: Option<f64>,
    /// Temperature of the room.
    #[schema(schema_with = schema::room_c)]
    pub room_c: f64,
    /// Share of the output left with towels on, if towels are to count everywhere; 1, a bare rail, when left out.
    #[schema(schema_with = schema::optional::towels_factor, required = false)]
    pub towels_factor: Option<f64>,
    /// What the filled body stores; computed for a named body.
    #[schema(schema_with = schema::optional::heat_capacity_j_k, required = false)]
    pub heat_capacity_j_k: Option<f64>,
    /// Temperature of the fluid at the start; the room's when left out.
    #[schema(schema_with = schema::optional::start_c, required = false)]
    pub start_c: Option<f64>,
    /// On-periods of a day, as `06:00-08:00`; always on when left out. A period over midnight is written as two.
    #[schema(max_items = 24, required = false)]
    pub schedule: Option<Vec<String>>,
    /// What a kilowatt-hour costs.
    #[schema(required = false)]
    pub tariff: Option<NewTariff>,
    /// Lowest limit of fluid, body and element; a named part states its own.
    #[schema(schema_with = schema::optional::fluid_limit_c, required = false)]
    pub fluid_limit_c: Option<f64>,
    /// Whether the element has an independent thermal cut-out; a named element states it.
    #[schema(required = false)]
    pub thermal_cut_out: Option<bool>,
    /// Code of all controls together, as `TD (0/2/0/0/5/0/0/0)`; added to a named element's own.
    #[schema(max_length = 40, required = false)]
    pub control_code: Option<String>,
    /// Market whose ecodesign law counts; the strictest when left out.
    #[schema(max_length = 20, example = "de", required = false)]
    pub market: Option<String>,
    /// Part of the market with a law of its own, as `scotland`.
    #[schema(max_length = 40, required = false)]
    pub region: Option<String>,
}

/// What a kilowatt-hour costs.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewTariff {
    /// Price in the currency below.
    #[schema(schema_with = schema::price_per_kwh)]
    pub price_per_kwh: f64,
    /// Currency, repeated in the answer.
    #[serde(default)]
    #[schema(max_length = 3, example = "GBP", required = false)]
    pub currency: Option<String>,
}

impl NewHeatOutput {
    /// The question in the domain's words, or every field that is wrong.
    pub(super) fn order(&self, edition: &Edition) -> Result<OutputOrder, Problem> {
        let mut fields = Fields::default();
        let mut notices = Vec::new();
        let body = self.body.as_deref().and_then(|sku| find_body(edition, sku, &mut fields));
        let element =
            self.element.as_deref().and_then(|sku| find_element(edition, sku, &mut fields));
        let question = OutputQuestion {
            emitter: self.emitter(body, &mut fields),
            drive: self.drive(element, &mut fields),
            room: Celsius::new(self.room_c),
            capacity: self.capacity(body, element, &mut notices),
            start: self.start_c.map(Celsius::new),
        };
        let order = OutputOrder {
            question,
            schedule: schedule(self.schedule.as_deref(), &mut fields),
            fluid_limit: self.fluid_limit(body, element),
            thermal_cut_out: self.cut_out(element, &mut fields),
            control_code: self.control_code(element, &mut fields),
            regime: self.regime(edition, &mut fields),
            notices,
        };
        fields.finish(order)
    }

    fn emitter(&self, body: Option<&Body>, fields: &mut Fields) -> Emitter {
        let stated = [("rated_output_w", self.rated_output_w), ("exponent", self.exponent)];
        for (field, value) in stated {
            Self::exclude(field, ("body", self.body.is_some(), value.is_some()), fields);
        }
        let figures = Emitter {
            rated: Watts::new(self.rated_output_w.unwrap_or(STAND_IN_W)),
            exponent: self.exponent.unwrap_or(1.0_f64),
            towels_factor: self.towels_factor.unwrap_or(1.0_f64),
        };
        body.map_or(figures, |named| emitter(named, figures.towels_factor))
    }

    fn drive(&self, element: Option<&Element>, fields: &mut Fields) -> ElementDrive {
        let set_point = self.set_point_c.map(Celsius::new);
        let stated = ("element", self.element.is_some(), self.element_w.is_some());
        Self::exclude("element_w", stated, fields);
        let Some(element) = element else {
            let watts = Watts::new(self.element_w.unwrap_or(STAND_IN_W));
            return ElementDrive { watts, set_point };
        };
        if let Some(detail) = set_point.and_then(|wanted| cannot_be_set(element.regulation, wanted))
        {
            fields.push("set_point_c", FieldCode::Contradiction, detail);
        }
        let set_point = set_point.or_else(|| element.regulation.set_point_max());
        ElementDrive { watts: element.watts, set_point }
    }

    /// A figure stands in for a named part: exactly one of the two is given.
    fn exclude(field: &str, (part, is_named, is_stated): (&str, bool, bool), fields: &mut Fields) {
        if is_named && is_stated {
            let detail = format!("{field} is the named {part}'s own; give one or the other");
            fields.push(field, FieldCode::Contradiction, detail);
        } else if !is_named && !is_stated {
            let detail = format!("{field} is needed unless the {part} is named");
            fields.push(field, FieldCode::Missing, detail);
        }
    }

    fn capacity(
        &self,
        body: Option<&Body>,
        element: Option<&Element>,
        notices: &mut Vec<Notice>,
    ) -> Option<HeatCapacity> {
        if let Some(stated) = self.heat_capacity_j_k {
            return Some(HeatCapacity::new(stated));
        }
        let fill = pair_fill(body?, element);
        let capacity = pair_capacity(body?, &fill)?;
        let text = format!(
            "The heat capacity of {:.0} J/K is computed from the body's mass, as {}, and {:.2} l of water (a tenth left to air, \
             common practice).",
            capacity.value(),
            if body?.card.attributes.contains_key("metal") {
                "the metal stated"
            } else {
                "steel, since no metal is stated"
            },
            fill.volume().value()
        );
        notices.push(Notice::new("heat-capacity-computed", text));
        Some(capacity)
    }

    fn fluid_limit(&self, body: Option<&Body>, element: Option<&Element>) -> Option<Celsius> {
        let stated = [
            self.fluid_limit_c,
            body.map(|body| body.heat.fluid_limit.value()),
            element.map(|element| element.safety.fluid_limit.value()),
        ];
        stated.into_iter().flatten().reduce(f64::min).map(Celsius::new)
    }

    fn cut_out(&self, element: Option<&Element>, fields: &mut Fields) -> Stated {
        let Some(element) = element else { return Stated::from_flag(self.thermal_cut_out) };
        if self.thermal_cut_out.is_some() {
            let detail = "thermal_cut_out is the named element's own; leave it out";
            fields.push("thermal_cut_out", FieldCode::Contradiction, detail);
        }
        element.safety.thermal_cut_out
    }

    fn control_code(&self, element: Option<&Element>, fields: &mut Fields) -> Option<ControlCode> {
        let own = element.map(|element| element.control.code);
        let Some(text) = &self.control_code else { return own };
        let stated = ControlCode::parse(text);
        if stated.is_none() {
            let detail = format!("{text:?} is no control code, such as TD (0/2/0/0/5/0/0/0)");
            fields.push("control_code", FieldCode::BadForm, detail);
        }
        own.map_or(stated, |own| stated.map(|stated| stated.union(own)))
    }

    fn regime(&self, edition: &Edition, fields: &mut Fields) -> RegimeChoice {
        let region = self.region.as_deref();
        let market = self.market.as_deref();
        let known = market.and_then(|code| edition.market(code));
        if let Some(code) = market.filter(|_| known.is_none()) {
            let detail = format!("there is no market {code:?} in this catalogue");
            fields.push("market", FieldCode::Unknown, detail);
        }
        if region.is_some() && market.is_none() {
            fields.push("market", FieldCode::Missing, "a region needs its market");
        }
        let has_region = |name: &str| {
            known.is_none_or(|found| found.regions.iter().any(|other| **other == *name))
        };
        if let Some(name) = region.filter(|name| !has_region(name)) {
            let detail = format!("{name:?} is no region of the market named");
            fields.push("region", FieldCode::Unknown, detail);
        }
        choose_regime(market.unwrap_or_default(), region)
    }
}

/// Stands in for a figure that is missing while the other fields are checked; never answered with.
const STAND_IN_W: f64 = 100.0;

/// Why an element cannot be set to a temperature.
fn cannot_be_set(regulation: Regulation, wanted: Celsius) -> Option<String> {
    match regulation {
        Regulation::Fixed { set_point: Some(own) } => (own != wanted)
            .then(|| format!("the element's set point is fixed at {own}, {wanted} cannot be set")),
        Regulation::Fixed { set_point: None } => {
            Some(format!("the element states no set point, {wanted} cannot be set"))
        }
        Regulation::Adjustable { set_point_min, set_point_max, .. } => {
            let is_inside = set_point_min <= wanted && wanted <= set_point_max;
            let detail = || {
                format!(
                    "the element can be set from {set_point_min} to {set_point_max}, not to {wanted}"
                )
            };
            (!is_inside).then(detail)
        }
    }
}

//! A question about a fill as it comes over the wire.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Accessory;
use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Body;
use crate::domain::catalogue::Edition;
use crate::domain::compatibility::pair_fill;
use crate::domain::fault::Fault;
use crate::domain::fill::FillAmount;
use crate::domain::fill::FillOutcome;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::HEADSPACE_USUAL;
use crate::domain::fill::VentClosing;
use crate::domain::fill::fluid::Fluid;
use crate::domain::fill::work_out_fill;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Litres;
use crate::domain::zones::verdict::caution;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::filling::KPA_PER_BAR;
use crate::http::named_parts::find_accessory;
use crate::http::named_parts::find_body;
use crate::http::named_parts::find_element;
use crate::http::problem::FieldCode;
use crate::http::schema;

/// A body to be filled. Of a named body everything but its number may be left out.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewFill {
    /// Part number of the body. Give this or `body_volume_l`.
    #[schema(max_length = 40, required = false)]
    pub body: Option<String>,
    /// Part number of the element that stands in it.
    #[schema(max_length = 40, required = false)]
    pub element: Option<String>,
    /// Part number of the inhibitor.
    #[schema(max_length = 40, required = false)]
    pub inhibitor: Option<String>,
    /// Inner volume of the body.
    #[schema(schema_with = schema::optional::body_volume_l, required = false)]
    pub body_volume_l: Option<f64>,
    /// Volume that the element takes up; a named element states its own, none when left out.
    #[schema(schema_with = schema::optional::element_displacement_l, required = false)]
    pub element_displacement_l: Option<f64>,
    /// Share of the free volume left to air. Give this or `fill_l`; a tenth for a named body when both are left out.
    #[schema(schema_with = schema::optional::headspace_fraction, required = false)]
    pub headspace_fraction: Option<f64>,
    /// Fluid filled in, at the fill temperature.
    #[schema(schema_with = schema::optional::fill_l, required = false)]
    pub fill_l: Option<f64>,
    /// Temperature at filling; 20 °C when left out.
    #[schema(schema_with = schema::optional::fill_c, required = false)]
    pub fill_c: Option<f64>,
    /// Hottest fluid; of named parts the highest set point, or what the watts reach, when left out.
    #[schema(schema_with = schema::optional::hot_c, required = false)]
    pub hot_c: Option<f64>,
    /// What is filled in; water when left out.
    #[schema(required = false)]
    pub fluid: Option<NewFluid>,
    /// The maker's permitted gauge pressure; a named body states its own.
    #[schema(schema_with = schema::optional::permitted_gauge_bar, required = false)]
    pub permitted_gauge_bar: Option<f64>,
    /// When the maker wants the vent closed; a named body may state it.
    #[schema(required = false)]
    pub vent_closing: Option<NewVentClosing>,
    /// Inhibitor a litre of fill, by its maker; a named inhibitor states it.
    #[schema(schema_with = schema::optional::inhibitor_ml_l, required = false)]
    pub inhibitor_ml_l: Option<f64>,
    /// Density of the undiluted glycol, by its maker.
    #[schema(schema_with = schema::optional::concentrate_kg_l, required = false)]
    pub concentrate_kg_l: Option<f64>,
}

/// What is filled in.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewFluid {
    /// Water, or water with glycol.
    pub kind: NewFluidKind,
    /// Share of glycol in the volume of the mixture: volume, not mass. The table holds 0.2 to 0.5.
    #[schema(minimum = 0, maximum = 1, required = false)]
    pub volume_fraction: Option<f64>,
}

/// A kind of fluid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewFluidKind {
    /// Water.
    Water,
    /// Water with propylene glycol.
    PropyleneGlycol,
    /// Water with ethylene glycol, which is poisonous.
    EthyleneGlycol,
}

/// When the vent is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewVentClosing {
    /// After filling, before the first heating.
    SealedCold,
    /// Hot, at the end of the first heating.
    SealedHot,
    /// There is no vent, or it is never opened.
    NeverVented,
}

/// A question with its outcome and the cautions around it.
#[derive(Debug)]
pub(super) struct AnsweredFill<'a> {
    pub question: FillQuestion,
    pub outcome: FillOutcome,
    pub inhibitor: Option<&'a Accessory>,
    pub notices: Vec<Notice>,
}

impl NewFill {
    /// The answer, or every field that is wrong.
    pub(super) fn answer<'a>(&self, edition: &'a Edition) -> Result<AnsweredFill<'a>, Problem> {
        let mut fields = Fields::default();
        let mut notices = vec![caution()];
        let inhibitor = self.inhibitor(edition, &mut fields);
        let mut question = self.stated(edition, &mut fields, &mut notices);
        self.amount(&mut question, &mut fields, &mut notices);
        self.temperatures(&mut question, &mut fields, &mut notices);
        question.fluid = self.fluid(&mut fields);
        let stated = self.permitted_gauge_bar.map(|bar| bar * KPA_PER_BAR);
        question.permitted_gauge_kpa = stated.or(question.permitted_gauge_kpa);
        question.vent_closing = self.vent_closing.map(Into::into).or(question.vent_closing);
        question.products.concentrate_kg_l = self.concentrate_kg_l;
        let dose = inhibitor.and_then(|accessory| accessory.dose_ml_per_litre);
        question.products.inhibitor_ml_l = self.inhibitor_ml_l.or_else(|| dose.map(f64::from));
        let outcome = work_out_fill(&question);
        if let Err(faults) = &outcome {
            for fault in faults {
                fields.push_new_fault(&self.renamed(fault));
            }
        }
        let outcome = fields.finish(outcome)?.map_err(|_listed_above| Problem::failed())?;
        Ok(AnsweredFill { question, outcome, inhibitor, notices })
    }

    /// What the named parts state, or the raw figures.
    fn stated(
        &self,
        edition: &Edition,
        fields: &mut Fields,
        notices: &mut Vec<Notice>,
    ) -> FillQuestion {
        let body = self.body.as_deref().and_then(|sku| find_body(edition, sku, fields));
        let element = self.element.as_deref().and_then(|sku| find_element(edition, sku, fields));
        exclude("body_volume_l", (self.body.is_some(), self.body_volume_l.is_some()), fields);
        if self.element.is_some() && self.element_displacement_l.is_some() {
            let detail = "element_displacement_l is the named element's own; leave it out";
            fields.push("element_displacement_l", FieldCode::Contradiction, detail);
        }
        refuse_filled(body, fields);
        let raw = FillQuestion::new(
            Litres::new(self.body_volume_l.unwrap_or(STAND_IN_L)),
            FillAmount::Headspace(HEADSPACE_USUAL),
        );
        let mut question = body.map_or(raw, |body| pair_fill(body, element));
        if body.is_some() && self.hot_c.is_none() {
            let from = if element.is_some() {
                "the element's highest set point, or what its watts reach"
            } else {
                "the body's limit"
            };
            let text = format!("The hottest fluid is taken as {}: {from}.", question.hot);
            notices.push(Notice::new("hottest-fluid-taken", text));
        }
        let of_element =
            element.map(|element| f64::from(element.shape.displacement_ml) / MILLILITRES);
        let displaced = of_element.or(self.element_displacement_l).unwrap_or_default();
        question.element_displacement = Litres::new(displaced);
        question
    }

    fn inhibitor<'a>(&self, edition: &'a Edition, fields: &mut Fields) -> Option<&'a Accessory> {
        let sku = self.inhibitor.as_deref()?;
        let found = find_accessory(edition, ("inhibitor", sku), fields)?;
        if found.kind != AccessoryKind::Inhibitor {
            let detail = format!("{sku} is a {}, no inhibitor", found.kind.word());
            fields.push("inhibitor", FieldCode::Contradiction, detail);
        }
        if self.inhibitor_ml_l.is_some() {
            let detail = "inhibitor_ml_l is the named inhibitor's own; leave it out";
            fields.push("inhibitor_ml_l", FieldCode::Contradiction, detail);
        }
        Some(found)
    }

    fn amount(&self, question: &mut FillQuestion, fields: &mut Fields, notices: &mut Vec<Notice>) {
        match (self.headspace_fraction, self.fill_l) {
            (Some(share), None) => question.amount = FillAmount::Headspace(share),
            (None, Some(litres)) => question.amount = FillAmount::Volume(Litres::new(litres)),
            (Some(_), Some(_)) => {
                let detail = "give headspace_fraction or fill_l, not both";
                fields.push("fill_l", FieldCode::Contradiction, detail);
            }
            (None, None) if self.body.is_some() => {
                notices.push(Notice::new("headspace-usual", HEADSPACE));
            }
            (None, None) => {
                let detail = "headspace_fraction or fill_l is needed unless a body is named";
                fields.push("headspace_fraction", FieldCode::Missing, detail);
            }
        }
    }

    fn temperatures(
        &self,
        question: &mut FillQuestion,
        fields: &mut Fields,
        notices: &mut Vec<Notice>,
    ) {
        if let Some(cold) = self.fill_c {
            question.cold = Celsius::new(cold);
        } else {
            let text = format!("Filled at {}, since no temperature is stated.", question.cold);
            notices.push(Notice::new("fill-temperature-taken", text));
        }
        match self.hot_c {
            Some(hot) => question.hot = Celsius::new(hot),
            None if self.body.is_some() => {}
            None => {
                let detail = "hot_c is needed unless a body is named";
                fields.push("hot_c", FieldCode::Missing, detail);
            }
        }
    }

    fn fluid(&self, fields: &mut Fields) -> Fluid {
        let Some(fluid) = self.fluid else { return Fluid::Water };
        fields.within("fluid", |at| {
            let fraction = fluid.volume_fraction;
            let is_water = fluid.kind == NewFluidKind::Water;
            if is_water && fraction.is_some_and(|share| 0.0_f64 < share) {
                let detail = "water has no share of glycol";
                at.push("volume_fraction", FieldCode::Contradiction, detail);
            } else if !is_water && fraction.is_none() {
                let detail = "volume_fraction is needed with glycol";
                at.push("volume_fraction", FieldCode::Missing, detail);
            }
            let volume_fraction = fraction.unwrap_or(STAND_IN_FRACTION);
            match fluid.kind {
                NewFluidKind::Water => Fluid::Water,
                NewFluidKind::PropyleneGlycol => Fluid::PropyleneGlycol { volume_fraction },
                NewFluidKind::EthyleneGlycol => Fluid::EthyleneGlycol { volume_fraction },
            }
        })
    }

    /// A fault of a figure that a named part states is a fault of naming that part.
    fn renamed(&self, fault: &Fault) -> Fault {
        let pointer = match fault.pointer.as_str() {
            "/element_displacement_l" if self.element.is_some() => "/element",
            "/body_volume_l" if self.body.is_some() => "/body",
            other => other,
        };
        Fault { pointer: pointer.to_owned(), ..fault.clone() }
    }
}

/// Millilitres in a litre.
const MILLILITRES: f64 = 1_000.0;

/// Stand in for figures that are missing while the other fields are checked; never answered with.
const STAND_IN_L: f64 = 50.0;
const STAND_IN_FRACTION: f64 = 0.3;

const HEADSPACE: &str = "No headspace and no litres are stated, so a tenth is left to air (common practice, no source).";

fn refuse_filled(body: Option<&Body>, fields: &mut Fields) {
    if body.is_some_and(|body| body.content.is_filled) {
        let detail =
            "this body leaves its maker filled and sealed: it is neither filled nor opened on site";
        fields.push("body", FieldCode::NotSupported, detail);
    }
}

fn exclude(field: &str, (is_named, is_stated): (bool, bool), fields: &mut Fields) {
    if is_named && is_stated {
        let detail = format!("{field} is the named body's own; give one or the other");
        fields.push(field, FieldCode::Contradiction, detail);
    } else if !is_named && !is_stated {
        let detail = format!("{field} is needed unless a body is named");
        fields.push(field, FieldCode::Missing, detail);
    }
}

impl From<NewVentClosing> for VentClosing {
    fn from(closing: NewVentClosing) -> Self {
        match closing {
            NewVentClosing::SealedCold => Self::Cold,
            NewVentClosing::SealedHot => Self::Hot,
            NewVentClosing::NeverVented => Self::Never,
        }
    }
}

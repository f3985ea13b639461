//! How the body is filled and first heated.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::PartKind;
use crate::domain::compatibility::pair_fill;
use crate::domain::fill::DoseProducts;
use crate::domain::fill::Fill;
use crate::domain::fill::FillOutcome;
use crate::domain::fill::FillQuestion;
use crate::domain::fill::VentClosing;
use crate::domain::fill::verdict::PressureVerdict;
use crate::domain::fill::work_out_fill;
use crate::domain::quote::sheet::FillFigures;
use crate::domain::quote::sheet::WorkStep;

use super::Rail;

/// How the body is filled; a body that comes filled is only to be left closed.
pub(super) fn fill(rail: &Rail<'_>) -> FillFigures {
    if rail.body.content.is_filled {
        return filled_by_maker();
    }
    let (question, inhibitor) = question(rail);
    match work_out_fill(&question) {
        Ok(FillOutcome::Filled(fill)) => figures(&question, &fill, inhibitor.as_deref()),
        Ok(FillOutcome::Refused(refusal)) => stopped(&refusal.sentence()),
        Err(_faults) => stopped("The data of body and element make no fill: ask the maker."),
    }
}

fn question(rail: &Rail<'_>) -> (FillQuestion, Option<String>) {
    let accessories = rail.room.catalogue.edition().accessories();
    let of_kind = rail.room.parts.iter().filter(|part| part.kind == PartKind::Accessory);
    let mut own = of_kind.filter_map(|part| accessories.get(part.index));
    let inhibitor = own.find(|accessory| accessory.kind == AccessoryKind::Inhibitor);
    let dose = inhibitor.and_then(|accessory| accessory.dose_ml_per_litre).map(f64::from);
    let products = DoseProducts { concentrate_kg_l: None, inhibitor_ml_l: dose };
    let question = FillQuestion { products, ..pair_fill(rail.body, Some(rail.element)) };
    (question, inhibitor.map(|accessory| accessory.card.name.to_string()))
}

fn filled_by_maker() -> FillFigures {
    FillFigures {
        fluid: Some("the maker's own: the body comes filled and sealed".to_owned()),
        pressure: Some("the maker answers for it".to_owned()),
        steps: vec![WorkStep {
            text: "Look for drops at every joint before and after the first heating.".to_owned(),
            caution: Some(
                "Never open the body: it is neither filled nor topped up on site.".to_owned(),
            ),
        }],
        ..FillFigures::default()
    }
}

fn stopped(sentence: &str) -> FillFigures {
    let caution = Some("Do not switch the element on.".to_owned());
    let steps = vec![WorkStep { text: format!("Stop here. {sentence}"), caution }];
    FillFigures { steps, ..FillFigures::default() }
}

fn figures(question: &FillQuestion, fill: &Fill, inhibitor: Option<&str>) -> FillFigures {
    let dose = fill.doses.inhibitor.map(|dose| millilitres(dose.value()));
    let fluid = match (inhibitor, dose) {
        (Some(name), Some(dose)) => format!("water with {dose} ml of {name}, the maker's dose"),
        (Some(name), None) => format!("water with {name}; its maker states no dose: ask"),
        (None, _) => {
            "water; no inhibitor is in the delivery: ask the body's maker which".to_owned()
        }
    };
    FillFigures {
        fluid: Some(fluid),
        volume_ml: Some(millilitres(fill.volume.value())),
        headspace_permille: Some(millilitres(fill.headspace_fraction)),
        pressure: Some(pressure(question, fill)),
        steps: fill.steps.iter().map(WorkStep::from).collect(),
    }
}

/// Thousandths, rounded to the nearest.
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "some litres, never below nothing; the cast saturates"
)]
fn millilitres(litres: f64) -> u32 {
    libm::round(litres * 1_000.0_f64) as u32
}

fn pressure(question: &FillQuestion, fill: &Fill) -> String {
    let closing = match question.vent_closing {
        Some(VentClosing::Cold) => "vent closed cold",
        Some(VentClosing::Hot) => "vent closed hot",
        Some(VentClosing::Never) => "never vented",
        None => "when to close the vent is not stated; were it closed cold",
    };
    let of_case = match question.vent_closing {
        Some(VentClosing::Cold) | None => fill.pressures.sealed_cold,
        Some(VentClosing::Hot) => fill.pressures.sealed_hot.hot,
        Some(VentClosing::Never) => fill.pressures.never_vented,
    };
    let bears = question.permitted_gauge_kpa.map_or_else(
        || "what the body bears is not stated".to_owned(),
        |permitted| format!("the body bears {:.1} bar", permitted / 100.0_f64),
    );
    let verdict = match fill.verdict {
        PressureVerdict::Within { .. } => "within it, margin included",
        PressureVerdict::Exceeds { .. } => {
            "MORE than it bears with the margin: do not close the vent"
        }
        PressureVerdict::NotEstablished => "not established as allowed",
    };
    format!("{closing}: {:.2} bar above the air when hot; {bears}; {verdict}", of_case.gauge_bar())
}

//! The control functions that the market's ecodesign law demands of element and controls together.

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Sku;
use crate::domain::ecodesign::Completion;
use crate::domain::ecodesign::ControlCode;
use crate::domain::ecodesign::ControlledRail;
use crate::domain::ecodesign::EcodesignVerdict;
use crate::domain::ecodesign::check_control;
use crate::domain::ecodesign::choose_regime;
use crate::domain::ecodesign::complete_with;
use crate::domain::units::Watts;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::surroundings::Surroundings;

/// Rule `control-functions`: what the law asks of an element with the controls that are named beside it.
///
/// Parts that lack functions still fit together, so a check warns and says what would complete them; a bill of
/// materials is only made complete. Nothing is said without exactly one element.
pub fn check_control_functions(
    edition: &Edition,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Option<Finding> {
    let mut of_kind = parts.iter().filter(|part| part.kind == PartKind::Element);
    let element = edition.elements().get(of_kind.next()?.index)?;
    if of_kind.next().is_some() {
        return None;
    }
    let controls = parts.iter().filter(|part| part.kind == PartKind::Control);
    let codes = controls.filter_map(|part| edition.controls().get(part.index));
    let code = codes.fold(element.control.code, |code, control| code.union(control.code));
    let region = surroundings.place.region.as_deref();
    let regime = choose_regime(&surroundings.market.code, region).regime;
    let rail = ControlledRail { watts: element.watts, code, working_time_hours: None };
    Some(finding(&element.card.sku, rail, &check_control(regime, rail)))
}

fn finding(element: &Sku, rail: ControlledRail, verdict: &EcodesignVerdict) -> Finding {
    let percent = verdict.efficiency.percent();
    let advice = if verdict.is_met { String::new() } else { advice(rail.watts, rail.code) };
    let left = StatedSide::part(element, "control code", Some(rail.code.to_string()));
    let right = StatedSide::demand("regime", verdict.regime.code().to_owned());
    Finding {
        rule: "control-functions".into(),
        outcome: if verdict.is_met { Outcome::Holds } else { Outcome::Warns },
        severity: Severity::Warn,
        detail: format!(
            "Element and controls together have the control code {}, a seasonal efficiency of {percent:.1} %, judged \
             by {}.{advice}",
            rail.code,
            verdict.regime.code()
        ),
        left,
        right,
        source: verdict.source.clone(),
    }
}

fn advice(watts: Watts, code: ControlCode) -> String {
    let rows: Vec<String> = complete_with(watts, code).iter().map(row).collect();
    if rows.is_empty() {
        return " It is not enough, and no control code completes it.".to_owned();
    }
    format!(" It is not enough; it may be completed by a control with {}.", rows.join(", or "))
}

fn row(completion: &Completion) -> String {
    let base = completion.base.code();
    match completion.functions_count {
        0 => base.to_owned(),
        1 => format!("{base} and one counted function"),
        count => format!("{base} and {count} counted functions"),
    }
}

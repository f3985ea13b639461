//! The judgement on a sealed pressure: the maker's case against the maker's permitted pressure, with a margin.
//!
//! Where either datum is absent nothing is allowed: the verdict is `not_established`. Absent here: the pressures.

use crate::domain::fill::ATMOSPHERE_KPA;
use crate::domain::fill::Pressure;
use crate::domain::fill::SealedCases;
use crate::domain::fill::dose::Doses;
use crate::domain::fill::fluid::Fluid;
use crate::domain::fill::question::FillQuestion;
use crate::domain::fill::question::VentClosing;
use crate::domain::notice::Notice;

/// How many times the permitted gauge pressure must exceed the computed one: the custom of testing installations at 1.3
/// times their operating pressure (read second-hand), applied here by inference.
pub const PRESSURE_MARGIN: f64 = 1.3;

/// What the sealed pressure is judged to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PressureVerdict {
    /// The maker's case stays within the permitted pressure, margin included.
    Within {
        /// Pressure of the maker's case when hot.
        pressure: Pressure,
    },
    /// It does not.
    Exceeds {
        /// Pressure of the maker's case when hot.
        pressure: Pressure,
        /// The most that the permitted pressure allows, margin taken off.
        pressure_max: Pressure,
    },
    /// The maker does not say when to close the vent, or what the body bears.
    NotEstablished,
}

impl PressureVerdict {
    /// Stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Within { .. } => "within",
            Self::Exceeds { .. } => "exceeds",
            Self::NotEstablished => "not_established",
        }
    }
}

/// The highest pressure that a permitted gauge pressure allows once the margin is taken off.
pub fn pressure_max(permitted_gauge_kpa: f64) -> Pressure {
    Pressure::new(ATMOSPHERE_KPA + permitted_gauge_kpa / PRESSURE_MARGIN)
}

/// Judges the case that the maker's vent datum selects.
pub(super) fn judge(question: &FillQuestion, pressures: &SealedCases) -> PressureVerdict {
    let Some((permitted, closing)) = question.permitted_gauge_kpa.zip(question.vent_closing) else {
        return PressureVerdict::NotEstablished;
    };
    let pressure = match closing {
        VentClosing::Cold => pressures.sealed_cold,
        VentClosing::Hot => pressures.sealed_hot.hot,
        VentClosing::Never => pressures.never_vented,
    };
    let pressure_max = pressure_max(permitted);
    if pressure <= pressure_max {
        PressureVerdict::Within { pressure }
    } else {
        PressureVerdict::Exceeds { pressure, pressure_max }
    }
}

/// Cautions that go with every fill, and those that this one calls for.
pub(super) fn notices(
    question: &FillQuestion,
    pressures: &SealedCases,
    doses: &Doses,
) -> Vec<Notice> {
    let mut notices = vec![
        Notice::new("licensed-electrician", ELECTRICIAN),
        Notice::new("pressure-can-be-higher", HIGHER),
    ];
    let asked = [
        (question.vent_closing.is_none(), "vent-closing-not-established", VENT),
        (question.permitted_gauge_kpa.is_none(), "permitted-pressure-not-stated", PERMITTED),
        (doses.inhibitor.is_none(), "inhibitor-not-established", INHIBITOR),
        (question.fluid == Fluid::Water, "frost", FROST),
        (question.vent_closing == Some(VentClosing::Never), "never-vented-bound", NEVER),
    ];
    notices.extend(
        asked.into_iter().filter(|row| row.0).map(|(_, code, text)| Notice::new(code, text)),
    );
    if question.vent_closing == Some(VentClosing::Hot) {
        let text = format!(
            "Closed hot, the body pulls a vacuum when it cools, down to {:.2} bar against the air around it. Seals must hold in \
             both directions, and a vent opened cold draws air in.",
            pressures.sealed_hot.cooled.gauge_bar()
        );
        notices.push(Notice::new("vacuum-when-cold", text));
    }
    notices
}

const ELECTRICIAN: &str = "The local wiring rules and a licensed electrician decide on connection and first switching on; \
                           this answer replaces neither, nor the maker's own instructions.";
const HIGHER: &str = "The pressure leaves out air that comes out of the fluid and gas from corrosion, so the true one can \
                      be higher. It counts the body as rigid.";
const VENT: &str = "The maker's word on when to close the vent is not known, so no case is judged. Ask before filling.";
const PERMITTED: &str =
    "The permitted pressure of the body is not stated, so the pressure is not judged.";
const INHIBITOR: &str = "No inhibitor product is stated, so no dose is given. Its maker's strength applies; no standard gives one.";
const FROST: &str = "Water freezes at 0 °C and can burst the body in an unheated home.";
const NEVER: &str = "Never vented is counted with all the air that the element pushes aside; spilling some while screwing in lowers it.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fill::FillAmount;
    use crate::domain::fill::FillOutcome;
    use crate::domain::fill::work_out_fill;
    use crate::domain::units::Celsius;
    use crate::domain::units::Litres;

    fn verdict(permitted: Option<f64>, vent_closing: Option<VentClosing>) -> &'static str {
        let question = FillQuestion {
            element_displacement: Litres::new(0.4),
            hot: Celsius::new(80.0),
            permitted_gauge_kpa: permitted,
            vent_closing,
            ..FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(0.1))
        };
        match work_out_fill(&question).unwrap() {
            FillOutcome::Filled(fill) => fill.verdict.code(),
            FillOutcome::Refused(refusal) => refusal.code(),
        }
    }

    #[test]
    fn a_missing_datum_of_the_maker_is_never_a_yes() {
        assert_eq!(verdict(None, Some(VentClosing::Hot)), "not_established");
        assert_eq!(verdict(Some(1_000.0), None), "not_established");
    }

    #[test]
    fn the_margin_counts() {
        // Closed cold the body reaches 1.04 bar: 1.3 bar permitted is not enough, 1.4 bar is.
        assert_eq!(verdict(Some(130.0), Some(VentClosing::Cold)), "exceeds");
        assert_eq!(verdict(Some(140.0), Some(VentClosing::Cold)), "within");
    }

    #[test]
    fn the_case_is_the_makers() {
        assert_eq!(verdict(Some(140.0), Some(VentClosing::Never)), "exceeds");
        assert_eq!(verdict(Some(50.0), Some(VentClosing::Hot)), "within");
    }
}

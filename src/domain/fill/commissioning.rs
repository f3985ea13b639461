//! The order of work for filling a body and switching it on for the first time, with the caution at each step.
//!
//! The vent's step follows the maker's datum; without one the work stops there. Absent here: torque, sealants and
//! electrical tests, which belong to the maker and the electrician.

use crate::domain::fill::fluid::Fluid;
use crate::domain::fill::question::FillQuestion;
use crate::domain::fill::question::VentClosing;
use crate::domain::units::Litres;

/// One step of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CommissioningStep {
    /// Kebab-case, stable.
    pub code: &'static str,
    /// What to do.
    pub text: String,
    /// What to beware of.
    pub caution: Option<&'static str>,
}

/// The steps for this fill, in order.
pub(super) fn commissioning_steps(
    question: &FillQuestion,
    volume: Litres,
) -> Vec<CommissioningStep> {
    let mut steps = vec![
        step(
            "isolate",
            "Keep the supply switched off and secured until the step that says otherwise.",
            Some(DRY),
        ),
        step(
            "rinse",
            "Rinse the body and let it drain, so that swarf and flux do not stay in it.",
            None,
        ),
        step(
            "fit-element",
            "Screw the element into its port with the seal that its maker names.",
            None,
        ),
        step("mix", mix(question), mix_caution(question.fluid)),
        step("fill", fill(question, volume), Some(BRIM)),
        step("check-dry", "Wipe the joints dry, wait, and look for drops.", None),
    ];
    steps.extend(vent_steps(question.vent_closing));
    steps.push(step("recheck", "Let the body cool, look for drops once more, and write date, fluid and litres on the sheet.", None));
    steps
}

fn vent_steps(closing: Option<VentClosing>) -> Vec<CommissioningStep> {
    let close_cold =
        step("close-vent-cold", "Close the vent while everything is still cold.", None);
    let close_hot =
        step("close-vent-hot", "Once the fluid is as hot as it gets, close the vent.", Some(SCALD));
    match closing {
        None => vec![step(
            "ask-maker",
            "Stop here until the body's maker has said when the vent is to be closed.",
            Some(
                "Heating with the vent in the wrong position spills hot fluid or overloads the seals.",
            ),
        )],
        Some(VentClosing::Cold) => vec![close_cold, switch_on("with the vent closed", LEAK)],
        Some(VentClosing::Hot) => vec![
            step("open-vent", "Leave the vent open with a rag and a cup below it.", Some(SPIT)),
            switch_on("with the vent open", SPIT),
            close_hot,
        ],
        Some(VentClosing::Never) => vec![switch_on("as closed", LEAK)],
    }
}

fn switch_on(how: &str, caution: &'static str) -> CommissioningStep {
    let text =
        format!("Have a licensed electrician connect and switch on, and heat up once {how}.");
    step("first-heating", text, Some(caution))
}

fn mix(question: &FillQuestion) -> String {
    let percent = question.fluid.volume_fraction() * 100.0;
    let inhibitor = if question.products.inhibitor_ml_l.is_some() {
        " Add the inhibitor in the dose given."
    } else {
        ""
    };
    match question.fluid {
        Fluid::Water => format!("Have clean, cold water ready.{inhibitor}"),
        Fluid::PropyleneGlycol { .. } => {
            format!("Mix propylene glycol and water to {percent:.0} % glycol by volume.{inhibitor}")
        }
        Fluid::EthyleneGlycol { .. } => {
            format!("Mix ethylene glycol and water to {percent:.0} % glycol by volume.{inhibitor}")
        }
    }
}

const fn mix_caution(fluid: Fluid) -> Option<&'static str> {
    match fluid {
        Fluid::Water => None,
        Fluid::PropyleneGlycol { .. } => {
            Some("Use a glycol sold for heating, with its own inhibitor.")
        }
        Fluid::EthyleneGlycol { .. } => {
            Some("Ethylene glycol is poisonous: keep it from children, pets and drains.")
        }
    }
}

fn fill(question: &FillQuestion, volume: Litres) -> String {
    format!(
        "Pour in {:.2} l at about {:.0} °C, measured, and leave the rest to air.",
        volume.value(),
        question.cold.value()
    )
}

fn step<T: Into<String>>(
    code: &'static str,
    text: T,
    caution: Option<&'static str>,
) -> CommissioningStep {
    CommissioningStep { code, text: text.into(), caution }
}

const DRY: &str = "An element switched on without fluid is spoilt within moments.";
const BRIM: &str = "Never fill to the brim: swelling fluid without air raises the pressure by several bar per kelvin.";
const LEAK: &str = "Stay with it and switch off at the first drop.";
const SPIT: &str = "An open vent may spit hot fluid: keep face, hands and children away.";
const SCALD: &str = "Body and vent are hot: wear gloves and stand aside.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fill::question::FillAmount;

    fn codes(vent_closing: Option<VentClosing>) -> Vec<&'static str> {
        let amount = FillAmount::Headspace(0.1);
        let question = FillQuestion { vent_closing, ..FillQuestion::new(Litres::new(5.0), amount) };
        let steps = commissioning_steps(&question, Litres::new(4.5));
        steps.into_iter().map(|step| step.code).collect()
    }

    #[test]
    fn a_vent_to_be_closed_hot_is_open_before_the_first_heating() {
        let order = codes(Some(VentClosing::Hot));
        let place = |code| order.iter().position(|&known| known == code).unwrap();
        assert!(place("fill") < place("open-vent"));
        assert!(place("open-vent") < place("first-heating"));
        assert!(place("first-heating") < place("close-vent-hot"));
    }

    #[test]
    fn without_the_makers_word_nothing_is_switched_on() {
        let order = codes(None);
        assert!(order.contains(&"ask-maker"));
        assert!(!order.contains(&"first-heating"));
    }
}

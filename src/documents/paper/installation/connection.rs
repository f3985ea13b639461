//! Element, supply and fill on the installation sheet.
//!
//! Absent here: the figures themselves.

use crate::documents::page::Block;
use crate::documents::page::Pair;
use crate::documents::page::Step;
use crate::documents::paper::NOT_STATED;
use crate::documents::paper::installation::Sourced;
use crate::documents::paper::installation::sourced;
use crate::documents::paper::stated;
use crate::domain::fill::commissioning::CommissioningStep;

/// How the element is fitted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fitting {
    /// Side and port: `lower left port`.
    pub port: Option<String>,
    /// Thread of port and element, and how they mate.
    pub thread: Option<String>,
    /// What seals it.
    pub seal: Option<String>,
    /// Length of the flex.
    pub flex_length_mm: Option<i32>,
    /// Where the flex runs and how long its route is, slack included.
    pub flex_route: Option<String>,
    /// IP code of the element.
    pub ip: Option<String>,
    /// Protection class of the element.
    pub class: Option<String>,
}

/// How it is fed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SupplyFigures {
    /// Power and current at 230 V.
    pub load: Option<String>,
    /// The connection unit and where it stands.
    pub connection_unit: Option<String>,
    /// The fuse in it, or the breaker.
    pub fuse: Option<String>,
    /// The residual current device.
    pub residual: Option<String>,
    /// The flex: cores and cross-section.
    pub flex: Option<String>,
    /// The fixed cable.
    pub cable: Option<String>,
    /// The voltage drop against its limit.
    pub voltage_drop: Option<String>,
    /// What else the installer must see to.
    pub advice: Vec<Sourced>,
}

/// How it is filled.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FillFigures {
    /// The fluid with its doses.
    pub fluid: Option<String>,
    /// Litres to pour in.
    pub volume_l: Option<f64>,
    /// Air left when cold, percent.
    pub headspace_percent: Option<f64>,
    /// Pressure when hot against what the body bears, in words.
    pub pressure: Option<String>,
    /// What to do, in order.
    pub steps: Vec<CommissioningStep>,
}

impl Fitting {
    pub(super) fn blocks(&self) -> Vec<Block> {
        let length = self.flex_length_mm.map(|length| format!("{length} mm"));
        let pairs = vec![
            Pair::new("Side and port", stated(self.port.as_ref())),
            Pair::new("Thread", stated(self.thread.as_ref())),
            Pair::new("Seal", stated(self.seal.as_ref())),
            Pair::new("Length of the flex", stated(length.as_ref())),
            Pair::new("Route of the flex", stated(self.flex_route.as_ref())),
            Pair::new("IP code", stated(self.ip.as_ref())),
            Pair::new("Protection class", stated(self.class.as_ref())),
        ];
        let steps = [
            "IP code and protection class read on the element's own plate and found as above.",
            "Element at the bottom of the body; thread and seal as above, no second thread forced.",
            "Flex along the wall, not on the hot rail, not lengthened; cover fitted where one is in the delivery.",
        ];
        vec![Block::Pairs(pairs), Block::Steps(steps.map(Step::new).into())]
    }
}

impl SupplyFigures {
    pub(super) fn blocks(&self) -> Vec<Block> {
        let pairs = vec![
            Pair::new("Load at 230 V", stated(self.load.as_ref())),
            Pair::new("Connection unit", stated(self.connection_unit.as_ref())),
            Pair::new("Fuse or breaker", stated(self.fuse.as_ref())),
            Pair::new("Residual current device", stated(self.residual.as_ref())),
            Pair::new("Flex", stated(self.flex.as_ref())),
            Pair::new("Fixed cable", stated(self.cable.as_ref())),
            Pair::new("Voltage drop", stated(self.voltage_drop.as_ref())),
        ];
        std::iter::once(Block::Pairs(pairs)).chain(sourced(&self.advice)).collect()
    }
}

impl FillFigures {
    pub(super) fn blocks(&self) -> Vec<Block> {
        let litres = self.volume_l.map(|litres| format!("{litres:.2} l, measured, not guessed"));
        let air =
            self.headspace_percent.map(|percent| format!("{percent:.1} % of the body when cold"));
        let pairs = vec![
            Pair::new("Fluid", stated(self.fluid.as_ref())),
            Pair::new("Pour in", stated(litres.as_ref())),
            Pair::new("Air to be left", stated(air.as_ref())),
            Pair::new("Pressure", stated(self.pressure.as_ref())),
        ];
        let step = |step: &CommissioningStep| Step {
            text: step.text.clone(),
            caution: step.caution.map(str::to_owned),
        };
        let mut blocks = vec![Block::Pairs(pairs)];
        if self.steps.is_empty() {
            blocks.push(Block::Paragraph(format!("Order of work: {NOT_STATED}.")));
        } else {
            blocks.push(Block::Steps(self.steps.iter().map(step).collect()));
        }
        blocks
    }
}

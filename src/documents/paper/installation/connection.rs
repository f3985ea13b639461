//! Element, supply and fill on the installation sheet.
//!
//! Absent here: the figures themselves.

use crate::documents::page::Block;
use crate::documents::page::Pair;
use crate::documents::page::Step;
use crate::documents::paper::NOT_STATED;
use crate::documents::paper::installation::sourced;
use crate::documents::paper::stated;
use crate::domain::quote::sheet::FillFigures;
use crate::domain::quote::sheet::Fitting;
use crate::domain::quote::sheet::SupplyFigures;
use crate::domain::quote::sheet::WorkStep;

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
        let litres = self.volume_ml.map(|volume| {
            let (whole, rest) = (volume.div_euclid(1_000), volume.rem_euclid(1_000));
            format!("{whole}.{rest:03} l, measured, not guessed")
        });
        let air = self.headspace_permille.map(|share| {
            let (whole, tenth) = (share.div_euclid(10), share.rem_euclid(10));
            format!("{whole}.{tenth} % of the body when cold")
        });
        let pairs = vec![
            Pair::new("Fluid", stated(self.fluid.as_ref())),
            Pair::new("Pour in", stated(litres.as_ref())),
            Pair::new("Air to be left", stated(air.as_ref())),
            Pair::new("Pressure", stated(self.pressure.as_ref())),
        ];
        let step =
            |step: &WorkStep| Step { text: step.text.clone(), caution: step.caution.clone() };
        let mut blocks = vec![Block::Pairs(pairs)];
        if self.steps.is_empty() {
            blocks.push(Block::Paragraph(format!("Order of work: {NOT_STATED}.")));
        } else {
            blocks.push(Block::Steps(self.steps.iter().map(step).collect()));
        }
        blocks
    }
}

//! From a pair to a finished job, looked up in the compiled catalogue: the completion that [`super::completion::complete`] finds.
//!
//! The tables hold the cheapest controls and accessories of every class of bodies and elements, so the cost does not grow
//! with the number of accessories. Only for the cheapest completion: the order by parts and other ways to complete a rail
//! search. Absent here: what a pair needs, which is told in one place for both.

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::money::Minor;
use crate::domain::snapshot::kind_place;

use super::completion::ChosenAccessory;
use super::completion::Completion;
use super::controls::ControlSet;
use super::needs::needs;
use super::pairs::Pair;
use super::question::Question;

/// The cheapest completion of a pair; nothing when the catalogue cannot finish the job, or does not sell a part of the pair.
pub(super) fn look_up(question: &Question<'_>, pair: &Pair) -> Option<Completion> {
    let index = question.index;
    let edition = question.catalogue.edition();
    let body = index.body_row(pair.body.index)?;
    let element = index.element_row(pair.element.index)?;
    let set = index.controls.set(question.wish, body.control_class, element.control_class)?;
    let part = |place| PartRef { kind: PartKind::Control, index: place };
    let controls = ControlSet {
        net: Minor::new(set.net),
        controls: set.controls.iter().copied().map(part).collect(),
    };
    let rail = edition.bodies().get(pair.body.index)?;
    let heater = edition.elements().get(pair.element.index)?;
    let classes = (body.accessory_class, element.accessory_class);
    let mut net = pair.net.plus(controls.net).ok()?;
    let mut accessories = Vec::new();
    for need in needs(edition, question.demands, rail, heater) {
        let wanted = (kind_place(need.kind), need.amount);
        let supply = index.accessories.cheapest(edition.accessories(), classes, wanted)?;
        net = net.plus(supply.net).ok()?;
        accessories.push(ChosenAccessory {
            part: PartRef { kind: PartKind::Accessory, index: supply.index },
            quantity: supply.quantity,
            net: supply.net,
            why: need.why,
        });
    }
    Some(Completion { pair: *pair, accessories, controls, net })
}

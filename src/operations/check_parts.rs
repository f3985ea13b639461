//! Do these parts fit together, here, in this country?

use crate::domain::catalogue::Edition;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Surroundings;
use crate::domain::compatibility::check_parts;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::working;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::delivered_output;
use crate::domain::notice::Notice;
use crate::domain::units::Deciwatts;
use crate::operations::Snapshot;

/// What a check came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checked {
    /// Every rule that speaks about the parts here.
    pub findings: Vec<Finding>,
    /// What body and element give the room, when there is exactly one of each.
    pub delivered: Option<Deciwatts>,
    /// Cautions to show.
    pub notices: Vec<Notice>,
}

impl Checked {
    /// Whether nothing speaks against the parts.
    pub fn fits(&self) -> bool {
        !self.findings.iter().any(Finding::refuses)
    }
}

/// Checks parts against one another and their surroundings.
pub fn check(snapshot: &Snapshot, parts: &[PartRef], surroundings: &Surroundings<'_>) -> Checked {
    let edition = snapshot.catalogue().edition();
    Checked {
        findings: check_parts(edition, parts, surroundings),
        delivered: delivered(edition, parts, surroundings),
        notices: surroundings.notices(snapshot.today()),
    }
}

fn delivered(
    edition: &Edition,
    parts: &[PartRef],
    surroundings: &Surroundings<'_>,
) -> Option<Deciwatts> {
    let body = edition.bodies().get(only(parts, PartKind::Body)?)?;
    let element = edition.elements().get(only(parts, PartKind::Element)?)?;
    let set_point = working(body, element, surroundings.users).set_point();
    let drive = ElementDrive { watts: element.watts, set_point };
    let emitter = emitter(body, surroundings.towels_factor);
    Some(delivered_output(&emitter, drive, surroundings.room).delivered())
}

fn only(parts: &[PartRef], kind: PartKind) -> Option<usize> {
    let mut of_kind = parts.iter().filter(|part| part.kind == kind);
    let first = of_kind.next()?;
    of_kind.next().is_none().then_some(first.index)
}

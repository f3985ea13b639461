//! Where things are in a drawn room, and what a country's rules say of each.
//!
//! Absent here: how a drawing comes in, and how the answer is shown.

use crate::domain::notice::Notice;
use crate::domain::positions::BoxSize;
use crate::domain::positions::Ports;
use crate::domain::positions::WallSpot;
use crate::domain::positions::hang;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::placement::Placement;
use crate::domain::zones::placement::Plan;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict::Equipment;
use crate::domain::zones::verdict::Spot;
use crate::domain::zones::verdict::Verdict;
use crate::domain::zones::verdict::rules_notices;
use crate::domain::zones::verdict::verdict;

/// Something to be placed in a drawing that was found right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its name in the question.
    pub id: String,
    /// What it takes up.
    pub solid: Solid,
    /// What it is: several where one plate does several things.
    pub equipment: Vec<Equipment>,
    /// The spot and size of a box on a wall.
    pub hung: Option<(WallSpot, BoxSize)>,
}

/// Where a thing is and what the rules say.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Where it is.
    pub placement: Placement,
    /// What the rules say: of several, the worst.
    pub verdict: Verdict,
    /// Where the flex leaves a body with an element, by bottom port, left before right; none of anything else.
    pub entries: Vec<Placement>,
}

/// The answer for all things of a room, in the order asked.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedItems {
    /// Each thing.
    pub items: Vec<Placed>,
    /// Cautions about the whole answer.
    pub notices: Vec<Notice>,
}

/// Places things in a drawing that was found right.
pub fn place_items(rules: &WiringRules, scene: &Scene, items: &[Item]) -> PlacedItems {
    let plan = rules.regime.as_ref().map(|regime| Plan::new(scene, regime));
    let items = items.iter().map(|item| place(rules, (scene, plan.as_ref()), item)).collect();
    PlacedItems { items, notices: rules_notices(rules) }
}

fn place(rules: &WiringRules, (scene, plan): (&Scene, Option<&Plan>), item: &Item) -> Placed {
    let placement = plan.map_or_else(unknown, |plan| plan.place(&item.solid));
    let verdicts = item.equipment.iter().map(|piece| verdict(rules, &placement.spot, piece));
    // The first of the worst, so that the same question has the same answer.
    let worst =
        verdicts.reduce(|worst, other| if worst.outcome < other.outcome { other } else { worst });
    let verdict = worst.unwrap_or_else(|| {
        verdict(
            rules,
            &Spot::in_zone(Zone::NotEstablished),
            &Equipment::unknown(EquipmentKind::ConnectionBox),
        )
    });
    let entries = plan.zip(item.hung).map(|(plan, hung)| entries(plan, scene, hung));
    Placed { placement, verdict, entries: entries.unwrap_or_default() }
}

/// The points at which the flex leaves the head, left port first.
fn entries(plan: &Plan, scene: &Scene, (spot, size): (WallSpot, BoxSize)) -> Vec<Placement> {
    if size.below_mm == 0_i32 {
        return Vec::new();
    }
    let ports = Ports::of(spot, &size);
    let point = BoxSize { width_mm: 0, height_mm: 0, depth_mm: 0, below_mm: 0 };
    [ports.left_mm, ports.right_mm]
        .into_iter()
        .filter_map(|offset_mm| {
            let at = WallSpot { offset_mm, bottom_mm: ports.height_mm, ..spot };
            hang(scene, at, &point).ok()
        })
        .map(|solid| plan.place(&solid))
        .collect()
}

/// Without figures nothing can be said.
fn unknown() -> Placement {
    Placement {
        zone: Zone::NotEstablished,
        on_boundary: false,
        governing_fixture: None,
        path: None,
        unclear: Some("the figures of these rules were not found"),
        spot: Spot::in_zone(Zone::NotEstablished),
    }
}

//! Where the rail hangs: plan and elevation, zones, what the rules say, and what the wall carries.

use crate::documents::plan::Drawing;
use crate::documents::plan::DrawnItem;
use crate::documents::plan::views::views;
use crate::domain::catalogue::Role;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Outcome as Ruling;
use crate::domain::compatibility::Planned;
use crate::domain::compatibility::check_wall_load;
use crate::domain::compatibility::hung;
use crate::domain::compatibility::zone_verdict;
use crate::domain::mounting::WallType;
use crate::domain::positions::Position;
use crate::domain::positions::UNIT_BOX;
use crate::domain::positions::UNIT_SIZE_MM;
use crate::domain::positions::WallSpot;
use crate::domain::positions::hang;
use crate::domain::quote::sheet::PlaceFigures;
use crate::domain::quote::sheet::PlacedItem;
use crate::domain::quote::sheet::View;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::placement::Plan;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Solid;
use crate::domain::zones::verdict::Outcome;
use crate::domain::zones::verdict::Verdict;

use super::Rail;

/// The place of a rail.
pub(super) fn place(rail: &Rail<'_>) -> PlaceFigures {
    let around = rail.room.around;
    let position = position(rail);
    let mut verdicts = Vec::new();
    verdicts.extend(rail_verdict(rail, position.as_ref()));
    let controls = rail.controls().filter_map(|control| {
        let own = |finding: &&Finding| {
            finding.rule == "control-place" && finding.left.sku.as_ref() == Some(&control.card.sku)
        };
        let finding = rail.room.checks.iter().find(own)?;
        let zone = position.as_ref().zip(around.plan.as_ref()).map(|(position, planned)| {
            let zone = around.rules.zip(unit_solid(position, planned));
            zone.map_or(Zone::NotEstablished, |(rules, solid)| zone_of(rules, planned, &solid))
        });
        Some(PlacedItem {
            name: format!("{} {}", control.card.name, control.card.sku),
            zone: zone_words(zone.unwrap_or(Zone::NotEstablished)),
            outcome: outcome_of(finding.outcome),
            reasons: vec![finding.detail.trim_end_matches('.').to_owned()],
            source: finding.source.clone(),
        })
    });
    verdicts.extend(controls);
    PlaceFigures {
        views: position.map(|position| drawn(rail, &position)).unwrap_or_default(),
        stated_zone: around.plan.is_none().then(|| match around.place.zone {
            Some(zone) => zone_words(zone),
            None => "nobody said".to_owned(),
        }),
        rules: around.rules.map(|rules| format!("{}, {}", rules.title, rules.edition)),
        verdicts,
        mounting: Some(mounting(rail)),
    }
}

/// Where the rail hangs in the drawn room, where there is one.
pub(super) fn position(rail: &Rail<'_>) -> Option<Position> {
    hung(rail.body, rail.element, rail.room.around)?.ok()
}

fn rail_verdict(rail: &Rail<'_>, position: Option<&Position>) -> Option<PlacedItem> {
    let around = rail.room.around;
    let name = format!("{} with {}", rail.body.card.sku, rail.element.card.sku);
    let item = |zone: String, verdict: &Verdict| PlacedItem {
        name: name.clone(),
        zone,
        outcome: verdict.outcome,
        reasons: verdict.reasons.iter().map(|reason| reason.text.clone()).collect(),
        source: verdict.source.clone(),
    };
    if let Some(position) = position {
        let Position { wall_index, offset_mm, bottom_mm, .. } = position;
        let spot = format!(
            "on wall {wall_index}, {offset_mm} mm from its start, lower edge {bottom_mm} mm up"
        );
        let mut placed = item(zone_words(position.placement.zone), &position.verdict);
        placed.reasons.insert(0, spot);
        return Some(placed);
    }
    let verdict = zone_verdict(rail.element, around)?;
    Some(item(zone_words(around.place.zone?), &verdict))
}

fn zone_words(zone: Zone) -> String {
    match zone {
        Zone::NotEstablished => "not established".to_owned(),
        Zone::NotApplicable => "none: no bath or shower in the room".to_owned(),
        Zone::Outside => "outside the zones".to_owned(),
        Zone::Zero | Zone::Hidden | Zone::One | Zone::Two | Zone::Three => format!("zone {zone}"),
    }
}

const fn outcome_of(ruling: Ruling) -> Outcome {
    match ruling {
        // A check that holds may still carry conditions, and they stand beside it.
        Ruling::Holds | Ruling::Warns => Outcome::AllowedIf,
        Ruling::NotEstablished => Outcome::NotEstablished,
        Ruling::Clashes => Outcome::Refused,
    }
}

/// The plate of the connection point in the drawn room.
pub(super) fn unit_solid(position: &Position, (planned, _spot): &Planned<'_>) -> Option<Solid> {
    let unit = position.unit?;
    let plate = WallSpot {
        wall_index: unit.wall_index,
        offset_mm: unit.centre_mm.saturating_sub(UNIT_SIZE_MM.div_euclid(2)),
        bottom_mm: unit.low_mm,
    };
    hang(planned.survey().scene(), plate, &UNIT_BOX).ok()
}

fn zone_of(rules: &WiringRules, (planned, _spot): &Planned<'_>, solid: &Solid) -> Zone {
    let regime = rules.regime.as_ref();
    regime.map_or(Zone::NotEstablished, |regime| {
        Plan::new(planned.survey().scene(), regime).place(solid).zone
    })
}

fn drawn(rail: &Rail<'_>, position: &Position) -> Vec<View> {
    let around = rail.room.around;
    let Some((planned, rules)) = around.plan.as_ref().zip(around.rules) else { return Vec::new() };
    let mut items = vec![DrawnItem {
        name: "rail".to_owned(),
        kind: Some(EquipmentKind::Rail),
        solid: position.solid,
        head_mm: rail.element.shape.head_length.value(),
        path: Vec::new(),
        distance_mm: None,
        zone: position.placement.zone,
        outcome: position.verdict.outcome,
    }];
    items.extend(unit_solid(position, planned).map(|solid| DrawnItem {
        name: connection_word(rail).to_owned(),
        kind: Some(EquipmentKind::ConnectionUnit),
        solid,
        head_mm: 0,
        path: Vec::new(),
        distance_mm: None,
        zone: zone_of(rules, planned, &solid),
        outcome: Outcome::NotEstablished,
    }));
    let walls = [Some(position.wall_index), position.unit.map(|unit| unit.wall_index)];
    let walls: Vec<usize> = walls.into_iter().flatten().collect();
    views(&Drawing { title: "", scene: planned.0.survey().scene(), rules, items }, &walls)
}

fn connection_word(rail: &Rail<'_>) -> &'static str {
    let has_unit = rail.controls().any(|control| control.roles.has(Role::ConnectionUnit));
    if has_unit { "connection unit" } else { "connection point" }
}

/// What the wall is, how many fixings, and what hangs on each.
fn mounting(rail: &Rail<'_>) -> String {
    let place = &rail.room.around.place;
    let wall = match place.wall_type.unwrap_or(WallType::Unknown) {
        WallType::Masonry => "masonry",
        WallType::BoardWithBacking => "board with backing, fixings into studs, noggins or ply",
        WallType::Board => "plasterboard alone",
        WallType::FibreBoard => "gypsum-fibre board alone",
        WallType::Unknown => "wall not stated: the fitter looks at it before drilling",
    };
    let mut stated = place.clone();
    stated.wall_type = Some(place.wall_type.unwrap_or(WallType::Unknown));
    let load = check_wall_load(rail.body, rail.element, &stated);
    match load {
        Some(finding) => format!("{wall}; {}", lowered(&finding.detail)),
        None => format!("{wall}; the body's data name no brackets"),
    }
}

fn lowered(sentence: &str) -> String {
    let mut letters = sentence.trim_end_matches('.').chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

//! The answer about places for a body.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Element;
use crate::domain::compatibility::FLEX_USUAL_MM;
use crate::domain::mounting::PortSide;
use crate::domain::mounting::short_flex_advice;
use crate::domain::notice::Notice;
use crate::domain::positions::Hanging;
use crate::domain::positions::Position;
use crate::domain::positions::Positions;
use crate::domain::positions::UnitPlace;
use crate::domain::positions::WallRefusal;
use crate::domain::positions::wall_ends;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Scene;
use crate::http::bills::NoticeView;
use crate::http::placements::ReasonView;
use crate::http::wiring::RulesView;
use crate::http::wiring::SourceView;
use crate::http::wiring::cited;

/// Places for a body, best first.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PositionsView {
    /// The rules that answered.
    pub wiring_rules: RulesView,
    /// Up to five places.
    pub positions: Vec<PositionView>,
    /// Walls without a place, and what stood in the way of the places tried.
    pub refused_walls: Vec<RefusedWallView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
    /// What the marks in this answer refer to.
    pub sources: Vec<SourceView>,
}

/// A place for a body.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PositionView {
    /// 1 is the best.
    pub rank: usize,
    /// Wall, counted from 0 counter-clockwise from the first corner.
    pub wall: usize,
    /// Start of that wall in plan, on the right for somebody who looks at it from the room.
    pub wall_start_mm: [i32; 2],
    /// Its other end.
    pub wall_end_mm: [i32; 2],
    /// From the start of the wall to the body.
    pub offset_mm: i32,
    /// Height of the body's lower edge.
    pub height_mm: i32,
    /// Height of the lowest heated tube.
    pub lowest_heated_tube_mm: i32,
    /// Box of body and head: lower corner `[x, y, z]`.
    pub min_mm: [i32; 3],
    /// Its upper corner.
    pub max_mm: [i32; 3],
    /// Worst zone that the box touches.
    pub zone: &'static str,
    /// Whether only because boundaries belong to the stricter zone.
    pub on_boundary: bool,
    /// Path in plan from the water; null where walls close it off or no water is drawn.
    pub distance_mm: Option<f64>,
    /// The fixture that makes the zone, or the nearest.
    pub governing_fixture: Option<String>,
    /// `allowed` or `allowed_if`.
    pub verdict: &'static str,
    /// Conditions to be met.
    pub reasons: Vec<ReasonView>,
    /// The clause that decided.
    pub source: String,
    /// How well the verdict is known.
    pub evidence: &'static str,
    /// Where the flex goes; null where the rules want the connection unit outside the room.
    pub connection: Option<ConnectionView>,
}

/// Where the flex goes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ConnectionView {
    /// Wall of the connection unit.
    pub wall: usize,
    /// From the start of that wall to the middle of the unit.
    pub offset_mm: i32,
    /// Height of its lower edge.
    pub height_mm: i32,
    /// The bottom port for the element, `left` or `right` seen from the room.
    pub port: &'static str,
    /// Flex needed along the walls, slack included.
    pub flex_needed_mm: i32,
    /// Flex there is.
    pub flex_length_mm: i32,
}

/// A wall without a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct RefusedWallView {
    /// The wall.
    pub wall: usize,
    /// What stood in the way, each once.
    pub reasons: Vec<WallReasonView>,
}

/// What stood in the way on a wall.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct WallReasonView {
    /// Stable code.
    pub code: &'static str,
    /// A sentence.
    pub text: String,
}

/// The body with its element.
type Rail<'a> = (&'a Hanging, Option<&'a Element>);

impl PositionsView {
    /// The view of an answer.
    pub(super) fn new(
        (rules, scene): (&WiringRules, &Scene),
        rail: Rail<'_>,
        found: &Positions,
    ) -> Self {
        let ranked = (1..).zip(&found.best);
        let mut view = Self {
            wiring_rules: RulesView::from(rules),
            positions: ranked
                .map(|(rank, position)| PositionView::new((rank, position), scene, rail.0))
                .collect(),
            refused_walls: found.refused.iter().map(RefusedWallView::from).collect(),
            notices: notices(rail, found).iter().map(NoticeView::from).collect(),
            sources: Vec::new(),
        };
        view.sources = cited(&view);
        view
    }
}

fn notices((_hanging, element): Rail<'_>, found: &Positions) -> Vec<Notice> {
    let mut notices = found.notices.clone();
    notices.extend(found.best.iter().flat_map(|position| position.verdict.notices.clone()));
    if element.is_none() {
        let text = format!(
            "No element was named: its rating is not known, its head was left out and a flex of {FLEX_USUAL_MM} mm was taken."
        );
        notices.push(Notice::new("element-not-named", text));
    }
    if found.best.iter().any(|position| position.unit.is_none()) {
        notices.push(Notice::new(
            "connection-outside-room",
            "The rules want the connection unit outside this room; the route of the flex through the wall was not checked.",
        ));
    }
    let is_short = |wall: &WallRefusal| {
        let codes = ["flex-too-short", "connection-unit-out-of-reach"];
        codes.iter().any(|code| wall.reasons.contains_key(code))
    };
    if found.refused.iter().any(is_short) {
        let advice = short_flex_advice(element.map(|element| element.flex.attachment));
        notices.push(Notice::new(
            advice.code,
            format!("Where the flex is too short: {} ({}).", advice.text, advice.source),
        ));
    }
    let mut told: Vec<Notice> = Vec::new();
    for notice in notices {
        if !told.contains(&notice) {
            told.push(notice);
        }
    }
    told
}

impl PositionView {
    fn new((rank, position): (usize, &Position), scene: &Scene, hanging: &Hanging) -> Self {
        let Position { placement, verdict, solid, .. } = position;
        let (start, end) = wall_ends(scene, position.wall_index)
            .map_or(([0_i32; 2], [0_i32; 2]), |(a, b)| ([a.x_mm, a.y_mm], [b.x_mm, b.y_mm]));
        let (min, max) = (solid.plan.min, solid.plan.max);
        let tube = position.bottom_mm.saturating_add(hanging.lowest_heated_mm);
        Self {
            rank,
            wall: position.wall_index,
            wall_start_mm: start,
            wall_end_mm: end,
            offset_mm: position.offset_mm,
            height_mm: position.bottom_mm,
            lowest_heated_tube_mm: tube,
            min_mm: [min.x_mm, min.y_mm, solid.low_mm],
            max_mm: [max.x_mm, max.y_mm, solid.high_mm],
            zone: placement.zone.code(),
            on_boundary: placement.on_boundary,
            distance_mm: placement.path.as_ref().map(|path| path.length.mm()),
            governing_fixture: placement.governing_fixture.clone(),
            verdict: verdict.outcome.code(),
            reasons: verdict.reasons.iter().map(ReasonView::from).collect(),
            source: verdict.source.text.to_string(),
            evidence: verdict.evidence.code(),
            connection: position.unit.map(|unit| ConnectionView::new(unit, hanging)),
        }
    }
}

impl ConnectionView {
    const fn new(unit: UnitPlace, hanging: &Hanging) -> Self {
        Self {
            wall: unit.wall_index,
            offset_mm: unit.centre_mm,
            height_mm: unit.low_mm,
            port: port_word(unit.side),
            flex_needed_mm: unit.flex_needed_mm,
            flex_length_mm: hanging.flex_length_mm,
        }
    }
}

const fn port_word(side: PortSide) -> &'static str {
    match side {
        PortSide::Left => "left",
        PortSide::Right => "right",
    }
}

impl From<&WallRefusal> for RefusedWallView {
    fn from(refusal: &WallRefusal) -> Self {
        let reasons = refusal.reasons.iter();
        Self {
            wall: refusal.wall_index,
            reasons: reasons
                .map(|(code, text)| WallReasonView { code, text: text.clone() })
                .collect(),
        }
    }
}

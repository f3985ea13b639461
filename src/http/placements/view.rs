//! The answer about things in a room.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::notice::Notice;
use crate::domain::zones::placement::Placement;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::verdict::Reason;
use crate::http::bills::NoticeView;
use crate::http::placements::kinds::kind_word;
use crate::http::wiring::RulesView;
use crate::http::wiring::SourceView;
use crate::http::wiring::cited;
use crate::operations::place_items::Item;
use crate::operations::place_items::Placed;
use crate::operations::place_items::PlacedItems;

/// Where things are, and what the rules say of each.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlacementsView {
    /// The rules that answered.
    pub wiring_rules: RulesView,
    /// One answer a thing, in the same order.
    pub items: Vec<PlacedItemView>,
    /// Cautions to show.
    pub notices: Vec<NoticeView>,
    /// What the marks in this answer refer to.
    pub sources: Vec<SourceView>,
}

/// Where one thing is, and what the rules say of it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlacedItemView {
    /// Its name in the question.
    pub id: String,
    /// What it is, in the words of `kind`; of a plate that does several things, each of them.
    pub kinds: Vec<&'static str>,
    /// `0`, `hidden`, `1`, `2`, `3`, `outside`, `not_applicable` or `not_established`: the worst that its box touches.
    pub zone: &'static str,
    /// Whether it is in that zone only because boundaries belong to the stricter zone.
    pub on_boundary: bool,
    /// Path in plan from the water to the thing; null where walls close it off or no water is drawn. Under rules that
    /// measure a string over partitions and past several low ones, the least that its length can be.
    pub distance_mm: Option<f64>,
    /// The fixture that makes the zone, or the nearest.
    pub governing_fixture: Option<String>,
    /// That path, point by point from the water to the thing.
    pub path_mm: Vec<[i32; 2]>,
    /// `allowed`, `allowed_if`, `not_established` or `refused`.
    pub verdict: &'static str,
    /// Refusals and gaps first, then conditions that must be met.
    pub reasons: Vec<ReasonView>,
    /// The clause that decided.
    pub source: String,
    /// How well the verdict is known.
    pub evidence: &'static str,
    /// Where the flex leaves the element, by the bottom port it is in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub flex_entries: Vec<EntryView>,
    /// Cautions about this thing.
    pub notices: Vec<NoticeView>,
}

/// Where the flex leaves the element.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct EntryView {
    /// `left` or `right`, seen from the room.
    pub port: &'static str,
    /// Its zone.
    pub zone: &'static str,
    /// Whether only because boundaries belong to the stricter zone.
    pub on_boundary: bool,
}

/// One thing that decided, or a condition to be met.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReasonView {
    /// Stable code.
    pub code: &'static str,
    /// What it does: `refused`, `not_established` or `allowed_if`.
    pub effect: &'static str,
    /// A sentence.
    pub text: String,
}

impl PlacementsView {
    /// The view of an answer.
    pub(super) fn new(rules: &WiringRules, items: &[Item], placed: &PlacedItems) -> Self {
        let pairs = items.iter().zip(&placed.items);
        let mut view = Self {
            wiring_rules: RulesView::from(rules),
            items: pairs.map(PlacedItemView::new).collect(),
            notices: placed.notices.iter().map(NoticeView::from).collect(),
            sources: Vec::new(),
        };
        view.sources = cited(&view);
        view
    }
}

impl PlacedItemView {
    fn new((item, placed): (&Item, &Placed)) -> Self {
        let Placed { placement, verdict, entries } = placed;
        let mut reasons: Vec<ReasonView> = verdict.reasons.iter().map(ReasonView::from).collect();
        reasons.extend(placement.unclear.map(|why| ReasonView {
            code: "drawing-unclear",
            effect: "not_established",
            text: why.to_owned(),
        }));
        Self {
            id: item.id.clone(),
            kinds: item.equipment.iter().map(|piece| kind_word(piece.kind)).collect(),
            zone: placement.zone.code(),
            on_boundary: placement.on_boundary,
            distance_mm: placement.path.as_ref().map(|path| path.length.mm()),
            governing_fixture: placement.governing_fixture.clone(),
            path_mm: path_mm(placement),
            verdict: verdict.outcome.code(),
            reasons,
            source: verdict.source.text.to_string(),
            evidence: verdict.evidence.code(),
            flex_entries: entries.iter().zip(["left", "right"]).map(EntryView::new).collect(),
            notices: own_notices(&verdict.notices),
        }
    }
}

/// What concerns this thing alone: the caution and the conflicts of the rules stand once in the whole answer.
fn own_notices(notices: &[Notice]) -> Vec<NoticeView> {
    let of_all = ["electrician-decides", "rules-conflict"];
    notices.iter().filter(|notice| !of_all.contains(&notice.code)).map(NoticeView::from).collect()
}

/// The path to a thing, point by point.
fn path_mm(placement: &Placement) -> Vec<[i32; 2]> {
    let points = placement.path.iter().flat_map(|path| &path.points);
    points.map(|point| [point.x_mm, point.y_mm]).collect()
}

impl EntryView {
    fn new((placement, port): (&Placement, &'static str)) -> Self {
        Self { port, zone: placement.zone.code(), on_boundary: placement.on_boundary }
    }
}

impl From<&Reason> for ReasonView {
    fn from(reason: &Reason) -> Self {
        Self { code: reason.code, effect: reason.outcome.code(), text: reason.text.clone() }
    }
}

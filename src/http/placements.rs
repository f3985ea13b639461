//! `POST /v1/placements`: the zone and the verdict of each thing in a drawn room, or the drawing itself.
//!
//! Absent here: zones and verdicts (the domain), and how the plan is drawn (`documents`).

mod kinds;
mod item;
mod view;

pub use item::NewItem;
pub use kinds::NewClass;
pub use kinds::NewConnection;
pub use kinds::NewEquipmentKind;
pub use view::EntryView;
pub use view::PlacedItemView;
pub use view::PlacementsView;
pub use view::ReasonView;

use std::collections::BTreeSet;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Deserialize;
use utoipa::ToSchema;

use crate::documents::plan;
use crate::documents::plan::Drawing;
use crate::documents::plan::DrawnItem;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Scene;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::negotiation;
use crate::http::problem::FieldCode;
use crate::http::query::NoQuery;
use crate::http::scene::NewScene;
use crate::http::wiring::find_rules;
use crate::http::wiring::not_in_force;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;
use crate::operations::place_items::Item;
use crate::operations::place_items::PlacedItems;
use crate::operations::place_items::place_items;

/// A drawn room and the things in it.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPlacements {
    /// The rules by their name. Give these or a market.
    #[serde(default)]
    #[schema(max_length = 40, required = false, example = "gb-bs7671")]
    pub wiring_rules: Option<String>,
    /// The market whose rules count.
    #[serde(default)]
    #[schema(max_length = 20, required = false)]
    pub market: Option<String>,
    /// The room.
    pub scene: NewScene,
    /// The things, at most 64.
    #[schema(min_items = 1, max_items = 64)]
    pub items: Vec<NewItem>,
}

/// Zone and verdict of each thing in a drawn room.
///
/// Zones are closed: what touches a boundary is in the stricter zone and is flagged. The worst zone over the whole box
/// governs. As `image/svg+xml` the answer is the room in plan, with its walls in elevation.
#[utoipa::path(
    post,
    path = "/v1/placements",
    tag = "places",
    request_body = NewPlacements,
    responses((status = 200, description = "One answer a thing, or a drawing of the room",
        content((PlacementsView = "application/json"), (String = "image/svg+xml"))))
)]
pub async fn post_placements(
    _: NoQuery,
    State(app): State<App>,
    headers: HeaderMap,
    asked: Draft<NewPlacements>,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot(&app)?;
    let wants_drawing = negotiation::wants_drawing(&headers);
    work::off_thread(move || {
        if wants_drawing {
            return Ok(negotiation::drawing(draw(&snapshot, asked)?));
        }
        Ok(Json(answer(&snapshot, asked)?).into_response())
    })
    .await
}

/// A question that was found right.
struct Asked<'a> {
    rules: &'a WiringRules,
    scene: Scene,
    items: Vec<Item>,
    title: String,
}

/// The answer from one snapshot.
pub fn answer(snapshot: &Snapshot, asked: Draft<NewPlacements>) -> Result<PlacementsView, Problem> {
    let asked = asked.read(|asked| asked.read(snapshot))?;
    let placed = place_items(asked.rules, &asked.scene, &asked.items);
    let mut view = PlacementsView::new(asked.rules, &asked.items, &placed);
    view.notices.extend(not_in_force(asked.rules, snapshot));
    Ok(view)
}

fn draw(snapshot: &Snapshot, asked: Draft<NewPlacements>) -> Result<String, Problem> {
    let asked = asked.read(|asked| asked.read(snapshot))?;
    let placed = place_items(asked.rules, &asked.scene, &asked.items);
    Ok(plan::draw_plan(&Drawing {
        title: &asked.title,
        scene: &asked.scene,
        rules: asked.rules,
        items: drawn(&asked.items, &placed),
    }))
}

fn drawn(items: &[Item], answer: &PlacedItems) -> Vec<DrawnItem> {
    let pairs = items.iter().zip(&answer.items);
    pairs
        .map(|(item, placed)| DrawnItem {
            name: item.id.clone(),
            kind: item.equipment.first().map(|piece| piece.kind),
            solid: item.solid,
            head_mm: item.hung.map_or(0_i32, |(_spot, size)| size.below_mm),
            path: placed.placement.path.as_ref().map_or_else(Vec::new, |path| path.points.clone()),
            distance_mm: placed.placement.path.as_ref().map(|path| path.length.mm()),
            zone: placed.placement.zone,
            outcome: placed.verdict.outcome,
        })
        .collect()
}

impl NewPlacements {
    fn read<'a>(&self, snapshot: &'a Snapshot) -> Result<Asked<'a>, Problem> {
        let mut fields = Fields::default();
        let named = (self.wiring_rules.as_deref(), self.market.as_deref());
        let rules = find_rules(snapshot, named, &mut fields);
        let scene = fields.within("scene", |at| self.scene.scene(at));
        let edition = snapshot.catalogue().edition();
        let items =
            fields.each("items", &self.items, |at, item| item.item(edition, scene.as_ref(), at));
        self.note_names_given_twice(&mut fields);
        let title = self.scene.title();
        let read = rules.zip(scene).map(|(rules, scene)| Asked {
            rules,
            scene,
            items: items.into_iter().flatten().collect(),
            title,
        });
        fields.finish(read)?.ok_or_else(Problem::failed)
    }

    fn note_names_given_twice(&self, fields: &mut Fields) {
        let mut names = BTreeSet::new();
        fields.each("items", &self.items, |at, item| {
            if !names.insert(item.id.as_str()) {
                let detail = format!("another item is already named {:?}", item.id);
                at.push("id", FieldCode::Repeated, detail);
            }
        });
    }
}

//! `POST /v1/positions`: the best places on the walls of a drawn room for a body.
//!
//! Absent here: the search (the domain).

mod view;

pub use view::ConnectionView;
pub use view::PositionView;
pub use view::PositionsView;
pub use view::RefusedWallView;
pub use view::WallReasonView;

use axum::extract::State;
use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Element;
use crate::domain::compatibility::hanging;
use crate::domain::compatibility::port;
use crate::domain::positions::Hanging;
use crate::domain::positions::Positions;
use crate::domain::positions::Survey;
use crate::domain::positions::WallSpot;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::scene::Scene;
use crate::domain::zones::verdict::Residual;
use crate::http::Json;
use crate::http::Problem;
use crate::http::fields::Fields;
use crate::http::json::Draft;
use crate::http::named_parts::find_body;
use crate::http::named_parts::find_element;
use crate::http::query::NoQuery;
use crate::http::scene::NewScene;
use crate::http::scene::NewWallPoint;
use crate::http::wiring::find_rules;
use crate::http::wiring::not_in_force;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;

/// A drawn room and the body to be hung in it.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPositions {
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
    /// Part number of the body.
    #[schema(max_length = 40)]
    pub body: String,
    /// Part number of the element in it. Without one its rating is not known and a flex of 1 m is taken.
    #[serde(default)]
    #[schema(max_length = 40, required = false)]
    pub element: Option<String>,
    /// Whether very young children may be there; taken as yes when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub young_children: Option<bool>,
    /// Whether water jets clean the room.
    #[serde(default)]
    #[schema(required = false)]
    pub jets: Option<bool>,
    /// Whether the circuit has a residual current device of at most 30 mA; not known when left out.
    #[serde(default)]
    #[schema(required = false)]
    pub rcd_30ma: Option<bool>,
    /// The connection point, if there is one already; else the answer proposes one.
    #[serde(default)]
    #[schema(required = false)]
    pub connection: Option<NewWallPoint>,
}

/// A question that was found right.
struct Asked<'a> {
    rules: &'a WiringRules,
    scene: Scene,
    hanging: Hanging,
    element: Option<&'a Element>,
    connection: Option<WallSpot>,
}

/// Up to five places on the walls, best first, and why the other walls have none.
///
/// Outside the zones comes first, then the mildest zone that is allowed, then the fewest conditions and the greatest
/// distance from water.
#[utoipa::path(
    post,
    path = "/v1/positions",
    tag = "places",
    request_body = NewPositions,
    responses((status = 200, description = "Places and refusals", body = PositionsView))
)]
pub async fn post_positions(
    _: NoQuery,
    State(app): State<App>,
    asked: Draft<NewPositions>,
) -> Result<Json<PositionsView>, Problem> {
    let snapshot = work::snapshot(&app)?;
    work::off_thread(move || answer(&snapshot, asked)).await.map(Json)
}

/// The answer from one snapshot.
pub fn answer(snapshot: &Snapshot, asked: Draft<NewPositions>) -> Result<PositionsView, Problem> {
    let asked = asked.read(|asked| asked.read(snapshot))?;
    let found: Positions =
        Survey::new(&asked.scene, asked.rules).best(&asked.hanging, asked.connection);
    let rail = (&asked.hanging, asked.element);
    let mut view = PositionsView::new((asked.rules, &asked.scene), rail, &found);
    view.notices.extend(not_in_force(asked.rules, snapshot));
    Ok(view)
}

impl NewPositions {
    fn read<'a>(&self, snapshot: &'a Snapshot) -> Result<Asked<'a>, Problem> {
        let mut fields = Fields::default();
        let named = (self.wiring_rules.as_deref(), self.market.as_deref());
        let rules = find_rules(snapshot, named, &mut fields);
        let scene = fields.within("scene", |at| self.scene.scene(at));
        let edition = snapshot.catalogue().edition();
        let body = find_body(edition, &self.body, &mut fields);
        let element = self.element.as_deref();
        let element = element.and_then(|sku| find_element(edition, sku, &mut fields));
        let connection = fields.within("connection", |at| {
            self.connection.as_ref().and_then(|point| point.spot(scene.as_ref(), at))
        });
        let read = rules.zip(scene).zip(body).map(|((rules, scene), body)| {
            let mut hanging =
                hanging(body, element, (self.young_children, self.jets.unwrap_or(false)));
            hanging.port = port(body.ports.element_side);
            hanging.equipment.residual = match self.rcd_30ma {
                Some(true) => Residual::Protected,
                Some(false) => Residual::Unprotected,
                None => Residual::NotStated,
            };
            Asked { rules, scene, hanging, element, connection }
        });
        fields.finish(read)?.ok_or_else(Problem::failed)
    }
}

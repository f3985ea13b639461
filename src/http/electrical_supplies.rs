//! `POST /v1/electrical-supplies`: how one circuit with its rails is fed in a country, and who may do the work.
//!
//! Absent here: the arithmetic and the rules (the domain).

mod question;
mod view;

pub use question::NewCable;
pub use question::NewCableSize;
pub use question::NewRail;
pub use question::NewRegion;
pub use question::NewSite;
pub use question::NewSupply;
pub use question::NewWork;
pub use question::NewWorkKind;
pub use view::AdviceView;
pub use view::DrawView;
pub use view::DropView;
pub use view::DutyView;
pub use view::FedRailView;
pub use view::FuseFaultView;
pub use view::FuseView;
pub use view::SupplyView;

use axum::extract::State;

use crate::domain::supply::feed;
use crate::http::Json;
use crate::http::Problem;
use crate::http::json::Draft;
use crate::http::query::NoQuery;
use crate::http::wiring::not_in_force;
use crate::http::work;
use crate::operations::App;

/// Current, fuse, flex, voltage drop, protection and duties for the rails of one circuit.
///
/// Elements are taken as plain resistances. Both the exact limit of a 3 A fuse (690 W at 230 V) and the customary one
/// (700 W) are shown; the exact one decides.
#[utoipa::path(
    post,
    path = "/v1/electrical-supplies",
    tag = "places",
    request_body = NewSupply,
    responses((status = 200, description = "How the circuit is fed", body = SupplyView))
)]
pub async fn post_supply(
    _: NoQuery,
    State(app): State<App>,
    asked: Draft<NewSupply>,
) -> Result<Json<SupplyView>, Problem> {
    let snapshot = work::snapshot(&app)?;
    let asked = asked.read(|asked| asked.read(&snapshot))?;
    let answer = feed(&asked.circuit, asked.rules);
    let mut view = SupplyView::new(asked.rules, (&asked.circuit, asked.work.as_ref()), &answer);
    view.notices.extend(not_in_force(asked.rules, &snapshot));
    Ok(Json(view))
}

//! What fits a body: elements with what they deliver, accessories of this rail and no others.

use axum::extract::Path;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Severity;
use crate::domain::catalogue::Sku;
use crate::domain::catalogue::Stock;
use crate::domain::compatibility::Finding;
use crate::domain::compatibility::Judgement;
use crate::domain::compatibility::Sides;
use crate::domain::compatibility::check_heat_source;
use crate::domain::compatibility::emitter;
use crate::domain::compatibility::fluid_passes;
use crate::domain::compatibility::judge;
use crate::domain::emission::ElementDrive;
use crate::domain::emission::delivered_output;
use crate::domain::units::Celsius;
use crate::http::Problem;
use crate::http::Query;
use crate::http::bills::NoticeView;
use crate::http::problem::Code;
use crate::http::problem::Document;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;
use crate::http::references::Unknown;
use crate::http::work;
use crate::operations::App;
use crate::operations::Snapshot;

use super::find;
use super::tagged;
use super::view::PartView;
use super::view::Pricing;

/// Room temperature taken when nobody says.
const ROOM_USUAL_C: f64 = 20.0;

/// Market and room of a list of fitting elements.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct ElementQuery {
    /// Market whose prices are shown.
    #[param(max_length = 20, example = "gb")]
    pub market: Option<String>,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub edition: Option<u32>,
    /// Temperature of the room, 20 °C when left out.
    #[param(minimum = 5, maximum = 35)]
    pub room_c: Option<f64>,
}

/// Market and element of a list of fitting accessories.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields, default)]
#[into_params(parameter_in = Query)]
pub struct AccessoryQuery {
    /// Market whose prices are shown.
    #[param(max_length = 20, example = "gb")]
    pub market: Option<String>,
    /// Edition that answers, while it is kept; the one in force when left out.
    #[param(format = Int64, minimum = 1, maximum = 4_294_967_295_u32)]
    pub edition: Option<u32>,
    /// Element that is to be in the body.
    #[param(max_length = 40)]
    pub element: Option<String>,
    /// Kind of accessory: `hook`, `bracket` …
    #[param(max_length = 40)]
    pub kind: Option<String>,
}

/// Elements that fit a body.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingElementsView {
    /// The edition that answered.
    pub edition: u32,
    /// The body.
    pub body: String,
    /// Temperature of the room.
    pub room_c: f64,
    /// Elements by part number.
    pub items: Vec<FittingElementView>,
    /// Why the list is empty when the body itself cannot be used.
    pub notices: Vec<NoticeView>,
}

/// An element that fits, with what the pair gives.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingElementView {
    /// What the pair gives the room at the element's highest set point.
    pub delivered_w: f64,
    /// The element.
    #[serde(flatten)]
    pub part: PartView,
}

/// Accessories that fit a body.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FittingAccessoriesView {
    /// The edition that answered.
    pub edition: u32,
    /// The body.
    pub body: String,
    /// The element, if one was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub element: Option<String>,
    /// Accessories by part number. What is not here does not fit.
    pub items: Vec<PartView>,
    /// Why the list is empty when the body itself cannot be used, or the element does not fit it.
    pub notices: Vec<NoticeView>,
}

/// Elements that fit a body, with what each delivers.
///
/// A 900 W element in a body that sheds 500 W at its set point delivers 500 W, and is listed so.
#[utoipa::path(
    get,
    path = "/v1/bodies/{sku}/elements",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number of the body"), ElementQuery),
    responses(
        (status = 200, description = "Elements that fit", body = FittingElementsView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_elements_of_body(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<ElementQuery>,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot_of(&app, query.edition).await?;
    let body = find(&snapshot, PartKind::Body, &sku)?;
    let pricing = Pricing::of(&snapshot, query.market.as_deref())?;
    let room = Celsius::new(query.room_c.unwrap_or(ROOM_USUAL_C));
    let fitting = snapshot.catalogue().index().partners(body, PartKind::Element);
    let parts = fitting.ones().map(|index| PartRef { kind: PartKind::Element, index });
    let items = parts
        .filter_map(|element| {
            let delivered_w = delivered(&snapshot, body, element, room)?;
            let part = PartView::new(&snapshot, element, &pricing)?;
            Some(FittingElementView { delivered_w, part })
        })
        .collect();
    let edition = snapshot.catalogue().edition().number();
    let notices = unusable(&snapshot, body);
    tagged(
        &headers,
        &FittingElementsView { edition, body: sku, room_c: room.value(), items, notices },
    )
}

/// Accessories that fit a body, and with an element named, that fit the two of them.
///
/// Only what fits: a hook for another tube or a cover in a finish that does not go with this body is not in the list.
#[utoipa::path(
    get,
    path = "/v1/bodies/{sku}/accessories",
    tag = "parts",
    params(("sku" = String, Path, description = "Part number of the body"), AccessoryQuery),
    responses(
        (status = 200, description = "Accessories that fit", body = FittingAccessoriesView),
        (status = 304, description = "The client's copy is current"),
        (status = 409, description = "No price list of the market holds today", body = Document, content_type = "application/problem+json"),
    )
)]
pub async fn get_accessories_of_body(
    State(app): State<App>,
    headers: HeaderMap,
    Path(sku): Path<String>,
    Query(query): Query<AccessoryQuery>,
) -> Result<Response, Problem> {
    let snapshot = work::snapshot_of(&app, query.edition).await?;
    let body = find(&snapshot, PartKind::Body, &sku)?;
    let pricing = Pricing::of(&snapshot, query.market.as_deref())?;
    let rules = snapshot.catalogue().index();
    let mut fitting = rules.partners(body, PartKind::Accessory);
    if let Some(unknown) = query.kind.as_deref().and_then(Unknown::accessory_kind) {
        return Err(Problem::listing(Code::BadQuery, vec![unknown.of_parameter()]));
    }
    let mut notices = unusable(&snapshot, body);
    if let Some(element) = named_element(&snapshot, query.element.as_deref())? {
        if !pair_fits(&snapshot, body, element) {
            fitting.clear();
            notices.push(NoticeView { code: "element-does-not-fit", text: NO_PAIR.into() });
        }
        fitting.intersect_with(&rules.partners(element, PartKind::Accessory));
    }
    let accessories = snapshot.catalogue().edition().accessories();
    let is_shown = |index: &usize| {
        accessories.get(*index).is_some_and(|accessory| {
            accessory.card.stock != Stock::Discontinued
                && query.kind.as_deref().is_none_or(|kind| kind == accessory.kind.word())
        })
    };
    let parts = fitting.ones().filter(is_shown);
    let parts = parts.map(|index| PartRef { kind: PartKind::Accessory, index });
    let items = parts.filter_map(|part| PartView::new(&snapshot, part, &pricing)).collect();
    let edition = snapshot.catalogue().edition().number();
    let view =
        FittingAccessoriesView { edition, body: sku, element: query.element, items, notices };
    tagged(&headers, &view)
}

fn named_element(snapshot: &Snapshot, sku: Option<&str>) -> Result<Option<PartRef>, Problem> {
    let Some(text) = sku else { return Ok(None) };
    let edition = snapshot.catalogue().edition();
    let found = Sku::parse(text).ok().and_then(|found| edition.position(&found, PartKind::Element));
    found.map(|index| Some(PartRef { kind: PartKind::Element, index })).ok_or_else(|| {
        let detail = format!("there is no element {text:?} in this catalogue");
        let error = FieldError::of_parameter("element", FieldCode::Unknown, &detail);
        Problem::listing(Code::BadQuery, vec![error])
    })
}

/// Why no accessory is listed for a pair that is none.
const NO_PAIR: &str = "The element does not fit this body, so nothing fits the two of them; POST /v1/checks says why.";

/// What speaks against a body alone, such as that it is plumbed to the central heating.
fn unusable(snapshot: &Snapshot, body: PartRef) -> Vec<NoticeView> {
    let edition = snapshot.catalogue().edition();
    let refuses = |rule: &&Rule| {
        let sides = Sides { first: body, second: None };
        let against = [Judgement::Fails, Judgement::NotStated];
        rule.severity == Severity::Refuse
            && rule.kinds() == (PartKind::Body, None)
            && against.contains(&judge(edition, rule, sides))
    };
    let against = edition.rules().iter().filter(refuses).map(|rule| rule.sentence.to_string());
    let source = edition.bodies().get(body.index).map(check_heat_source);
    let source = source.filter(Finding::refuses).map(|finding| finding.detail);
    let notice = |text: String| NoticeView { code: "body-cannot-be-used", text: text.into() };
    source.into_iter().chain(against).map(notice).collect()
}

fn pair_fits(snapshot: &Snapshot, body: PartRef, element: PartRef) -> bool {
    let catalogue = snapshot.catalogue();
    let bodies = catalogue.edition().bodies();
    let elements = catalogue.edition().elements();
    let pair = bodies.get(body.index).zip(elements.get(element.index));
    let room = Celsius::new(ROOM_USUAL_C);
    catalogue.index().fits(body, element)
        && pair.is_some_and(|(rail, heater)| fluid_passes(rail, heater, room, 1.0))
}

fn delivered(snapshot: &Snapshot, body: PartRef, element: PartRef, room: Celsius) -> Option<f64> {
    let edition = snapshot.catalogue().edition();
    let body = edition.bodies().get(body.index)?;
    let element = edition.elements().get(element.index)?;
    if element.card.stock == Stock::Discontinued || !fluid_passes(body, element, room, 1.0) {
        return None;
    }
    let set_point = element.regulation.set_point_max();
    let drive = ElementDrive { watts: element.watts, set_point };
    Some(delivered_output(&emitter(body, 1.0), drive, room).delivered().watts())
}

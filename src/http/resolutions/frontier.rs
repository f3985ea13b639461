//! Price against heat in an answer: the bills that no other beats in both, without their lines.

use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Market;
use crate::operations::resolve_room::PricedChoice;
use crate::operations::resolve_room::PricedFrontier;

/// Bills by rising price and rising heat: no other valid bill costs no more and delivers no less than one of them.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FrontierView {
    /// Whether these are all; if not, they are the 200 cheapest.
    pub is_whole: bool,
    /// The bills, cheapest first.
    #[schema(max_items = 200)]
    pub points: Vec<FrontierPointView>,
}

/// A bill of the frontier.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FrontierPointView {
    /// Net price of the whole bill.
    pub net: String,
    /// With tax.
    pub gross: String,
    /// What its rails give the room.
    pub delivered_w: f64,
    /// How many rails it holds.
    pub rail_count: usize,
    /// Its rails.
    #[schema(max_items = 3)]
    pub rails: Vec<FrontierRailView>,
}

/// A rail of such a bill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FrontierRailView {
    /// Part number of the body.
    pub body: String,
    /// Part number of the element.
    pub element: String,
    /// The wall space it hangs on, counted from 1 in the request's list; without a list all share one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<usize>,
}

impl FrontierView {
    pub(super) fn new(frontier: &PricedFrontier, market: &Market) -> Self {
        let points = frontier.choices.iter();
        Self {
            is_whole: !frontier.has_more,
            points: points.map(|choice| FrontierPointView::new(choice, market)).collect(),
        }
    }
}

impl FrontierPointView {
    fn new(choice: &PricedChoice, market: &Market) -> Self {
        let rails = choice.rails.iter().map(|([body, element], wall)| FrontierRailView {
            body: body.to_string(),
            element: element.to_string(),
            wall: wall.map(|wall| wall.saturating_add(1)),
        });
        Self {
            net: market.currency.format(choice.total.net),
            gross: market.currency.format(choice.total.gross),
            delivered_w: choice.delivered.watts(),
            rail_count: choice.rails.len(),
            rails: rails.collect(),
        }
    }
}

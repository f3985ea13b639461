//! How bills are looked for, as it comes over the wire: rails, walls, order, variety, running cost.

use serde::Deserialize;
use serde::Serialize;
use utoipa::ToSchema;

use crate::domain::catalogue::Market;
use crate::domain::money::Minor;
use crate::domain::resolver::Order;
use crate::domain::resolver::Sought;
use crate::domain::resolver::Variety;
use crate::domain::resolver::WallSpace;
use crate::http::fields::Fields;
use crate::http::problem::FieldCode;
use crate::http::room::whole;
use crate::http::schedule::schedule;
use crate::http::schema;

use super::order::NewPreferences;
use super::order::NewResolution;
use super::place::NewPlace;
use super::place::NewSide;
use super::place::NewZone;

/// A wall space of a rail's own. What is left out is as the place says.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct NewWall {
    /// Free width of wall.
    #[schema(schema_with = schema::optional::wall_width_mm, required = false)]
    pub wall_width_mm: Option<f64>,
    /// Lower edge of the free wall above the floor.
    #[schema(schema_with = schema::optional::wall_bottom_mm, required = false)]
    pub wall_bottom_mm: Option<f64>,
    /// Free height of wall above that edge.
    #[schema(schema_with = schema::optional::wall_height_mm, required = false)]
    pub wall_height_mm: Option<f64>,
    /// Zone of the position.
    pub zone: Option<NewZone>,
    /// Route of the flex to its connection point.
    #[schema(schema_with = schema::optional::connection_distance_mm, required = false)]
    pub connection_distance_mm: Option<f64>,
    /// Side on which the element goes in.
    pub side: Option<NewSide>,
}

/// What the best bill is. What remains equal goes by price, fewer rails, smaller surplus and part numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewOrder {
    /// The cheapest.
    Price,
    /// The one that delivers most; needs a budget.
    WarmestWithinBudget,
    /// The one with the fewest pieces to buy: quantities of all lines that are paid for.
    FewestParts,
    /// The one that uses the least energy on the schedule; needs `running`.
    LowestRunningCost,
}

/// How the options of an answer differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewVariety {
    /// In body, element or regulation.
    Rails,
    /// In any part, be it an accessory or a control.
    Any,
}

/// When the rails are on and what a kilowatt-hour costs.
///
/// The cost of a year is 365 settled days on the schedule at the price stated. Rails that are always on, or whose heat
/// capacity is not stated, count what they deliver for the hours they are on. Standby and thermostats that switch off
/// earlier are not counted.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRunning {
    /// Price in the market's currency.
    #[schema(schema_with = schema::price_per_kwh)]
    pub price_per_kwh: f64,
    /// On-periods of a day, as `06:00-08:00`; always on when left out. A period over midnight is written as two.
    #[serde(default)]
    #[schema(max_items = 24, required = false)]
    pub schedule: Option<Vec<String>>,
}

impl NewResolution {
    /// How bills are looked for; what contradicts it is noted.
    pub(super) fn sought(&self, fields: &mut Fields) -> Sought {
        self.note_walls(fields);
        let wished = self.preferences.as_ref();
        let order = wished.and_then(|wished| wished.order).map_or(Order::Price, Into::into);
        let running = self.running.as_ref();
        if order == Order::WarmestWithinBudget && wished.is_none_or(|own| own.budget.is_none()) {
            let detail = "the order warmest_within_budget needs a budget";
            fields.within("preferences", |at| at.push("budget", FieldCode::Missing, detail));
        }
        if order == Order::LowestRunningCost && running.is_none() {
            let detail = "the order lowest_running_cost needs the price of a kilowatt-hour";
            fields.push("running", FieldCode::Missing, detail);
        }
        let rails_max = wished.and_then(|wished| wished.rails_max).unwrap_or(1);
        let variety = wished.and_then(|wished| wished.variety);
        let periods = running.and_then(|running| running.schedule.as_deref());
        Sought {
            rails_max: usize::try_from(rails_max).unwrap_or(usize::MAX),
            walls: self.walls.iter().map(WallSpace::from).collect(),
            order,
            variety: variety.map_or(Variety::Rails, Into::into),
            is_explained: self.explain != Some(false),
            schedule: fields.within("running", |at| schedule(periods, at)),
        }
    }

    /// A list of wall spaces says where the rails hang, so the place may not say it as well.
    fn note_walls(&self, fields: &mut Fields) {
        let Some(place) = self.place.as_ref().filter(|_| !self.walls.is_empty()) else { return };
        let NewPlace { wall_width_mm, wall_bottom_mm, wall_height_mm, plan, .. } = place;
        let said = [
            ("wall_width_mm", wall_width_mm.is_some()),
            ("wall_bottom_mm", wall_bottom_mm.is_some()),
            ("wall_height_mm", wall_height_mm.is_some()),
            ("plan", plan.is_some()),
        ];
        fields.within("place", |at| {
            for (field, _) in said.into_iter().filter(|(_, is_given)| *is_given) {
                let detail = format!("the walls are listed, so {field} is theirs to say");
                at.push(field, FieldCode::Contradiction, detail);
            }
        });
    }
}

impl NewPreferences {
    /// The budget in the market's money; text that is no amount there is noted.
    pub(super) fn budget_in(&self, market: &Market, fields: &mut Fields) -> Option<Minor> {
        let text = self.budget.as_ref()?;
        let amount = market.currency.parse_amount(text);
        if amount.is_none() {
            let code = market.currency.code();
            let digits = market.currency.digits();
            let detail = format!("{text:?} is no amount in {code}, which has {digits} decimals");
            fields.push("budget", FieldCode::BadForm, detail);
        }
        amount
    }
}

impl From<&NewWall> for WallSpace {
    fn from(wall: &NewWall) -> Self {
        Self {
            width: wall.wall_width_mm.map(whole),
            bottom: wall.wall_bottom_mm.map(whole),
            height: wall.wall_height_mm.map(whole),
            zone: wall.zone.map(Into::into),
            connection_distance: wall.connection_distance_mm.map(whole),
            side: wall.side.map(Into::into),
        }
    }
}

impl From<NewOrder> for Order {
    fn from(order: NewOrder) -> Self {
        match order {
            NewOrder::Price => Self::Price,
            NewOrder::WarmestWithinBudget => Self::WarmestWithinBudget,
            NewOrder::FewestParts => Self::FewestParts,
            NewOrder::LowestRunningCost => Self::LowestRunningCost,
        }
    }
}

impl From<NewVariety> for Variety {
    fn from(variety: NewVariety) -> Self {
        match variety {
            NewVariety::Rails => Self::Rails,
            NewVariety::Any => Self::Any,
        }
    }
}

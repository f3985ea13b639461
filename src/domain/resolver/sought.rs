//! How bills are looked for: how many rails, on which walls, in which order, how different from each other.

use crate::domain::catalogue::Side;
use crate::domain::compatibility::Place;
use crate::domain::emission::energy::Schedule;
use crate::domain::units::Millimetres;
use crate::domain::zones::Zone;

/// The most rails that a bill holds.
pub const RAILS_MAX: usize = 3;

/// The most wall spaces that a request may list.
pub const WALLS_MAX: usize = 6;

/// How bills are looked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    /// Rails that a bill may hold, 1 to [`RAILS_MAX`].
    pub rails_max: usize,
    /// A wall space for each rail; when there is none, all rails hang side by side on the wall space of the place.
    pub walls: Vec<WallSpace>,
    /// What the best bill is.
    pub order: Order,
    /// How options differ.
    pub variety: Variety,
    /// When the rails are on: decides the running cost and nothing else.
    pub schedule: Schedule,
    /// Whether a refusal is to say why, and what would help. That takes far longer than to find that there is nothing.
    pub is_explained: bool,
}

impl Default for Sought {
    /// One rail on the place's wall, the cheapest first; a refusal says why.
    fn default() -> Self {
        Self {
            rails_max: 1,
            walls: Vec::new(),
            order: Order::Price,
            variety: Variety::Rails,
            schedule: Schedule::always(),
            is_explained: true,
        }
    }
}

/// What the best bill is. Whatever remains equal is told apart by gross price, fewer rails, smaller surplus and the order
/// of part numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Order {
    /// The cheapest.
    #[default]
    Price,
    /// The one that delivers most for no more than the budget.
    WarmestWithinBudget,
    /// The one with the fewest pieces to buy; with a budget the fewest that it pays for.
    FewestParts,
    /// The one that uses the least energy.
    LowestRunningCost,
}

/// How the options of an answer differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Variety {
    /// In body, element or regulation.
    #[default]
    Rails,
    /// In any part.
    Any,
}

/// A wall space with what it has of its own; the place says the rest.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WallSpace {
    /// Free width.
    pub width: Option<Millimetres>,
    /// Lower edge above the floor.
    pub bottom: Option<Millimetres>,
    /// Free height above that edge.
    pub height: Option<Millimetres>,
    /// Its zone.
    pub zone: Option<Zone>,
    /// Route of the flex to the connection point there.
    pub connection_distance: Option<Millimetres>,
    /// Side of that point.
    pub side: Option<Side>,
}

impl WallSpace {
    /// The place of a rail on this wall.
    pub fn place(&self, shared: &Place) -> Place {
        Place {
            wall_width: self.width.or(shared.wall_width),
            wall_bottom: self.bottom.or(shared.wall_bottom),
            wall_height: self.height.or(shared.wall_height),
            zone: self.zone.or(shared.zone),
            connection_distance: self.connection_distance.or(shared.connection_distance),
            side: self.side.unwrap_or(shared.side),
            ..shared.clone()
        }
    }
}

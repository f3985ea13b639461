//! Why a request cannot be met, and what would help: values, not sentences pasted together by readers.
//!
//! A conflict is subset-minimal: drop any one of its demands and the others can be met together. Every relaxation
//! was proved by resolving again. Absent here: how they are found (see `resolver`).

use super::catalogue::Sku;
use super::money::Minor;

/// Something a request demands, by the field that states it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Demand {
    /// The heat requirement, given or computed.
    Output,
    /// The width of the wall space.
    WallWidth,
    /// The height of the wall space.
    WallHeight,
    /// The wall spaces that the rails have of their own.
    Walls,
    /// How many rails a bill may hold: offered to be raised, never in a conflict.
    Rails,
    /// The place in the drawn room.
    Plan,
    /// The zone it hangs in.
    Zone,
    /// Water jets used for cleaning.
    WaterJets,
    /// The route of the flex.
    ConnectionDistance,
    /// The side of the connection.
    Side,
    /// The finish.
    Finish,
    /// Fixed or adjustable heat.
    Regulation,
    /// A control on the wall.
    WallControl,
    /// Control by the clock.
    TimeControl,
    /// A covered flex.
    FlexCover,
    /// The budget.
    Budget,
    /// A wished accessory, by its place in the list.
    Accessory(usize),
    /// Children use the room.
    Children,
    /// Vulnerable people use the room.
    Vulnerable,
    /// The room is open to the public.
    PublicBuilding,
}

impl Demand {
    /// The field that states it, as a JSON pointer into the request.
    ///
    /// ```
    /// use rungwright::domain::conflict::Demand;
    /// // The second wish of the list, counted from nought as JSON pointers count.
    /// assert_eq!(Demand::Accessory(1).pointer(), "/preferences/accessories/1");
    /// ```
    pub fn pointer(self) -> String {
        match self {
            Self::Output => "/heat_requirement_w".to_owned(),
            Self::WallWidth => "/place/wall_width_mm".to_owned(),
            Self::WallHeight => "/place/wall_height_mm".to_owned(),
            Self::Walls => "/walls".to_owned(),
            Self::Rails => "/preferences/rails_max".to_owned(),
            Self::Plan => "/place/plan".to_owned(),
            Self::Zone => "/place/zone".to_owned(),
            Self::WaterJets => "/place/water_jets".to_owned(),
            Self::ConnectionDistance => "/place/connection_distance_mm".to_owned(),
            Self::Side => "/place/side".to_owned(),
            Self::Finish => "/preferences/finish".to_owned(),
            Self::Regulation => "/preferences/regulation".to_owned(),
            Self::WallControl => "/preferences/wall_control".to_owned(),
            Self::TimeControl => "/preferences/time_control".to_owned(),
            Self::FlexCover => "/preferences/flex_cover".to_owned(),
            Self::Budget => "/preferences/budget".to_owned(),
            Self::Accessory(index) => format!("/preferences/accessories/{index}"),
            Self::Children => "/users/children".to_owned(),
            Self::Vulnerable => "/users/vulnerable".to_owned(),
            Self::PublicBuilding => "/users/public_building".to_owned(),
        }
    }

    /// Whether the demand protects people: such a demand may stand in a conflict and is never relaxed.
    pub const fn is_safety(self) -> bool {
        match self {
            Self::Plan
            | Self::Zone
            | Self::WaterJets
            | Self::Children
            | Self::Vulnerable
            | Self::PublicBuilding => true,
            Self::Output
            | Self::WallWidth
            | Self::WallHeight
            | Self::Walls
            | Self::Rails
            | Self::ConnectionDistance
            | Self::Side
            | Self::Finish
            | Self::Regulation
            | Self::WallControl
            | Self::TimeControl
            | Self::FlexCover
            | Self::Budget
            | Self::Accessory(_) => false,
        }
    }
}

/// A fact behind a conflict: how near the catalogue comes to one of its demands when the others are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// The demand.
    pub demand: Demand,
    /// The rule by which it excludes parts; nothing where no rule but a wish does.
    pub rule: Option<&'static str>,
    /// The nearest value that can be had beside the conflict's other demands; nothing where the demand has to go or
    /// protects people.
    pub nearest: Option<Nearest>,
    /// What is asked and what is nearest, in words.
    pub text: String,
}

/// How near the catalogue comes to a demand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nearest {
    /// The value that can be had.
    pub value: String,
    /// By how much it misses what is asked, in the unit of the field; nothing where there is no measure between.
    pub misses_by: Option<String>,
    /// The part that offers it, in the cheapest bill that does.
    pub part: Sku,
}

/// A smallest set of demands that cannot hold together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The demands, in the order of the request. Empty when the edition has nothing to sell in the market at all.
    pub demands: Vec<Demand>,
    /// How near the catalogue comes to each.
    pub facts: Vec<Fact>,
    /// One sentence to read out.
    pub sentence: String,
}

/// One demand with another value.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    /// What is changed.
    pub demand: Demand,
    /// The value asked for.
    pub from: String,
    /// The nearest value that can be met, or nothing when the demand has to go.
    pub to: Option<String>,
}

/// Smallest changes that together make the request possible; none of them can be spared.
///
/// A single change is the smallest of its demand. Among several, each is the smallest once those before it are made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relaxation {
    /// The changes, each of another demand.
    pub changes: Vec<Change>,
    /// Gross price of the cheapest bill they lead to.
    pub cheapest_gross: Minor,
}

/// All that is said of an impossible request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explanation {
    /// The smallest sets of demands that cannot hold together, smallest first; at least one.
    pub conflicts: Vec<Conflict>,
    /// What would help: single changes first, then sets of them; cheapest first.
    pub relaxations: Vec<Relaxation>,
    /// Whether these are all conflicts, each proved to be smallest. A request of many independent faults can have more
    /// than the limits let be looked for.
    pub is_complete: bool,
}

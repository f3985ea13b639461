//! Why a request cannot be met, and what would help: values, not sentences pasted together by readers.
//!
//! A conflict is subset-minimal: drop any one of its demands and the others can be met together. Every relaxation
//! was proved by resolving again. Absent here: how they are found (see `resolver`).

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
    /// What is asked, and the nearest that can be had beside the other demands.
    pub text: String,
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

/// The smallest change of one demand that makes the request possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relaxation {
    /// What is changed.
    pub demand: Demand,
    /// The value asked for.
    pub from: String,
    /// The nearest value that can be met, or nothing when the demand has to go.
    pub to: Option<String>,
    /// Gross price of the cheapest bill it leads to.
    pub cheapest_gross: Minor,
}

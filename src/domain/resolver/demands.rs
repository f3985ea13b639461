//! What a request asks of a bill, checked and with units, and how to take one demand back.

use jiff::civil::Date;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Market;
use crate::domain::catalogue::Side;
use crate::domain::conflict::Demand;
use crate::domain::money::Minor;
use crate::domain::units::Celsius;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;
use crate::domain::zones::ZoneName;

/// The most options an answer holds.
pub const OPTIONS_MAX: usize = 20;

/// The options an answer holds when nobody says.
pub const OPTIONS_USUAL: usize = 5;

/// The most accessories a request may wish for.
pub const WISHES_MAX: usize = 40;

/// Slack left in a flex beyond its route (common practice, no source).
pub const FLEX_SLACK: Millimetres = Millimetres::new(100);

/// Height above the floor that the lowest heated tube keeps where children are (IEC 60335-2-43, from memory;
/// the figure confirmed by a maker's sheet tested to AS/NZS 60335.2.43).
pub const CHILD_HEIGHT: Millimetres = Millimetres::new(600);

/// Hottest surface within reach of vulnerable people (HSE HSG220, read in a secondary page).
pub const LOW_SURFACE: Celsius = Celsius::new(43.0);

/// Who uses the room. Each says "yes" only when the caller says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Users {
    /// Young children.
    pub children: bool,
    /// People who may not pull away from a hot surface.
    pub vulnerable: bool,
    /// Anybody: an hotel, a school, a pool.
    pub public_building: bool,
}

impl Users {
    /// Whether anybody needs more protection than an ordinary household.
    pub const fn need_protection(self) -> bool {
        self.children || self.vulnerable || self.public_building
    }
}

/// Where the rail is to hang. What is absent is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Part of the market with rules of its own.
    pub region: Option<Box<str>>,
    /// Free width of wall.
    pub wall_width: Option<Millimetres>,
    /// Lower edge of the free wall above the floor.
    pub wall_bottom: Option<Millimetres>,
    /// Free height of wall above that edge.
    pub wall_height: Option<Millimetres>,
    /// Zone of the position.
    pub zone: Option<ZoneName>,
    /// Whether water jets clean the room.
    pub water_jets: bool,
    /// Route of the flex to its connection point.
    pub connection_distance: Option<Millimetres>,
    /// Side on which the element goes in.
    pub side: Side,
}

impl Default for Place {
    fn default() -> Self {
        Self {
            region: None,
            wall_width: None,
            wall_bottom: None,
            wall_height: None,
            zone: None,
            water_jets: false,
            connection_distance: None,
            side: Side::Either,
        }
    }
}

/// Which regulation is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RegulationWish {
    /// One factory set point.
    Fixed,
    /// The user sets it.
    Adjustable,
    /// Whatever is cheapest.
    #[default]
    Either,
}

impl RegulationWish {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fixed => "fixed",
            Self::Adjustable => "adjustable",
            Self::Either => "either",
        }
    }
}

/// What is wished for beyond heat and place.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Preferences {
    /// Finish of the body.
    pub finish: Option<Box<str>>,
    /// Regulation of the element.
    pub regulation: RegulationWish,
    /// A thermostat on the wall.
    pub wall_control: bool,
    /// Control by the clock.
    pub time_control: bool,
    /// A covered flex.
    pub flex_cover: bool,
    /// Most that may be spent, tax included.
    pub budget: Option<Minor>,
    /// Accessories wished for.
    pub accessories: Vec<AccessoryKind>,
}

/// Everything a request asks of a bill.
#[derive(Debug, Clone, PartialEq)]
pub struct Demands<'a> {
    /// The market it is sold in.
    pub market: &'a Market,
    /// The day whose prices count.
    pub day: Date,
    /// Heat that must be delivered; nothing for a mere towel warmer.
    pub required: Option<Deciwatts>,
    /// Temperature of the room.
    pub room: Celsius,
    /// Share of the output left with towels on, 1 for a bare rail.
    pub towels_factor: f64,
    /// Who uses the room.
    pub users: Users,
    /// Where it hangs.
    pub place: Place,
    /// What is wished for.
    pub preferences: Preferences,
    /// Options wanted.
    pub options_max: usize,
}

impl Demands<'_> {
    /// The demands that are in force, in the order of the request.
    pub fn active(&self) -> Vec<Demand> {
        let wished = &self.preferences;
        let place = &self.place;
        let mut active: Vec<Demand> = [
            (self.required.is_some(), Demand::Output),
            (self.users.children, Demand::Children),
            (self.users.vulnerable, Demand::Vulnerable),
            (self.users.public_building, Demand::PublicBuilding),
            (place.wall_width.is_some(), Demand::WallWidth),
            (place.wall_height.is_some(), Demand::WallHeight),
            (place.zone.is_some(), Demand::Zone),
            (place.water_jets, Demand::WaterJets),
            (place.connection_distance.is_some(), Demand::ConnectionDistance),
            (place.side != Side::Either, Demand::Side),
            (wished.finish.is_some(), Demand::Finish),
            (wished.regulation != RegulationWish::Either, Demand::Regulation),
            (wished.wall_control, Demand::WallControl),
            (wished.time_control, Demand::TimeControl),
            (wished.flex_cover, Demand::FlexCover),
            (wished.budget.is_some(), Demand::Budget),
        ]
        .into_iter()
        .filter_map(|(is_active, demand)| is_active.then_some(demand))
        .collect();
        active.extend((0..wished.accessories.len()).map(Demand::Accessory));
        active
    }

    /// The same demands with only some of them kept.
    #[must_use]
    pub fn keeping(&self, kept: &[Demand]) -> Self {
        let mut less = self.clone();
        for demand in self.active() {
            if !kept.contains(&demand) {
                less.drop_demand(demand);
            }
        }
        let wishes = self.preferences.accessories.iter().enumerate();
        less.preferences.accessories = wishes
            .filter(|(index, _)| kept.contains(&Demand::Accessory(*index)))
            .map(|(_, kind)| *kind)
            .collect();
        less
    }

    fn drop_demand(&mut self, demand: Demand) {
        match demand {
            Demand::Output => self.required = None,
            Demand::WallWidth => self.place.wall_width = None,
            Demand::WallHeight => self.place.wall_height = None,
            Demand::Zone => self.place.zone = None,
            Demand::WaterJets => self.place.water_jets = false,
            Demand::ConnectionDistance => self.place.connection_distance = None,
            Demand::Side => self.place.side = Side::Either,
            Demand::Finish => self.preferences.finish = None,
            Demand::Regulation => self.preferences.regulation = RegulationWish::Either,
            Demand::WallControl => self.preferences.wall_control = false,
            Demand::TimeControl => self.preferences.time_control = false,
            Demand::FlexCover => self.preferences.flex_cover = false,
            Demand::Budget => self.preferences.budget = None,
            // Wishes go by their place in the list: `keeping` takes them all out at once.
            Demand::Accessory(_) => {}
            Demand::Children => self.users.children = false,
            Demand::Vulnerable => self.users.vulnerable = false,
            Demand::PublicBuilding => self.users.public_building = false,
        }
    }
}

//! What a request asks of a bill, checked and with units, and how to take one demand back.

use jiff::civil::Date;

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Side;
use crate::domain::compatibility::Place;
use crate::domain::compatibility::Surroundings;
use crate::domain::conflict::Demand;
use crate::domain::ecodesign::RegimeChoice;
use crate::domain::ecodesign::choose_regime;
use crate::domain::money::Minor;
use crate::domain::units::Deciwatts;

use super::sought::Order;
use super::sought::RAILS_MAX;
use super::sought::Sought;

/// The most options an answer holds.
pub const OPTIONS_MAX: usize = 20;

/// The options an answer holds when nobody says.
pub const OPTIONS_USUAL: usize = 5;

/// The most accessories a request may wish for.
pub const WISHES_MAX: usize = 40;

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
#[derive(Debug, Clone)]
pub struct Demands<'a> {
    /// Market, rules, room, users and place.
    pub surroundings: Surroundings<'a>,
    /// The day whose prices count.
    pub day: Date,
    /// Heat that must be delivered; nothing for a mere towel warmer.
    pub required: Option<Deciwatts>,
    /// What is wished for.
    pub preferences: Preferences,
    /// Options wanted.
    pub options_max: usize,
    /// How many rails, on which walls, in which order.
    pub sought: Sought,
}

impl Demands<'_> {
    /// The demands that are in force, in the order of the request.
    pub fn active(&self) -> Vec<Demand> {
        let wished = &self.preferences;
        let place = &self.surroundings.place;
        let users = self.surroundings.users;
        let mut active: Vec<Demand> = [
            (self.required.is_some(), Demand::Output),
            (users.children, Demand::Children),
            (users.vulnerable, Demand::Vulnerable),
            (users.public_building, Demand::PublicBuilding),
            (place.wall_width.is_some(), Demand::WallWidth),
            (place.wall_height.is_some(), Demand::WallHeight),
            (!self.sought.walls.is_empty(), Demand::Walls),
            (self.surroundings.plan.is_some(), Demand::Plan),
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
            Demand::WallWidth => self.surroundings.place.wall_width = None,
            Demand::WallHeight => self.surroundings.place.wall_height = None,
            Demand::Walls => self.sought.walls.clear(),
            Demand::Plan => self.surroundings.plan = None,
            Demand::Zone => self.surroundings.place.zone = None,
            Demand::WaterJets => self.surroundings.place.water_jets = false,
            Demand::ConnectionDistance => self.surroundings.place.connection_distance = None,
            Demand::Side => self.surroundings.place.side = Side::Either,
            Demand::Finish => self.preferences.finish = None,
            Demand::Regulation => self.preferences.regulation = RegulationWish::Either,
            Demand::WallControl => self.preferences.wall_control = false,
            Demand::TimeControl => self.preferences.time_control = false,
            Demand::FlexCover => self.preferences.flex_cover = false,
            Demand::Budget => self.preferences.budget = None,
            // Wishes go by their place in the list: `keeping` takes them all out at once.
            // How many rails there may be is never in force by itself, so never taken back.
            Demand::Accessory(_) | Demand::Rails => {}
            Demand::Children => self.surroundings.users.children = false,
            Demand::Vulnerable => self.surroundings.users.vulnerable = false,
            Demand::PublicBuilding => self.surroundings.users.public_building = false,
        }
    }
}

impl Demands<'_> {
    /// What is asked of one rail on each wall space, or on the one that all rails share: everything but the heat,
    /// which the rails of a bill bear together.
    pub(super) fn spots(&self) -> Vec<Self> {
        let at = |place: Place| {
            let surroundings = Surroundings { place, ..self.surroundings.clone() };
            Self { surroundings, required: None, ..self.clone() }
        };
        let place = &self.surroundings.place;
        if self.sought.walls.is_empty() {
            return vec![at(place.clone())];
        }
        self.sought.walls.iter().map(|wall| at(wall.place(place))).collect()
    }

    /// Rails that a bill may hold: one in a drawn room, where nothing is laid out for several; no more than there are
    /// wall spaces, where each has its own.
    pub fn rails_allowed(&self) -> usize {
        let walls = self.sought.walls.len();
        let most = self.sought.rails_max.clamp(1, RAILS_MAX);
        match (self.surroundings.plan.is_some(), walls) {
            (true, _) => 1,
            (false, 0) => most,
            (false, _) => most.min(walls),
        }
    }

    /// Whether a rail may be completed with more pieces than it takes, because fewer are beyond the budget.
    pub(super) fn trades_pieces(&self) -> bool {
        self.sought.order == Order::FewestParts && self.preferences.budget.is_some()
    }

    /// The ecodesign regime of the place, with its caution.
    pub fn regime(&self) -> RegimeChoice {
        let region = self.surroundings.place.region.as_deref();
        choose_regime(&self.surroundings.market.code, region)
    }
}

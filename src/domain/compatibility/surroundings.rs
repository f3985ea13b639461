//! Where parts are to live: the place on the wall, the people in the room, the rules of the country.

use std::rc::Rc;

use jiff::civil::Date;

use crate::domain::catalogue::Market;
use crate::domain::catalogue::Side;
use crate::domain::emission::surface::VULNERABLE_SURFACE;
use crate::domain::mounting::LOWEST_HEATED_MM;
use crate::domain::mounting::SLACK_MM;
use crate::domain::mounting::WallType;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Millimetres;
use crate::domain::zones::Zone;
use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::verdict::caution;
use crate::domain::zones::verdict::not_in_force;
use crate::domain::zones::verdict::standing_notices;

use super::plan::PlannedPlace;
use super::plan::PlannedSpot;

/// Slack left in a flex beyond its route (common practice, no source).
pub const FLEX_SLACK: Millimetres = Millimetres::new(SLACK_MM);

/// Height above the floor that the lowest heated tube keeps where children are (IEC 60335-2-43; the wording from
/// memory, the figure read in a sheet tested to AS/NZS 60335.2.43).
pub const CHILD_HEIGHT: Millimetres = Millimetres::new(LOWEST_HEATED_MM);

/// Hottest surface within reach of vulnerable people (HSE HSG220 para 154, read in a page that quotes it).
pub const LOW_SURFACE: Celsius = VULNERABLE_SURFACE;

/// Who uses the room. Each says "yes" only when the caller says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
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
    pub zone: Option<Zone>,
    /// Whether water jets clean the room.
    pub water_jets: bool,
    /// Route of the flex to its connection point.
    pub connection_distance: Option<Millimetres>,
    /// Side on which the element goes in.
    pub side: Side,
    /// What the wall is made of.
    pub wall_type: Option<WallType>,
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
            wall_type: None,
        }
    }
}

/// All that decides about parts besides the parts.
#[derive(Debug, Clone)]
pub struct Surroundings<'a> {
    /// The market, and by it the country.
    pub market: &'a Market,
    /// Its wiring rules; without them no position can be established.
    pub rules: Option<&'a WiringRules>,
    /// Temperature of the room.
    pub room: Celsius,
    /// Share of the output left with towels on, 1 for a bare rail.
    pub towels_factor: f64,
    /// Who uses the room.
    pub users: Users,
    /// Where it hangs.
    pub place: Place,
    /// The drawn room and where in it, which then says zone and route of the flex.
    pub plan: Option<Planned<'a>>,
}

/// A drawn room and where in it.
pub type Planned<'a> = (Rc<PlannedPlace<'a>>, PlannedSpot);

impl Surroundings<'_> {
    /// What stands beside every answer here: who decides, and where a place is spoken of, how well the country's rules
    /// are known and whether they are in force on the day.
    pub fn notices(&self, day: Date) -> Vec<Notice> {
        let speaks_of_place = self.plan.is_some() || self.place.zone.is_some();
        let rules = self.rules.filter(|_rules| speaks_of_place);
        let Some(rules) = rules else { return vec![caution()] };
        let mut notices = standing_notices(rules);
        notices.extend(not_in_force(rules, &day.to_string()));
        notices
    }
}

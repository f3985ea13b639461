//! One surface of a room: its kind, net area, transmittance, and what lies beyond it.
//!
//! When the asker does not say what lies beyond, the kind decides, on the strict side, and a notice says so.
//! Absent here: watts.

use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::notice::Notice;
use crate::domain::units::ANNUAL_MEAN_C;
use crate::domain::units::BEYOND_C;
use crate::domain::units::BOUNDARY_AREA_M2;
use crate::domain::units::BOUNDARY_U;
use crate::domain::units::Bounds;
use crate::domain::units::Celsius;
use crate::domain::units::UNHEATED_FACTOR;

/// What a surface is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoundaryKind {
    /// Wall to the open air.
    ExternalWall,
    /// Window or roof light.
    Window,
    /// Door to the open air.
    Door,
    /// Roof, or ceiling below a loft.
    Roof,
    /// Floor on the ground.
    GroundFloor,
    /// Wall to another room of the home.
    InternalWall,
    /// Floor above another room of the home.
    InternalFloor,
    /// Ceiling below another room of the home.
    InternalCeiling,
    /// Wall to a neighbour's home.
    PartyWall,
    /// Any surface to an unheated space: garage, stairwell, cellar.
    Unheated,
}

impl BoundaryKind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::ExternalWall,
        Self::Window,
        Self::Door,
        Self::Roof,
        Self::GroundFloor,
        Self::InternalWall,
        Self::InternalFloor,
        Self::InternalCeiling,
        Self::PartyWall,
        Self::Unheated,
    ];

    /// Stable code, as it stands in requests.
    pub const fn code(self) -> &'static str {
        match self {
            Self::ExternalWall => "external_wall",
            Self::Window => "window",
            Self::Door => "door",
            Self::Roof => "roof",
            Self::GroundFloor => "ground_floor",
            Self::InternalWall => "internal_wall",
            Self::InternalFloor => "internal_floor",
            Self::InternalCeiling => "internal_ceiling",
            Self::PartyWall => "party_wall",
            Self::Unheated => "unheated",
        }
    }

    /// The words for it in a list of steps.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::ExternalWall => "external wall",
            Self::Window => "window",
            Self::Door => "door",
            Self::Roof => "roof",
            Self::GroundFloor => "ground floor",
            Self::InternalWall => "internal wall",
            Self::InternalFloor => "internal floor",
            Self::InternalCeiling => "internal ceiling",
            Self::PartyWall => "party wall",
            Self::Unheated => "surface to an unheated space",
        }
    }

    /// The kind of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.code() == code)
    }
}

/// What lies on the far side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beyond {
    /// The open air at the outdoor design temperature.
    Outside,
    /// A space of this temperature: a neighbouring room, warmer ones included.
    At(Celsius),
    /// A space as warm as the room itself.
    AsWarm,
    /// The ground, which follows the mean temperature of the year.
    Ground {
        /// Annual mean of the outdoor air.
        annual_mean: Celsius,
    },
    /// An unheated space, by the share of the outdoor difference that stands across the surface.
    Unheated {
        /// 0 is as warm as the room, 1 is as cold as outside.
        factor: f64,
    },
}

/// A thermal transmittance (U-value) with the place it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Transmittance {
    /// W/m2K.
    pub w_m2k: f64,
    /// Where the figure comes from.
    pub source: Source,
}

/// One surface of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    /// What it is.
    pub kind: BoundaryKind,
    /// Net area, m2.
    pub area_m2: f64,
    /// How well heat passes.
    pub transmittance: Transmittance,
    /// What lies beyond, when the asker said so.
    pub beyond: Option<Beyond>,
}

/// What lies beyond a surface after the defaults, with the caution that a default deserves.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// What the sum uses.
    pub beyond: Beyond,
    /// Set when it was assumed.
    pub notice: Option<Notice>,
}

impl Boundary {
    /// What the sum uses beyond this surface.
    ///
    /// ```
    /// use rungwright::domain::evidence::{Evidence, Source};
    /// use rungwright::domain::room::boundary::{Beyond, Boundary, BoundaryKind, Transmittance};
    /// let source = Source::new("stated by the asker", Evidence::Fallback);
    /// let transmittance = Transmittance { w_m2k: 1.8, source };
    /// let garage = Boundary { kind: BoundaryKind::Unheated, area_m2: 6.0, transmittance, beyond: None };
    /// // Nobody said how cold the garage is, so it counts as cold as outside, and the answer says so.
    /// let settled = garage.settle(None);
    /// assert_eq!(settled.beyond, Beyond::Outside);
    /// assert_eq!(settled.notice.unwrap().code, "unheated-taken-as-outside");
    /// ```
    pub fn settle(&self, annual_mean: Option<Celsius>) -> Settled {
        if let Some(beyond) = self.beyond {
            return Settled { beyond, notice: None };
        }
        match self.kind {
            BoundaryKind::ExternalWall
            | BoundaryKind::Window
            | BoundaryKind::Door
            | BoundaryKind::Roof => Settled { beyond: Beyond::Outside, notice: None },
            BoundaryKind::GroundFloor => settle_ground(annual_mean),
            BoundaryKind::InternalWall
            | BoundaryKind::InternalFloor
            | BoundaryKind::InternalCeiling => {
                assumed(Beyond::AsWarm, "neighbour-taken-as-warm", AS_WARM)
            }
            BoundaryKind::PartyWall => assumed(Beyond::AsWarm, "party-taken-as-warm", PARTY),
            BoundaryKind::Unheated => {
                assumed(Beyond::Outside, "unheated-taken-as-outside", UNHEATED)
            }
        }
    }

    /// Figures of this surface that cannot be.
    pub fn faults(&self, pointer: &str) -> Vec<Fault> {
        let beyond: Option<(&'static Bounds, f64)> = match self.beyond {
            None | Some(Beyond::Outside | Beyond::AsWarm) => None,
            Some(Beyond::At(temperature)) => Some((&BEYOND_C, temperature.value())),
            Some(Beyond::Ground { annual_mean }) => Some((&ANNUAL_MEAN_C, annual_mean.value())),
            Some(Beyond::Unheated { factor }) => Some((&UNHEATED_FACTOR, factor)),
        };
        let plain: [(&'static Bounds, f64); 2] =
            [(&BOUNDARY_AREA_M2, self.area_m2), (&BOUNDARY_U, self.transmittance.w_m2k)];
        plain
            .into_iter()
            .chain(beyond)
            .filter_map(|(bounds, value)| Fault::of_range(pointer, bounds, value))
            .collect()
    }
}

const AS_WARM: &str = "No temperature was given beyond an internal surface, so it counts as warm as the room and \
                       loses nothing. A colder neighbouring room needs its temperature stated.";
const PARTY: &str = "The neighbour's home counts as heated, so the party wall loses nothing. An empty or \
                     unheated neighbour needs its temperature stated.";
const UNHEATED: &str =
    "No temperature was given for an unheated space, so it counts as cold as outside.";
const GROUND: &str = "The annual mean temperature is not known, so the ground floor counts as if it met the \
                      outdoor air, which overstates its loss.";

fn settle_ground(annual_mean: Option<Celsius>) -> Settled {
    annual_mean.map_or_else(
        || assumed(Beyond::Outside, "ground-taken-as-outside", GROUND),
        |annual_mean| Settled { beyond: Beyond::Ground { annual_mean }, notice: None },
    )
}

fn assumed(beyond: Beyond, code: &'static str, text: &'static str) -> Settled {
    Settled { beyond, notice: Some(Notice::new(code, text)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_survives_its_code() {
        for kind in BoundaryKind::ALL {
            assert_eq!(BoundaryKind::parse(kind.code()), Some(kind));
        }
    }

    #[test]
    fn ground_follows_the_annual_mean_where_it_is_known() {
        let known = settle_ground(Some(Celsius::new(10.9)));
        assert_eq!(known.beyond, Beyond::Ground { annual_mean: Celsius::new(10.9) });
        assert_eq!(known.notice, None);
        assert_eq!(settle_ground(None).beyond, Beyond::Outside);
    }
}

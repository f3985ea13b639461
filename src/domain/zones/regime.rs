//! The figures that shape the zones in one edition of one country's rules.
//!
//! One engine serves all countries; what differs between them is here. Absent here: the values (data), and the engine.

use crate::domain::zones::Zone;

/// The shape of the zones. All lengths in whole millimetres.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Regime {
    /// Height of the upper plane of zones 1 and 2 above its datum.
    pub plane_mm: i32,
    /// What that height is measured from.
    pub plane_datum: PlaneDatum,
    /// Whether a fixed head above the plane raises it.
    pub plane_raised_by_head: bool,
    /// Radius of zone 1 round the outlet of a tray-less shower.
    pub trayless_radius_mm: TraylessRadius,
    /// Radius of zone 1 round a fixed outlet over a bath or tray; 0 where the outline alone counts.
    pub over_basin_radius_mm: i32,
    /// Height of zone 0 of a tray-less shower; 0 where there is none.
    pub trayless_zone0_mm: i32,
    /// Height below which equipment in zone 1 of a tray-less shower must stand immersion; 0 where not asked.
    pub immersion_below_mm: i32,
    /// Zone 2.
    pub zone2: ZoneTwo,
    /// Zone 3, where the rules still have it.
    pub zone3: Option<ZoneThree>,
    /// What the space below a bath is when only a tool opens it.
    pub under_tool: Zone,
    /// What the space below a bath is when no tool is needed.
    pub under_no_tool: Zone,
    /// Which partitions lengthen the path.
    pub partitions: PartitionPolicy,
    /// The zones of a washbasin, where it has any.
    pub washbasin: Option<WashbasinZone>,
}

/// What the height of the upper plane is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlaneDatum {
    /// The finished floor.
    Floor,
    /// The bottom of the bath or tray.
    BathOrTrayBottom,
    /// The finished floor, or the bottom where that is more than 150 mm up.
    FloorOrBottomAbove150,
}

/// Radius of zone 1 of a tray-less shower, by its head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TraylessRadius {
    /// With a head that comes off, or where nobody said.
    pub demountable: i32,
    /// With a fixed head.
    pub fixed: i32,
}

/// Zone 2.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneTwo {
    /// Width beyond zone 1.
    pub width_mm: i32,
    /// Its upper plane above the floor where it is not that of zone 1.
    pub top_mm: Option<i32>,
    /// Whether a tray-less shower has it.
    pub trayless: bool,
    /// Height up to which it also covers the space above zone 1.
    pub over_zone1_to_mm: Option<i32>,
}

/// Zone 3.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneThree {
    /// Width beyond zone 2, or beyond zone 1 where there is no zone 2.
    pub width_mm: i32,
    /// Its upper plane above the floor.
    pub top_mm: i32,
    /// Height up to which it also covers the space above zone 2.
    pub over_zone2_to_mm: Option<i32>,
}

/// Which partitions count, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartitionPolicy {
    /// None: screens do not limit a zone.
    Ignored,
    /// Fixed, joined to the floor and as high as the zone: the path goes round.
    FixedFloorFullHeight,
    /// As before, for barriers against spray.
    EffectiveSprayBarrier,
    /// Any fixed one joined to the floor: the path goes round it or over it.
    StringOverAndRound,
}

/// Zone 2 round a washbasin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WashbasinZone {
    /// Largest volume that counts as small.
    pub small_litres: i32,
    /// Reach of a small basin with a fixed outlet.
    pub small: BasinReach,
    /// Reach of any other.
    pub large: BasinReach,
}

/// How far a basin's zone reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BasinReach {
    /// In plan from the rim.
    pub plan_mm: i32,
    /// Above the rim.
    pub above_mm: i32,
}

impl PlaneDatum {
    /// Every datum.
    pub const ALL: [Self; 3] = [Self::Floor, Self::BathOrTrayBottom, Self::FloorOrBottomAbove150];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Floor => "floor",
            Self::BathOrTrayBottom => "bath-or-tray-bottom",
            Self::FloorOrBottomAbove150 => "floor-or-bottom-above-150",
        }
    }

    /// The datum of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|datum| datum.code() == code)
    }
}

impl PartitionPolicy {
    /// Every policy.
    pub const ALL: [Self; 4] = [
        Self::Ignored,
        Self::FixedFloorFullHeight,
        Self::EffectiveSprayBarrier,
        Self::StringOverAndRound,
    ];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Ignored => "none",
            Self::FixedFloorFullHeight => "fixed-floor-full-height",
            Self::EffectiveSprayBarrier => "effective-spray-barrier",
            Self::StringOverAndRound => "string-over-and-round",
        }
    }

    /// The policy of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|policy| policy.code() == code)
    }
}

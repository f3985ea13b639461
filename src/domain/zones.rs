//! Zones round baths and showers: where a thing hangs, how near the water, and whether a country lets it hang there.
//!
//! Reading order: zones and kinds of equipment, a country's rules and whether they are sound, the verdict on a known zone, then the plan: room,
//! faults, shortest paths round partitions, and the zone of a point or a box. Whole millimetres throughout; the datum is
//! the finished floor. Absent here: the rules' figures, which are data (`store::rule_packs`), and drawing.

use std::fmt;

pub mod length;
pub mod regime;
pub mod rules;
pub mod soundness;
pub mod equipment;
pub mod verdict;
pub mod scene;
pub mod plane;
pub mod validity;
pub mod reach;
pub mod over;
pub mod water;
pub mod placement;

/// A zone of a room with a bath or shower, or why there is none.
///
/// The order is strictness: the strictest first, so the smaller of two zones governs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    /// Inside the bath or tray, or the lowest part of a tray-less shower.
    Zero,
    /// Reachable space below a bath or tray, where a country treats it apart.
    Hidden,
    /// Above the bath, tray or shower area.
    One,
    /// Round zone 1.
    Two,
    /// Round zone 2, in the countries that still have it.
    Three,
    /// In the room (or behind its walls), outside every zone.
    Outside,
    /// The room has no bath or shower: the section does not apply.
    NotApplicable,
    /// Nothing can be said: the figures or the drawing do not suffice.
    NotEstablished,
}

impl Zone {
    /// Every zone, strictest first.
    pub const ALL: [Self; 8] = [
        Self::Zero,
        Self::Hidden,
        Self::One,
        Self::Two,
        Self::Three,
        Self::Outside,
        Self::NotApplicable,
        Self::NotEstablished,
    ];

    /// As it stands in answers and data files.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Zero => "0",
            Self::Hidden => "hidden",
            Self::One => "1",
            Self::Two => "2",
            Self::Three => "3",
            Self::Outside => "outside",
            Self::NotApplicable => "not_applicable",
            Self::NotEstablished => "not_established",
        }
    }

    /// The zone of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|zone| zone.code() == code)
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// What is placed. Sockets, pull switches, boxes and shaver units are checked, never sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EquipmentKind {
    /// The electric towel rail: body with its element.
    Rail,
    /// The element's head with a control built in: travels with the rail's own rating.
    ElementHead,
    /// Fused connection unit or the isolating switch that feeds the rail.
    ConnectionUnit,
    /// Flex outlet plate without switch or fuse.
    FlexOutlet,
    /// Wall thermostat or other control at mains voltage.
    WallControl,
    /// Time switch at mains voltage.
    TimeSwitch,
    /// Ordinary socket outlet.
    Socket,
    /// Ceiling switch worked by a cord.
    PullSwitch,
    /// Connection or junction box.
    ConnectionBox,
    /// Shaver supply unit with isolating transformer (EN 61558-2-5).
    ShaverUnit,
}

impl EquipmentKind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Rail,
        Self::ElementHead,
        Self::ConnectionUnit,
        Self::FlexOutlet,
        Self::WallControl,
        Self::TimeSwitch,
        Self::Socket,
        Self::PullSwitch,
        Self::ConnectionBox,
        Self::ShaverUnit,
    ];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Rail => "rail",
            Self::ElementHead => "element-head",
            Self::ConnectionUnit => "connection-unit",
            Self::FlexOutlet => "flex-outlet",
            Self::WallControl => "wall-control",
            Self::TimeSwitch => "time-switch",
            Self::Socket => "socket",
            Self::PullSwitch => "pull-switch",
            Self::ConnectionBox => "connection-box",
            Self::ShaverUnit => "shaver-unit",
        }
    }

    /// The kind of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }
}

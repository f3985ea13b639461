//! A piece to be placed and the place it is put, as far as either is known.
//!
//! Absent here: what a country says of them (`verdict`).

use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::length::Length;

/// The piece to be placed; what is not known stays unknown.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Equipment {
    /// What it is.
    pub kind: EquipmentKind,
    /// Its IP code, as marked.
    pub ip: Option<IpCode>,
    /// Its protection class.
    pub class: Option<ProtectionClass>,
    /// The zones its maker declares it suitable for; none when the maker's word is not known.
    pub declared_zones: Option<Vec<Zone>>,
    /// Whether the place is cleaned with water jets.
    pub jets: bool,
    /// How it is connected.
    pub connection: Connection,
    /// Whether its circuit has a residual current device of 30 mA.
    pub residual: Residual,
}

/// How a piece is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Connection {
    /// Permanently, without a plug.
    Permanent,
    /// With a plug.
    Plug,
    /// Nobody said.
    NotStated,
}

/// Whether a circuit has a residual current device of 30 mA.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Residual {
    /// It has.
    Protected,
    /// It has none.
    Unprotected,
    /// Nobody said.
    NotStated,
}

/// Where it is, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Worst zone it touches.
    pub zone: Zone,
    /// Height of its lowest point.
    pub lowest_mm: Option<i32>,
    /// Its distance in plan from zone 1, as a length and the radius of zone 1 within that length.
    pub from_zone1: Option<(Length, i64)>,
    /// Whether it stands in the lowest layer of a tray-less shower, where immersion counts.
    pub immersion: bool,
    /// Whether it lies in the drawn room.
    pub in_room: bool,
}

impl Equipment {
    /// A piece of which nothing but its kind is known.
    pub const fn unknown(kind: EquipmentKind) -> Self {
        Self {
            kind,
            ip: None,
            class: None,
            declared_zones: None,
            jets: false,
            connection: Connection::NotStated,
            residual: Residual::NotStated,
        }
    }

    /// Whether the maker declares it for a zone: for that zone, or for zone 1 where zone 2 is asked.
    pub fn declared(&self, zone: Zone) -> Option<bool> {
        let zones = self.declared_zones.as_ref()?;
        let harsher = zone == Zone::Two && zones.contains(&Zone::One);
        Some(zones.contains(&zone) || harsher)
    }
}

impl Spot {
    /// A place of which only the zone is known.
    pub const fn in_zone(zone: Zone) -> Self {
        Self { zone, lowest_mm: None, from_zone1: None, immersion: false, in_room: true }
    }
}

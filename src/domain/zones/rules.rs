//! A country's wiring rules as values: who may hang where, on what conditions, known how.
//!
//! Absent here: the figures themselves and how they are read (data, `store::rule_packs`).

use crate::domain::evidence::Source;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::regime::Regime;

/// The wiring rules of one country in one edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WiringRules {
    /// Stable name: `gb-bs7671`.
    pub id: String,
    /// What a person calls it.
    pub title: String,
    /// The edition the figures are of.
    pub edition: String,
    /// First day, as `YYYY-MM-DD`, when it is known.
    pub valid_from: Option<String>,
    /// Last day, as `YYYY-MM-DD`; none while it stands.
    pub valid_until: Option<String>,
    /// Places whose work follows it: `gb`, `ie`, `de`.
    pub places: Vec<String>,
    /// Where the pack as a whole comes from.
    pub source: Source,
    /// Figures of the zones; none when they were not found, and then nothing can be established.
    pub regime: Option<Regime>,
    /// What may hang where.
    pub rows: Vec<PlaceRule>,
    /// How the circuit is protected.
    pub circuit: CircuitRules,
    /// Points on which the sources disagree, kept visible.
    pub conflicts: Vec<String>,
    /// The same about the shape of the zones: of no concern where a zone is known without a drawing.
    pub drawing_conflicts: Vec<String>,
    /// Whether they stand in for those of an edition that holds none: such an answer says so. Never stored.
    pub is_stand_in: bool,
}

/// One row: kinds of equipment, zones, and what the country says of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceRule {
    /// Kinds the row speaks of.
    pub kinds: Vec<EquipmentKind>,
    /// Zones the row speaks of.
    pub zones: Vec<Zone>,
    /// What it says.
    pub ruling: Ruling,
    /// Clause and how it is known.
    pub source: Source,
}

/// What a row says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ruling {
    /// Not there, whatever the rating.
    Refused(Refusal),
    /// There, when all of this holds.
    Allowed(Requirements),
    /// The text was not found.
    NotEstablished,
}

/// Why a row refuses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Refusal {
    /// The kind is not in the zone's list.
    NotListed,
    /// A switching accessory inside a zone.
    SwitchInsideZone,
    /// A socket outlet where none may be.
    SocketTooNear,
    /// Not in this room at all.
    NotInRoom,
}

impl Refusal {
    /// Every refusal.
    pub const ALL: [Self; 4] =
        [Self::NotListed, Self::SwitchInsideZone, Self::SocketTooNear, Self::NotInRoom];

    /// Stable code, also the reason's code in a verdict.
    pub const fn code(self) -> &'static str {
        match self {
            Self::NotListed => "zone-not-listed",
            Self::SwitchInsideZone => "switch-inside-zone",
            Self::SocketTooNear => "socket-too-near",
            Self::NotInRoom => "not-in-this-room",
        }
    }

    /// The refusal of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|refusal| refusal.code() == code)
    }
}

/// What an allowed row asks for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Requirements {
    /// Fixed and permanently connected.
    pub permanent: bool,
    /// The maker must declare the zone.
    pub declared: bool,
    /// The connection unit must stand outside the zones.
    pub unit_outside: bool,
    /// Lowest IP code.
    pub ip: Option<IpCode>,
    /// Lowest IP code where water jets are used.
    pub ip_jets: Option<IpCode>,
    /// Protection classes accepted; empty means all.
    pub classes: Vec<ProtectionClass>,
    /// Least height of the lowest point above the floor.
    pub height_min_mm: Option<i32>,
    /// Least distance in plan from the boundary of zone 1; exactly this much is enough.
    pub from_zone1_min_mm: Option<i32>,
    /// A caution that comes with the permission.
    pub caution: Option<String>,
}

/// How a country wants the circuit protected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CircuitRules {
    /// Residual current protection of 30 mA.
    pub residual: ResidualDuty,
    /// Where that comes from.
    pub residual_source: Source,
    /// What guards the flex.
    pub device: ProtectiveDevice,
    /// Where that comes from.
    pub device_source: Source,
    /// Supplementary bonding, in a sentence.
    pub bonding: String,
    /// Where that comes from.
    pub bonding_source: Source,
}

/// Whether a residual current device of 30 mA is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ResidualDuty {
    /// On every low-voltage circuit of the room.
    Required,
    /// Not found in a text; asked for all the same.
    NotEstablished,
}

impl ResidualDuty {
    /// Both duties.
    pub const ALL: [Self; 2] = [Self::Required, Self::NotEstablished];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Required => "required",
            Self::NotEstablished => "not-established",
        }
    }

    /// The duty of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|duty| duty.code() == code)
    }
}

/// What protects the flex of the rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ProtectiveDevice {
    /// A cartridge fuse to BS 1362 in the connection unit.
    CartridgeFuse,
    /// The circuit breaker of the final circuit.
    CircuitBreaker,
}

impl ProtectiveDevice {
    /// Both devices.
    pub const ALL: [Self; 2] = [Self::CartridgeFuse, Self::CircuitBreaker];

    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::CartridgeFuse => "cartridge-fuse",
            Self::CircuitBreaker => "circuit-breaker",
        }
    }

    /// The device of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|device| device.code() == code)
    }
}

//! Words for a thing to be placed.

use serde::Deserialize;
use utoipa::ToSchema;

use crate::domain::protection::ProtectionClass;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::verdict::Connection;

/// What a thing is. Sockets, pull switches, boxes and shaver units are checked, never sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewEquipmentKind {
    /// An electric towel rail with its element.
    Rail,
    /// The head of an element with a control in it.
    ElementHead,
    /// A fused connection unit, or the switch that isolates the rail.
    ConnectionUnit,
    /// A flex outlet plate without switch or fuse.
    FlexOutlet,
    /// A wall thermostat or other control at mains voltage.
    WallControl,
    /// A time switch at mains voltage.
    TimeSwitch,
    /// A socket outlet.
    Socket,
    /// A ceiling switch worked by a cord.
    PullSwitch,
    /// A connection or junction box.
    Box,
    /// A shaver supply unit with an isolating transformer.
    ShaverUnit,
}

/// Protection class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
pub enum NewClass {
    /// Protective earth.
    I,
    /// Double or reinforced insulation.
    #[serde(rename = "II")]
    Ii,
    /// Safety extra-low voltage.
    #[serde(rename = "III")]
    Iii,
}

/// How a thing is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NewConnection {
    /// Permanently.
    Permanent,
    /// With a plug.
    Plug,
}

impl From<NewEquipmentKind> for EquipmentKind {
    fn from(kind: NewEquipmentKind) -> Self {
        match kind {
            NewEquipmentKind::Rail => Self::Rail,
            NewEquipmentKind::ElementHead => Self::ElementHead,
            NewEquipmentKind::ConnectionUnit => Self::ConnectionUnit,
            NewEquipmentKind::FlexOutlet => Self::FlexOutlet,
            NewEquipmentKind::WallControl => Self::WallControl,
            NewEquipmentKind::TimeSwitch => Self::TimeSwitch,
            NewEquipmentKind::Socket => Self::Socket,
            NewEquipmentKind::PullSwitch => Self::PullSwitch,
            NewEquipmentKind::Box => Self::ConnectionBox,
            NewEquipmentKind::ShaverUnit => Self::ShaverUnit,
        }
    }
}

impl From<NewClass> for ProtectionClass {
    fn from(class: NewClass) -> Self {
        match class {
            NewClass::I => Self::I,
            NewClass::Ii => Self::II,
            NewClass::Iii => Self::III,
        }
    }
}

impl From<NewConnection> for Connection {
    fn from(connection: NewConnection) -> Self {
        match connection {
            NewConnection::Permanent => Self::Permanent,
            NewConnection::Plug => Self::Plug,
        }
    }
}

/// The word of `kind` for what a thing is.
pub(super) const fn kind_word(kind: EquipmentKind) -> &'static str {
    match kind {
        EquipmentKind::Rail => "rail",
        EquipmentKind::ElementHead => "element_head",
        EquipmentKind::ConnectionUnit => "connection_unit",
        EquipmentKind::FlexOutlet => "flex_outlet",
        EquipmentKind::WallControl => "wall_control",
        EquipmentKind::TimeSwitch => "time_switch",
        EquipmentKind::Socket => "socket",
        EquipmentKind::PullSwitch => "pull_switch",
        EquipmentKind::ConnectionBox => "box",
        EquipmentKind::ShaverUnit => "shaver_unit",
    }
}

//! Time switches, wall thermostats, fused connection units, and combinations of them.

use crate::domain::ecodesign::ControlCode;
use crate::domain::ip_code::IpCode;
use crate::domain::protection::ProtectionClass;
use crate::domain::units::Watts;

use super::part::Card;
use super::value::Thousandths;
use super::value::Value;

/// A thing that a control does for a job. A combination does several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Connects the flex to the fixed wiring, with a fuse and a double-pole switch.
    ConnectionUnit,
    /// Switches by the clock.
    TimeSwitch,
    /// Regulates by the room's temperature.
    WallThermostat,
}

impl Role {
    /// The three roles.
    pub const ALL: [Self; 3] = [Self::ConnectionUnit, Self::TimeSwitch, Self::WallThermostat];

    /// The word for it in JSON and catalogue files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::ConnectionUnit => "fused_connection_unit",
            Self::TimeSwitch => "time_switch",
            Self::WallThermostat => "wall_thermostat",
        }
    }

    /// The role of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }

    /// What it does for a job, as a bill says it.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::ConnectionUnit => {
                "connects the flex to the fixed wiring, with a fuse and a switch"
            }
            Self::TimeSwitch => "switches by the clock",
            Self::WallThermostat => "regulates by the temperature of the room",
        }
    }

    const fn bit(self) -> u8 {
        match self {
            Self::ConnectionUnit => 1,
            Self::TimeSwitch => 2,
            Self::WallThermostat => 4,
        }
    }
}

/// A set of roles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Roles(u8);

impl Roles {
    /// No role.
    pub const NONE: Self = Self(0);

    /// These roles and one more.
    #[must_use]
    pub const fn with(self, role: Role) -> Self {
        Self(self.0 | role.bit())
    }

    /// Whether the role is among them.
    pub const fn has(self, role: Role) -> bool {
        self.0 & role.bit() != 0
    }

    /// The roles of both.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether no role is in both.
    pub const fn is_disjoint(self, other: Self) -> bool {
        self.0 & other.0 == 0
    }

    /// Whether every role of `other` is among these.
    pub const fn covers(self, other: Self) -> bool {
        other.0 & !self.0 == 0
    }

    /// The roles in the order of [`Role::ALL`].
    pub fn iter(self) -> impl Iterator<Item = Role> {
        Role::ALL.into_iter().filter(move |role| self.has(*role))
    }
}

/// A control.
#[derive(Debug, Clone, PartialEq)]
pub struct Control {
    /// What every part carries.
    pub card: Card,
    /// Its finish.
    pub finish: Box<str>,
    /// What it does.
    pub roles: Roles,
    /// Highest load it carries.
    pub load_max: Watts,
    /// Largest fuse it takes, amperes; connection units only.
    pub fuse_a_max: Option<u16>,
    /// Control code of its functions (EU 2024/1103).
    pub code: ControlCode,
    /// Whether its settings can be locked.
    pub is_lockable: bool,
    /// Protection of the enclosure, where stated.
    pub ip: Option<IpCode>,
    /// Protection against electric shock, where stated.
    pub class: Option<ProtectionClass>,
}

impl Control {
    /// The typed attributes that a rule row may name, besides the keeper's own.
    pub const ATTRIBUTES: &'static [&'static str] = &[
        "sku",
        "finish",
        "roles",
        "switches_supply",
        "load_w_max",
        "fuse_a_max",
        "control_code",
        "lockable",
        "ip",
        "class",
        "wall_thermostat",
        "time_switch",
        "fused_connection_unit",
        "lead_days",
        "stock",
    ];

    /// The value of an attribute; absent when the part does not state it.
    pub fn attribute(&self, name: &str) -> Option<Value> {
        Some(match name {
            "finish" => Value::Text(self.finish.clone()),
            "roles" => Value::Words(self.roles.iter().map(|role| role.word().into()).collect()),
            "switches_supply" => Value::Flag(self.switches_supply()),
            "wall_thermostat" => Value::Flag(self.roles.has(Role::WallThermostat)),
            "time_switch" => Value::Flag(self.roles.has(Role::TimeSwitch)),
            "fused_connection_unit" => Value::Flag(self.roles.has(Role::ConnectionUnit)),
            "load_w_max" => Value::Number(Thousandths::nearest(self.load_max.value())),
            "fuse_a_max" => Value::whole(i32::from(self.fuse_a_max?)),
            "control_code" => Value::text(&self.code.to_string()),
            "lockable" => Value::Flag(self.is_lockable),
            "ip" => Value::text(&self.ip.as_ref()?.to_string()),
            "class" => Value::text(self.class?.code()),
            _ => return self.card.attribute(name),
        })
    }

    /// Whether it takes the supply away from the element in everyday use.
    pub const fn switches_supply(&self) -> bool {
        self.roles.has(Role::TimeSwitch) || self.roles.has(Role::WallThermostat)
    }
}

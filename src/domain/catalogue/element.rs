//! The immersion heater with its head and flex.

use std::collections::BTreeSet;

use crate::domain::ecodesign::ControlCode;
use crate::domain::ip_code::IpCode;
use crate::domain::mounting::Attachment;
use crate::domain::protection::ProtectionClass;
use crate::domain::thread::Thread;
use crate::domain::units::Celsius;
use crate::domain::units::Millimetres;
use crate::domain::units::Watts;

use super::part::Card;
use super::part::Stated;
use super::value::Thousandths;
use super::value::Value;

/// Who sets the temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Regulation {
    /// One factory set point; not stated means none: the element heats as long as it is fed.
    Fixed {
        /// The factory's set point of the fluid.
        set_point: Option<Celsius>,
    },
    /// The user sets it.
    Adjustable {
        /// Lowest set point.
        set_point_min: Celsius,
        /// Highest set point.
        set_point_max: Celsius,
        /// The highest set point that the installer can lock in, where it can be locked.
        lockable_at: Option<Celsius>,
    },
}

impl Regulation {
    /// The word for it: `fixed` or `adjustable`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fixed { .. } => "fixed",
            Self::Adjustable { .. } => "adjustable",
        }
    }

    /// The hottest set point in ordinary use.
    pub const fn set_point_max(self) -> Option<Celsius> {
        match self {
            Self::Fixed { set_point } => set_point,
            Self::Adjustable { set_point_max, .. } => Some(set_point_max),
        }
    }
}

/// The element's cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Flex {
    /// From the head to the bare ends.
    pub length: Millimetres,
    /// Cross-section of a conductor in hundredths of a square millimetre.
    pub area_mm2_e2: u16,
    /// How it is attached.
    pub attachment: Attachment,
    /// Whether a plug is fitted.
    pub has_plug: bool,
}

/// The element's shape: what has to go through the port and into the tube.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ElementShape {
    /// Thread of its boss.
    pub thread: Thread,
    /// Length inside the body.
    pub immersed_length: Millimetres,
    /// Diameter of the sheath, tenths of a millimetre.
    pub sheath_diameter_mm_e1: u16,
    /// How far the head stands below the port.
    pub head_length: Millimetres,
    /// Volume that the immersed part displaces, millilitres.
    pub displacement_ml: u16,
}

/// What keeps an element safe where it hangs.
#[derive(Debug, Clone, PartialEq)]
pub struct ElementSafety {
    /// Protection of the enclosure, where stated.
    pub ip: Option<IpCode>,
    /// Protection against electric shock, where stated.
    pub class: Option<ProtectionClass>,
    /// Zones that the maker declares it for: `1`, `2`.
    pub declared_zones: BTreeSet<Box<str>>,
    /// Whether a thermal cut-out works independently of the regulation.
    pub thermal_cut_out: Stated,
    /// Hottest fluid the element may stand in.
    pub fluid_limit: Celsius,
}

/// How an element behaves towards time and supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ElementControl {
    /// Control code of its own functions (EU 2024/1103).
    pub code: ControlCode,
    /// Runs for some hours at a press and stops by itself.
    pub timed_drying: bool,
    /// Goes on as set after the supply was cut: what a time switch before it needs.
    pub resumes_after_power_cut: Stated,
}

/// The immersion heater.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// What every part carries.
    pub card: Card,
    /// Finish of the head.
    pub finish: Box<str>,
    /// Form of the head.
    pub head: Box<str>,
    /// Rating at 230 V.
    pub watts: Watts,
    /// Who sets the temperature.
    pub regulation: Regulation,
    /// What goes into the body.
    pub shape: ElementShape,
    /// The cable.
    pub flex: Flex,
    /// What keeps it safe.
    pub safety: ElementSafety,
    /// Time and supply.
    pub control: ElementControl,
}

impl Element {
    /// The typed attributes that a rule row may name, besides the keeper's own.
    pub const ATTRIBUTES: &'static [&'static str] = &[
        "sku",
        "finish",
        "head",
        "watts",
        "regulation",
        "set_point_c_max",
        "set_point_max_c_lockable",
        "lockable",
        "thread",
        "immersed_length_mm",
        "sheath_diameter_mm",
        "head_length_mm",
        "displacement_ml",
        "flex_length_mm",
        "flex_mm2",
        "attachment",
        "plug",
        "ip",
        "class",
        "declared_zones",
        "thermal_cut_out",
        "fluid_limit_c",
        "control_code",
        "timed_drying",
        "resumes_after_power_cut",
        "lead_days",
        "stock",
    ];

    /// The value of an attribute; absent when the part does not state it.
    pub fn attribute(&self, name: &str) -> Option<Value> {
        Some(match name {
            "finish" => Value::Text(self.finish.clone()),
            "head" => Value::Text(self.head.clone()),
            "watts" => number(self.watts.value()),
            "regulation" => Value::text(self.regulation.word()),
            "set_point_c_max" => number(self.regulation.set_point_max()?.value()),
            "set_point_max_c_lockable" => number(self.lockable_at()?.value()),
            "lockable" => Value::Flag(self.lockable_at().is_some()),
            "control_code" => Value::text(&self.control.code.to_string()),
            "timed_drying" => Value::Flag(self.control.timed_drying),
            "resumes_after_power_cut" => self.control.resumes_after_power_cut.value()?,
            _ => return self.shape_attribute(name),
        })
    }

    /// The highest set point that can be locked in, if it can be locked at all.
    pub const fn lockable_at(&self) -> Option<Celsius> {
        match self.regulation {
            Regulation::Fixed { .. } => None,
            Regulation::Adjustable { lockable_at, .. } => lockable_at,
        }
    }

    fn shape_attribute(&self, name: &str) -> Option<Value> {
        Some(match name {
            "thread" => Value::text(&self.shape.thread.to_string()),
            "immersed_length_mm" => Value::whole(self.shape.immersed_length.value()),
            "sheath_diameter_mm" => number(f64::from(self.shape.sheath_diameter_mm_e1) / 10.0),
            "head_length_mm" => Value::whole(self.shape.head_length.value()),
            "displacement_ml" => Value::whole(i32::from(self.shape.displacement_ml)),
            "flex_length_mm" => Value::whole(self.flex.length.value()),
            "flex_mm2" => number(f64::from(self.flex.area_mm2_e2) / 100.0),
            "attachment" => Value::text(self.flex.attachment.word()),
            "plug" => Value::Flag(self.flex.has_plug),
            "ip" => Value::text(&self.safety.ip.as_ref()?.to_string()),
            "class" => Value::text(self.safety.class?.code()),
            "declared_zones" => Value::Words(self.safety.declared_zones.clone()),
            "thermal_cut_out" => self.safety.thermal_cut_out.value()?,
            "fluid_limit_c" => number(self.safety.fluid_limit.value()),
            _ => return self.card.attribute(name),
        })
    }
}

fn number(number: f64) -> Value {
    Value::Number(Thousandths::nearest(number))
}

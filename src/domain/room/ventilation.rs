//! How a room exchanges air: air changes or extract flow, heat recovery, and the heat that a cubic metre carries.
//!
//! The constant is explicit because tables disagree on it. Absent here: watts.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::fault::Fault;
use crate::domain::room::RoomUse;
use crate::domain::units::AIR_CHANGES;
use crate::domain::units::AIR_HEAT;
use crate::domain::units::EXTRACT_L_S;
use crate::domain::units::HEAT_RECOVERY;

/// Heat that air carries, Wh/m3K.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct AirHeat(f64);

impl AirHeat {
    /// British rounding, 0.33.
    pub const BRITISH: Self = Self(0.33);
    /// European rounding of EN 12831, 0.34.
    pub const EUROPEAN: Self = Self(0.34);
    /// 1.2 kg/m3 times 1000 J/kgK over 3600 s, one third.
    pub const EXACT: Self = Self(1.2 * 1_000.0 / 3_600.0);

    /// A constant of one's own; its range is that of `AIR_HEAT`.
    pub const fn new(wh_m3k: f64) -> Self {
        Self(wh_m3k)
    }

    /// Wh/m3K.
    pub const fn value(self) -> f64 {
        self.0
    }
}

/// How much air is exchanged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AirExchange {
    /// Volumes of the room in an hour.
    ChangesPerHour(f64),
    /// Air drawn out by a fan, l/s.
    ExtractLitresPerSecond(f64),
}

/// How a room exchanges air with outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ventilation {
    /// How much.
    pub exchange: AirExchange,
    /// Share of the heat that a recovery unit keeps, 0 without one.
    pub recovery: f64,
    /// Heat that a cubic metre carries.
    pub air_heat: AirHeat,
}

impl Ventilation {
    /// Air that must be warmed from outdoor to indoor temperature, m3/h.
    ///
    /// ```
    /// use rungwright::domain::room::ventilation::{AirExchange, AirHeat, Ventilation};
    /// let exchange = AirExchange::ExtractLitresPerSecond(15.0);
    /// let fan = Ventilation { exchange, recovery: 0.0, air_heat: AirHeat::EXACT };
    /// // A bathroom fan moves 54 m3/h: four and a half changes an hour in a room of 12 m3.
    /// assert_eq!(fan.flow_m3_h(12.0), 54.0);
    /// ```
    pub fn flow_m3_h(&self, volume_m3: f64) -> f64 {
        let flow = match self.exchange {
            AirExchange::ChangesPerHour(changes) => changes * volume_m3,
            AirExchange::ExtractLitresPerSecond(litres) => 3.6_f64 * litres,
        };
        flow * (1.0_f64 - self.recovery)
    }

    /// Figures that cannot be, with pointers from the room.
    pub fn faults(&self) -> Vec<Fault> {
        let exchange = match self.exchange {
            AirExchange::ChangesPerHour(changes) => (&AIR_CHANGES, changes),
            AirExchange::ExtractLitresPerSecond(litres) => (&EXTRACT_L_S, litres),
        };
        [exchange, (&HEAT_RECOVERY, self.recovery), (&AIR_HEAT, self.air_heat.0)]
            .into_iter()
            .filter_map(|(bounds, value)| Fault::of_range("", bounds, value))
            .collect()
    }
}

/// A figure for the air exchange of a kind of room.
#[derive(Debug, Clone, PartialEq)]
pub struct AirExchangeFact {
    /// What the room is for.
    pub room_use: RoomUse,
    /// How much air.
    pub exchange: AirExchange,
    /// Where it stands.
    pub source: Source,
}

const MACKAY: Source = Source::new(
    "MacKay, Sustainable Energy without the hot air, table E.1 (draught-proofed home)",
    Evidence::Read,
);
const PART_F: Source = Source::new(
    "Approved Document F, intermittent extract, as quoted in three pages",
    Evidence::ReadSecondary,
);

const fn changes(room_use: RoomUse, per_hour: f64) -> AirExchangeFact {
    AirExchangeFact { room_use, exchange: AirExchange::ChangesPerHour(per_hour), source: MACKAY }
}

const fn extract(room_use: RoomUse, litres: f64) -> AirExchangeFact {
    let exchange = AirExchange::ExtractLitresPerSecond(litres);
    AirExchangeFact { room_use, exchange, source: PART_F }
}

/// Figures to propose when the asker knows none; a design figure of the home itself is always better.
pub static AIR_EXCHANGE_FACTS: &[AirExchangeFact] = &[
    changes(RoomUse::Bathroom, 2.0),
    changes(RoomUse::Kitchen, 2.0),
    changes(RoomUse::LivingRoom, 1.0),
    changes(RoomUse::Bedroom, 0.5),
    extract(RoomUse::Bathroom, 15.0),
    extract(RoomUse::Utility, 30.0),
    extract(RoomUse::Kitchen, 60.0),
    extract(RoomUse::Toilet, 6.0),
];

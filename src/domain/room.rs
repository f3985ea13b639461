//! A room as heat sees it: use, size, temperatures, air, and the surfaces around it.
//!
//! Tables that describe rooms live in the child modules as data, each row with its source and evidence. Design
//! temperatures differ between countries, so they are looked up, never built in.
//! Absent here: the sum of losses (`heat`), and where in the room a rail may hang (`zones`).

pub mod boundary;
pub mod construction;
pub mod indoor;
pub mod layers;
pub mod outdoor;
pub mod ventilation;

use crate::domain::fault::Fault;
use crate::domain::room::boundary::Boundary;
use crate::domain::room::ventilation::Ventilation;
use crate::domain::units::ANNUAL_MEAN_C;
use crate::domain::units::Bounds;
use crate::domain::units::Celsius;
use crate::domain::units::INDOOR_C;
use crate::domain::units::Millimetres;
use crate::domain::units::OUTDOOR_C;
use crate::domain::units::ROOM_HEIGHT_MM;
use crate::domain::units::ROOM_LENGTH_MM;
use crate::domain::units::ROOM_WIDTH_MM;

/// Most boundaries of a room.
pub const BOUNDARIES_MAX: usize = 64;

/// What a room is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RoomUse {
    /// Bath or shower.
    Bathroom,
    /// Toilet alone.
    Toilet,
    /// Kitchen.
    Kitchen,
    /// Laundry or utility room.
    Utility,
    /// Bedroom.
    Bedroom,
    /// Living room.
    LivingRoom,
    /// Hall or landing.
    Hall,
}

impl RoomUse {
    /// Every use.
    pub const ALL: [Self; 7] = [
        Self::Bathroom,
        Self::Toilet,
        Self::Kitchen,
        Self::Utility,
        Self::Bedroom,
        Self::LivingRoom,
        Self::Hall,
    ];

    /// Stable code, as it stands in requests.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Bathroom => "bathroom",
            Self::Toilet => "toilet",
            Self::Kitchen => "kitchen",
            Self::Utility => "utility",
            Self::Bedroom => "bedroom",
            Self::LivingRoom => "living_room",
            Self::Hall => "hall",
        }
    }

    /// The use of a code.
    pub fn parse(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.code() == code)
    }
}

/// A room whose loss is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// What it is for.
    pub room_use: RoomUse,
    /// Inner length.
    pub length: Millimetres,
    /// Inner width.
    pub width: Millimetres,
    /// Inner height.
    pub height: Millimetres,
    /// Design temperature inside.
    pub indoor: Celsius,
    /// Design temperature outside.
    pub outdoor: Celsius,
    /// Mean temperature of the year outside, which the ground follows; unknown is allowed and answered strictly.
    pub annual_mean: Option<Celsius>,
    /// How air is exchanged.
    pub ventilation: Ventilation,
    /// The surfaces around the room; areas are net, a window's area is not in its wall's.
    pub boundaries: Vec<Boundary>,
}

impl Room {
    /// Floor area, m2.
    pub fn floor_m2(&self) -> f64 {
        metres(self.length) * metres(self.width)
    }

    /// Air volume, m3.
    pub fn volume_m3(&self) -> f64 {
        self.floor_m2() * metres(self.height)
    }

    /// Area of floor, ceiling and all four walls, m2.
    pub fn surface_m2(&self) -> f64 {
        let walls = 2.0_f64 * (metres(self.length) + metres(self.width)) * metres(self.height);
        2.0_f64 * self.floor_m2() + walls
    }

    /// Everything that cannot be, in the order of the fields.
    ///
    /// A room with no boundaries at all is refused: an unknown loss is not a loss of nothing.
    pub fn faults(&self) -> Vec<Fault> {
        let plain: [(&'static Bounds, f64); 5] = [
            (&ROOM_LENGTH_MM, f64::from(self.length.value())),
            (&ROOM_WIDTH_MM, f64::from(self.width.value())),
            (&ROOM_HEIGHT_MM, f64::from(self.height.value())),
            (&INDOOR_C, self.indoor.value()),
            (&OUTDOOR_C, self.outdoor.value()),
        ];
        let mean = self.annual_mean.map(|mean| (&ANNUAL_MEAN_C, mean.value()));
        let mut faults: Vec<Fault> = plain
            .into_iter()
            .chain(mean)
            .filter_map(|(bounds, value)| Fault::of_range("", bounds, value))
            .collect();
        faults.extend(self.temperature_fault());
        faults.extend(self.ventilation.faults());
        faults.extend(self.boundary_count_fault());
        for (index, boundary) in self.boundaries.iter().take(BOUNDARIES_MAX).enumerate() {
            faults.extend(boundary.faults(&format!("/boundaries/{index}")));
        }
        faults
    }

    fn temperature_fault(&self) -> Option<Fault> {
        if self.outdoor < self.indoor {
            return None;
        }
        let text = format!(
            "indoor temperature is {}, outdoor {}: a room that is no warmer than outside needs no heat",
            self.indoor, self.outdoor
        );
        Some(Fault::new("/indoor_c", "indoor-not-above-outdoor", text))
    }

    fn boundary_count_fault(&self) -> Option<Fault> {
        let count = self.boundaries.len();
        if count == 0 {
            let text = "the room has no boundaries, so its loss is not known".to_owned();
            return Some(Fault::new("/boundaries", "boundaries-missing", text));
        }
        (BOUNDARIES_MAX < count).then(|| {
            let text = format!("the room has {count} boundaries, allowed are {BOUNDARIES_MAX}");
            Fault::new("/boundaries", "too-many-boundaries", text)
        })
    }
}

fn metres(length: Millimetres) -> f64 {
    f64::from(length.value()) / 1_000.0_f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_use_survives_its_code() {
        for room_use in RoomUse::ALL {
            assert_eq!(RoomUse::parse(room_use.code()), Some(room_use));
        }
    }
}

//! The question about an output: body, element, room and what is known of warm-up; and what in it cannot be.
//!
//! Absent here: the answers, which the sister modules give.

use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::warming::HeatCapacity;
use crate::domain::emission::warming::HungBody;
use crate::domain::fault::Fault;
use crate::domain::units::Bounds;
use crate::domain::units::Celsius;
use crate::domain::units::ELEMENT_W;
use crate::domain::units::EXPONENT;
use crate::domain::units::HEAT_CAPACITY_J_K;
use crate::domain::units::RATED_OUTPUT_W;
use crate::domain::units::ROOM_C;
use crate::domain::units::SET_POINT_C;
use crate::domain::units::START_C;
use crate::domain::units::TOWELS_FACTOR;

/// What is known of a pair in a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutputQuestion {
    /// The body.
    pub emitter: Emitter,
    /// The element.
    pub drive: ElementDrive,
    /// Temperature of the room.
    pub room: Celsius,
    /// What the filled body stores, where known: without it there is no warm-up and no daily energy.
    pub capacity: Option<HeatCapacity>,
    /// Temperature of the fluid at the start; the room's when not given.
    pub start: Option<Celsius>,
}

impl OutputQuestion {
    /// Everything that cannot be, in the order of the fields.
    ///
    /// ```
    /// use rungwright::domain::emission::question::OutputQuestion;
    /// use rungwright::domain::emission::{ElementDrive, Emitter};
    /// use rungwright::domain::units::{Celsius, Watts};
    /// let question = |exponent, set_point| OutputQuestion {
    ///     emitter: Emitter { rated: Watts::new(450.0), exponent, towels_factor: 1.0 },
    ///     drive: ElementDrive { watts: Watts::new(300.0), set_point: Some(Celsius::new(set_point)) },
    ///     room: Celsius::new(24.0),
    ///     capacity: None,
    ///     start: None,
    /// };
    /// assert_eq!(question(2.0, 60.0).faults()[0].pointer, "/exponent");
    /// // A set point below the room's temperature is no mistake: the pair gives nothing.
    /// assert_eq!(question(1.25, 22.0).faults(), []);
    /// ```
    pub fn faults(&self) -> Vec<Fault> {
        let plain: [(&'static Bounds, f64); 5] = [
            (&RATED_OUTPUT_W, self.emitter.rated.value()),
            (&EXPONENT, self.emitter.exponent),
            (&TOWELS_FACTOR, self.emitter.towels_factor),
            (&ELEMENT_W, self.drive.watts.value()),
            (&ROOM_C, self.room.value()),
        ];
        let set_point = self.drive.set_point.map(|set_point| (&SET_POINT_C, set_point.value()));
        let capacity = self.capacity.map(|capacity| (&HEAT_CAPACITY_J_K, capacity.value()));
        let start = self.start.map(|start| (&START_C, start.value()));
        plain
            .into_iter()
            .chain(set_point)
            .chain(capacity)
            .chain(start)
            .filter_map(|(bounds, value)| Fault::of_range("", bounds, value))
            .collect()
    }

    /// The body as it hangs, where its heat capacity is known.
    pub fn hung_body(&self) -> Option<HungBody> {
        Some(HungBody { emitter: self.emitter, capacity: self.capacity?, room: self.room })
    }

    /// Temperature of the fluid at the start.
    pub fn start(&self) -> Celsius {
        self.start.unwrap_or(self.room)
    }
}

//! The one place that reads the clock.

use std::time::Duration;
use std::time::Instant;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Where the time comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Clock {
    /// The machine's clock.
    #[default]
    System,
    /// A time that stands still: for tests and for repeating an answer.
    Fixed(Timestamp),
}

impl Clock {
    /// The time.
    #[expect(clippy::disallowed_methods, reason = "the clock is read here and handed down")]
    pub fn now(self) -> Timestamp {
        match self {
            Self::System => Timestamp::now(),
            Self::Fixed(time) => time,
        }
    }

    /// The day, in universal time.
    pub fn today(self) -> Date {
        TimeZone::UTC.to_datetime(self.now()).date()
    }
}

/// Time gone by since it was started, whatever is done to the machine's clock; none by a clock that stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopwatch(Option<Instant>);

impl Stopwatch {
    /// Started now.
    pub fn start(clock: Clock) -> Self {
        match clock {
            Clock::System => Self(Some(Instant::now())),
            Clock::Fixed(_) => Self(None),
        }
    }

    /// Time since.
    pub fn elapsed(self) -> Duration {
        self.0.map(|start| start.elapsed()).unwrap_or_default()
    }
}

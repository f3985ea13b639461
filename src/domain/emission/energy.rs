//! What running a rail costs: kilowatt-hours a day for given on-periods, and money by a tariff that the asker states.
//!
//! Each on-period warms the body from what the gap before has left in it, then holds it; a gap costs only the stored
//! heat that leaks away and is paid again at the next start. Linear watts times hours overstates a held rail.
//! Absent here: prices of goods, and rounding to money: a running cost is an estimate, not an amount owed.

use crate::domain::emission::ElementDrive;
use crate::domain::emission::delivered_output;
use crate::domain::emission::warming::HungBody;
use crate::domain::emission::warming::JOULES_PER_KWH;
use crate::domain::emission::warming::fluid_when_off;
use crate::domain::emission::warming::fluid_when_on;
use crate::domain::emission::warming::time_to_cool;
use crate::domain::emission::warming::time_to_reach;
use crate::domain::fault::Fault;
use crate::domain::units::Celsius;
use crate::domain::units::Seconds;
use crate::domain::units::Watts;

/// Minutes in a day: the end of the last possible period.
pub const DAY_MINUTES: u32 = 1_440;

/// Most on-periods in a day.
pub const PERIODS_MAX: usize = 24;

/// Days after which a daily routine counts as settled; a body forgets its start within one or two.
const SETTLING_DAYS_MAX: u32 = 30;

/// Change of the fluid at midnight below which a routine counts as settled, K.
const SETTLED_K: f64 = 1e-6;

/// A time of day at which the rail is on, in minutes after midnight. A period over midnight is written as two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OnPeriod {
    /// First minute, 0 to 1439.
    pub from_minute: u32,
    /// Minute after the last, 1 to 1440.
    pub to_minute: u32,
}

/// A day's on-periods in order, without overlap, and what the control uses between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    periods: Vec<OnPeriod>,
    standby: Watts,
}

/// Energy of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DailyEnergy {
    /// The first day, starting with fluid at the temperature given, kWh.
    pub first_day_kwh: f64,
    /// Any later day, when the routine has settled, kWh.
    pub settled_day_kwh: f64,
    /// What watts times hours would have said, kWh: never less than the settled day.
    pub linear_kwh: f64,
    /// The control's own use outside the on-periods, kWh, not part of the figures above.
    pub standby_kwh: f64,
}

impl DailyEnergy {
    /// Estimated cost of a settled day, standby included, in the currency of the tariff's price per kWh.
    pub fn cost_per_day(&self, price_per_kwh: f64) -> f64 {
        (self.settled_day_kwh + self.standby_kwh) * price_per_kwh
    }
}

impl Schedule {
    /// Always on.
    pub fn always() -> Self {
        let whole_day = OnPeriod { from_minute: 0, to_minute: DAY_MINUTES };
        Self { periods: vec![whole_day], standby: Watts::new(0.0) }
    }

    /// On-periods in any order; every period that is empty, leaves the day or overlaps another is named.
    ///
    /// ```
    /// use rungwright::domain::emission::energy::{OnPeriod, Schedule};
    /// let period = |from_minute, to_minute| OnPeriod { from_minute, to_minute };
    /// let faults = Schedule::parse(&[period(360, 480), period(420, 500), period(600, 1500)]).unwrap_err();
    /// let named: Vec<_> = faults.iter().map(|fault| (fault.pointer.as_str(), fault.code)).collect();
    /// assert_eq!(named, [
    ///     ("/schedule/0", "period-overlaps"),
    ///     ("/schedule/1", "period-overlaps"),
    ///     ("/schedule/2", "period-outside-day"),
    /// ]);
    /// // Touching is not overlapping.
    /// assert!(Schedule::parse(&[period(420, 480), period(360, 420)]).is_ok());
    /// ```
    pub fn parse(periods: &[OnPeriod]) -> Result<Self, Vec<Fault>> {
        if PERIODS_MAX < periods.len() {
            let text = format!("{} on-periods, allowed are {PERIODS_MAX}", periods.len());
            return Err(vec![Fault::new("/schedule", "too-many-periods", text)]);
        }
        let faults: Vec<Fault> = periods
            .iter()
            .enumerate()
            .filter_map(|(index, period)| period_fault(periods, index, *period))
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut ordered = periods.to_vec();
        ordered.sort();
        Ok(Self { periods: ordered, standby: Watts::new(0.0) })
    }

    /// The same on-periods with a control that draws this power between them.
    #[must_use]
    pub fn with_standby(self, standby: Watts) -> Self {
        Self { standby, ..self }
    }

    /// The periods, earliest first.
    pub fn periods(&self) -> &[OnPeriod] {
        &self.periods
    }

    /// What the control uses in a day outside the on-periods, kWh.
    ///
    /// ```
    /// use rungwright::domain::emission::energy::Schedule;
    /// use rungwright::domain::units::Watts;
    /// let never_on = Schedule::parse(&[]).unwrap().with_standby(Watts::new(0.5));
    /// // Half a watt, the most that EU 2024/1103 allows in standby, is 4.38 kWh a year.
    /// assert!((never_on.standby_kwh_day() * 365.0 - 4.38).abs() < 1e-9);
    /// ```
    pub fn standby_kwh_day(&self) -> f64 {
        let day = f64::from(DAY_MINUTES) * 60.0_f64;
        self.standby.value() * (day - self.on_time().value()) / JOULES_PER_KWH
    }

    /// Time on in a day.
    pub fn on_time(&self) -> Seconds {
        Seconds::new(self.periods.iter().map(|period| length(*period).value()).sum())
    }
}

/// Energy of a day on a schedule, the fluid starting the first day at the given temperature.
pub fn daily_energy(
    body: &HungBody,
    drive: ElementDrive,
    schedule: &Schedule,
    start: Celsius,
) -> DailyEnergy {
    let first = run_day(body, drive, schedule, start);
    let (mut before, mut settled) = (start, first);
    for _ in 0..SETTLING_DAYS_MAX {
        let moved = settled.fluid.value() - before.value();
        if moved.abs() < SETTLED_K {
            break;
        }
        before = settled.fluid;
        settled = run_day(body, drive, schedule, before);
    }
    DailyEnergy {
        first_day_kwh: first.joules / JOULES_PER_KWH,
        settled_day_kwh: settled.joules / JOULES_PER_KWH,
        linear_kwh: drive.watts.value() * schedule.on_time().value() / JOULES_PER_KWH,
        standby_kwh: schedule.standby_kwh_day(),
    }
}

#[derive(Debug, Clone, Copy)]
struct Day {
    joules: f64,
    fluid: Celsius,
}

fn run_day(body: &HungBody, drive: ElementDrive, schedule: &Schedule, start: Celsius) -> Day {
    let mut day = Day { joules: 0.0, fluid: start };
    let mut minute = 0;
    for period in schedule.periods() {
        day.fluid = fluid_when_off(body, day.fluid, minutes(minute, period.from_minute));
        day = run_period(body, drive, day, length(*period));
        minute = period.to_minute;
    }
    day.fluid = fluid_when_off(body, day.fluid, minutes(minute, DAY_MINUTES));
    day
}

/// One on-period: wait while the fluid is above the set point, warm, hold.
fn run_period(body: &HungBody, drive: ElementDrive, day: Day, time: Seconds) -> Day {
    let Some(set_point) = drive.set_point else {
        return full_power(body, drive, day, time);
    };
    if set_point <= body.room {
        return Day { fluid: fluid_when_off(body, day.fluid, time), ..day };
    }
    let waiting = time_to_cool(body, [day.fluid, set_point]).unwrap_or_default();
    if time <= waiting {
        return Day { fluid: fluid_when_off(body, day.fluid, time), ..day };
    }
    let time = Seconds::new(time.value() - waiting.value());
    match time_to_reach(body, drive.watts, [day.fluid, set_point]) {
        Some(warming) if warming < time => {
            let held = time.value() - warming.value();
            let holding = delivered_output(&body.emitter, drive, body.room).value() * held;
            let joules = day.joules + drive.watts.value() * warming.value() + holding;
            Day { joules, fluid: set_point }
        }
        Some(_) | None => full_power(body, drive, day, time),
    }
}

fn full_power(body: &HungBody, drive: ElementDrive, day: Day, time: Seconds) -> Day {
    let joules = day.joules + drive.watts.value() * time.value();
    Day { joules, fluid: fluid_when_on(body, drive, day.fluid, time) }
}

fn length(period: OnPeriod) -> Seconds {
    minutes(period.from_minute, period.to_minute)
}

fn minutes(from: u32, to: u32) -> Seconds {
    Seconds::new(f64::from(to.saturating_sub(from)) * 60.0)
}

fn period_fault(periods: &[OnPeriod], index: usize, period: OnPeriod) -> Option<Fault> {
    let pointer = format!("/schedule/{index}");
    let OnPeriod { from_minute, to_minute } = period;
    if DAY_MINUTES < to_minute {
        let text = format!("the period ends at minute {to_minute}, a day has {DAY_MINUTES}");
        return Some(Fault::new(pointer, "period-outside-day", text));
    }
    if to_minute <= from_minute {
        let text = format!("the period from minute {from_minute} to {to_minute} is empty");
        return Some(Fault::new(pointer, "period-empty", text));
    }
    let overlaps = |other: &OnPeriod| {
        other.from_minute < to_minute
            && from_minute < other.to_minute
            && other.to_minute <= DAY_MINUTES
    };
    let other = periods
        .iter()
        .enumerate()
        .position(|(other_index, other)| other_index != index && overlaps(other))?;
    let text =
        format!("the period from minute {from_minute} to {to_minute} overlaps period {other}");
    Some(Fault::new(pointer, "period-overlaps", text))
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;
    use crate::domain::emission::Emitter;
    use crate::domain::emission::warming::HeatCapacity;

    fn energy(set_point: f64, periods: &[(u32, u32)]) -> DailyEnergy {
        energy_from(22.0, set_point, periods)
    }

    fn energy_from(start: f64, set_point: f64, periods: &[(u32, u32)]) -> DailyEnergy {
        let room = Celsius::new(22.0);
        let emitter = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
        let body = HungBody { emitter, capacity: HeatCapacity::new(24_462.5), room };
        let drive =
            ElementDrive { watts: Watts::new(300.0), set_point: Some(Celsius::new(set_point)) };
        let periods: Vec<_> = periods
            .iter()
            .map(|&(from_minute, to_minute)| OnPeriod { from_minute, to_minute })
            .collect();
        daily_energy(&body, drive, &Schedule::parse(&periods).unwrap(), Celsius::new(start))
    }

    #[test]
    fn a_fluid_hotter_than_the_set_point_waits_until_it_has_cooled() {
        let hour = [(0, 60)];
        assert!(energy_from(80.0, 50.0, &[(0, 10)]).first_day_kwh.abs() < 1e-12);
        let (hot, warm) = (energy_from(55.0, 50.0, &hour), energy_from(50.0, 50.0, &hour));
        assert!(0.0 < hot.first_day_kwh && hot.first_day_kwh < warm.first_day_kwh, "{hot:?}");
    }

    #[test]
    fn the_worked_rail_uses_its_published_energy() {
        // Published figures start every period from a cold body.
        assert!((energy(50.0, &[(0, 240)]).first_day_kwh - 0.959).abs() < 0.001);
        assert!((energy(50.0, &[(0, 120)]).first_day_kwh - 0.523).abs() < 0.001);
        let always = energy(50.0, &[(0, 1_440)]);
        assert!((always.first_day_kwh - 5.3192).abs() < 0.0005, "{always:?}");
        assert!((always.settled_day_kwh - 5.2319).abs() < 0.0005, "{always:?}");
    }

    #[test]
    fn cutting_a_period_in_two_touching_halves_changes_nothing() {
        let whole = energy(50.0, &[(360, 480)]).settled_day_kwh;
        let halves = energy(50.0, &[(420, 480), (360, 420)]).settled_day_kwh;
        assert!((whole - halves).abs() < 1e-9, "{whole} {halves}");
    }

    #[test]
    fn a_set_point_out_of_reach_uses_full_power_all_day() {
        let always = energy(60.0, &[(0, 1_440)]);
        assert!((always.settled_day_kwh - 7.2).abs() < 1e-9, "{always:?}");
    }

    #[test]
    fn a_set_point_below_the_room_uses_nothing() {
        let idle = energy(21.0, &[(0, 1_440)]);
        assert_eq!((idle.first_day_kwh, idle.settled_day_kwh), (0.0, 0.0));
    }
}

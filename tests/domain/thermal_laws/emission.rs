//! Emission, warming and energy.

use proptest::prelude::*;
use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::delivered_output;
use rungwright::domain::emission::energy::OnPeriod;
use rungwright::domain::emission::energy::Schedule;
use rungwright::domain::emission::energy::daily_energy;
use rungwright::domain::emission::mean_excess::Mean;
use rungwright::domain::emission::mean_excess::WaterTemperatures;
use rungwright::domain::emission::mean_excess::mean_excess;
use rungwright::domain::emission::steady_state;
use rungwright::domain::emission::surface::VULNERABLE_SURFACE;
use rungwright::domain::emission::surface::check_surface;
use rungwright::domain::emission::warming::HeatCapacity;
use rungwright::domain::emission::warming::HungBody;
use rungwright::domain::emission::warming::WarmUp;
use rungwright::domain::emission::warming::fluid_when_off;
use rungwright::domain::emission::warming::fluid_when_on;
use rungwright::domain::emission::warming::time_to_cool;
use rungwright::domain::emission::warming::time_to_reach;
use rungwright::domain::emission::warming::time_without_loss;
use rungwright::domain::emission::warming::warm_up;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Kelvins;
use rungwright::domain::units::Seconds;
use rungwright::domain::units::Watts;

fn emitters() -> impl Strategy<Value = Emitter> {
    (100.0..2_000.0_f64, 1.0..1.5_f64, 0.4..1.0_f64).prop_map(|(rated, exponent, towels_factor)| {
        Emitter { rated: Watts::new(rated), exponent, towels_factor }
    })
}

fn drives() -> impl Strategy<Value = ElementDrive> {
    (50.0..1_500.0_f64, proptest::option::of(20.0..95.0_f64)).prop_map(|(watts, set_point)| {
        ElementDrive { watts: Watts::new(watts), set_point: set_point.map(Celsius::new) }
    })
}

fn rooms() -> impl Strategy<Value = Celsius> {
    (10.0..28.0_f64).prop_map(Celsius::new)
}

fn hung_bodies() -> impl Strategy<Value = HungBody> {
    (emitters(), 3_000.0..120_000.0_f64, rooms()).prop_map(|(emitter, capacity, room)| HungBody {
        emitter,
        capacity: HeatCapacity::new(capacity),
        room,
    })
}

/// One small step of the differential equation by the classical Runge-Kutta rule.
fn step(body: &HungBody, watts: f64, fluid: f64, seconds: f64) -> f64 {
    let slope = |at: f64| {
        let shed = body.emitter.output(Kelvins::new(at - body.room.value()));
        (watts - shed.value()) / body.capacity.value()
    };
    let first = slope(fluid);
    let second = slope(fluid + first * seconds / 2.0);
    let third = slope(fluid + second * seconds / 2.0);
    let fourth = slope(fluid + third * seconds);
    fluid + seconds / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
}

fn stepped(body: &HungBody, watts: f64, start: f64, seconds: f64) -> f64 {
    let steps = 600;
    (0..steps).fold(start, |fluid, _| step(body, watts, fluid, seconds / f64::from(steps)))
}

proptest! {
    #[test]
    fn the_rated_output_is_given_at_fifty_kelvins_whatever_the_exponent(body in emitters()) {
        let bare = body.output(Kelvins::new(50.0)).value();
        prop_assert!((bare - body.towels_factor * body.rated.value()).abs() < 1e-9);
    }

    #[test]
    fn a_warmer_body_gives_more_and_a_cold_one_nothing(body in emitters(), low in 0.0..90.0_f64, more in 0.01..30.0_f64) {
        prop_assert!(body.output(Kelvins::new(low)) < body.output(Kelvins::new(low + more)));
        prop_assert_eq!(body.output(Kelvins::new(-low)), Watts::new(0.0));
    }

    #[test]
    fn excess_and_output_undo_each_other(body in emitters(), watts in 1.0..3_000.0_f64) {
        let there_and_back = body.output(body.excess(Watts::new(watts))).value();
        prop_assert!((there_and_back - watts).abs() < 1e-9 * watts);
    }

    #[test]
    fn a_pair_never_gives_more_than_its_watts_or_than_the_body_sheds(body in emitters(), drive in drives(), room in rooms()) {
        let delivered = delivered_output(&body, drive, room);
        prop_assert!(Watts::new(0.0) <= delivered && delivered <= drive.watts);
        if let Some(set_point) = drive.set_point {
            let excess = Kelvins::new(set_point.value() - room.value());
            prop_assert!(delivered <= body.output(excess));
        }
    }

    #[test]
    fn duty_is_a_share_and_watts_times_duty_is_what_is_given(body in emitters(), drive in drives(), room in rooms()) {
        let steady = steady_state(&body, drive, room);
        prop_assert!((0.0..=1.0).contains(&steady.duty));
        prop_assert!((steady.duty * drive.watts.value() - steady.delivered.value()).abs() < 1e-6);
        prop_assert!(room <= steady.fluid && steady.fluid <= steady.uncapped_fluid);
    }

    #[test]
    fn means_stand_in_order_and_meet_when_flow_and_return_are_equal(room in rooms(), back in 1.0..60.0_f64, cooling in 0.0..30.0_f64) {
        let at = |drop: f64| WaterTemperatures {
            flow: Celsius::new(room.value() + back + drop),
            back: Celsius::new(room.value() + back),
            room,
        };
        let mean = |drop, mean| mean_excess(at(drop), mean).unwrap().value();
        prop_assert!(mean(cooling, Mean::Geometric) <= mean(cooling, Mean::Logarithmic) + 1e-9);
        prop_assert!(mean(cooling, Mean::Logarithmic) <= mean(cooling, Mean::Arithmetic) + 1e-9);
        prop_assert!((mean(0.0, Mean::Logarithmic) - mean(0.0, Mean::Arithmetic)).abs() < 1e-9);
        prop_assert!((mean(0.0, Mean::Geometric) - mean(0.0, Mean::Arithmetic)).abs() < 1e-9);
    }

    #[test]
    fn warming_takes_at_least_the_time_without_loss(body in hung_bodies(), watts in 50.0..1_500.0_f64, rise in 1.0..60.0_f64) {
        let watts = Watts::new(watts);
        let goal = Celsius::new(body.room.value() + rise);
        if let Some(time) = time_to_reach(&body, watts, [body.room, goal]) {
            prop_assert!(time_without_loss(&body, watts, Kelvins::new(rise)).value() <= time.value() * (1.0 + 1e-9));
        } else {
            prop_assert!(body.emitter.excess(watts).value() <= rise);
        }
    }

    #[test]
    fn the_last_stretch_before_the_steady_state_takes_ever_longer(body in hung_bodies(), watts in 50.0..1_500.0_f64) {
        let watts = Watts::new(watts);
        let excess = body.emitter.excess(watts).value();
        let time = |share: f64| {
            let goal = Celsius::new(body.room.value() + share * excess);
            time_to_reach(&body, watts, [body.room, goal])
        };
        let [near, nearer] = [0.9, 1.0 - 1e-9].map(|share| time(share).unwrap().value());
        prop_assert!(5.0 * near < nearer);
        prop_assert_eq!(time(1.0 + 1e-9), None);
    }

    #[test]
    fn warming_follows_the_differential_equation(body in hung_bodies(), drive in drives(), minutes in 1.0..300.0_f64) {
        let free = ElementDrive { set_point: None, ..drive };
        let seconds = minutes * 60.0;
        let closed = fluid_when_on(&body, free, body.room, Seconds::new(seconds)).value();
        let numeric = stepped(&body, drive.watts.value(), body.room.value(), seconds);
        prop_assert!((closed - numeric).abs() < 1e-3, "{} {}", closed, numeric);
    }

    #[test]
    fn cooling_follows_the_differential_equation(body in hung_bodies(), above in 1.0..70.0_f64, minutes in 1.0..300.0_f64) {
        let start = Celsius::new(body.room.value() + above);
        let seconds = minutes * 60.0;
        let closed = fluid_when_off(&body, start, Seconds::new(seconds));
        let numeric = stepped(&body, 0.0, start.value(), seconds);
        prop_assert!((closed.value() - numeric).abs() < 1e-3, "{} {}", closed, numeric);
        prop_assert!(body.room <= closed && closed <= start);
    }

    #[test]
    fn warming_up_and_cooling_down_gives_the_room_all_the_energy(body in hung_bodies(), watts in 100.0..1_500.0_f64, share in 0.1..0.9_f64) {
        // What went in is what the room got on the way up and down, plus what is still stored.
        let watts = Watts::new(watts);
        let excess = share * body.emitter.excess(watts).value();
        let top = Celsius::new(body.room.value() + excess);
        let rising = time_to_reach(&body, watts, [body.room, top]).unwrap().value();
        let end = Celsius::new(body.room.value() + 0.05 * excess);
        let falling = time_to_cool(&body, [top, end]).unwrap().value();
        let shed = |path: &dyn Fn(f64) -> Celsius, total: f64| {
            let slices = 1_000;
            let slice = total / f64::from(slices);
            let output = |index: i32| {
                let fluid = path((f64::from(index) + 0.5) * slice);
                body.emitter.output(Kelvins::new(fluid.value() - body.room.value())).value()
            };
            (0..slices).map(|index| output(index) * slice).sum::<f64>()
        };
        let free = ElementDrive { watts, set_point: None };
        let up = shed(&|seconds| fluid_when_on(&body, free, body.room, Seconds::new(seconds)), rising);
        let down = shed(&|seconds| fluid_when_off(&body, top, Seconds::new(seconds)), falling);
        let stored = body.capacity.value() * 0.05 * excess;
        let put_in = watts.value() * rising;
        prop_assert!((up + down + stored - put_in).abs() < 1e-3 * put_in, "{} {} {} {}", up, down, stored, put_in);
    }

    #[test]
    fn a_set_point_out_of_reach_is_called_so(body in hung_bodies(), drive in drives()) {
        let answer = warm_up(&body, drive, body.room);
        let steady = steady_state(&body.emitter, drive, body.room);
        match (answer, drive.set_point) {
            (WarmUp::StaysOff, Some(set_point)) => prop_assert!(set_point <= body.room),
            (WarmUp::SetPoint { after }, Some(set_point)) => {
                prop_assert!(set_point < steady.uncapped_fluid && after.value().is_finite());
            }
            (WarmUp::NotReached { warm, steady: end, .. }, Some(set_point)) => {
                prop_assert!(warm < end && end <= set_point);
            }
            (WarmUp::NoSetPoint { after, .. }, None) => prop_assert!(0.0 < after.value()),
            (other, set_point) => prop_assert!(false, "{other:?} for {set_point:?}"),
        }
    }

    #[test]
    fn a_day_uses_no_more_than_watts_times_hours_and_more_time_on_uses_more(
        body in hung_bodies(),
        drive in drives(),
        from in 0..1_300_u32,
        long in 1..100_u32,
    ) {
        let day = |to_minute| {
            let period = OnPeriod { from_minute: from, to_minute };
            daily_energy(&body, drive, &Schedule::parse(&[period]).unwrap(), body.room)
        };
        let (shorter, longer) = (day(from.saturating_add(long)), day(from.saturating_add(long).saturating_add(30)));
        prop_assert!(shorter.settled_day_kwh <= shorter.linear_kwh + 1e-9);
        prop_assert!(shorter.settled_day_kwh <= longer.settled_day_kwh + 1e-9);
        prop_assert!(shorter.settled_day_kwh <= shorter.first_day_kwh + 1e-9, "a warm start saves");
    }

    #[test]
    fn a_notice_stands_exactly_where_the_surface_is_too_hot(body in emitters(), drive in drives(), room in rooms()) {
        let answer = check_surface(&body, drive, room);
        prop_assert_eq!(answer.notice.is_some(), VULNERABLE_SURFACE < answer.surface);
    }
}

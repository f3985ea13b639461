//! The heat requirement.

use proptest::prelude::*;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::heat::Allowances;
use rungwright::domain::heat::Bridges;
use rungwright::domain::heat::HeatRequirement;
use rungwright::domain::heat::heat_requirement;
use rungwright::domain::room::Room;
use rungwright::domain::room::RoomUse;
use rungwright::domain::room::boundary::Beyond;
use rungwright::domain::room::boundary::Boundary;
use rungwright::domain::room::boundary::BoundaryKind;
use rungwright::domain::room::boundary::Transmittance;
use rungwright::domain::room::ventilation::AirExchange;
use rungwright::domain::room::ventilation::AirHeat;
use rungwright::domain::room::ventilation::Ventilation;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Kelvins;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;

fn surface((area_m2, w_m2k): (f64, f64), kind: BoundaryKind, beyond: Beyond) -> Boundary {
    let source = Source::new("random case", Evidence::Invented);
    Boundary { kind, area_m2, transmittance: Transmittance { w_m2k, source }, beyond: Some(beyond) }
}

fn room(indoor: f64, outdoor: f64, boundaries: Vec<Boundary>) -> Room {
    Room {
        room_use: RoomUse::Bathroom,
        length: Millimetres::new(2_600),
        width: Millimetres::new(1_900),
        height: Millimetres::new(2_400),
        indoor: Celsius::new(indoor),
        outdoor: Celsius::new(outdoor),
        annual_mean: Some(Celsius::new(10.0)),
        ventilation: Ventilation {
            exchange: AirExchange::ChangesPerHour(1.5),
            recovery: 0.0,
            air_heat: AirHeat::BRITISH,
        },
        boundaries,
    }
}

fn sum(room: &Room) -> HeatRequirement {
    let bridges = Bridges::Share { y_w_m2k: 0.08 };
    heat_requirement(room, &Allowances { bridges, reheat_w_m2: 0.0 }).unwrap()
}

fn figures() -> impl Strategy<Value = (f64, f64)> {
    (0.1..30.0_f64, 0.1..6.0_f64)
}

fn outer_walls() -> impl Strategy<Value = Vec<Boundary>> {
    let wall =
        figures().prop_map(|pair| surface(pair, BoundaryKind::ExternalWall, Beyond::Outside));
    proptest::collection::vec(wall, 1..12)
}

fn any_walls() -> impl Strategy<Value = Vec<Boundary>> {
    let wall = (figures(), -10.0..35.0_f64).prop_map(|(pair, far)| {
        surface(pair, BoundaryKind::InternalWall, Beyond::At(Celsius::new(far)))
    });
    proptest::collection::vec(wall, 1..12)
}

proptest! {
    #[test]
    fn the_steps_add_up_to_the_answer_in_watts_and_in_print(walls in any_walls(), indoor in 15.0..26.0_f64) {
        let answer = sum(&room(indoor, -5.0, walls));
        let steps: f64 = answer.steps.iter().map(|step| step.watts.value()).sum();
        prop_assert!((steps - answer.balance.value()).abs() < 1e-6);
        let printed = answer.printed();
        let total: i64 = printed.steps.iter().map(|step| step.value()).sum();
        prop_assert_eq!(total, printed.balance.value());
        prop_assert_eq!(printed.required, printed.balance.max(Deciwatts::new(0)));
        let parts = [printed.transmission, printed.ventilation, printed.bridges, printed.reheat];
        prop_assert_eq!(parts.map(Deciwatts::value).iter().sum::<i64>(), printed.balance.value());
        for (step, tenths) in answer.steps.iter().zip(&printed.steps) {
            prop_assert!((step.watts.value() - tenths.watts()).abs() < 0.1 + 1e-5);
        }
    }

    #[test]
    fn every_step_is_the_product_of_its_figures(walls in any_walls(), indoor in 15.0..26.0_f64) {
        for step in sum(&room(indoor, -5.0, walls)).steps {
            let difference = step.difference.map_or(1.0, Kelvins::value);
            let product = step.amount.value * step.rate.value * step.factor * difference;
            prop_assert!((product - step.watts.value()).abs() < 1e-9 * product.abs().max(1.0));
        }
    }

    #[test]
    fn the_requirement_is_never_below_zero(walls in any_walls(), indoor in 15.0..26.0_f64) {
        let answer = sum(&room(indoor, -5.0, walls));
        prop_assert_eq!(answer.required, Watts::new(answer.balance.value().max(0.0)));
        let is_named = answer.notices.iter().any(|notice| notice.code == "no-heat-needed");
        prop_assert_eq!(is_named, answer.balance < Watts::new(0.0));
    }

    #[test]
    fn a_room_with_only_outside_around_it_loses_in_step_with_the_difference(walls in outer_walls(), outdoor in -6.0..10.0_f64) {
        let loss = |difference: f64| sum(&room(outdoor + difference, outdoor, walls.clone())).required.value();
        prop_assert!((2.0 * loss(12.0) - loss(24.0)).abs() < 1e-6);
    }

    #[test]
    fn twice_the_area_loses_twice_the_heat(walls in outer_walls()) {
        let mut doubled = walls.clone();
        for wall in &mut doubled {
            wall.area_m2 *= 2.0;
        }
        let transmission = |surfaces| sum(&room(21.0, -3.0, surfaces)).transmission.value();
        prop_assert!((2.0 * transmission(walls) - transmission(doubled)).abs() < 1e-6);
    }

    #[test]
    fn swapping_two_rooms_temperatures_turns_the_shared_walls_sign(pair in figures(), here in 15.0..26.0_f64, there in 15.0..26.0_f64) {
        let shared = |indoor, far: f64| {
            let far = Beyond::At(Celsius::new(far));
            sum(&room(indoor, -5.0, vec![surface(pair, BoundaryKind::InternalWall, far)])).transmission.value()
        };
        prop_assert!((shared(here, there) + shared(there, here)).abs() < 1e-9);
    }

    #[test]
    fn heat_recovery_never_makes_a_room_need_more(walls in outer_walls(), recovery in 0.0..0.95_f64) {
        let mut recovering = room(21.0, -3.0, walls.clone());
        recovering.ventilation.recovery = recovery;
        let (with, without) = (sum(&recovering), sum(&room(21.0, -3.0, walls)));
        prop_assert!((with.ventilation.value() - without.ventilation.value() * (1.0 - recovery)).abs() < 1e-6);
        prop_assert!(with.required <= without.required);
    }

    #[test]
    fn the_sentence_on_what_governs_quotes_the_printed_figures(walls in any_walls(), indoor in 15.0..26.0_f64) {
        let answer = sum(&room(indoor, -5.0, walls));
        let governs = answer.notices.iter().find(|notice| notice.code == "steady-state-governs").unwrap();
        let printed = format!("{:.1} W governs", answer.printed().required.watts());
        prop_assert!(governs.text.contains(&printed), "{} lacks {}", governs.text, printed);
    }

    #[test]
    fn the_quick_rule_knows_nothing_but_the_floor(walls in any_walls(), indoor in 15.0..26.0_f64) {
        let quick = sum(&room(indoor, -5.0, walls)).quick_rule.value();
        prop_assert!((quick - 494.0).abs() < 1e-9);
    }
}

#[test]
fn every_wrong_figure_of_a_room_is_named_at_once() {
    let mut wrong = room(
        5.0,
        20.0,
        vec![
            surface((0.0, 0.01), BoundaryKind::Window, Beyond::Outside),
            surface((4.0, 1.0), BoundaryKind::Unheated, Beyond::Unheated { factor: 1.5 }),
        ],
    );
    wrong.length = Millimetres::new(0);
    wrong.ventilation.exchange = AirExchange::ChangesPerHour(-1.0);
    let allowances = Allowances { bridges: Bridges::Share { y_w_m2k: 3.0 }, reheat_w_m2: -1.0 };
    let faults = heat_requirement(&wrong, &allowances).unwrap_err();
    let pointers: Vec<_> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(
        pointers,
        [
            "/length_mm",
            "/indoor_c",
            "/air_changes_per_hour",
            "/boundaries/0/area_m2",
            "/boundaries/0/u_w_m2k",
            "/boundaries/1/unheated_factor",
            "/bridges/y_w_m2k",
            "/reheat_w_m2",
        ]
    );
    assert_eq!(faults[1].code, "indoor-not-above-outdoor");
}

#[test]
fn a_room_without_boundaries_is_not_a_room_without_loss() {
    let faults =
        heat_requirement(&room(21.0, -3.0, Vec::new()), &Allowances::default()).unwrap_err();
    assert_eq!(faults[0].code, "boundaries-missing");
}

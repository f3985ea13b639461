//! The sealed fill.

use proptest::prelude::*;
use rungwright::domain::fill::Fill;
use rungwright::domain::fill::FillAmount;
use rungwright::domain::fill::FillOutcome;
use rungwright::domain::fill::FillQuestion;
use rungwright::domain::fill::FillRefusal;
use rungwright::domain::fill::fluid::Fluid;
use rungwright::domain::fill::work_out_fill;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Litres;

fn question(headspace: f64, [cold, hot]: [f64; 2]) -> FillQuestion {
    FillQuestion {
        cold: Celsius::new(cold),
        hot: Celsius::new(hot),
        ..FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(headspace))
    }
}

fn outcome(headspace: f64, temperatures: [f64; 2]) -> FillOutcome {
    work_out_fill(&question(headspace, temperatures)).unwrap()
}

fn filled(outcome: FillOutcome) -> Fill {
    match outcome {
        FillOutcome::Filled(fill) => *fill,
        FillOutcome::Refused(refusal) => panic!("{}", refusal.sentence()),
    }
}

fn hot_kpa(headspace: f64, temperatures: [f64; 2]) -> f64 {
    filled(outcome(headspace, temperatures)).pressures.sealed_cold.absolute_kpa()
}

proptest! {
    #[test]
    fn more_air_means_less_pressure_and_more_heat_means_more(headspace in 0.05..0.5_f64, cold in 5.0..30.0_f64, hot in 45.0..88.0_f64) {
        let pressure = hot_kpa(headspace, [cold, hot]);
        prop_assert!(hot_kpa(headspace + 0.02, [cold, hot]) < pressure);
        prop_assert!(pressure < hot_kpa(headspace, [cold, hot + 2.0]));
    }

    #[test]
    fn a_body_locks_exactly_where_swelling_uses_up_the_air(cold in 5.0..30.0_f64, hot in 45.0..95.0_f64) {
        let least = filled(outcome(0.3, [cold, hot])).headspace_min_fraction;
        let is_locked = |headspace| matches!(
            outcome(headspace, [cold, hot]),
            FillOutcome::Refused(FillRefusal::Locked { .. })
        );
        prop_assert!(is_locked(least - 1e-6) && is_locked(least) && !is_locked(least + 1e-6));
    }

    #[test]
    fn a_body_closed_hot_is_below_the_air_outside_when_cold(headspace in 0.05..0.5_f64, cold in 5.0..30.0_f64, hot in 45.0..95.0_f64) {
        let pressures = filled(outcome(headspace, [cold, hot])).pressures;
        prop_assert!(pressures.sealed_hot.hot.gauge_bar().abs() < 1e-12);
        prop_assert!(pressures.sealed_hot.cooled.gauge_bar() < 0.0);
        prop_assert!(0.0 < pressures.sealed_hot.cooled.absolute_kpa());
        prop_assert!(0.0 < pressures.sealed_cold.gauge_bar());
    }

    #[test]
    fn the_element_takes_its_room_from_the_fill_and_from_the_air(displacement in 0.0..1.5_f64, headspace in 0.05..0.5_f64) {
        let mut asked = question(headspace, [20.0, 70.0]);
        asked.element_displacement = Litres::new(displacement);
        let fill = filled(work_out_fill(&asked).unwrap());
        let whole = fill.volume.value() / (1.0 - headspace) + displacement;
        prop_assert!((whole - 5.0).abs() < 1e-9);
        prop_assert!(fill.pressures.sealed_cold <= fill.pressures.never_vented);
    }

    #[test]
    fn litres_and_headspace_are_two_ways_to_say_the_same(headspace in 0.05..0.5_f64) {
        let by_share = filled(outcome(headspace, [20.0, 70.0]));
        let mut asked = question(headspace, [20.0, 70.0]);
        asked.amount = FillAmount::Volume(by_share.volume);
        let by_litres = filled(work_out_fill(&asked).unwrap());
        prop_assert!((by_litres.headspace_fraction - headspace).abs() < 1e-12);
        prop_assert!((by_litres.mass.value() - by_share.mass.value()).abs() < 1e-9);
    }

    #[test]
    fn glycol_swells_more_than_water(volume_fraction in 0.2..0.5_f64, hot in 40.0..90.0_f64) {
        let swelling = |fluid| {
            let asked = FillQuestion { fluid, ..question(0.3, [20.0, hot]) };
            filled(work_out_fill(&asked).unwrap()).expansion_percent
        };
        let water = swelling(Fluid::Water);
        let propylene = swelling(Fluid::PropyleneGlycol { volume_fraction });
        let ethylene = swelling(Fluid::EthyleneGlycol { volume_fraction });
        prop_assert!(water < ethylene && ethylene < propylene);
    }
}

#[test]
fn where_the_model_ends_the_answer_says_what_happens() {
    let code = |headspace, temperatures| match outcome(headspace, temperatures) {
        FillOutcome::Filled(_) => "filled",
        FillOutcome::Refused(refusal) => refusal.code(),
    };
    assert_eq!(code(1.0, [20.0, 70.0]), "dry");
    assert_eq!(code(0.0, [20.0, 70.0]), "locked");
    assert_eq!(code(0.2, [20.0, 105.0]), "boiling");
    assert_eq!(code(0.2, [20.0, 99.0]), "filled");
}

#[test]
fn the_published_glycol_pressures_are_met() {
    let kpa = |headspace| {
        let fluid = Fluid::PropyleneGlycol { volume_fraction: 0.3 };
        let asked = FillQuestion { fluid, ..question(headspace, [20.0, 70.0]) };
        filled(work_out_fill(&asked).unwrap()).pressures.sealed_cold.absolute_kpa()
    };
    assert!((kpa(0.10) - 187.4).abs() < 0.3, "{}", kpa(0.10));
    assert!((kpa(0.05) - 285.7).abs() < 1.0, "{}", kpa(0.05));
}

#[test]
fn every_wrong_figure_of_a_fill_is_named_at_once() {
    let asked = FillQuestion {
        element_displacement: Litres::new(5.0),
        fluid: Fluid::EthyleneGlycol { volume_fraction: 0.7 },
        permitted_gauge_kpa: Some(-1.0),
        ..question(0.1, [50.0, 45.0])
    };
    let faults = work_out_fill(&asked).unwrap_err();
    let named: Vec<_> = faults.iter().map(|fault| (fault.pointer.as_str(), fault.code)).collect();
    assert_eq!(
        named,
        [
            ("/permitted_gauge_kpa", "out-of-range"),
            ("/fluid/volume_fraction", "glycol-outside-table"),
            ("/hot_c", "hot-not-above-cold"),
            ("/element_displacement_l", "element-larger-than-body"),
        ]
    );
}

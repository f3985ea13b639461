//! Ecodesign.

use proptest::prelude::*;
use rungwright::domain::ecodesign::ControlBase;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::ecodesign::ControlFunction;
use rungwright::domain::ecodesign::ControlFunctions;
use rungwright::domain::ecodesign::Regime;
use rungwright::domain::ecodesign::complete_with;
use rungwright::domain::ecodesign::seasonal_efficiency;
use rungwright::domain::units::Watts;

fn codes() -> impl Strategy<Value = ControlCode> {
    let base = proptest::sample::select(ControlBase::ALL.to_vec());
    let functions = proptest::sample::subsequence(ControlFunction::ALL.to_vec(), 0..=8);
    (base, functions).prop_map(|(base, functions)| ControlCode {
        base,
        functions: ControlFunctions::of(&functions),
    })
}

proptest! {
    #[test]
    fn more_control_never_lowers_the_efficiency(left in codes(), right in codes()) {
        prop_assert!(seasonal_efficiency(left) <= seasonal_efficiency(left.union(right)));
    }

    #[test]
    fn presence_distance_and_black_bulb_never_count_for_a_towel_rail(code in codes()) {
        let idle = [ControlFunction::Presence, ControlFunction::Distance, ControlFunction::BlackBulb];
        let more = ControlCode { functions: code.functions.union(ControlFunctions::of(&idle)), ..code };
        prop_assert_eq!(seasonal_efficiency(code), seasonal_efficiency(more));
    }

    #[test]
    fn uniting_controls_has_no_order(left in codes(), right in codes()) {
        prop_assert_eq!(left.union(right), right.union(left));
        prop_assert_eq!(left.union(left), left);
    }

    #[test]
    fn a_control_is_accepted_with_the_element_exactly_when_a_row_admits_it(
        one in codes(),
        other in codes(),
        watts in 61.0..1_500.0_f64,
    ) {
        // Only where the added control is the better one do the rows of its own base apply.
        let is_better = one.base <= other.base;
        let (present, added) = if is_better { (one, other) } else { (other, one) };
        let watts = Watts::new(watts);
        let is_admitted = complete_with(watts, present).iter().any(|row| row.admits(added));
        prop_assert_eq!(is_admitted, Regime::Eu2024.accepts(present.union(added), watts));
    }
}

//! What bills share says what would be made anew, and what is asked without reasons is decided as it is with them.

use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Side;
use rungwright::domain::compatibility::Check;
use rungwright::domain::compatibility::Finding;
use rungwright::domain::compatibility::PAIRS_KEPT_MAX;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::check_child_height;
use rungwright::domain::compatibility::check_flex;
use rungwright::domain::compatibility::check_parts;
use rungwright::domain::compatibility::check_side;
use rungwright::domain::compatibility::check_width;
use rungwright::domain::compatibility::check_zone;
use rungwright::domain::compatibility::child_height_passes;
use rungwright::domain::compatibility::flex_passes;
use rungwright::domain::compatibility::width_passes;
use rungwright::domain::compatibility::zone_passes;

use crate::random_catalogue::Case;

fn findings(checks: Vec<Check>) -> Vec<Finding> {
    checks.into_iter().map(Check::into_finding).collect()
}

proptest! {
    #[test]
    fn shared_findings_are_those_that_are_made_anew(seed in any::<u64>()) {
        let case = Case::of(seed);
        let around = &case.demands().surroundings;
        let parts: Vec<PartRef> = case.edition().parts().collect();
        let made = check_parts(case.edition(), &parts, around);
        let checks = case.catalogue.check(&parts, around);
        let again = case.catalogue.check(&parts, around);
        assert_eq!(checks, again);
        let is_shared = |check: &&Check| matches!(check, Check::Kept(_));
        // A body always says what heats it, so that there is something to share.
        assert_ne!(checks.iter().filter(is_shared).count(), 0);
        assert_eq!(findings(checks), made);
        assert_eq!(findings(again), made);
    }

    #[test]
    fn what_passes_is_what_its_finding_does_not_refuse(seed in any::<u64>()) {
        let case = Case::of(seed);
        let around = &case.demands().surroundings;
        let place = &around.place;
        let passes = |finding: Option<Finding>| finding.is_none_or(|found| !found.refuses());
        for body in case.edition().bodies() {
            assert_eq!(width_passes(body, place), passes(check_width(body, place)));
            let child = check_child_height(body, place, around.users);
            assert_eq!(child_height_passes(body, place, around.users), passes(child));
            for side in [Side::Left, Side::Right, Side::Either] {
                let asked = Place { side, ..place.clone() };
                let serves = body.ports.element_side.serves(side);
                assert_eq!(serves, !check_side(body, &asked).refuses());
            }
        }
        for element in case.edition().elements() {
            assert_eq!(flex_passes(element, place), passes(check_flex(element, place)));
            assert_eq!(zone_passes(element, around), !check_zone(element, around).refuses());
        }
    }
}

#[test]
fn the_keeping_begins_anew_when_it_is_full() {
    // Parts that no edition holds fill it as well: only their number counts.
    let case = Case::of(7);
    let around = &case.demands().surroundings;
    let parts: Vec<PartRef> = case.edition().parts().collect();
    let made = check_parts(case.edition(), &parts, around);
    let kind = parts[0].kind;
    for index in 0..PAIRS_KEPT_MAX.saturating_add(10) {
        let nobody = PartRef { kind, index: index.saturating_add(1_000_000) };
        drop(case.catalogue.check(&[nobody], around));
    }
    assert_eq!(findings(case.catalogue.check(&parts, around)), made);
}

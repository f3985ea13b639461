//! The compiled rules and the findings with reasons say the same about every two parts.

use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::compatibility::Outcome;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Surroundings;
use rungwright::domain::compatibility::Users;
use rungwright::domain::compatibility::check_parts;
use rungwright::domain::evidence::Source;

use crate::oracle::all_hold;
use crate::random_catalogue::Case;

/// A place that asks for nothing, so that only the rows speak.
fn nowhere(case: &Case) -> Surroundings<'_> {
    Surroundings { users: Users::default(), place: Place::default(), ..case.demands().surroundings }
}

/// Whether a finding is one of the fluid's temperature, which depends on the room and is in no index.
fn is_of_the_rows(rule: &str) -> bool {
    rule != "fluid-within-limit"
}

fn check_pair(case: &Case, [left, right]: [PartRef; 2]) {
    let findings = check_parts(case.edition(), &[left, right], &nowhere(case));
    let mut refusing =
        findings.iter().filter(|finding| finding.refuses() && is_of_the_rows(&finding.rule));
    let has_clash = refusing.next().is_some();
    let fits = case.catalogue.index().fits(left, right);
    assert_eq!(fits, !has_clash, "{left:?} {right:?} {findings:?}");
    assert_eq!(fits, case.catalogue.index().fits(right, left));
    if left.kind < right.kind {
        let partners = case.catalogue.index().partners(left, right.kind);
        assert_eq!(partners.contains(right.index), fits, "{left:?} {right:?}");
    }
    let threads = findings.iter().filter(|finding| finding.rule == "thread-mates");
    let threads_hold = threads.into_iter().all(|finding| !finding.refuses());
    let is_electric =
        [left, right].into_iter().filter(|part| part.kind == PartKind::Body).all(|part| {
            case.edition().bodies().get(part.index).unwrap().heat_source == HeatSource::Electric
        });
    assert_eq!(fits, threads_hold && is_electric && all_hold(case.edition(), &[left, right]));
}

proptest! {
    #[test]
    fn the_index_fits_what_the_findings_do_not_refuse(seed in any::<u64>()) {
        let case = Case::of(seed);
        let parts: Vec<PartRef> = case.edition().parts().collect();
        for (position, left) in parts.iter().enumerate() {
            for right in parts.iter().skip(position).filter(|right| right.kind != left.kind) {
                check_pair(&case, [*left, *right]);
            }
        }
    }

    #[test]
    fn every_finding_says_where_it_is_from(seed in any::<u64>()) {
        let case = Case::of(seed);
        let parts: Vec<PartRef> = case.edition().parts().collect();
        for finding in check_parts(case.edition(), &parts, &case.demands().surroundings) {
            let Source { text, .. } = &finding.source;
            assert!(!text.is_empty() && !finding.detail.is_empty(), "{finding:?}");
            // Only rows compare two values; a guard, say, holds whatever the set point.
            let is_row = finding.rule.starts_with("rule-");
            let is_silent = finding.left.value.is_none() || finding.right.value.is_none();
            let holds = finding.outcome == Outcome::Holds;
            assert!(!(is_row && holds && is_silent), "holds although a side is not stated: {finding:?}");
        }
    }
}

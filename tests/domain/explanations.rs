//! Why there is nothing, against every subset of the demands, judged by brute force on random small catalogues.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "bits of a few demands, and a table of all their sets"
)]

use std::collections::BTreeSet;

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::conflict::Demand;
use rungwright::domain::resolver::CONFLICTS_MAX;
use rungwright::domain::resolver::Resolution;

use crate::random_catalogue::Case;
use crate::resolver_agrees::resolution;

/// Demands of which every subset is asked about.
const DEMANDS_MAX: usize = 9;

/// Sets of demands in the order of the request.
type Sets = BTreeSet<Vec<Demand>>;

/// Which subsets of the active demands the oracle can meet.
struct Truth {
    active: Vec<Demand>,
    possible: Vec<bool>,
}

impl Truth {
    fn of(case: &Case) -> Self {
        let demands = case.demands();
        let active = demands.active();
        let possible = (0..1_usize << active.len())
            .map(|set| !case.oracle(&demands.keeping(&members(&active, set))).is_empty())
            .collect();
        Self { active, possible }
    }

    /// The smallest sets of which this holds.
    fn smallest(&self, holds: impl Fn(usize) -> bool) -> Sets {
        let sets = (0..self.possible.len()).filter(|set| holds(*set));
        let smallest = sets.filter(|set| {
            let members = (0..self.active.len()).filter(|place| set >> place & 1 == 1);
            members.into_iter().all(|place| !holds(set & !(1 << place)))
        });
        smallest.map(|set| members(&self.active, set)).collect()
    }
}

fn members(active: &[Demand], set: usize) -> Vec<Demand> {
    let members = active.iter().enumerate().filter(|(place, _)| set >> place & 1 == 1);
    members.map(|(_, demand)| *demand).collect()
}

/// Whether nobody may offer to change this.
const fn protects(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::Children | Demand::Vulnerable | Demand::PublicBuilding | Demand::WaterJets
    )
}

/// The sets found are the sets there are. Gives how many conflicts there were.
fn check(seed: u64) -> usize {
    let case = Case::of(seed);
    if DEMANDS_MAX < case.demands().active().len() {
        return 0;
    }
    let Resolution::Impossible(found) = resolution(&case, 1) else { return 0 };
    let truth = Truth::of(&case);
    let all = truth.possible.len() - 1;
    let conflicts = truth.smallest(|set| !truth.possible[set]);
    assert!(conflicts.len() <= CONFLICTS_MAX && found.is_complete, "seed {seed}");
    let told: Sets = found.conflicts.iter().map(|conflict| conflict.demands.clone()).collect();
    assert_eq!(told, conflicts, "seed {seed}");
    let mut corrections = truth.smallest(|set| truth.possible[all & !set]);
    corrections.retain(|demands| !demands.iter().any(|demand| protects(*demand)));
    let offered: Sets = found
        .relaxations
        .iter()
        .filter(|relaxation| relaxation.changes.iter().all(|change| change.demand != Demand::Rails))
        .map(|relaxation| relaxation.changes.iter().map(|change| change.demand).collect())
        .collect();
    // A zone is changed to a milder one or not at all, heat to some heat or not at all: an offer may be missing, never
    // too many.
    let may_fail = |demands: &Vec<Demand>| {
        demands.contains(&Demand::Zone) || demands.contains(&Demand::Output)
    };
    assert!(offered.is_subset(&corrections), "seed {seed}: {offered:?}, {corrections:?}");
    let missing: Vec<_> = corrections.difference(&offered).collect();
    assert!(missing.iter().all(|demands| may_fail(demands)), "seed {seed}: {missing:?}");
    conflicts.len()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn all_conflicts_and_all_corrections_are_what_all_subsets_say(seed in any::<u64>()) {
        check(seed);
    }
}

/// Without this the law above could hold because the generator never asks anything hard.
#[test]
fn the_cases_hold_requests_with_one_two_and_three_conflicts() {
    let counts: Vec<usize> = (0..400).map(check).collect();
    for wanted in [1, 2, 3] {
        let found = counts.iter().filter(|count| **count == wanted).count();
        assert!(found >= 3, "{found} cases have {wanted} conflicts");
    }
}

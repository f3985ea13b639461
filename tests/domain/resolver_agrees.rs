//! The resolver against the oracle, on random small catalogues: the same bills, the same refusals, true explanations.
#![expect(clippy::arithmetic_side_effects, reason = "a step beside a small number")]

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::proptest;
use rungwright::domain::catalogue::Side;
use rungwright::domain::conflict::Change;
use rungwright::domain::conflict::Conflict;
use rungwright::domain::conflict::Demand;
use rungwright::domain::conflict::Relaxation;
use rungwright::domain::money::Minor;
use rungwright::domain::pricing::Total;
use rungwright::domain::resolver::Bill;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::RegulationWish;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::enumerate;
use rungwright::domain::resolver::resolve;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;

use crate::oracle::all_hold;
use crate::random_catalogue::Case;

/// The parts of a bill that are paid for.
pub(crate) fn paid(bill: &Bill) -> Vec<(String, u32)> {
    let lines = bill.lines.iter().filter(|line| line.included_with.is_none());
    lines.map(|line| (line.sku.to_string(), line.quantity)).collect()
}

/// What the resolver says to `count` options.
pub(crate) fn resolution(case: &Case, count: usize) -> Resolution {
    let demands = Demands { options_max: count, ..case.demands() };
    resolve(&case.catalogue, case.list(), &demands)
}

fn check(seed: u64) {
    let case = Case::of(seed);
    let expected = case.oracle(&case.demands());
    for count in [1, 5] {
        match resolution(&case, count) {
            Resolution::Resolved(bills) => {
                let found: Vec<_> =
                    bills.iter().map(|bill| (bill.total.gross.value(), paid(bill))).collect();
                let expected: Vec<_> = expected
                    .iter()
                    .take(count)
                    .map(|answer| (answer.gross, answer.parts.clone()))
                    .collect();
                assert_eq!(found, expected, "seed {seed}, {count} options");
                for bill in &bills {
                    check_valid(&case, bill);
                }
            }
            Resolution::Impossible(explanation) => {
                assert_eq!(expected, [], "seed {seed}");
                assert!(explanation.is_complete, "seed {seed}");
                for conflict in &explanation.conflicts {
                    check_conflict(&case, conflict);
                }
                for relaxation in &explanation.relaxations {
                    check_relaxation(&case, relaxation);
                }
            }
            other @ (Resolution::Unexplained | Resolution::Undecided { .. }) => {
                panic!("seed {seed}: {other:?}")
            }
        }
    }
}

fn check_valid(case: &Case, bill: &Bill) {
    let refusing: Vec<_> = bill.checks.iter().filter(|finding| finding.refuses()).collect();
    assert!(refusing.is_empty(), "{refusing:?}");
    let paid_for = bill.lines.iter().filter(|line| line.included_with.is_none());
    let parts: Vec<_> = paid_for.map(|line| case.edition().find(&line.sku).unwrap()).collect();
    assert!(all_hold(case.edition(), &parts), "{bill:?}");
}

/// The conflict alone is impossible, and every smaller part of it is possible.
fn check_conflict(case: &Case, conflict: &Conflict) {
    let demands = case.demands();
    let answers = |kept: &[Demand]| case.oracle(&demands.keeping(kept));
    assert_eq!(answers(&conflict.demands), [], "{conflict:?}");
    for dropped in &conflict.demands {
        let kept: Vec<Demand> =
            conflict.demands.iter().copied().filter(|demand| demand != dropped).collect();
        assert!(!answers(&kept).is_empty(), "{dropped:?} is not needed in {conflict:?}");
    }
}

/// A relaxation leads to the price it states, is the smallest of its kind, and protects people as before.
fn check_relaxation(case: &Case, relaxation: &Relaxation) {
    let people = [Demand::Children, Demand::Vulnerable, Demand::PublicBuilding, Demand::WaterJets];
    assert!(
        relaxation.changes.iter().all(|change| !people.contains(&change.demand)),
        "{relaxation:?}"
    );
    if let [Change { demand: Demand::Rails, to: Some(to), .. }] = relaxation.changes.as_slice() {
        return check_more_rails(case, to.parse().unwrap(), relaxation.cheapest_gross);
    }
    let relaxed = changed(case, &relaxation.changes, None);
    let cheapest = case.oracle(&relaxed).first().map(|answer| answer.gross);
    assert_eq!(cheapest, Some(relaxation.cheapest_gross.value()), "{relaxation:?}");
    for change in &relaxation.changes {
        if has_a_measure(change.demand) && relaxation.changes.len() == 1 {
            let nearer = changed(case, &relaxation.changes, Some(change.demand));
            assert_eq!(case.oracle(&nearer), [], "{relaxation:?} is not the smallest change");
        }
        let others: Vec<Change> =
            relaxation.changes.iter().filter(|other| *other != change).cloned().collect();
        let fewer = changed(case, &others, None);
        assert_eq!(case.oracle(&fewer), [], "{relaxation:?} can spare {change:?}");
    }
}

/// So many rails help and one fewer does not, by going through all of them.
fn check_more_rails(case: &Case, rails: usize, cheapest_gross: Minor) {
    let demands = case.demands();
    let best = |rails_max| enumerate(&case.catalogue, case.list(), &demands, rails_max);
    let rate = demands.surroundings.market.tax_rate;
    let gross = best(rails)
        .first()
        .map(|choice| Total::of(choice.net, rate, case.list().currency).unwrap().gross);
    assert_eq!(gross, Some(cheapest_gross));
    assert_eq!(best(rails - 1), []);
}

const fn has_a_measure(demand: Demand) -> bool {
    matches!(
        demand,
        Demand::WallWidth
            | Demand::WallHeight
            | Demand::ConnectionDistance
            | Demand::Output
            | Demand::Budget
    )
}

/// The demands changed as a relaxation says, one of them by a step less.
fn changed<'a>(case: &'a Case, changes: &[Change], nearer: Option<Demand>) -> Demands<'a> {
    let asked = case.demands();
    let is_dropped = |demand: &Demand| {
        changes.iter().any(|change| change.demand == *demand && change.to.is_none())
    };
    let kept: Vec<Demand> =
        asked.active().into_iter().filter(|demand| !is_dropped(demand)).collect();
    let mut demands = asked.keeping(&kept);
    for change in changes {
        if let Some(to) = &change.to {
            set(case, &mut demands, (change.demand, to), i32::from(nearer == Some(change.demand)));
        }
    }
    demands
}

fn set(case: &Case, demands: &mut Demands<'_>, (demand, to): (Demand, &str), steps: i32) {
    let place = &mut demands.surroundings.place;
    let wished = &mut demands.preferences;
    let length = |text: &str, step: i32| Millimetres::new(text.parse::<i32>().unwrap() + step);
    match demand {
        Demand::WallWidth => place.wall_width = Some(length(to, -steps)),
        Demand::WallHeight => place.wall_height = Some(length(to, -steps)),
        Demand::ConnectionDistance => place.connection_distance = Some(length(to, steps)),
        Demand::Zone => place.zone = Zone::parse(to),
        Demand::Side => place.side = Side::parse(to).unwrap(),
        Demand::Finish => wished.finish = Some(to.into()),
        Demand::Regulation => {
            assert_eq!(to, "either");
            wished.regulation = RegulationWish::Either;
        }
        Demand::Budget => {
            let budget = case.list().currency.parse_amount(to).unwrap().value();
            wished.budget = Some(Minor::new(budget - i64::from(steps)));
        }
        Demand::Output => {
            let tenths = to.replace('.', "").parse::<i64>().unwrap();
            demands.required = Some(Deciwatts::new(tenths + i64::from(steps)));
        }
        Demand::Rails
        | Demand::Walls
        | Demand::WaterJets
        | Demand::WallControl
        | Demand::TimeControl
        | Demand::FlexCover
        | Demand::Accessory(_)
        | Demand::Children
        | Demand::Vulnerable
        | Demand::PublicBuilding => panic!("{demand:?} has a value"),
        Demand::Plan => panic!("no question here has a drawn room"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::default())]

    #[test]
    fn every_answer_is_the_oracles(seed in any::<u64>()) {
        check(seed);
    }
}

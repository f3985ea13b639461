//! How long the best bills take: made-up catalogues of 100 to 100,000 parts, the same mixed questions to each size.
//!
//! Prints one table, and beside it what explaining a refusal takes: all smallest conflicts and what would help.
//! `cargo bench --bench ranking -- 1000 10000` runs those sizes only. Absent here: HTTP, bills as text.
#![expect(
    clippy::enum_glob_use,
    clippy::wildcard_imports,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::arithmetic_side_effects,
    clippy::default_numeric_fallback,
    clippy::integer_division,
    reason = "a harness that prints and stops at the first surprise"
)]

mod generator;

use std::time::Duration;
use std::time::Instant;

use rungwright::domain::catalogue::Edition;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::Ranked;
use rungwright::domain::resolver::Resolution;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::rank;
use rungwright::domain::resolver::resolve_from;
use rungwright::domain::snapshot::Snapshot;
use rungwright::store::rule_packs::load_all;

use generator::Dice;
use generator::asked;
use generator::content;
use generator::questions::Asked;

/// Questions to each catalogue.
const QUESTIONS: usize = 4_000;
/// Passes over them; the best time of each question counts, the first pass is told apart.
const PASSES: usize = 3;
/// Refusals that are explained.
const REFUSALS: usize = 200;
const SEED: u64 = 2026;

fn main() {
    let sizes: Vec<usize> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![100, 1_000, 10_000, 100_000] } else { sizes };
    println!(
        "parts  options  rails | mean us   p50   p90   p99    max | first pass p50 | impossible  1 rail  2  3  undecided"
    );
    for parts in sizes {
        measure(parts);
    }
}

fn measure(parts: usize) {
    let rules = load_all().unwrap().into_iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let catalogue = Catalogue::compile(Edition::new(1, content(parts, SEED)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let begun = Instant::now();
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let compiled = begun.elapsed();
    let market = catalogue.edition().market("gb").unwrap();
    let mut dice = Dice::new(SEED + 1);
    let mut questions: Vec<Asked<'_>> =
        (0..QUESTIONS).map(|_| asked(&mut dice, parts, market, &rules)).collect();
    for options in [1, 5, 20] {
        for question in &mut questions {
            question.demands.options_max = options;
        }
        for (rails, all) in [("1", false), ("1-3", true)] {
            let chosen: Vec<&Asked<'_>> =
                questions.iter().filter(|question| all || question.rails_max == 1).collect();
            let times = passes(&chosen, |question| {
                let scope = Scope { rails_max: question.rails_max, nodes_max: 5_000_000 };
                rank((&snapshot, &catalogue), list, &question.demands, scope)
            });
            println!("{parts:>6} {options:>8} {rails:>6} | {times}");
        }
    }
    let source = Source { catalogue: &catalogue, list, compiled: Some(&snapshot) };
    explain(&source, &snapshot, &mut questions);
    println!(
        "{parts:>6} snapshot {compiled:?}, {:?}, heap {} kB",
        snapshot.size(),
        snapshot.size().heap_bytes / 1_000
    );
}

/// Refusals with all their smallest conflicts and relaxations, each beside the best bill for the same question.
fn explain(source: &Source<'_>, snapshot: &Snapshot, questions: &mut [Asked<'_>]) {
    let (mut explained, mut ranked) = (Vec::new(), Vec::new());
    for question in questions {
        question.demands.options_max = 1;
        question.demands.sought.rails_max = question.rails_max;
        let scope = Scope { rails_max: question.rails_max, nodes_max: 5_000_000 };
        let begun = Instant::now();
        let answer = rank((snapshot, source.catalogue), source.list, &question.demands, scope);
        let took = begun.elapsed();
        ranked.push(took);
        if !answer.choices.is_empty() || explained.len() == REFUSALS {
            continue;
        }
        let whole = Instant::now();
        let resolution = resolve_from(source, &question.demands, &Allowance::until(&|| false));
        let whole = whole.elapsed();
        if matches!(resolution, Resolution::Impossible(_)) {
            explained.push(whole);
        }
    }
    explained.sort_unstable();
    ranked.sort_unstable();
    let at = |times: &[Duration], percent: usize| {
        times[(times.len() * percent / 100).min(times.len() - 1)].as_secs_f64() * 1e6
    };
    if !explained.is_empty() {
        println!(
            "       {} refusals explained: p50 {:.1} p90 {:.1} p99 {:.1} us; one ranked answer p50 {:.2} us",
            explained.len(),
            at(&explained, 50),
            at(&explained, 90),
            at(&explained, 99),
            at(&ranked, 50),
        );
    }
}

fn passes<F: Fn(&Asked<'_>) -> Ranked>(questions: &[&Asked<'_>], answer: F) -> String {
    let mut best = vec![Duration::MAX; questions.len()];
    let mut first = Vec::new();
    let mut counts = [0_usize; 5];
    for pass in 0..PASSES {
        for (place, question) in questions.iter().enumerate() {
            let begun = Instant::now();
            let ranked = answer(question);
            let took = begun.elapsed();
            best[place] = best[place].min(took);
            if pass == 0 {
                first.push(took);
                counts[ranked.choices.first().map_or(0, |choice| choice.rails.len())] += 1;
                counts[4] += usize::from(ranked.undecided_from.is_some());
            }
        }
    }
    best.sort_unstable();
    first.sort_unstable();
    let at = |times: &[Duration], percent: usize| {
        times[(times.len() * percent / 100).min(times.len() - 1)].as_secs_f64() * 1e6
    };
    let mean = best.iter().sum::<Duration>().as_secs_f64() * 1e6
        / f64::from(u32::try_from(best.len()).unwrap());
    format!(
        "{mean:>7.2} {:>5.2} {:>6.1} {:>6.1} {:>7.0} | {:>14.2} | {:>10.1} % {:>6} {} {} {}",
        at(&best, 50),
        at(&best, 90),
        at(&best, 99),
        at(&best, 100),
        at(&first, 50),
        f64::from(u32::try_from(counts[0] * 1_000 / questions.len()).unwrap()) / 10.0,
        counts[1],
        counts[2],
        counts[3],
        counts[4],
    )
}

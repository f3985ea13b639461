//! How long it takes to say what can still be chosen: made-up catalogues, mixed questions, and one that asks for nothing.
//!
//! Prints one table. `cargo bench --bench choices -- 1000 10000` runs those sizes only. Absent here: HTTP.
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

use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Place;
use rungwright::domain::compatibility::Users;
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::ChosenValue;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Preferences;
use rungwright::domain::resolver::Source;
use rungwright::domain::resolver::choices;
use rungwright::domain::snapshot::Snapshot;
use rungwright::store::rule_packs::load_all;

use generator::Dice;
use generator::asked;
use generator::content;

/// Questions to each catalogue.
const QUESTIONS: usize = 200;
const SEED: u64 = 2026;

fn main() {
    let sizes: Vec<usize> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![100, 1_000, 10_000] } else { sizes };
    println!(
        "parts  way        question | mean ms    p50    p90    p99    max | most bills | cut short"
    );
    for parts in sizes {
        measure(parts);
    }
}

/// A question and what is chosen.
type Asked<'a> = (Demands<'a>, Vec<ChosenValue>);

fn measure(parts: usize) {
    let rules = load_all().unwrap().into_iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let catalogue = Catalogue::compile(Edition::new(1, content(parts, SEED)).unwrap());
    let edition = catalogue.edition();
    let list = &edition.content().price_lists[0];
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = edition.market("gb").unwrap();
    let mut dice = Dice::new(SEED + 1);
    let mixed: Vec<Asked<'_>> = (0..QUESTIONS)
        .map(|number| {
            let question = asked(&mut dice, parts, market, &rules);
            let mut demands = question.demands;
            demands.sought.rails_max = question.rails_max;
            let chosen = if number % 2 == 0 { Vec::new() } else { vec![width(&mut dice, edition)] };
            (demands, chosen)
        })
        .collect();
    let mut open = mixed[0].0.clone();
    open.required = None;
    open.preferences = Preferences::default();
    open.surroundings.place = Place::default();
    open.surroundings.users = Users::default();
    let open = vec![(open, Vec::new()); 5];
    for (way, compiled) in [("compiled", Some(&snapshot)), ("pairwise", None)] {
        let source = Source { catalogue: &catalogue, list, compiled };
        let few = if compiled.is_none() { &mixed[..10] } else { &mixed[..] };
        println!("{parts:>6} {way:>9}    mixed | {}", times(&source, few));
        println!("{parts:>6} {way:>9}  nothing | {}", times(&source, &open));
    }
}

fn width(dice: &mut Dice, edition: &Edition) -> ChosenValue {
    let part = PartRef { kind: PartKind::Body, index: dice.below(edition.bodies().len()) };
    let value = edition.attribute(part, "width_mm").unwrap();
    ChosenValue {
        attribute: AttributeName { kind: PartKind::Body, name: "width_mm".into() },
        value,
    }
}

fn times(source: &Source<'_>, questions: &[Asked<'_>]) -> String {
    let mut times: Vec<Duration> = Vec::new();
    let (mut most, mut cut) = (0, 0);
    for (demands, chosen) in questions {
        let begun = Instant::now();
        let is_time_up = || Duration::from_secs(8) < begun.elapsed();
        let found = choices(source, demands, chosen, &Allowance::until(&is_time_up));
        times.push(begun.elapsed());
        most = found.bills.max(most);
        cut += usize::from(found.limit.is_some());
    }
    times.sort_unstable();
    let mean = times.iter().sum::<Duration>() / u32::try_from(times.len()).unwrap();
    let at = |percent: usize| times[(times.len() - 1) * percent / 100];
    let ms = |time: Duration| format!("{:>6.1}", time.as_secs_f64() * 1_000.0);
    let row = [mean, at(50), at(90), at(99), at(100)].map(ms).join(" ");
    format!("{row} | {most:>10} | {cut}")
}

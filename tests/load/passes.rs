//! So many passes over the same made-up questions, and nothing else: what `tests/load/instructions.sh` counts.
//!
//! `passes PARTS QUESTIONS RAILS OPTIONS PASSES`: with one rail only the questions for one are asked, again and again
//! until there are so many.
#![expect(
    clippy::enum_glob_use,
    clippy::wildcard_imports,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::arithmetic_side_effects,
    reason = "a harness that prints and stops at the first surprise"
)]

mod generator;

use rungwright::domain::catalogue::Edition;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::rank;
use rungwright::domain::snapshot::Snapshot;
use rungwright::store::rule_packs::load_all;

use generator::Dice;
use generator::asked;
use generator::content;

const SEED: u64 = 2026;

fn main() {
    let figures: Vec<usize> = std::env::args().skip(1).map(|word| word.parse().unwrap()).collect();
    let [parts, questions, rails, options, passes] = figures[..] else {
        println!("passes PARTS QUESTIONS RAILS OPTIONS PASSES");
        return;
    };
    let rules = load_all().unwrap().into_iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let catalogue = Catalogue::compile(Edition::new(1, content(parts, SEED)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let mut dice = Dice::new(SEED + 1);
    let mut all = Vec::new();
    while all.len() < questions {
        let mut question = asked(&mut dice, parts, market, &rules);
        question.demands.options_max = options;
        if rails != 1 || question.rails_max == 1 {
            all.push(question);
        }
    }
    let mut found = 0;
    for question in (0..passes).flat_map(|_| &all) {
        let scope = Scope { rails_max: question.rails_max, nodes_max: 50_000_000 };
        found += rank((&snapshot, &catalogue), list, &question.demands, scope).choices.len();
    }
    println!("{found} options");
}

//! So many passes over the same made-up questions, and nothing else: what `tests/load/instructions.sh` counts.
//!
//! `passes PARTS QUESTIONS RAILS OPTIONS PASSES`: with one rail only the questions for one are asked, again and again
//! until there are so many.
//!
//! `passes explanations PARTS QUESTIONS PASSES`: questions for one to three rails that are refused, each with all its
//! reasons. With no passes the explanations are printed, to be compared with what another build says.
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
use rungwright::domain::resolver::Allowance;
use rungwright::domain::resolver::RAILS_MAX;
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

const SEED: u64 = 2026;

/// What to count.
struct Run {
    parts: usize,
    questions: usize,
    rails: usize,
    options: usize,
    passes: usize,
    is_explaining: bool,
}

impl Run {
    fn parse() -> Option<Self> {
        let words: Vec<String> = std::env::args().skip(1).collect();
        let is_explaining = words.first().is_some_and(|word| word == "explanations");
        let figures = words.iter().skip(usize::from(is_explaining));
        let figures: Vec<usize> = figures.map(|word| word.parse().unwrap()).collect();
        let [parts, questions, rails, options, passes] = match figures[..] {
            [parts, questions, passes] if is_explaining => [parts, questions, RAILS_MAX, 1, passes],
            [parts, questions, rails, options, passes] => {
                [parts, questions, rails, options, passes]
            }
            _ => return None,
        };
        Some(Self { parts, questions, rails, options, passes, is_explaining })
    }

    fn wants(&self, source: &Source<'_>, question: &Asked<'_>) -> bool {
        if self.is_explaining {
            return matches!(resolved(source, question), Resolution::Impossible(_));
        }
        self.rails != 1 || question.rails_max == 1
    }
}

fn resolved(source: &Source<'_>, question: &Asked<'_>) -> Resolution {
    resolve_from(source, &question.demands, &Allowance::until(&|| false))
}

fn main() {
    let Some(run) = Run::parse() else {
        println!("passes PARTS QUESTIONS RAILS OPTIONS PASSES");
        println!("passes explanations PARTS QUESTIONS PASSES");
        return;
    };
    let rules = load_all().unwrap().into_iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let catalogue = Catalogue::compile(Edition::new(1, content(run.parts, SEED)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let source = Source { catalogue: &catalogue, list, compiled: Some(&snapshot) };
    let market = catalogue.edition().market("gb").unwrap();
    let mut dice = Dice::new(SEED + 1);
    let mut all = Vec::new();
    while all.len() < run.questions {
        let mut question = asked(&mut dice, run.parts, market, &rules);
        question.demands.options_max = run.options;
        question.demands.sought.rails_max = question.rails_max;
        if run.wants(&source, &question) {
            all.push(question);
        }
    }
    let mut found = 0;
    for question in (0..run.passes).flat_map(|_| &all) {
        if run.is_explaining {
            found += usize::from(matches!(resolved(&source, question), Resolution::Impossible(_)));
        } else {
            let scope = Scope { rails_max: question.rails_max, nodes_max: 50_000_000 };
            found += rank((&snapshot, &catalogue), list, &question.demands, scope).choices.len();
        }
    }
    if run.is_explaining && run.passes == 0 {
        for question in &all {
            println!("{:#?}", resolved(&source, question));
        }
    }
    println!("{found} answers");
}

//! Writes made-up catalogues as plain attributes, rule rows and prices, with questions and our answers to them, one JSON
//! file a catalogue: what a computation in another language needs to answer the same questions by itself.
//!
//! `cargo run --example export -- FOLDER QUESTIONS_EACH PARTS:SEED...`. Nothing compiled is written, only what a catalogue's
//! keeper states. A third of the questions is sharpened: what is asked lies on what can just be done, or a hair beside it.
#![expect(
    clippy::enum_glob_use,
    clippy::wildcard_imports,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::arithmetic_side_effects,
    clippy::default_numeric_fallback,
    reason = "a harness that prints and stops at the first surprise"
)]

#[path = "export/parts.rs"]
mod parts;
mod generator;

use std::path::PathBuf;
use std::time::Instant;

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PriceList;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::money::Minor;
use rungwright::domain::pricing::Total;
use rungwright::domain::resolver::Choice;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Ranked;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::rank;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;
use rungwright::store::rule_packs::load_all;
use serde_json::Value;
use serde_json::json;

use generator::Dice;
use generator::asked;
use generator::content;
use generator::questions::Asked;

/// Options that are written down.
const OPTIONS: usize = 3;
/// Passes over each question for the warm time.
const PASSES: usize = 3;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = PathBuf::from(&words[0]);
    let questions = words[1].parse().unwrap();
    std::fs::create_dir_all(&folder).unwrap();
    for word in &words[2..] {
        let (parts, seed) = word.split_once(':').unwrap();
        let written = catalogue(parts.parse().unwrap(), seed.parse().unwrap(), questions);
        let path = folder.join(format!("{parts}-{seed}.json"));
        std::fs::write(&path, written.to_string()).unwrap();
        println!("{}", path.display());
    }
}

/// A compiled catalogue.
struct Shop<'a> {
    catalogue: &'a Catalogue,
    list: &'a PriceList,
    snapshot: &'a Snapshot,
}

impl Shop<'_> {
    fn rank(&self, demands: &Demands<'_>, rails_max: usize) -> Ranked {
        let scope = Scope { rails_max, nodes_max: 50_000_000 };
        rank((self.snapshot, self.catalogue), self.list, demands, scope)
    }

    fn gross(&self, demands: &Demands<'_>, net: Minor) -> i64 {
        let rate = demands.surroundings.market.tax_rate;
        Total::of(net, rate, self.list.currency).unwrap().gross.value()
    }
}

fn catalogue(parts: usize, seed: u64, questions: usize) -> Value {
    let rules = load_all().unwrap().into_iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let catalogue = Catalogue::compile(Edition::new(1, content(parts, seed)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let shop = Shop { catalogue: &catalogue, list, snapshot: &snapshot };
    let market = catalogue.edition().market("gb").unwrap();
    let dice = &mut Dice::new(seed + 1);
    let mut all: Vec<Asked<'_>> =
        (0..questions).map(|_| asked(dice, parts, market, &rules)).collect();
    for question in &mut all {
        question.demands.options_max = OPTIONS;
        sharpen(dice, &shop, question);
    }
    let firsts: Vec<(f64, Ranked)> = all.iter().map(|question| timed(&shop, question)).collect();
    let mut bests = vec![f64::MAX; all.len()];
    for _ in 0..PASSES {
        for (best, question) in bests.iter_mut().zip(&all) {
            *best = best.min(timed(&shop, question).0);
        }
    }
    let answered = all.iter().zip(&firsts).zip(&bests);
    let requests: Vec<Value> = answered
        .map(|((question, (first, ranked)), warm)| {
            let choices: Vec<Value> =
                ranked.choices.iter().map(|found| choice(&shop, question, found)).collect();
            let mut row = parts::question(question);
            row["answer"] = json!({"choices": choices, "decided": ranked.undecided_from.is_none()});
            row["first_us"] = json!(first);
            row["warm_us"] = json!(warm);
            row
        })
        .collect();
    let mut written = parts::content(catalogue.edition().content());
    written["requests"] = json!(requests);
    written
}

/// The best choices, and the microseconds that the single best one took.
fn timed(shop: &Shop<'_>, question: &Asked<'_>) -> (f64, Ranked) {
    let single = Demands { options_max: 1, ..question.demands.clone() };
    let begun = Instant::now();
    let best = shop.rank(&single, question.rails_max);
    let took = begun.elapsed().as_secs_f64() * 1e6;
    let ranked = shop.rank(&question.demands, question.rails_max);
    assert_eq!(best.choices.first(), ranked.choices.first(), "one option is the first of several");
    (took, ranked)
}

/// Moves requirement or budget of every third question onto what the best answer is, or a hair beside it.
fn sharpen(dice: &mut Dice, shop: &Shop<'_>, question: &mut Asked<'_>) {
    if !dice.chance(33) {
        return;
    }
    let best = shop.rank(&question.demands, question.rails_max);
    let Some(best) = best.choices.into_iter().next() else { return };
    if dice.chance(50) {
        let required = best.delivered.value() + i64::from(dice.between(-1, 1));
        question.demands.required = Some(Deciwatts::new(required.max(1)));
    } else {
        let gross = shop.gross(&question.demands, best.net);
        let budget = gross + i64::from(dice.between(-1, 1));
        question.demands.preferences.budget = Some(Minor::new(budget));
    }
}

fn choice(shop: &Shop<'_>, question: &Asked<'_>, choice: &Choice) -> Value {
    let sku = |part| shop.catalogue.edition().card(part).unwrap().sku.to_string();
    let rails: Vec<[String; 2]> =
        choice.rails.iter().map(|rail| [sku(rail.body), sku(rail.element)]).collect();
    json!({
        "net": choice.net.value(),
        "gross": shop.gross(&question.demands, choice.net),
        "delivered_dw": choice.delivered.value(),
        "rails": rails,
    })
}

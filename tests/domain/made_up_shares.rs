//! That the generator of large catalogues asks what a slow or wrong search would be seen by: ties, near misses, bills of
//! several rails, and refusals with several smallest conflicts, each in a stated share.
#![expect(
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "counts of some thousands, and places in lists that were just counted"
)]

use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::PriceList;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::conflict::Demand;
use rungwright::domain::money::Minor;
use rungwright::domain::resolver::Choice;
use rungwright::domain::resolver::Demands;
use rungwright::domain::resolver::Scope;
use rungwright::domain::resolver::rank;
use rungwright::domain::snapshot::Snapshot;
use rungwright::domain::units::Deciwatts;

use crate::demo_questions::rules_of;
use crate::generator;
use crate::generator::questions::Asked;

/// A made-up catalogue of a size, ready to be asked.
struct Shop<'a> {
    catalogue: &'a Catalogue,
    list: &'a PriceList,
    snapshot: &'a Snapshot,
}

impl Shop<'_> {
    fn choices(&self, demands: &Demands<'_>, rails_max: usize) -> Vec<Choice> {
        let scope = Scope { rails_max, nodes_max: 50_000_000 };
        rank((self.snapshot, self.catalogue), self.list, demands, scope).choices
    }

    fn is_possible(&self, demands: &Demands<'_>, rails_max: usize) -> bool {
        !self.choices(demands, rails_max).is_empty()
    }
}

/// How many questions are of a kind.
#[derive(Debug, Default)]
struct Shares {
    asked: usize,
    impossible: usize,
    near_misses: usize,
    ties: usize,
    rails: [usize; 4],
    explained: usize,
    with_several_conflicts: usize,
}

impl Shares {
    fn count(&mut self, shop: &Shop<'_>, asked: &Asked<'_>) {
        self.asked += 1;
        let demands = Demands { options_max: 2, ..asked.demands.clone() };
        let choices = shop.choices(&demands, asked.rails_max);
        let Some(first) = choices.first() else {
            self.count_refusal(shop, asked);
            return;
        };
        self.rails[first.rails.len()] += 1;
        self.ties += usize::from(choices.get(1).is_some_and(|second| second.net == first.net));
    }

    fn count_refusal(&mut self, shop: &Shop<'_>, asked: &Asked<'_>) {
        self.impossible += 1;
        self.near_misses += usize::from(is_near_miss(shop, asked));
        // A few explanations say enough; every one looks at thousands of subsets.
        if self.explained < 15 {
            self.explained += 1;
            self.with_several_conflicts += usize::from(1 < smallest_conflicts(shop, asked));
        }
    }

    /// Whether so many of a thousand are of a kind.
    fn is_share(found: usize, of: usize, permille: std::ops::RangeInclusive<usize>) -> bool {
        permille.start() * of <= 1_000 * found && 1_000 * found <= permille.end() * of
    }
}

/// Impossible, but possible with a twentieth more money or a twentieth less heat.
fn is_near_miss(shop: &Shop<'_>, asked: &Asked<'_>) -> bool {
    let (mut richer, mut colder) = (asked.demands.clone(), asked.demands.clone());
    let dearer = |minor: Minor| Minor::new(minor.value() + minor.value().div_euclid(20));
    richer.preferences.budget = richer.preferences.budget.map(dearer);
    colder.required = colder
        .required
        .map(|tenths| Deciwatts::new(tenths.value() - tenths.value().div_euclid(20)));
    [richer, colder].iter().any(|demands| shop.is_possible(demands, asked.rails_max))
}

/// How many subsets of the demands are impossible although each of their own subsets is possible.
fn smallest_conflicts(shop: &Shop<'_>, asked: &Asked<'_>) -> usize {
    let active = asked.demands.active();
    let subsets = 1_usize << active.len();
    let mut known: Vec<Option<bool>> = vec![None; subsets];
    let mut conflicts: Vec<usize> = Vec::new();
    let mut order: Vec<usize> = (0..subsets).collect();
    order.sort_by_key(|subset| subset.count_ones());
    for subset in order {
        if known[subset].is_some()
            || conflicts.iter().any(|conflict| conflict & subset == *conflict)
        {
            continue;
        }
        let kept: Vec<Demand> = (0..active.len())
            .filter(|place| subset >> place & 1 == 1)
            .map(|place| active[place])
            .collect();
        let is_possible = shop.is_possible(&asked.demands.keeping(&kept), asked.rails_max);
        known[subset] = Some(is_possible);
        if !is_possible {
            conflicts.push(subset);
        }
    }
    conflicts.len()
}

fn shares(parts: usize, seed: u64, questions: usize) -> Shares {
    let catalogue = Catalogue::compile(Edition::new(1, generator::content(parts, seed)).unwrap());
    let list = &catalogue.edition().content().price_lists[0];
    let rules = rules_of(&catalogue, "gb");
    let snapshot = Snapshot::compile(&catalogue, list, Some(&rules)).unwrap();
    let market = catalogue.edition().market("gb").unwrap();
    let shop = Shop { catalogue: &catalogue, list, snapshot: &snapshot };
    let mut dice = generator::Dice::new(seed + 1);
    let mut shares = Shares::default();
    for _ in 0..questions {
        shares.count(&shop, &generator::asked(&mut dice, parts, market, &rules));
    }
    shares
}

#[test]
fn made_up_questions_hold_ties_near_misses_several_rails_and_several_conflicts() {
    for (parts, seed) in [(1_000, 2026), (1_000, 7), (3_000, 2026)] {
        let found = shares(parts, seed, 500);
        let possible = found.asked - found.impossible;
        let is = Shares::is_share;
        assert!(is(found.impossible, found.asked, 130..=300), "{parts} parts: {found:?}");
        assert!(is(found.near_misses, found.impossible, 50..=400), "{parts} parts: {found:?}");
        assert!(is(found.ties, possible, 10..=200), "{parts} parts: {found:?}");
        assert!(is(found.rails[2], possible, 80..=300), "{parts} parts: {found:?}");
        assert!(is(found.rails[3], possible, 5..=150), "{parts} parts: {found:?}");
        let several = is(found.with_several_conflicts, found.explained, 200..=900);
        assert!(several, "{parts} parts: {found:?}");
    }
}

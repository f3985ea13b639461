//! Trade item numbers, finishes, and what makers leave unsaid.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::catalogue::Card;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Relation;
use crate::domain::catalogue::Right;
use crate::domain::catalogue::Rule;
use crate::domain::catalogue::Stated;
use crate::domain::catalogue::gtin_holds;
use crate::domain::evidence::Evidence;

use super::gathered::Finding;

pub(super) fn findings(edition: &Edition) -> Vec<Finding> {
    let mut findings = trade_numbers(edition);
    findings.push(evidence(edition));
    findings.push(not_stated(edition));
    findings.extend(finish_pairs(edition));
    findings.push(finishes_alone(edition));
    findings
}

fn cards(edition: &Edition) -> impl Iterator<Item = &Card> {
    edition.parts().filter_map(|part| edition.card(part))
}

fn trade_numbers(edition: &Edition) -> Vec<Finding> {
    let mut wrong = Finding::error(
        "gtin-check-digit",
        "A trade item number's check digit does not follow from its other digits.",
        "Compare the number with the label; most often two digits changed places.",
    );
    let mut twice = Finding::error(
        "gtin-twice",
        "Two parts carry one trade item number.",
        "Give each part its own number, or leave it empty until there is one.",
    );
    let mut known: BTreeMap<&str, &Card> = BTreeMap::new();
    for card in cards(edition) {
        let Some(gtin) = card.gtin.as_deref() else { continue };
        if !gtin_holds(gtin) {
            wrong.add(card.sku.as_str(), || gtin.to_owned());
        }
        if let Some(first) = known.insert(gtin, card) {
            twice.add(card.sku.as_str(), || format!("{gtin}, as {}", first.sku));
        }
    }
    vec![wrong, twice]
}

fn evidence(edition: &Edition) -> Finding {
    let mut weak = Finding::warning(
        "evidence-missing",
        "The figures of a part rest on memory or a fallback: nobody has read them.",
        "Read the maker's data sheet and mark the part `read`.",
    );
    for card in cards(edition) {
        match card.evidence {
            Evidence::Memory | Evidence::Fallback => {
                weak.add(card.sku.as_str(), || card.evidence.code().to_owned());
            }
            Evidence::Read
            | Evidence::ReadSecondary
            | Evidence::Computed
            | Evidence::Inferred
            | Evidence::Practice
            | Evidence::Invented => {}
        }
    }
    weak
}

fn not_stated(edition: &Edition) -> Finding {
    let mut unsaid = Finding::warning(
        "protection-not-stated",
        "An element or control does not state what decides where it may hang; what is not stated is never taken for a yes.",
        "Ask the maker for the IP code, the protection class and the thermal cut-out.",
    );
    for element in edition.elements() {
        let safety = &element.safety;
        let missing = [
            (safety.ip.is_none(), "IP code"),
            (safety.class.is_none(), "protection class"),
            (safety.thermal_cut_out == Stated::NotStated, "thermal cut-out"),
        ];
        note_missing(&mut unsaid, &element.card, &missing);
    }
    for control in edition.controls() {
        let missing =
            [(control.ip.is_none(), "IP code"), (control.class.is_none(), "protection class")];
        note_missing(&mut unsaid, &control.card, &missing);
    }
    unsaid
}

fn note_missing(finding: &mut Finding, card: &Card, missing: &[(bool, &str)]) {
    let named: Vec<&str> =
        missing.iter().filter(|(is_missing, _)| *is_missing).map(|(_, name)| *name).collect();
    if !named.is_empty() {
        finding.add(card.sku.as_str(), || named.join(", "));
    }
}

/// The pair tables that rules apply to finishes.
fn finish_tables(edition: &Edition) -> BTreeSet<&str> {
    let is_of_finishes = |rule: &&Rule| {
        let right = match &rule.right {
            Right::Attribute(name) => name.name() == "finish",
            Right::Range(..) | Right::Constant(..) => false,
        };
        rule.relation == Relation::ListedPair && rule.left.name() == "finish" && right
    };
    edition.rules().iter().filter(is_of_finishes).filter_map(|rule| rule.table.as_deref()).collect()
}

fn finish_pairs(edition: &Edition) -> Vec<Finding> {
    let mut unknown = Finding::error(
        "finish-pair-unknown",
        "A pair of finishes names a finish that the edition does not know.",
        "Correct the word, or declare the finish in finishes.csv.",
    );
    let mut circular = Finding::warning(
        "finish-pairs-in-a-circle",
        "Pairs of finishes lead back to where they began. Pairs are read one way and are not followed further.",
        "Keep the rows that are meant: left is the part that rules name first, right the other.",
    );
    let tables = finish_tables(edition);
    for table in tables {
        let pairs = edition.content().listed_pairs.iter().filter(|pair| &*pair.table == table);
        let mut next: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for pair in pairs {
            let both = [&pair.left, &pair.right].into_iter();
            for finish in both.filter(|finish| !edition.knows_finish(finish)) {
                unknown.add(finish, || format!("{} with {} in {table}", pair.left, pair.right));
            }
            next.entry(&pair.left).or_default().push(&pair.right);
        }
        for start in next.keys() {
            if reaches_itself(start, &next) {
                circular.add(start, || format!("leads back to itself in {table}"));
            }
        }
    }
    vec![unknown, circular]
}

fn reaches_itself(start: &str, next: &BTreeMap<&str, Vec<&str>>) -> bool {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut open: Vec<&str> = next.get(start).cloned().unwrap_or_default();
    while let Some(finish) = open.pop() {
        if finish == start {
            return true;
        }
        if seen.insert(finish) {
            open.extend(next.get(finish).into_iter().flatten().copied());
        }
    }
    false
}

fn finishes_alone(edition: &Edition) -> Finding {
    let mut alone = Finding::warning(
        "finish-without-pair",
        "Bodies have a finish that no element has and that is paired with none.",
        "Add the pair to listed_pairs.csv, or elements in this finish.",
    );
    let tables = finish_tables(edition);
    let heads: BTreeSet<&str> = edition.elements().iter().map(|found| &*found.finish).collect();
    let bodies = edition.body_finishes();
    for finish in bodies {
        let mut pairs = edition.content().listed_pairs.iter();
        let is_paired = pairs.any(|pair| {
            let other = if &*pair.left == finish { &pair.right } else { &pair.left };
            tables.contains(&*pair.table)
                && (&*pair.left == finish || &*pair.right == finish)
                && heads.contains(&**other)
        });
        if !heads.contains(finish) && !is_paired {
            alone.add(finish, || "no element goes with it".to_owned());
        }
    }
    alone
}

//! A catalogue compiled for the prices that resolutions ask for: one snapshot for each retail price list.
//!
//! Built when an edition is put in force, never changed after. Compiling takes time that grows with the catalogue, so
//! it is done on a thread that may block. Absent here: the search in a snapshot (the domain's resolver).

use crate::domain::catalogue::PriceList;
use crate::domain::catalogue::Tier;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Surroundings;
use crate::domain::snapshot::Snapshot;
use crate::domain::zones::rules::WiringRules;

/// Snapshots of one catalogue by price list.
#[derive(Debug, Default)]
pub struct CompiledLists(Vec<Snapshot>);

impl CompiledLists {
    /// Compiles a catalogue for every retail list, with the wiring rules of the list's market.
    ///
    /// A list for which nothing can be compiled is left out: its questions are answered without.
    pub fn compile(catalogue: &Catalogue, rules: &[WiringRules]) -> Self {
        let content = catalogue.edition().content();
        let retail = content.price_lists.iter();
        let retail = retail.filter(|list| content.terms.tier(&list.code) == Tier::Retail);
        Self(retail.filter_map(|list| snapshot(catalogue, list, rules)).collect())
    }

    /// The snapshot that serves questions from these surroundings at the prices of a list.
    pub fn serving(&self, list: &PriceList, around: &Surroundings<'_>) -> Option<&Snapshot> {
        self.0.iter().find(|snapshot| snapshot.serves(list, around))
    }

    /// How many lists are compiled.
    pub const fn count(&self) -> usize {
        self.0.len()
    }
}

fn snapshot(catalogue: &Catalogue, list: &PriceList, rules: &[WiringRules]) -> Option<Snapshot> {
    let market = catalogue.edition().market(&list.market)?;
    let rules = rules.iter().find(|rules| *rules.id == *market.wiring_rules);
    Snapshot::compile(catalogue, list, rules)
}

//! Parts grouped by what fits them: equal partners, one class.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::RuleIndex;

/// Classes of parts by their partners of one kind.
#[derive(Debug, Default)]
pub(crate) struct Classes {
    by_signature: BTreeMap<Vec<usize>, usize>,
    by_partners: BTreeMap<FixedBitSet, usize>,
    partners: Vec<FixedBitSet>,
}

impl Classes {
    /// The class of a part. Partners that are not for sale do not count.
    pub(crate) fn class_of(
        &mut self,
        rules: &RuleIndex,
        part: PartRef,
        (kind, sold): (PartKind, &FixedBitSet),
    ) -> usize {
        let signature = rules.signature(part, kind);
        if let Some(class) = self.by_signature.get(&signature) {
            return *class;
        }
        let mut partners = rules.partners(part, kind);
        partners.intersect_with(sold);
        let next = self.partners.len();
        let class = *self.by_partners.entry(partners.clone()).or_insert(next);
        if class == next {
            self.partners.push(partners);
        }
        self.by_signature.insert(signature, class);
        class
    }

    /// The partners of each class.
    pub(crate) fn partners(&self) -> &[FixedBitSet] {
        &self.partners
    }

    /// How many classes there are.
    pub(crate) fn count(&self) -> usize {
        self.partners.len()
    }
}

//! What can be wrong with the rules of an edition.

use std::collections::BTreeSet;

use crate::domain::catalogue::fault::Fault;
use crate::domain::catalogue::rule::AttributeName;
use crate::domain::catalogue::rule::ListedPair;
use crate::domain::catalogue::rule::Relation;
use crate::domain::catalogue::rule::Right;
use crate::domain::catalogue::rule::Rule;
use crate::domain::catalogue::typing::can_compare;

use super::Edition;

impl Edition {
    pub(super) fn rule_faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        let mut codes = BTreeSet::new();
        for rule in self.rules() {
            if !codes.insert(&rule.code) {
                faults.push(Fault::DuplicateRule(rule.code.clone()));
            }
            let unknown =
                rule.attributes().into_iter().filter(|name| self.attribute_type(name).is_none());
            faults.extend(unknown.map(|attribute| Fault::UnknownAttribute {
                rule: rule.code.clone(),
                attribute: attribute.clone(),
            }));
            faults.extend(self.type_faults(rule));
            let (kind, other) = rule.kinds();
            let third = |name: &&AttributeName| name.kind != kind && Some(name.kind) != other;
            if rule.attributes().iter().any(third) {
                faults.push(Fault::ThreeKinds(rule.code.clone()));
            }
            let is_range = matches!(rule.right, Right::Range(..));
            if is_range != (rule.relation == Relation::Within) {
                faults.push(Fault::RangeMismatch(rule.code.clone()));
            }
            if rule.relation == Relation::ListedPair && !self.has_table(rule) {
                let table = rule.table.clone().unwrap_or_default();
                faults.push(Fault::UnknownTable { rule: rule.code.clone(), table });
            }
        }
        faults
    }

    fn has_table(&self, rule: &Rule) -> bool {
        let named = |pair: &ListedPair| Some(&pair.table) == rule.table.as_ref();
        self.content.listed_pairs.iter().any(named)
    }

    /// What a rule compares although nothing can come of it. Unknown attributes are named elsewhere.
    fn type_faults(&self, rule: &Rule) -> Vec<Fault> {
        let sentences = self.side_faults(rule).into_iter().chain(self.condition_faults(rule));
        let fault = |sentence: String| Fault::MixedTypes {
            rule: rule.code.clone(),
            sentence: sentence.into(),
        };
        sentences.map(fault).collect()
    }

    fn side_faults(&self, rule: &Rule) -> Vec<String> {
        let Some(left) = self.attribute_type(&rule.left) else { return Vec::new() };
        let named = |name: &AttributeName| (name.to_string(), self.attribute_type(name));
        let rights = match &rule.right {
            Right::Attribute(name) => vec![named(name)],
            Right::Range(low, high) => vec![named(low), named(high)],
            Right::Constant(_, value) => vec![(value.to_string(), Some(value.value_type()))],
        };
        let odd = rights.into_iter().filter_map(|(name, right)| {
            let right = right.filter(|right| !can_compare(rule.relation, left, *right))?;
            let (relation, left, right) = (rule.relation.word(), left.word(), right.word());
            Some(format!("compares {}, a {left}, by {relation} with {name}, a {right}", rule.left))
        });
        odd.collect()
    }

    fn condition_faults(&self, rule: &Rule) -> Vec<String> {
        let odd = rule.when.iter().filter_map(|condition| {
            let known = self.attribute_type(&condition.attribute)?;
            let stated = condition.is.value_type();
            let (name, word) = (&condition.attribute, known.word());
            (known != stated).then(|| {
                format!(
                    "has a condition on {name}, a {word}, with the {} {}",
                    stated.word(),
                    condition.is
                )
            })
        });
        odd.collect()
    }
}

//! Whether the wiring rules of an edition are sound, stand once, and are there for its markets.
//!
//! Absent here: what the rules say (`zones`).

use std::collections::BTreeSet;

use crate::domain::zones::rules::WiringRules;
use crate::domain::zones::soundness;

use super::fault::Fault;
use super::market::Market;

/// Everything that is wrong with them. An edition without any is right: those of the program stand in.
pub(super) fn faults(all: &[WiringRules], markets: &[Market]) -> Vec<Fault> {
    let (mut faults, mut ids) = (Vec::new(), BTreeSet::new());
    for rules in all {
        if !ids.insert(rules.id.as_str()) {
            faults.push(Fault::DuplicateWiringRules(rules.id.as_str().into()));
        }
        let unsound = soundness::faults(rules).into_iter();
        faults.extend(unsound.map(|fault| Fault::WiringRules {
            rules: rules.id.as_str().into(),
            fault: fault.into(),
        }));
    }
    let is_unknown = |market: &&Market| !ids.is_empty() && !ids.contains(&*market.wiring_rules);
    faults.extend(markets.iter().filter(is_unknown).map(|market| Fault::UnknownWiringRules {
        market: market.code.clone(),
        rules: market.wiring_rules.clone(),
    }));
    faults
}

//! What a keeper should see before an edition is published: each finding with its severity, a count, some examples and a
//! suggestion.
//!
//! An edition that does not hang together is refused before it is one; here are the things that an edition may have and
//! hardly should. Absent here: what follows from a finding.

mod gathered;
mod parts;
mod figures;
mod fit;
mod rules;
mod prices;

pub use gathered::EXAMPLES_MAX;
pub use gathered::Example;
pub use gathered::Finding;
pub use gathered::Severity;

use super::compatibility::Catalogue;

/// Everything that strikes the eye about a catalogue, the gravest first. The codes are those of the wiring rules that
/// a market may name.
pub fn review(catalogue: &Catalogue, wiring_rules: &[&str]) -> Vec<Finding> {
    let edition = catalogue.edition();
    let mut findings = parts::findings(edition);
    findings.extend(figures::findings(edition));
    findings.extend(fit::findings(catalogue));
    findings.extend(rules::findings(catalogue));
    findings.extend(prices::findings(edition, wiring_rules));
    findings.retain(|finding| 0 < finding.count);
    findings.sort_by(|left, right| (left.severity, left.code).cmp(&(right.severity, right.code)));
    findings
}

/// Whether an edition with these findings may be published.
pub fn passes(findings: &[Finding]) -> bool {
    findings.iter().all(|finding| finding.severity != Severity::Error)
}

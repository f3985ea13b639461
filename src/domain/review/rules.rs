//! Rules that say nothing, rules that stop everything, rules that leave each other nothing.

use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::compatibility::Catalogue;
use crate::domain::compatibility::Trial;

use super::gathered::Finding;

pub(super) fn findings(catalogue: &Catalogue) -> Vec<Finding> {
    let mut findings = trials(catalogue);
    findings.extend(opposed(catalogue));
    findings.push(kinds_stopped(catalogue));
    findings
}

fn trials(catalogue: &Catalogue) -> Vec<Finding> {
    let mut never = Finding::warning(
        "rule-never-asked",
        "A rule's conditions are met by nothing in this edition.",
        "Check the condition's attribute and value; a value that no part has is often a slip of the pen.",
    );
    let mut idle = Finding::note(
        "rule-stops-nothing",
        "A rule holds for everything that it is asked about.",
        "Nothing need be done; if it was written for a certain part, try it with POST /v1/rules/trials.",
    );
    let mut always = Finding::warning(
        "rule-stops-all",
        "A rule stops everything that it is asked about.",
        "Try it with POST /v1/rules/trials: most often left and right are exchanged, or no part states the attribute.",
    );
    let edition = catalogue.edition();
    for rule in edition.rules() {
        let trial = Trial::of(edition, rule);
        if trial.candidates == 0 {
            continue;
        }
        if trial.is_never_asked() {
            never.add(&rule.code, || rule.sentence.to_string());
        } else if trial.stops_all() {
            always.add(&rule.code, || {
                format!(
                    "{} of {} stopped, {} because a value is not stated",
                    trial.stopped, trial.asked, trial.not_stated
                )
            });
        } else if trial.stopped == 0 {
            idle.add(&rule.code, || format!("asked {} times", trial.asked));
        }
    }
    vec![never, idle, always]
}

fn opposed(catalogue: &Catalogue) -> Vec<Finding> {
    let mut unsellable = Finding::error(
        "rules-contradict",
        "Two rules between bodies and elements each let some pairs pass and together none: nothing could be sold.",
        "Take one back or give it a condition.",
    );
    let mut others = Finding::warning(
        "rules-contradict-elsewhere",
        "Two rules each let some pairs pass and together none.",
        "Take one back or give it a condition.",
    );
    for pair in catalogue.index().opposed() {
        let is_heart = pair.kinds == (PartKind::Body, PartKind::Element);
        let finding = if is_heart { &mut unsellable } else { &mut others };
        finding.add(&pair.first, || format!("with {}", pair.second));
    }
    vec![unsellable, others]
}

fn kinds_stopped(catalogue: &Catalogue) -> Finding {
    let mut finding = Finding::error(
        "kind-stopped-whole",
        "The rules about one kind of part together let no part of that kind pass.",
        "Take one of them back or give it a condition.",
    );
    for kind in PartKind::ALL {
        let count = catalogue.edition().count(kind);
        let passes = |index| catalogue.index().stands_alone(PartRef { kind, index });
        if 0 < count && !(0..count).any(passes) {
            finding.add(kind.word(), || format!("none of {count}"));
        }
    }
    finding
}

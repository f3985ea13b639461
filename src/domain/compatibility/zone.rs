//! Whether the pair may hang in the zone it is meant for, by the country's wiring rules.

use crate::domain::catalogue::Element;
use crate::domain::catalogue::Severity;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
use crate::domain::zones::verdict::Connection;
use crate::domain::zones::verdict::Equipment;
use crate::domain::zones::verdict::Outcome as Ruling;
use crate::domain::zones::verdict::Residual;
use crate::domain::zones::verdict::Verdict;
use crate::domain::zones::verdict::verdict_in_zone;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::surroundings::Surroundings;

/// The rail as the wiring rules see it: what its element's maker states.
pub fn equipment(element: &Element, water_jets: bool) -> Equipment {
    let declared = element.safety.declared_zones.iter().filter_map(|zone| Zone::parse(zone));
    Equipment {
        kind: EquipmentKind::Rail,
        ip: element.safety.ip,
        class: element.safety.class,
        declared_zones: Some(declared.collect()),
        jets: water_jets,
        connection: if element.flex.has_plug { Connection::Plug } else { Connection::Permanent },
        residual: Residual::NotStated,
    }
}

/// The wiring rules' verdict on a pair in the zone of the place; nothing when no zone is given.
pub fn zone_verdict(element: &Element, surroundings: &Surroundings<'_>) -> Option<Verdict> {
    if surroundings.plan.is_some() {
        return None;
    }
    let zone = surroundings.place.zone?;
    let rules = surroundings.rules?;
    Some(verdict_in_zone(rules, zone, &equipment(element, surroundings.place.water_jets)))
}

/// Whether [`check_zone`] lets the element pass, without the reasons.
pub fn zone_passes(element: &Element, surroundings: &Surroundings<'_>) -> bool {
    let ruling = || zone_verdict(element, surroundings).map(|verdict| verdict.outcome);
    surroundings.place.zone.is_none()
        || matches!(ruling(), Some(Ruling::Allowed | Ruling::AllowedIf))
}

/// Rule `zone-allowed`. Not established refuses: unknown is never allowed.
///
/// Without a zone the finding says that the position was not checked, and leaves it to whoever hangs the rail.
pub fn check_zone(element: &Element, surroundings: &Surroundings<'_>) -> Finding {
    let left = StatedSide::part(&element.card.sku, "ratings", Some(ratings(element)));
    let zone = surroundings.place.zone;
    let right = StatedSide {
        sku: None,
        attribute: "place.zone".into(),
        value: zone.map(|zone| zone.to_string()),
    };
    let verdict = zone_verdict(element, surroundings);
    let (outcome, severity, reasons, source) = match (verdict, zone) {
        (Some(verdict), _) => (
            outcome_of(verdict.outcome),
            Severity::Refuse,
            verdict.reasons.into_iter().map(|reason| reason.text).collect::<Vec<_>>().join("; "),
            verdict.source,
        ),
        (None, None) => (
            Outcome::NotEstablished,
            Severity::Warn,
            "No zone was given, so the position was not checked.".to_owned(),
            Source::new("no zone in the request", Evidence::Fallback),
        ),
        (None, Some(_)) => (
            Outcome::NotEstablished,
            Severity::Refuse,
            "No wiring rules are held for this market.".to_owned(),
            Source::new("no rule pack", Evidence::Fallback),
        ),
    };
    let rule = "zone-allowed".into();
    Finding { rule, outcome, severity, detail: reasons, left, right, source }
}

pub(super) const fn outcome_of(ruling: Ruling) -> Outcome {
    match ruling {
        Ruling::Allowed => Outcome::Holds,
        // The conditions are what the installer must see to; they are listed as notices.
        Ruling::AllowedIf => Outcome::Warns,
        Ruling::NotEstablished => Outcome::NotEstablished,
        Ruling::Refused => Outcome::Clashes,
    }
}

fn ratings(element: &Element) -> String {
    let ip =
        element.safety.ip.as_ref().map_or_else(|| "IP not stated".to_owned(), ToString::to_string);
    let class = element.safety.class;
    let class =
        class.map_or_else(|| "class not stated".to_owned(), |class| format!("class {class}"));
    let zones: Vec<&str> = element.safety.declared_zones.iter().map(AsRef::as_ref).collect();
    let zones = if zones.is_empty() { "no zone".to_owned() } else { zones.join(" and ") };
    format!("{ip}, {class}, declared for {zones}")
}

//! The verdict on one piece of equipment in one place.
//!
//! Country's row AND maker's declaration AND IP code AND protection class AND jets; every reason is collected, and what
//! nobody stated is never taken for a yes. Absent here: how the zone of a place is found.

use std::cmp::Ordering;

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::ip_code::Implication;
use crate::domain::ip_code::IpCode;
use crate::domain::notice::Notice;
use crate::domain::zones::EquipmentKind;
use crate::domain::zones::Zone;
pub use crate::domain::zones::equipment::Connection;
pub use crate::domain::zones::equipment::Equipment;
pub use crate::domain::zones::equipment::Residual;
pub use crate::domain::zones::equipment::Spot;
use crate::domain::zones::rules::PlaceRule;
use crate::domain::zones::rules::Requirements;
use crate::domain::zones::rules::ResidualDuty;
use crate::domain::zones::rules::Ruling;
use crate::domain::zones::rules::WiringRules;

/// What the rules say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// It may hang there.
    Allowed,
    /// It may, once the conditions are met.
    AllowedIf,
    /// It may not be said either way. Never to be read as allowed.
    NotEstablished,
    /// It may not.
    Refused,
}

impl Outcome {
    /// Stable code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Allowed => "allowed",
            Self::AllowedIf => "allowed_if",
            Self::NotEstablished => "not_established",
            Self::Refused => "refused",
        }
    }
}

/// One thing that decided, or that is still to be met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Kebab-case, stable: `ip-below-zone`.
    pub code: &'static str,
    /// A sentence.
    pub text: String,
    /// What it does to the verdict.
    pub outcome: Outcome,
}

/// The answer for one piece in one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// What the rules say.
    pub outcome: Outcome,
    /// Why: refusals and gaps first come first; conditions carry `AllowedIf`.
    pub reasons: Vec<Reason>,
    /// The clause that decided.
    pub source: Source,
    /// How well the answer is known: no better than the pack it comes from.
    pub evidence: Evidence,
    /// Cautions; the one that defers to the local code and an electrician is always among them.
    pub notices: Vec<Notice>,
}

/// The verdict when only the name of the zone is known and there is no plan.
///
/// What needs a plan, such as the distance of a socket from zone 1, is then not established.
pub fn verdict_in_zone(rules: &WiringRules, zone: Zone, equipment: &Equipment) -> Verdict {
    verdict(rules, &Spot::in_zone(zone), equipment)
}

/// The verdict on a piece of equipment in a place.
pub fn verdict(rules: &WiringRules, spot: &Spot, equipment: &Equipment) -> Verdict {
    let row = rules
        .rows
        .iter()
        .find(|row| row.kinds.contains(&equipment.kind) && row.zones.contains(&spot.zone));
    let (mut reasons, source) = match row {
        _ if rules.regime.is_none() => (vec![no_figures(rules)], rules.source.clone()),
        _ if !spot.in_room => (vec![beyond_the_room()], rules.source.clone()),
        _ if spot.zone == Zone::NotEstablished => (vec![no_zone()], rules.source.clone()),
        None => (vec![no_row(rules, spot.zone, equipment.kind)], rules.source.clone()),
        Some(row) => (judge(rules, row, spot, equipment), row.source.clone()),
    };
    // A stable sort: refusals first, and within one outcome the order of the checks.
    reasons.sort_by_key(|reason| std::cmp::Reverse(reason.outcome));
    let outcome = reasons.first().map_or(Outcome::Allowed, |reason| reason.outcome);
    let evidence = source.evidence.weaker(rules.source.evidence);
    let notices = notices(rules, row, evidence);
    Verdict { outcome, reasons, source, evidence, notices }
}

fn judge(rules: &WiringRules, row: &PlaceRule, spot: &Spot, equipment: &Equipment) -> Vec<Reason> {
    match &row.ruling {
        Ruling::Refused(refusal) => vec![refused(
            refusal.code(),
            format!("{} may not be in zone {} ({})", equipment.kind.code(), spot.zone, row.source),
        )],
        Ruling::NotEstablished => vec![no_row(rules, spot.zone, equipment.kind)],
        Ruling::Allowed(asked) => [
            check_permanent(asked, equipment),
            check_declared(asked, spot, equipment),
            check_ip(asked, spot, equipment),
            check_class(asked, equipment),
            check_height(asked, spot),
            check_socket_gap(asked, spot),
            check_residual(rules, spot, equipment),
            asked.unit_outside.then(unit_outside),
        ]
        .into_iter()
        .flatten()
        .collect(),
    }
}

fn check_permanent(asked: &Requirements, equipment: &Equipment) -> Option<Reason> {
    if !asked.permanent {
        return None;
    }
    match equipment.connection {
        Connection::Permanent => None,
        Connection::Plug => Some(refused(
            "plug-not-permanent",
            "must be fixed and permanently connected, not plugged in",
        )),
        Connection::NotStated => Some(condition(
            "permanent-connection",
            "fixed and permanently connected, without a plug",
        )),
    }
}

fn check_declared(asked: &Requirements, spot: &Spot, equipment: &Equipment) -> Option<Reason> {
    match equipment.declared(spot.zone) {
        _ if !asked.declared => None,
        Some(true) => None,
        Some(false) => {
            let text = format!("its maker does not declare it for zone {}", spot.zone);
            Some(refused("zone-not-declared", text))
        }
        None => {
            let text = format!("its maker's declaration for zone {} is not known", spot.zone);
            Some(open("zone-declaration-not-stated", text))
        }
    }
}

fn check_ip(asked: &Requirements, spot: &Spot, equipment: &Equipment) -> Option<Reason> {
    let immersion = spot.immersion.then(|| IpCode::parse("IPX7").ok()).flatten();
    let jets = asked.ip_jets.filter(|_code| equipment.jets);
    let plain = asked.ip.map(|code| ("ip-below-zone", code));
    [
        plain,
        jets.map(|code| ("ip-below-jets", code)),
        immersion.map(|code| ("ip-below-immersion", code)),
    ]
    .into_iter()
    .flatten()
    .filter_map(|(code, required)| ip_reason(code, &required, equipment))
    .max_by_key(|reason| reason.outcome)
}

fn ip_reason(code: &'static str, required: &IpCode, equipment: &Equipment) -> Option<Reason> {
    let Some(own) = equipment.ip else {
        let text = format!("{required} is asked for and its IP code is not stated");
        return Some(open("ip-not-stated", text));
    };
    match own.implies(required) {
        Implication::Yes => None,
        Implication::No => Some(refused(code, format!("{own} does not reach {required}"))),
        Implication::NotStated => {
            Some(open("ip-not-stated", format!("{own} leaves open whether it reaches {required}")))
        }
    }
}

fn check_class(asked: &Requirements, equipment: &Equipment) -> Option<Reason> {
    if asked.classes.is_empty() {
        return None;
    }
    let accepted: Vec<_> = asked.classes.iter().map(|class| class.code()).collect();
    let accepted = accepted.join(" or ");
    match equipment.class {
        Some(class) if asked.classes.contains(&class) => None,
        Some(class) => {
            let text = format!("class {class} is not accepted here, only class {accepted}");
            Some(refused("class-not-accepted", text))
        }
        None => {
            let text = format!("only class {accepted} is accepted and its class is not stated");
            Some(open("class-not-stated", text))
        }
    }
}

fn check_height(asked: &Requirements, spot: &Spot) -> Option<Reason> {
    let least = asked.height_min_mm?;
    match spot.lowest_mm {
        Some(lowest) if least <= lowest => None,
        Some(lowest) => {
            let text = format!(
                "its lowest point is {lowest} mm above the floor, at least {least} mm are asked"
            );
            Some(refused("too-low-above-floor", text))
        }
        None => {
            Some(open("height-not-known", format!("at least {least} mm above the floor are asked")))
        }
    }
}

fn check_socket_gap(asked: &Requirements, spot: &Spot) -> Option<Reason> {
    let least = asked.from_zone1_min_mm?;
    let Some((length, radius)) = spot.from_zone1 else {
        let text = format!("{least} mm from zone 1 are asked and no plan shows the distance");
        return Some(open("socket-distance-not-known", text));
    };
    match length.against(radius.saturating_add(i64::from(least))) {
        Ordering::Less => {
            let text = format!("nearer to zone 1 than the {least} mm asked");
            Some(refused("socket-too-near", text))
        }
        Ordering::Equal | Ordering::Greater => None,
    }
}

fn check_residual(rules: &WiringRules, spot: &Spot, equipment: &Equipment) -> Option<Reason> {
    if spot.zone == Zone::NotApplicable {
        return None;
    }
    let why = match rules.circuit.residual {
        ResidualDuty::Required => "",
        ResidualDuty::NotEstablished => {
            " (the duty was not found in a text and is asked for to be safe)"
        }
    };
    match equipment.residual {
        Residual::Protected => None,
        Residual::Unprotected => {
            let text = format!("its circuit has no 30 mA residual current device{why}");
            Some(refused("rcd-missing", text))
        }
        Residual::NotStated => Some(condition(
            "rcd-30ma",
            format!("a residual current device of at most 30 mA on the circuit{why}"),
        )),
    }
}

fn unit_outside() -> Reason {
    condition(
        "connection-unit-outside-zones",
        "the connection unit and its switch stand outside the zones",
    )
}

fn no_figures(rules: &WiringRules) -> Reason {
    let text = format!("the figures of {} were not found, so nothing can be said", rules.title);
    open("rules-not-established", text)
}

fn no_zone() -> Reason {
    open("zone-not-established", "the drawing does not say enough to tell the zone")
}

fn beyond_the_room() -> Reason {
    open(
        "beyond-the-room",
        "it lies behind a wall of the drawn room, whose other side is not drawn",
    )
}

fn no_row(rules: &WiringRules, zone: Zone, kind: EquipmentKind) -> Reason {
    let text = format!("{} has no row for {} in zone {zone}", rules.title, kind.code());
    open("rule-not-established", text)
}

fn refused<T: Into<String>>(code: &'static str, text: T) -> Reason {
    Reason { code, text: text.into(), outcome: Outcome::Refused }
}

fn open<T: Into<String>>(code: &'static str, text: T) -> Reason {
    Reason { code, text: text.into(), outcome: Outcome::NotEstablished }
}

fn condition<T: Into<String>>(code: &'static str, text: T) -> Reason {
    Reason { code, text: text.into(), outcome: Outcome::AllowedIf }
}

/// The caution that stands beside every answer about a place.
pub fn caution() -> Notice {
    Notice::new(
        "electrician-decides",
        "The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.",
    )
}

/// The cautions of a country's rules as a whole, for an answer about a drawn room.
pub fn rules_notices(rules: &WiringRules) -> Vec<Notice> {
    let mut notices = standing_notices(rules);
    let conflicts = rules.conflicts.iter().chain(&rules.drawing_conflicts);
    notices.extend(conflicts.map(|text| Notice::new("rules-conflict", text.clone())));
    notices
}

/// What stands beside every answer that rests on a country's rules: who decides, and how well the rules are known.
pub fn standing_notices(rules: &WiringRules) -> Vec<Notice> {
    let mut notices = vec![caution()];
    notices.extend(stand_in(rules));
    if rules.source.evidence == Evidence::Fallback {
        notices.push(fallback(rules));
    }
    notices
}

/// What is said of rules whose last day is over, or whose first has not come. Days are written `YYYY-MM-DD`.
///
/// The last day itself is still in force.
pub fn not_in_force(rules: &WiringRules, day: &str) -> Option<Notice> {
    let is_over = rules.valid_until.as_deref().filter(|until| *until < day);
    let is_to_come = rules.valid_from.as_deref().filter(|from| day < *from);
    let title = format!("{}, {}", rules.title, rules.edition);
    let text = match (is_over, is_to_come) {
        (Some(until), _) => format!(
            "{title}: their last day was {until}. They tell what held for work of that time; new work follows the \
             edition in force."
        ),
        (None, Some(from)) => {
            format!("{title}: their first day is {from}. Until then the edition in force holds.")
        }
        (None, None) => return None,
    };
    Some(Notice::new("rules-not-in-force", text))
}

/// What is said when the edition in force holds no wiring rules.
fn stand_in(rules: &WiringRules) -> Option<Notice> {
    rules.is_stand_in.then(|| {
        let text = "The edition in force holds no wiring rules of its own; those that come with this version of the \
                    program stand in for them and may change with it.";
        Notice::new("rules-stand-in", text)
    })
}

fn fallback(rules: &WiringRules) -> Notice {
    Notice::new(
        "rules-fallback",
        format!("{}: the text was not found; a strict stand-in is used.", rules.title),
    )
}

fn notices(rules: &WiringRules, row: Option<&PlaceRule>, evidence: Evidence) -> Vec<Notice> {
    let mut notices = vec![caution()];
    notices.extend(stand_in(rules));
    match evidence {
        Evidence::Fallback => notices.push(fallback(rules)),
        Evidence::Memory | Evidence::Practice | Evidence::Invented => notices.push(Notice::new(
            "rules-from-memory",
            format!(
                "{}: this row was not read in a source ({evidence}); verify before relying on it.",
                rules.title
            ),
        )),
        Evidence::Read | Evidence::ReadSecondary | Evidence::Computed | Evidence::Inferred => {}
    }
    if let Some(Ruling::Allowed(Requirements { caution: Some(text), .. })) =
        row.map(|row| &row.ruling)
    {
        notices.push(Notice::new("place-contested", text.clone()));
    }
    notices.extend(rules.conflicts.iter().map(|text| Notice::new("rules-conflict", text.clone())));
    notices
}

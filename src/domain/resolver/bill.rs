//! The bill of materials: rails, lines, total, every check, the cautions.

use std::mem;

use crate::domain::catalogue::Body;
use crate::domain::compatibility::Check;
use crate::domain::compatibility::check_side_by_side;
use crate::domain::money::Overflow;
use crate::domain::notice::Notice;
use crate::domain::pricing::Line;
use crate::domain::pricing::Total;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;
use crate::domain::zones::verdict::caution;

use super::completion::Completion;
use super::demands::Demands;
use super::query::Query;
use super::rail::BillRail;
use super::rail::Together;
use super::rail::WrittenRail;
use super::rail::written_rail;
use super::running::energy_tenths;
use super::several::GAP_MM;
use super::sought::Order;

/// A complete, valid, priced bill of materials.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// What its rails give the room.
    pub delivered: Deciwatts,
    /// What they give beyond the requirement.
    pub margin: Deciwatts,
    /// Tenths of a watt-hour that they use in a day, where the running cost was asked for.
    pub energy_tenths_wh_day: Option<i64>,
    /// One to three rails.
    pub rails: Vec<BillRail>,
    /// Lines, rail by rail.
    pub lines: Vec<Line>,
    /// What is owed.
    pub total: Total,
    /// Every rule that speaks about these parts in this place, and how it came out.
    pub checks: Vec<Check>,
    /// Cautions to show.
    pub notices: Vec<Notice>,
    /// Working days until the last part leaves the maker.
    pub lead_days: u16,
}

/// A rail about to be written: what is asked of it, its completion, its wall.
pub(super) type Begun<'a> = (&'a Demands<'a>, &'a Completion, Option<usize>);

/// Writes out completed rails as a bill.
pub(super) fn bill(query: &Query<'_>, rails: &[Begun<'_>]) -> Option<Result<Bill, Overflow>> {
    let demands = query.demands;
    let heat = rails.iter().map(|(_, done, _)| done.pair.delivered.value());
    let delivered = Deciwatts::new(heat.fold(0, i64::saturating_add));
    let together = Together { count: rails.len(), delivered, required: demands.required };
    let mut written = Vec::new();
    for (spot, completion, wall) in rails {
        let spot = Query { demands: spot, ..*query };
        written.push(written_rail(&spot, completion, *wall, together)?);
    }
    let notices = notices(query, &written, side_by_side(query, rails));
    let checks = checks(query, &mut written, rails);
    let (bill_rails, lines) = joined(written);
    let market = demands.surroundings.market;
    let total = Total::of_lines(&lines, market.tax_rate, query.list.currency);
    let required = demands.required.map_or(0, Deciwatts::value);
    Some(total.map(|total| Bill {
        delivered,
        margin: Deciwatts::new(delivered.value().saturating_sub(required)),
        energy_tenths_wh_day: None,
        lead_days: lines.iter().map(|line| line.lead_days).max().unwrap_or_default(),
        rails: bill_rails,
        lines,
        total,
        checks,
        notices,
    }))
}

/// Tenths of a watt-hour that completed rails use in a day; nothing unless the running cost is asked for.
pub(super) fn energy(query: &Query<'_>, rails: &[Begun<'_>]) -> Option<i64> {
    if query.demands.sought.order != Order::LowestRunningCost {
        return None;
    }
    let used = rails.iter().map(|(spot, completion, _)| {
        energy_tenths(&Query { demands: spot, ..*query }, &completion.pair)
    });
    Some(used.fold(0, i64::saturating_add))
}

/// The rails with their lines one after the other.
fn joined(written: Vec<WrittenRail>) -> (Vec<BillRail>, Vec<Line>) {
    let (mut rails, mut lines) = (Vec::new(), Vec::new());
    for one in written {
        let start = lines.len();
        lines.extend(one.lines);
        rails.push(BillRail { lines: start..lines.len(), ..one.rail });
    }
    (rails, lines)
}

/// What every rail's parts come to, equal findings once, and how the rails fit beside each other.
fn checks(query: &Query<'_>, written: &mut [WrittenRail], rails: &[Begun<'_>]) -> Vec<Check> {
    let mut checks: Vec<Check> = Vec::new();
    if let [only] = written {
        checks.append(&mut only.checks);
    }
    for finding in written.iter_mut().flat_map(|one| mem::take(&mut one.checks)) {
        if !checks.contains(&finding) {
            checks.push(finding);
        }
    }
    if let Some(bodies) = side_by_side(query, rails) {
        let gap = Millimetres::new(GAP_MM);
        let fit = check_side_by_side(&bodies, gap, &query.demands.surroundings.place);
        checks.extend(fit.map(Check::from));
    }
    checks
}

/// The bodies of several rails that share a wall space; nothing for one rail, or where each has its own.
fn side_by_side<'a>(query: &Query<'a>, rails: &[Begun<'_>]) -> Option<Vec<&'a Body>> {
    let bodies = query.catalogue.edition().bodies();
    let found = rails.iter().filter_map(|(_, done, _)| bodies.get(done.pair.body.index));
    let is_shared = 1 < rails.len() && query.demands.sought.walls.is_empty();
    is_shared.then(|| found.collect())
}

fn notices(query: &Query<'_>, written: &[WrittenRail], shared: Option<Vec<&Body>>) -> Vec<Notice> {
    let demands = query.demands;
    let mut notices = vec![caution()];
    for (place, one) in written.iter().enumerate() {
        // What is true of all rails is said once; of the rest it is said which rail is meant.
        notices.extend(one.notices.iter().map(|notice| {
            let is_common = written.iter().all(|other| other.notices.contains(notice));
            if is_common { notice.clone() } else { of_rail(place, notice) }
        }));
    }
    notices.extend(shared.map(|bodies| apart(&bodies)));
    notices.extend(demands.regime().notice);
    if demands.surroundings.users.need_protection() {
        notices.push(Notice::new(
            "assess-the-risk",
            "Children, vulnerable people or the public use this room: the person responsible assesses the risk on \
             the spot. No rail is safe for everybody.",
        ));
    }
    notices.sort();
    notices.dedup();
    notices
}

fn of_rail(place: usize, notice: &Notice) -> Notice {
    Notice::new(notice.code, format!("Rail {}: {}", place.saturating_add(1), notice.text))
}

fn apart(bodies: &[&Body]) -> Notice {
    let gaps = bodies.iter().skip(1).fold(0_i32, |sum, _| sum.saturating_add(GAP_MM));
    let width = bodies.iter().fold(gaps, |sum, body| sum.saturating_add(body.size.width.value()));
    Notice::new(
        "rails-side-by-side",
        format!(
            "These {} rails hang side by side and take {width} mm of wall with {GAP_MM} mm between two of them (common \
             practice, no source). Each has a connection of its own.",
            bodies.len()
        ),
    )
}

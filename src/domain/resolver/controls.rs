//! The controls of a bill: the cheapest set that does what market and users ask.
//!
//! Each role is done by one control, a combination does several. At most three controls, so every set can be looked
//! at; sets are remembered by what decides about them, which many pairs share. At one price the fewer controls win, so
//! that none stands on a bill merely because it costs nothing. The cheapest set alone will do unless rule rows join
//! controls with accessories: then a dearer set may be the only one that an accessory goes with, and all are kept. They
//! are also kept where every choice of parts counts as another option; where few pieces may be beyond the budget, all that no
//! set outdoes in number and price. None holds a control that could be left out.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::Connection;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::PartKind;
use crate::domain::catalogue::PartRef;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Roles;
use crate::domain::ecodesign::ControlCode;
use crate::domain::money::Minor;

use super::demands::Demands;
use super::pairs::Pair;
use super::query::Query;
use super::shortlist::shortlist;
use super::sought::Order;

/// The most controls on a bill: one for each role.
const CONTROLS_MAX: usize = 3;

/// A set of controls and its price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ControlSet {
    pub net: Minor,
    /// In order of part number.
    pub controls: Vec<PartRef>,
}

/// What decides which set is cheapest.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    fitting: FixedBitSet,
    code: ControlCode,
    roles: Roles,
    watts_tenths: i64,
    wanted: Wanted,
}

/// Which of the sets that do are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Wanted {
    /// The best.
    Best,
    /// Those that no other outdoes in both, number of controls and price.
    Traded,
    /// All.
    Every,
}

/// Sets already found, by what decides about them.
#[derive(Debug, Clone, Default)]
pub(super) struct Remembered(BTreeMap<Key, Vec<ControlSet>>);

impl Remembered {
    /// The sets of controls that do for a pair, best first; the best alone where accessories do not depend on it.
    pub(super) fn controls(
        &mut self,
        query: &Query<'_>,
        (pair, element): (&Pair, &Element),
        is_every: bool,
    ) -> &[ControlSet] {
        let index = query.catalogue.index();
        let mut fitting = index.partners(pair.element, PartKind::Control);
        fitting.intersect_with(&index.partners(pair.body, PartKind::Control));
        let code = element.control.code;
        let roles = roles_needed(query.demands, code);
        let watts_tenths = element.watts.delivered().value();
        let wanted = if is_every || index.joins(PartKind::Control, PartKind::Accessory) {
            Wanted::Every
        } else if query.demands.trades_pieces() {
            Wanted::Traded
        } else {
            Wanted::Best
        };
        let key = Key { fitting, code, roles, watts_tenths, wanted };
        self.0.entry(key).or_insert_with_key(|key| sets(query, key, element))
    }
}

/// What controls have to do beside an element of this code.
pub(super) fn roles_needed(demands: &Demands<'_>, code: ControlCode) -> Roles {
    let wished = &demands.preferences;
    let unit = demands.surroundings.market.connection == Connection::FusedConnectionUnit;
    [
        (unit, Role::ConnectionUnit),
        (wished.time_control && !code.has_timer(), Role::TimeSwitch),
        (wished.wall_control, Role::WallThermostat),
    ]
    .into_iter()
    .filter(|(is_needed, _)| *is_needed)
    .fold(Roles::NONE, |roles, (_, role)| roles.with(role))
}

/// A control that fits the pair.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    part: PartRef,
    net: Minor,
    roles: Roles,
    code: ControlCode,
}

/// A set while it grows.
#[derive(Debug, Clone)]
struct Growing {
    set: ControlSet,
    roles: Roles,
    code: ControlCode,
}

impl Growing {
    /// The set with one more control, unless that would do a role twice.
    fn with(&self, next: Candidate) -> Option<Self> {
        if !self.roles.is_disjoint(next.roles) || self.set.controls.len() == CONTROLS_MAX {
            return None;
        }
        let mut set = self.set.clone();
        set.net = set.net.plus(next.net).ok()?;
        set.controls.push(next.part);
        let roles = self.roles.union(next.roles);
        Some(Self { set, roles, code: self.code.union(next.code) })
    }
}

/// The sets that do, best first. One that does is not grown: a control more would only cost and restrict more.
fn sets(query: &Query<'_>, key: &Key, element: &Element) -> Vec<ControlSet> {
    let candidates = candidates(query, &key.fitting);
    let is_by_count = query.demands.sought.order == Order::FewestParts;
    let rank = |set: &ControlSet| {
        let count = set.controls.len();
        (if is_by_count { count } else { 0 }, set.net, count)
    };
    let regime = query.demands.regime().regime;
    let empty = ControlSet { net: Minor::ZERO, controls: Vec::new() };
    let mut open = vec![Growing { set: empty, roles: Roles::NONE, code: key.code }];
    let mut found: Vec<ControlSet> = Vec::new();
    let mut rank_max = None;
    while let Some(growing) = open.pop() {
        if growing.roles.covers(key.roles) && regime.accepts(growing.code, element.watts) {
            if key.wanted == Wanted::Best {
                let own = rank(&growing.set);
                rank_max = Some(rank_max.map_or(own, |max| own.min(max)));
            }
            found.push(growing.set);
            continue;
        }
        let last = growing.set.controls.last();
        let later = candidates.iter().filter(|next| last.is_none_or(|last| *last < next.part));
        let grown = later.filter_map(|next| growing.with(*next));
        open.extend(grown.filter(|more| rank_max.is_none_or(|max| rank(&more.set) <= max)));
    }
    found.sort_by(|left, right| (rank(left), &left.controls).cmp(&(rank(right), &right.controls)));
    match key.wanted {
        Wanted::Best => found.truncate(1),
        Wanted::Traded => shortlist(query, &mut found, 1, |set| set.net),
        Wanted::Every => without_supersets(&mut found),
    }
    found
}

/// Takes out every set from which a control can be left out.
fn without_supersets(sets: &mut Vec<ControlSet>) {
    let all = sets.clone();
    sets.retain(|set| {
        let is_part = |other: &ControlSet| {
            other.controls.len() < set.controls.len()
                && other.controls.iter().all(|control| set.controls.contains(control))
        };
        !all.iter().any(is_part)
    });
}

fn candidates(query: &Query<'_>, fitting: &FixedBitSet) -> Vec<Candidate> {
    let controls = query.catalogue.edition().controls();
    let candidate = |index| {
        let part = PartRef { kind: PartKind::Control, index };
        let control = controls.get(index)?;
        let net = query.net(part, 1)?;
        Some(Candidate { part, net, roles: control.roles, code: control.code })
    };
    fitting.ones().filter_map(candidate).collect()
}

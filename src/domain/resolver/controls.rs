//! The controls of a bill: the cheapest set that does what market and users ask.
//!
//! Each role is done by one control, a combination does several. At most three controls, so every set can be looked
//! at; sets are remembered by what decides about them, which many pairs share.

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

/// A set of controls and its price.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
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
}

/// Sets already found, by what decides about them.
#[derive(Debug, Default)]
pub(super) struct Remembered(BTreeMap<Key, Option<ControlSet>>);

impl Remembered {
    /// The cheapest set of controls for a pair, equal prices by part number; nothing when none will do.
    pub(super) fn controls(
        &mut self,
        query: &Query<'_>,
        pair: &Pair,
        element: &Element,
    ) -> Option<ControlSet> {
        let index = query.catalogue.index();
        let mut fitting = index.partners(pair.element, PartKind::Control);
        fitting.intersect_with(&index.partners(pair.body, PartKind::Control));
        let code = element.control.code;
        let roles = roles_needed(query.demands, code);
        let watts_tenths = element.watts.delivered().value();
        let key = Key { fitting, code, roles, watts_tenths };
        if let Some(known) = self.0.get(&key) {
            return known.clone();
        }
        let found = cheapest(query, &key, element);
        self.0.insert(key, found.clone());
        found
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
        if !self.roles.is_disjoint(next.roles) {
            return None;
        }
        let mut set = self.set.clone();
        set.net = set.net.plus(next.net).ok()?;
        set.controls.push(next.part);
        let roles = self.roles.union(next.roles);
        Some(Self { set, roles, code: self.code.union(next.code) })
    }
}

fn cheapest(query: &Query<'_>, key: &Key, element: &Element) -> Option<ControlSet> {
    let controls = query.catalogue.edition().controls();
    let candidates: Vec<Candidate> = key
        .fitting
        .ones()
        .filter_map(|index| {
            let part = PartRef { kind: PartKind::Control, index };
            let control = controls.get(index)?;
            let net = query.net(part, 1)?;
            Some(Candidate { part, net, roles: control.roles, code: control.code })
        })
        .collect();
    let regime = query.demands.regime().regime;
    let empty = ControlSet { net: Minor::ZERO, controls: Vec::new() };
    let mut open = vec![Growing { set: empty, roles: Roles::NONE, code: key.code }];
    let mut best: Option<ControlSet> = None;
    while let Some(growing) = open.pop() {
        let meets = growing.roles.covers(key.roles) && regime.accepts(growing.code, element.watts);
        if meets && best.as_ref().is_none_or(|best| growing.set < *best) {
            best = Some(growing.set.clone());
        }
        let last = growing.set.controls.last();
        let later = candidates.iter().filter(|next| last.is_none_or(|last| *last < next.part));
        let grown = later.filter_map(|next| growing.with(*next));
        open.extend(grown.filter(|more| best.as_ref().is_none_or(|best| more.set.net <= best.net)));
    }
    best
}

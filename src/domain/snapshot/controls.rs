//! The cheapest set of controls for every class of bodies and elements and every wish about controls, found once.
//!
//! Of controls with the same roles and the same code only the cheapest of a class can stand in a cheapest set, equal
//! prices by part number; a control without any role is never left out, because two of them may stand together.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

use crate::domain::catalogue::Control;
use crate::domain::catalogue::Role;
use crate::domain::catalogue::Roles;
use crate::domain::ecodesign::ControlCode;
use crate::domain::ecodesign::Regime;
use crate::domain::units::Watts;

/// What a question asks of controls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ControlWish {
    pub regime: Regime,
    pub time_control: bool,
    pub wall_control: bool,
}

/// What an element brings to the choice of controls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Driven {
    pub code: ControlCode,
    pub watts: Watts,
}

/// A set of controls and its net price.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ControlSet {
    pub net: i64,
    /// How many: at one price the fewer win.
    pub count: usize,
    /// Places in the edition, in order.
    pub controls: Vec<usize>,
}

/// The most controls on a bill: one for each role.
const CONTROLS_MAX: usize = 3;

/// One wish with the sets found for it.
#[derive(Debug, Clone)]
struct Answered {
    wish: ControlWish,
    least: i64,
    /// The least by element class; the most that a number holds where no set will do.
    element_leasts: Vec<i64>,
    /// By body class, then element class; nothing where no set will do.
    sets: Vec<Option<ControlSet>>,
}

/// All sets of an edition at the prices of a list.
#[derive(Debug, Clone)]
pub(crate) struct ControlTable {
    element_classes: usize,
    wishes: Vec<Answered>,
}

/// A control for sale.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    index: usize,
    net: i64,
    roles: Roles,
    code: ControlCode,
}

/// What an element brings, and the controls that fit.
type Choice = (Driven, Vec<Candidate>);

/// The controls for sale, and whether a connection unit belongs to every bill.
#[derive(Debug)]
pub(crate) struct Range<'a> {
    pub controls: &'a [Control],
    /// Net prices by place; nothing for a control that is not sold.
    pub nets: &'a [Option<i64>],
    pub needs_unit: bool,
}

impl ControlTable {
    /// Finds all sets.
    pub(crate) fn compile(
        range: &Range<'_>,
        regimes: &[Regime],
        bodies: &[FixedBitSet],
        elements: &[(Driven, FixedBitSet)],
    ) -> Self {
        let mut wishes: Vec<Answered> = Vec::new();
        let both =
            bodies.iter().flat_map(|body| elements.iter().map(move |element| (body, element)));
        let choices: Vec<Choice> = both
            .map(|(body, (driven, fits))| {
                let mut fitting = fits.clone();
                fitting.intersect_with(body);
                (*driven, candidates(range, &fitting))
            })
            .collect();
        for wish in all_wishes(regimes) {
            let sets: Vec<Option<ControlSet>> = choices
                .iter()
                .map(|(driven, candidates)| cheapest(range, candidates, (wish, *driven)))
                .collect();
            let least = sets.iter().flatten().map(|set| set.net).min().unwrap_or(i64::MAX);
            let of_class = |class: usize| {
                let sets = sets.iter().skip(class).step_by(elements.len().max(1)).flatten();
                sets.map(|set| set.net).min().unwrap_or(i64::MAX)
            };
            let element_leasts = (0..elements.len()).map(of_class).collect();
            wishes.push(Answered { wish, least, element_leasts, sets });
        }
        Self { element_classes: elements.len(), wishes }
    }

    /// Where the answers to a wish stand; nothing for a regime that the table was not made for.
    pub(crate) fn place_of(&self, wish: ControlWish) -> Option<usize> {
        self.wishes.iter().position(|answered| answered.wish == wish)
    }

    /// The least that any set costs.
    pub(crate) fn least(&self, wish: usize) -> i64 {
        self.wishes.get(wish).map_or(i64::MAX, |answered| answered.least)
    }

    /// The least that any set costs for each class of elements; the most that a number holds where no set will do.
    pub(crate) fn element_leasts(&self, wish: usize) -> &[i64] {
        self.wishes.get(wish).map_or(&[], |answered| &answered.element_leasts)
    }

    /// The cheapest set of a class of bodies and a class of elements.
    pub(crate) fn set(&self, wish: usize, body: usize, element: usize) -> Option<&ControlSet> {
        let place = body.checked_mul(self.element_classes)?.checked_add(element)?;
        self.wishes.get(wish)?.sets.get(place)?.as_ref()
    }
}

fn all_wishes(regimes: &[Regime]) -> Vec<ControlWish> {
    let wishes = regimes.iter().flat_map(|regime| {
        [(false, false), (true, false), (false, true), (true, true)].map(
            |(time_control, wall_control)| ControlWish {
                regime: *regime,
                time_control,
                wall_control,
            },
        )
    });
    wishes.collect()
}

fn candidates(range: &Range<'_>, fitting: &FixedBitSet) -> Vec<Candidate> {
    let mut best: BTreeMap<(Roles, ControlCode), Candidate> = BTreeMap::new();
    let mut kept = Vec::new();
    for index in fitting.ones() {
        let (Some(control), Some(Some(net))) = (range.controls.get(index), range.nets.get(index))
        else {
            continue;
        };
        let candidate = Candidate { index, net: *net, roles: control.roles, code: control.code };
        if control.roles == Roles::NONE {
            kept.push(candidate);
            continue;
        }
        let best = best.entry((control.roles, control.code)).or_insert(candidate);
        if candidate.net < best.net {
            *best = candidate;
        }
    }
    kept.extend(best.into_values());
    kept.sort_by_key(|candidate| candidate.index);
    kept
}

/// A set while it grows.
struct Growing {
    set: ControlSet,
    roles: Roles,
    code: ControlCode,
    /// The first candidate that may still be added.
    next: usize,
}

fn cheapest(
    range: &Range<'_>,
    candidates: &[Candidate],
    (wish, driven): (ControlWish, Driven),
) -> Option<ControlSet> {
    let needed = roles_needed(range, wish, driven.code);
    let set = ControlSet { net: 0, count: 0, controls: Vec::new() };
    let mut open = vec![Growing { set, roles: Roles::NONE, code: driven.code, next: 0 }];
    let mut best: Option<ControlSet> = None;
    while let Some(growing) = open.pop() {
        let is_better = best.as_ref().is_none_or(|best| growing.set < *best);
        if is_better
            && growing.roles.covers(needed)
            && wish.regime.accepts(growing.code, driven.watts)
        {
            best = Some(growing.set.clone());
        }
        for (place, candidate) in candidates.iter().enumerate().skip(growing.next) {
            let Some(net) = growing.set.net.checked_add(candidate.net) else { continue };
            if !growing.roles.is_disjoint(candidate.roles)
                || growing.set.count == CONTROLS_MAX
                || best.as_ref().is_some_and(|best| best.net < net)
            {
                continue;
            }
            let mut controls = growing.set.controls.clone();
            controls.push(candidate.index);
            open.push(Growing {
                set: ControlSet { net, count: controls.len(), controls },
                roles: growing.roles.union(candidate.roles),
                code: growing.code.union(candidate.code),
                next: place.saturating_add(1),
            });
        }
    }
    best
}

fn roles_needed(range: &Range<'_>, wish: ControlWish, code: ControlCode) -> Roles {
    [
        (range.needs_unit, Role::ConnectionUnit),
        (wish.time_control && !code.has_timer(), Role::TimeSwitch),
        (wish.wall_control, Role::WallThermostat),
    ]
    .into_iter()
    .filter(|(is_needed, _)| *is_needed)
    .fold(Roles::NONE, |roles, (_, role)| roles.with(role))
}

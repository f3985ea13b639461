//! Every set of up to three controls that does what people and law ask.

use rungwright::domain::catalogue::Connection;
use rungwright::domain::catalogue::Control;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PartRef;
use rungwright::domain::catalogue::Role;
use rungwright::domain::ecodesign::ControlBase;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::ecodesign::ControlFunction;

use super::Ask;
use super::parts_of;

/// The sets, in no order of price.
pub(super) fn sets(ask: Ask<'_>, element: PartRef) -> Vec<Vec<PartRef>> {
    let element = &ask.edition.elements()[element.index];
    let all = parts_of(ask.edition, PartKind::Control);
    let mut sets = vec![Vec::new()];
    for (position, first) in all.iter().enumerate() {
        sets.push(vec![*first]);
        for (next, second) in all.iter().enumerate().skip(position + 1) {
            sets.push(vec![*first, *second]);
            sets.extend(all.iter().skip(next + 1).map(|third| vec![*first, *second, *third]));
        }
    }
    sets.retain(|set| {
        let controls: Vec<&Control> =
            set.iter().map(|part| &ask.edition.controls()[part.index]).collect();
        does_what_is_asked(ask, element, &controls) && is_lawful(ask, element, &controls)
    });
    sets
}

/// No role is done twice, and none that is asked is left out.
fn does_what_is_asked(ask: Ask<'_>, element: &Element, controls: &[&Control]) -> bool {
    let wished = &ask.demands.preferences;
    let unit = ask.demands.surroundings.market.connection == Connection::FusedConnectionUnit;
    let has_clock = has_clock(element.control.code.base);
    let asked = |role| match role {
        Role::ConnectionUnit => unit,
        Role::TimeSwitch => wished.time_control && !has_clock,
        Role::WallThermostat => wished.wall_control,
    };
    Role::ALL.into_iter().all(|role| {
        let count = controls.iter().filter(|control| control.roles.has(role)).count();
        count == 1 || (count == 0 && !asked(role))
    })
}

fn has_clock(base: ControlBase) -> bool {
    base == ControlBase::Td || base == ControlBase::Tw
}

/// Regulation (EU) 2024/1103: 46.0 % above 250 W and 42.1 % below, of 100 (0.75 + F(2) + F(3)) / 1.9, where the better
/// base and the functions of all controls count. Great Britain demands nothing that we know of.
fn is_lawful(ask: Ask<'_>, element: &Element, controls: &[&Control]) -> bool {
    let around = &ask.demands.surroundings;
    let british = ["england", "scotland", "wales"];
    if &*around.market.code == "gb"
        && around.place.region.as_deref().is_some_and(|region| british.contains(&region))
    {
        return true;
    }
    let codes: Vec<ControlCode> = std::iter::once(element.control.code)
        .chain(controls.iter().map(|control| control.code))
        .collect();
    let base = codes.iter().map(|code| base_factor(code.base)).max().unwrap_or(0);
    let counted = [
        ControlFunction::OpenWindow,
        ControlFunction::AdaptiveStart,
        ControlFunction::WorkingTimeLimit,
        ControlFunction::SelfLearning,
        ControlFunction::Accuracy,
    ];
    let has = |function: &ControlFunction| codes.iter().any(|code| code.functions.has(*function));
    let functions = counted.iter().filter(|function| has(function)).map(|_| 20).sum::<u32>();
    let tenths_of_percent = (f64::from(750 + base + functions) / 1.9).round();
    let least = if 250.0 < element.watts.value() { 460.0 } else { 421.0 };
    60.0 < element.watts.value() && least <= tenths_of_percent
}

const fn base_factor(base: ControlBase) -> u32 {
    match base {
        ControlBase::Nc => 0,
        ControlBase::Tx | ControlBase::Tm | ControlBase::Te => 30,
        ControlBase::Td => 95,
        ControlBase::Tw => 150,
    }
}

//! The lines of the sum: surfaces, bridges, air, reheat, and the cautions that come up on the way.
//!
//! Absent here: checks of the figures, which are done before.

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::heat::Allowances;
use crate::domain::heat::Bridges;
use crate::domain::heat::LinearBridge;
use crate::domain::heat::Measure;
use crate::domain::heat::Step;
use crate::domain::heat::StepPart;
use crate::domain::notice::Notice;
use crate::domain::room::Room;
use crate::domain::room::boundary::Beyond;
use crate::domain::room::boundary::Boundary;
use crate::domain::room::ventilation::AirHeat;
use crate::domain::units::Celsius;
use crate::domain::units::Kelvins;
use crate::domain::units::Watts;

/// Ground factor `f_g1` for the yearly swing, times `G_w` = 1 for ground water (EN 12831-1 form, as coded in research software).
pub(super) const GROUND_FACTOR: f64 = 1.45;

/// Every step of the sum in the order it is printed, with the cautions of the defaults taken.
pub(super) fn steps(room: &Room, allowances: &Allowances) -> (Vec<Step>, Vec<Notice>) {
    let mut steps = Vec::with_capacity(room.boundaries.len().saturating_add(3));
    let mut notices: Vec<Notice> = Vec::new();
    let mut exposed = Exposed { air_m2: 0.0, ground_m2: 0.0 };
    for boundary in &room.boundaries {
        let settled = boundary.settle(room.annual_mean);
        notices.extend(settled.notice.filter(|notice| !notices.contains(notice)));
        exposed.add(boundary, settled.beyond);
        steps.push(surface(room, boundary, settled.beyond));
    }
    steps.extend(bridges(room, &allowances.bridges, exposed));
    steps.push(air(room));
    steps.extend(reheat(room, allowances.reheat_w_m2));
    if allowances.bridges == Bridges::Uncounted {
        let text =
            "Thermal bridges are not counted; in an old or a well insulated home they matter.";
        notices.push(Notice::new("bridges-not-counted", text));
    }
    notices.extend(weak_source(&steps));
    (steps, notices)
}

/// Cautions about the sum as a whole.
pub(super) fn notices(room: &Room, balance: Watts, quick_rule: Watts) -> Vec<Notice> {
    let governs = format!(
        "The steady-state sum of {:.1} W governs. The quick rule (100 W per m2, common practice, no source) gives {:.1} W \
         and is shown for comparison only.",
        balance.required().watts().max(0.0),
        quick_rule.required().watts()
    );
    let mut notices = vec![Notice::new("steady-state-governs", governs)];
    if balance.value() < 0.0_f64 {
        let text = "Warmer neighbours give the room more than it loses, so it needs no heat while they are heated.";
        notices.push(Notice::new("no-heat-needed", text));
    }
    let areas: f64 = room.boundaries.iter().map(|boundary| boundary.area_m2).sum();
    if room.surface_m2() < areas {
        let text = format!(
            "The boundaries add up to {areas:.1} m2, but floor, ceiling and walls of this room have {:.1} m2 in all; \
             check that areas are net.",
            room.surface_m2()
        );
        notices.push(Notice::new("areas-exceed-room", text));
    }
    notices
}

/// Areas that bridges are counted on, m2.
#[derive(Debug, Clone, Copy)]
struct Exposed {
    air_m2: f64,
    ground_m2: f64,
}

impl Exposed {
    fn add(&mut self, boundary: &Boundary, beyond: Beyond) {
        match beyond {
            Beyond::Outside => self.air_m2 += boundary.area_m2,
            Beyond::Ground { .. } => self.ground_m2 += boundary.area_m2,
            Beyond::At(_) | Beyond::AsWarm | Beyond::Unheated { .. } => {}
        }
    }
}

fn surface(room: &Room, boundary: &Boundary, beyond: Beyond) -> Step {
    let across = outdoor_difference(room);
    let to = |far: Celsius| room.indoor.value() - far.value();
    let (where_to, factor, difference) = match beyond {
        Beyond::Outside => ("to outside".to_owned(), 1.0_f64, across),
        Beyond::At(far) => (format!("to {far}"), 1.0_f64, to(far)),
        Beyond::AsWarm => ("to a space as warm".to_owned(), 1.0_f64, 0.0_f64),
        Beyond::Ground { annual_mean } => (
            "to the ground, factor 1.45 after EN 12831-1".to_owned(),
            GROUND_FACTOR,
            to(annual_mean),
        ),
        Beyond::Unheated { factor } => ("through the unheated space".to_owned(), factor, across),
    };
    product(Line {
        part: StepPart::Transmission,
        what: format!("{} {where_to}", boundary.kind.phrase()),
        amount: Measure { value: boundary.area_m2, unit: "m2" },
        rate: Measure { value: boundary.transmittance.w_m2k, unit: "W/m2K" },
        factor,
        difference,
        source: boundary.transmittance.source.clone(),
    })
}

fn bridges(room: &Room, bridges: &Bridges, exposed: Exposed) -> Vec<Step> {
    let on_area = |area_m2: f64, rate: f64| {
        vec![product(Line {
            part: StepPart::Bridges,
            what: "thermal bridges on the exposed area".to_owned(),
            amount: Measure { value: area_m2, unit: "m2" },
            rate: Measure { value: rate, unit: "W/m2K" },
            factor: 1.0,
            difference: outdoor_difference(room),
            source: bridges.source(),
        })]
    };
    match bridges {
        Bridges::Uncounted => Vec::new(),
        Bridges::Share { y_w_m2k } => on_area(exposed.air_m2 + exposed.ground_m2, *y_w_m2k),
        Bridges::AddedTransmittance { delta_u_w_m2k } => on_area(exposed.air_m2, *delta_u_w_m2k),
        Bridges::Lengths(lengths) => {
            lengths.iter().map(|bridge| edge(room, bridge, bridges.source())).collect()
        }
    }
}

fn edge(room: &Room, bridge: &LinearBridge, source: Source) -> Step {
    product(Line {
        part: StepPart::Bridges,
        what: format!("thermal bridge: {}", bridge.what),
        amount: Measure { value: bridge.length_m, unit: "m" },
        rate: Measure { value: bridge.psi_w_mk, unit: "W/mK" },
        factor: 1.0,
        difference: outdoor_difference(room),
        source,
    })
}

fn air(room: &Room) -> Step {
    let flow = room.ventilation.flow_m3_h(room.volume_m3());
    product(Line {
        part: StepPart::Ventilation,
        what: "air from outside".to_owned(),
        amount: Measure { value: flow, unit: "m3/h" },
        rate: Measure { value: room.ventilation.air_heat.value(), unit: "Wh/m3K" },
        factor: 1.0,
        difference: outdoor_difference(room),
        source: air_source(room.ventilation.air_heat),
    })
}

fn air_source(air_heat: AirHeat) -> Source {
    if air_heat == AirHeat::BRITISH {
        Source::new(
            "air constant 0.33, British rounding of 1.2 kJ/m3K (MacKay, p. 289)",
            Evidence::Read,
        )
    } else if air_heat == AirHeat::EUROPEAN {
        Source::new("air constant 0.34, EN 12831 as quoted", Evidence::ReadSecondary)
    } else if air_heat == AirHeat::EXACT {
        Source::new("air constant 1.2 kg/m3 times 1000 J/kgK over 3600 s", Evidence::Computed)
    } else {
        Source::new("air constant as given in the question", Evidence::Fallback)
    }
}

fn reheat(room: &Room, rate_w_m2: f64) -> Option<Step> {
    if rate_w_m2 <= 0.0_f64 {
        return None;
    }
    Some(Step {
        part: StepPart::Reheat,
        what: "warming up after a set-back".to_owned(),
        amount: Measure { value: room.floor_m2(), unit: "m2" },
        rate: Measure { value: rate_w_m2, unit: "W/m2" },
        factor: 1.0,
        difference: None,
        watts: Watts::new(room.floor_m2() * rate_w_m2),
        source: Source::new("reheat allowance as given in the question", Evidence::Fallback),
    })
}

/// A step before its product is taken.
struct Line {
    part: StepPart,
    what: String,
    amount: Measure,
    rate: Measure,
    factor: f64,
    difference: f64,
    source: Source,
}

fn product(line: Line) -> Step {
    let Line { part, what, amount, rate, factor, difference, source } = line;
    let watts = Watts::new(amount.value * rate.value * factor * difference);
    Step {
        part,
        what,
        amount,
        rate,
        factor,
        difference: Some(Kelvins::new(difference)),
        watts,
        source,
    }
}

fn outdoor_difference(room: &Room) -> f64 {
    room.indoor.value() - room.outdoor.value()
}

fn weak_source(steps: &[Step]) -> Option<Notice> {
    let weakest = steps.iter().map(|step| step.source.evidence).max()?;
    (Evidence::Memory <= weakest).then(|| {
        let text = "Some figures of the sum were stated by the asker or are stand-ins; each step names its source.";
        Notice::new("figures-not-sourced", text)
    })
}

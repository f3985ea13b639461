//! How the rail is fed. Rails of one room are on one circuit: each has its own flex, fuse and connection unit, and the
//! circuit carries them together.

use crate::domain::catalogue::Role;
use crate::domain::quote::sheet::Sourced;
use crate::domain::quote::sheet::SupplyFigures;
use crate::domain::supply::Circuit;
use crate::domain::supply::CircuitAnswer;
use crate::domain::supply::Feed;
use crate::domain::supply::FeedAnswer;
use crate::domain::supply::feed;
use crate::domain::supply::flex::FlexSize;
use crate::domain::supply::fuse::FuseChoice;
use crate::domain::supply::fuse::FuseFault;
use crate::domain::supply::voltage_drop::VoltageDrop;
use crate::domain::zones::rules::ResidualDuty;
use crate::domain::zones::rules::WiringRules;

use super::Rail;
use super::fitting::flex_words;
use super::place::position;

/// A rail as a load on its circuit.
pub(super) fn fed(rail: &Rail<'_>) -> Feed {
    Feed {
        rating: rail.element.watts.required(),
        flex: flex_size(rail),
        flex_length_mm: i64::from(rail.element.flex.length.value()),
        maker_fuse: None,
        maker_fuse_max: None,
    }
}

/// How the rail of a place among the rails of its circuit is fed; without wiring rules only its load is known.
pub(super) fn supply(rail: &Rail<'_>, (feeds, index): (&[Feed], usize)) -> SupplyFigures {
    let wiring = rail.room.wiring;
    let circuit = Circuit {
        rails: feeds.to_vec(),
        cables: wiring.cables.iter().map(|(run, _words)| *run).collect(),
        device_a: wiring.device_a,
    };
    let Some(rules) = rail.room.around.rules else { return SupplyFigures::default() };
    let answer = feed(&circuit, rules);
    let Some(own) = answer.feeds.get(index) else { return SupplyFigures::default() };
    SupplyFigures {
        load: Some(load(own, &answer)),
        connection_unit: Some(unit(rail)),
        fuse: Some(protection(rail, (own, &answer))),
        residual: Some(residual(rules)),
        flex: Some(flex(rail, own)),
        cable: cable(rail),
        voltage_drop: Some(drop_words(rail, (&own.drop, feeds.len()))),
        advice: answer
            .advice
            .iter()
            .map(|advice| Sourced { text: advice.text.clone(), source: advice.source.clone() })
            .collect(),
    }
}

fn flex_size(rail: &Rail<'_>) -> Option<FlexSize> {
    FlexSize::of_hundredths(rail.element.flex.area_mm2_e2)
}

fn load(own: &FeedAnswer, answer: &CircuitAnswer) -> String {
    let [_low, high] = own.range;
    let mut words = format!(
        "{:.0} W, {:.2} A; at {:.0} V, the highest by statute in Great Britain, {:.0} W",
        own.nominal.power_w, own.nominal.current_a, high.volts, high.power_w
    );
    let (count, total) = (answer.feeds.len(), answer.total);
    if 1 < count {
        let together = format!(
            "; the {count} rails of the room together {:.0} W, {:.2} A, taken as one circuit",
            total.power_w, total.current_a
        );
        words.push_str(&together);
    }
    words
}

fn unit(rail: &Rail<'_>) -> String {
    let spot = position(rail).and_then(|position| position.unit).map(|unit| {
        format!(
            "on wall {}, {} mm from its start, lower edge {} mm above the floor",
            unit.wall_index, unit.centre_mm, unit.low_mm
        )
    });
    let spot = spot.unwrap_or_else(|| {
        "where it goes was not drawn: the electrician chooses a place that the zones allow"
            .to_owned()
    });
    let units = rail.controls().filter(|control| control.roles.has(Role::ConnectionUnit));
    let names: Vec<String> =
        units.map(|control| format!("{} {}", control.card.name, control.card.sku)).collect();
    if names.is_empty() {
        format!("none in the delivery; connection point {spot}")
    } else {
        format!("{}; {spot}", names.join(", "))
    }
}

fn protection(rail: &Rail<'_>, (own, answer): (&FeedAnswer, &CircuitAnswer)) -> String {
    if let Some(choice) = &own.fuse {
        return fuse_words(choice);
    }
    let mut least = answer.breaker_least_a.map_or_else(
        || "no common breaker carries the load".to_owned(),
        |least| format!("circuit breaker of at least {least} A"),
    );
    if 1 < answer.feeds.len() {
        least.push_str(" for the rails of the room together");
    }
    let Some(device) = rail.room.wiring.device_a else { return least };
    match answer.is_device_enough {
        Some(true) => format!("{least}; the stated {device} A carries the load"),
        Some(false) => format!("{least}; the stated {device} A does NOT carry the load"),
        None => least,
    }
}

fn fuse_words(choice: &FuseChoice) -> String {
    let Some(fuse) = choice.chosen else {
        return "no cartridge fuse carries the load: ask the maker".to_owned();
    };
    let custom = choice.customary.filter(|_| choice.exact != choice.customary);
    let custom =
        custom.map(|custom| format!("; custom would fit {} A up to 700 W", custom.ampere()));
    let custom = custom.unwrap_or_default();
    let mut words = format!("{} A cartridge fuse (BS 1362){custom}", fuse.ampere());
    for fault in &choice.faults {
        words.push_str(match fault {
            FuseFault::BelowLoad => "; it is BELOW the load",
            FuseFault::AboveFlex => "; it is ABOVE what the flex carries",
            FuseFault::AboveMaker => "; it is ABOVE what the maker permits",
        });
    }
    words
}

fn residual(rules: &WiringRules) -> String {
    match rules.circuit.residual {
        ResidualDuty::Required => "at most 30 mA, on the circuit: required".to_owned(),
        ResidualDuty::NotEstablished => {
            "at most 30 mA, on the circuit: asked for here, although no text was found".to_owned()
        }
    }
}

fn flex(rail: &Rail<'_>, own: &FeedAnswer) -> String {
    let enough = match own.is_flex_enough {
        Some(true) => "enough for the current and length",
        Some(false) => "TOO SMALL for the current and length",
        None => "whether it is enough is not established",
    };
    format!("{}, {}; {enough}", flex_words(rail), rail.element.flex.length)
}

fn cable(rail: &Rail<'_>) -> Option<String> {
    let pieces: Vec<&str> =
        rail.room.wiring.cables.iter().map(|(_run, words)| words.as_str()).collect();
    (!pieces.is_empty()).then(|| pieces.join(", then "))
}

fn drop_words(rail: &Rail<'_>, (drop, rails): (&VoltageDrop, usize)) -> String {
    // The flex alone says little: without the fixed cable the drop is not known.
    if rail.room.wiring.cables.is_empty() {
        return format!(
            "{:.2} V along the flex alone; the fixed cable was not stated, so the whole is to be worked out on site \
             (at most 11.5 V, 5 %, by BS 7671 appendix 4)",
            drop.volts
        );
    }
    let verdict = if drop.is_within_limit { "within" } else { "BEYOND" };
    let together = if 1 < rails { " with every rail of the room on" } else { "" };
    format!(
        "{:.2} V ({:.2} %) from the origin to the rail{together}, {verdict} the 11.5 V (5 %) of BS 7671 appendix 4",
        drop.volts, drop.percent
    )
}

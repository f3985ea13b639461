//! Ecodesign of towel rails: which control a rail must have so that it may be placed on the market.
//!
//! EU 2024/1103 names towel rails since 1 July 2025: a rail without its own control must be completed by one with listed
//! function codes. Efficiency is arithmetic on the code; its formula is inferred (the equations were not readable) and
//! agrees with every limit in the text and with a maker's compliance sheet. Confirm against the Official Journal.
//! Absent here: who declares conformity, packaging texts, spare parts, low-power limits.

mod control_code;
mod regime;

pub use control_code::ControlBase;
pub use control_code::ControlCode;
pub use control_code::ControlFunction;
pub use control_code::ControlFunctions;
pub use regime::Regime;
pub use regime::RegimeChoice;
pub use regime::choose_regime;

use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Watts;

/// Conversion coefficient of electricity, in tenths: 1.9 (Annex I (29)).
pub const CONVERSION_TENTHS: u32 = 19;

/// Basic share of the seasonal efficiency in thousandths: 0.75, inferred from the limits.
const BASE_THOUSANDTHS: u32 = 750;

/// Above these watts the stricter minimum holds (Annex II 1(1)).
pub const STRICT_ABOVE: Watts = Watts::new(250.0);

/// Up to these watts no efficiency is asked, but a working-time limit (Annex II 1(3)).
pub const TIMED_UP_TO: Watts = Watts::new(60.0);

/// Longest working-time limit, hours (Annex II 1(3)).
pub const WORKING_TIME_HOURS_MAX: f64 = 6.0;

/// A seasonal efficiency in tenths of a percent, as the law rounds it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Efficiency(u32);

impl Efficiency {
    /// An efficiency of tenths of a percent.
    pub const fn new(tenths_of_percent: u32) -> Self {
        Self(tenths_of_percent)
    }

    /// Percent.
    pub fn percent(self) -> f64 {
        f64::from(self.0) / 10.0_f64
    }
}

/// A minimum that a regulation sets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MinimumEfficiency {
    /// Which heater, kebab-case.
    pub heater: &'static str,
    /// The minimum.
    pub efficiency: Efficiency,
    /// Where it stands.
    pub source: Source,
}

const ANNEX_II: Source = Source::new("Regulation (EU) 2024/1103, Annex II 1(1)", Evidence::Read);
const OLD_ACT: Source = Source::new(
    "Regulation (EU) 2015/1188 in an EU-funded compliance guidance table",
    Evidence::ReadSecondary,
);
const INFERRED: Source = Source::new(
    "100 (0.75 + F(2) + F(3)) / 1.9, inferred from the limits of Regulation (EU) 2024/1103",
    Evidence::Inferred,
);
const TIME_LIMIT: Source = Source::new("Regulation (EU) 2024/1103, Annex II 1(3)", Evidence::Read);

const fn minimum(heater: &'static str, tenths: u32, source: Source) -> MinimumEfficiency {
    MinimumEfficiency { heater, efficiency: Efficiency(tenths), source }
}

/// The minimum of a towel rail above 250 W.
const TOWEL_RAIL_STRONG: Efficiency = Efficiency(460);
/// The minimum of a towel rail above 60 W and up to 250 W.
const TOWEL_RAIL_WEAK: Efficiency = Efficiency(421);

/// The minima of the two regulations, other heaters beside towel rails for comparison.
pub static MINIMUM_EFFICIENCIES: &[MinimumEfficiency] = &[
    minimum("towel-rail-above-250-w", TOWEL_RAIL_STRONG.0, ANNEX_II),
    minimum("towel-rail-up-to-250-w", TOWEL_RAIL_WEAK.0, ANNEX_II),
    minimum("fixed-above-250-w", 475, ANNEX_II),
    minimum("fixed-up-to-250-w", 431, ANNEX_II),
    minimum("portable", 447, ANNEX_II),
    minimum("2015-fixed-above-250-w", 380, OLD_ACT),
    minimum("2015-fixed-up-to-250-w", 340, OLD_ACT),
    minimum("2015-portable", 360, OLD_ACT),
    minimum("2015-storage", 385, OLD_ACT),
];

/// A rail as ecodesign sees it: element and control together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlledRail {
    /// Rating of the element.
    pub watts: Watts,
    /// Code of all its controls together.
    pub code: ControlCode,
    /// The preset working-time limit in hours, where one is stated.
    pub working_time_hours: Option<f64>,
}

/// What a regime demands of a rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Demand {
    /// At least this seasonal efficiency.
    Efficiency(Efficiency),
    /// A working-time limit of at most [`WORKING_TIME_HOURS_MAX`].
    WorkingTimeLimit,
    /// Nothing that we know of.
    Nothing,
}

/// A rail against its regime.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EcodesignVerdict {
    /// The regime judged by.
    pub regime: Regime,
    /// What it demands.
    pub demand: Demand,
    /// What the code gives.
    pub efficiency: Efficiency,
    /// Whether the demand is met; a demand of nothing is met.
    pub is_met: bool,
    /// Where the judgement comes from, and how well it is known.
    pub source: Source,
}

/// Seasonal efficiency of a towel rail by its control code (EU 2024/1103, inferred formula).
///
/// ```
/// use rungwright::domain::ecodesign::{ControlCode, seasonal_efficiency};
/// let percent = |code| seasonal_efficiency(ControlCode::parse(code).unwrap()).percent();
/// assert_eq!(percent("TE (0/0/0/0/0/0/0/8)"), 42.1);
/// // A presence sensor counts for other heaters, but never for a towel rail.
/// assert_eq!(percent("TE (1/0/0/0/0/0/0/0)"), percent("TE (0/0/0/0/0/0/0/0)"));
/// ```
pub fn seasonal_efficiency(code: ControlCode) -> Efficiency {
    let functions: u32 = code.functions.iter().map(ControlFunction::factor_thousandths).sum();
    let sum =
        BASE_THOUSANDTHS.saturating_add(code.base.factor_thousandths()).saturating_add(functions);
    // 100 x / 1000 / 1.9 percent is 10 x / 19 tenths of a percent; twice that plus a half rounds to the nearest.
    let doubled = sum.saturating_mul(20).saturating_add(CONVERSION_TENTHS);
    Efficiency(doubled.div_euclid(CONVERSION_TENTHS.saturating_mul(2)))
}

/// Seasonal efficiency of a fixed heater under the old regulation: 30 plus what the control adds (read second-hand).
pub fn seasonal_efficiency_2015(code: ControlCode) -> Efficiency {
    let base = match code.base {
        ControlBase::Nc | ControlBase::Tx => 0,
        ControlBase::Tm => 10,
        ControlBase::Te => 30,
        ControlBase::Td => 50,
        ControlBase::Tw => 70,
    };
    let counted =
        [ControlFunction::OpenWindow, ControlFunction::Distance, ControlFunction::AdaptiveStart];
    let functions: u32 =
        counted.into_iter().filter(|function| code.functions.has(*function)).map(|_| 10).sum();
    Efficiency(functions.saturating_add(base).saturating_add(300))
}

/// What EU 2024/1103 demands of a towel rail of these watts.
pub fn towel_rail_demand(watts: Watts) -> Demand {
    if STRICT_ABOVE < watts {
        Demand::Efficiency(TOWEL_RAIL_STRONG)
    } else if TIMED_UP_TO < watts {
        Demand::Efficiency(TOWEL_RAIL_WEAK)
    } else {
        Demand::WorkingTimeLimit
    }
}

/// Judges a rail under a regime.
///
/// ```
/// use rungwright::domain::ecodesign::{ControlCode, ControlledRail, Regime, check_control};
/// use rungwright::domain::units::Watts;
/// let day_timer = |watts| ControlledRail {
///     watts: Watts::new(watts),
///     code: ControlCode::parse("TD (0/0/0/0/0/0/0/0)").unwrap(),
///     working_time_hours: None,
/// };
/// // 250 W is still the weaker class, one watt more is not.
/// assert!(check_control(Regime::Eu2024, day_timer(250.0)).is_met);
/// assert!(!check_control(Regime::Eu2024, day_timer(251.0)).is_met);
/// ```
pub fn check_control(regime: Regime, rail: ControlledRail) -> EcodesignVerdict {
    let efficiency = seasonal_efficiency(rail.code);
    let (demand, source) = match regime {
        Regime::Eu2024 => {
            let demand = towel_rail_demand(rail.watts);
            (demand, if demand == Demand::WorkingTimeLimit { TIME_LIMIT } else { INFERRED })
        }
        Regime::Gb2015 | Regime::Unregulated => (Demand::Nothing, regime.source()),
    };
    let is_met = match demand {
        Demand::Efficiency(minimum) => minimum <= efficiency,
        Demand::WorkingTimeLimit => is_time_limited(rail),
        Demand::Nothing => true,
    };
    EcodesignVerdict { regime, demand, efficiency, is_met, source }
}

impl Regime {
    /// Whether a rail of these watts and this code may be sold, its working-time limit not being stated in hours.
    ///
    /// So a heater of up to 60 W is not accepted by its code alone: [`check_control`] takes the hours.
    pub fn accepts(self, code: ControlCode, watts: Watts) -> bool {
        check_control(self, ControlledRail { watts, code, working_time_hours: None }).is_met
    }
}

/// A limit that is not stated in hours is not known to be short enough.
fn is_time_limited(rail: ControlledRail) -> bool {
    let is_short = rail.working_time_hours.is_some_and(|hours| hours <= WORKING_TIME_HOURS_MAX);
    is_short && rail.code.functions.has(ControlFunction::WorkingTimeLimit)
}

/// One row of the list of controls that may complete a rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Completion {
    /// The base that the added control has.
    pub base: ControlBase,
    /// How many functions it must bring.
    pub functions_count: usize,
    /// The functions that count and are not there yet.
    pub of: ControlFunctions,
}

impl Completion {
    /// Whether a control's code satisfies this row.
    pub fn admits(&self, code: ControlCode) -> bool {
        let counted = code.functions.iter().filter(|function| self.of.has(*function)).count();
        code.base == self.base && self.functions_count <= counted
    }
}

/// What a body with an element that has the `present` code may be completed with, under EU 2024/1103: one row per base that
/// can reach the minimum, with the fewest functions that do.
///
/// A rail that needs nothing gets a row of its own base with no functions. A heater of up to 60 W is judged by its
/// working-time limit, so the only counted function is f5.
///
/// ```
/// use rungwright::domain::ecodesign::{ControlCode, complete_with};
/// use rungwright::domain::units::Watts;
/// let rows = complete_with(Watts::new(600.0), ControlCode::UNCONTROLLED);
/// let short: Vec<_> = rows.iter().map(|row| (row.base.code(), row.functions_count)).collect();
/// // No control and five functions is still too little above 250 W.
/// assert_eq!(short, [("TX", 5), ("TM", 5), ("TE", 5), ("TD", 2), ("TW", 0)]);
/// ```
pub fn complete_with(watts: Watts, present: ControlCode) -> Vec<Completion> {
    let demand = towel_rail_demand(watts);
    ControlBase::ALL.into_iter().filter_map(|base| completion(demand, present, base)).collect()
}

fn completion(demand: Demand, present: ControlCode, base: ControlBase) -> Option<Completion> {
    match demand {
        Demand::Nothing => None,
        Demand::WorkingTimeLimit => {
            let of = ControlFunctions::of(&[ControlFunction::WorkingTimeLimit])
                .without(present.functions);
            Some(Completion { base, functions_count: of.iter().count(), of })
        }
        Demand::Efficiency(minimum) => {
            let of = ControlFunctions::COUNTED.without(present.functions);
            let mut code = present.union(ControlCode { base, functions: ControlFunctions::NONE });
            let mut missing = of.iter();
            let mut functions_count = 0_usize;
            while seasonal_efficiency(code) < minimum {
                code.functions = code.functions.with(missing.next()?);
                functions_count = functions_count.saturating_add(1);
            }
            Some(Completion { base, functions_count, of })
        }
    }
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    fn rows(watts: f64, present: &str) -> Vec<(&'static str, usize)> {
        let present = ControlCode::parse(present).unwrap();
        let rows = complete_with(Watts::new(watts), present);
        rows.iter().map(|row| (row.base.code(), row.functions_count)).collect()
    }

    #[test]
    fn the_weaker_class_asks_for_what_the_compliance_sheet_lists() {
        let expected = [("NC", 3), ("TX", 1), ("TM", 1), ("TE", 1), ("TD", 0), ("TW", 0)];
        assert_eq!(rows(200.0, "NC (0/0/0/0/0/0/0/0)"), expected);
    }

    #[test]
    fn functions_already_in_the_element_are_counted() {
        let expected = [("NC", 2), ("TX", 0), ("TM", 0), ("TE", 0), ("TD", 0), ("TW", 0)];
        assert_eq!(rows(200.0, "NC (0/0/0/0/5/0/0/0)"), expected);
    }

    fn is_met(watts: f64, row: Completion, functions_count: usize) -> bool {
        let functions = row.of.iter().take(functions_count);
        let functions = functions.fold(ControlFunctions::NONE, ControlFunctions::with);
        let code = ControlCode { base: row.base, functions };
        let rail = ControlledRail { watts: Watts::new(watts), code, working_time_hours: None };
        check_control(Regime::Eu2024, rail).is_met
    }

    #[test]
    fn every_completion_row_meets_the_demand_and_one_function_fewer_does_not() {
        for watts in [100.0, 400.0] {
            for row in complete_with(Watts::new(watts), ControlCode::UNCONTROLLED) {
                let count = row.functions_count;
                assert!(is_met(watts, row, count), "{row:?}");
                assert!(count == 0 || !is_met(watts, row, count - 1), "{row:?}");
            }
        }
    }

    #[test]
    fn a_small_heater_lives_by_its_working_time_limit() {
        let rail = |code, working_time_hours| {
            let code = ControlCode::parse(code).unwrap();
            let rail = ControlledRail { watts: Watts::new(60.0), code, working_time_hours };
            check_control(Regime::Eu2024, rail).is_met
        };
        assert!(rail("NC (0/0/0/0/5/0/0/0)", Some(6.0)));
        assert!(!rail("NC (0/0/0/0/5/0/0/0)", Some(6.5)));
        assert!(!rail("NC (0/0/0/0/5/0/0/0)", None), "a limit not stated is not known");
        assert!(!rail("TW (0/0/0/0/0/0/0/0)", Some(6.0)), "a week timer is no limit");
    }

    #[test]
    fn great_britain_demands_nothing_that_we_know_of() {
        let code = ControlCode::UNCONTROLLED;
        let rail = ControlledRail { watts: Watts::new(600.0), code, working_time_hours: None };
        let verdict = check_control(Regime::Gb2015, rail);
        assert_eq!((verdict.demand, verdict.is_met), (Demand::Nothing, true));
        assert_eq!(verdict.source.evidence, Evidence::Memory);
    }
}

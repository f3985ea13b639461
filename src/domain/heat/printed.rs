//! A heat requirement in printed tenths of a watt, chosen so that the printed steps add up to the printed total.
//!
//! Each step rounded on its own would leave the sum a few tenths off; here the total is rounded first and the steps
//! share the rest by largest remainder, so none is more than a tenth from its true figure. Absent here: text.

use std::collections::BTreeSet;

use crate::domain::heat::HeatRequirement;
use crate::domain::heat::StepPart;
use crate::domain::units::Deciwatts;
use crate::domain::units::Watts;

/// The figures of a heat requirement as they are printed and compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedHeat {
    /// Never below zero, rounded up: a need is not understated.
    pub required: Deciwatts,
    /// Sum of the printed steps; equal to `required` unless neighbours give more than the room loses.
    pub balance: Deciwatts,
    /// Sum of the printed steps through surfaces.
    pub transmission: Deciwatts,
    /// Sum of the printed steps with the air.
    pub ventilation: Deciwatts,
    /// Sum of the printed steps of bridges.
    pub bridges: Deciwatts,
    /// Sum of the printed steps of reheat.
    pub reheat: Deciwatts,
    /// The quick rule, rounded up.
    pub quick_rule: Deciwatts,
    /// One figure per step, in the order of the steps.
    pub steps: Vec<Deciwatts>,
}

impl HeatRequirement {
    /// The figures as they are printed.
    pub fn printed(&self) -> PrintedHeat {
        let balance = self.balance.required();
        let exact: Vec<Watts> = self.steps.iter().map(|step| step.watts).collect();
        let steps = apportion(&exact, balance);
        let part = |part: StepPart| {
            let of_part = self.steps.iter().zip(&steps).filter(|(step, _)| step.part == part);
            Deciwatts::new(of_part.map(|(_, tenths)| tenths.value()).sum())
        };
        PrintedHeat {
            required: self.required.required(),
            balance,
            transmission: part(StepPart::Transmission),
            ventilation: part(StepPart::Ventilation),
            bridges: part(StepPart::Bridges),
            reheat: part(StepPart::Reheat),
            quick_rule: self.quick_rule.required(),
            steps,
        }
    }
}

/// Rounds every figure down, then raises those with the largest remainders by a tenth until the total is met.
fn apportion(exact: &[Watts], total: Deciwatts) -> Vec<Deciwatts> {
    let floors: Vec<Deciwatts> = exact.iter().map(|watts| watts.delivered()).collect();
    let sum: i64 = floors.iter().map(|tenths| tenths.value()).sum();
    let missing = usize::try_from(total.value().saturating_sub(sum)).unwrap_or_default();
    let raised = largest_remainders(exact, &floors, missing);
    let raise = |(index, tenths): (usize, &Deciwatts)| {
        Deciwatts::new(tenths.value().saturating_add(i64::from(raised.contains(&index))))
    };
    floors.iter().enumerate().map(raise).collect()
}

fn largest_remainders(exact: &[Watts], floors: &[Deciwatts], count: usize) -> BTreeSet<usize> {
    let remainder = |(watts, tenths): (&Watts, &Deciwatts)| watts.value() - tenths.watts();
    let mut order: Vec<(usize, f64)> =
        exact.iter().zip(floors).map(remainder).enumerate().collect();
    order.sort_by(|left, right| right.1.total_cmp(&left.1).then(left.0.cmp(&right.0)));
    order.into_iter().take(count).map(|(index, _)| index).collect()
}

#[cfg(test)]
#[expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
mod tests {
    use super::*;

    fn check(exact: &[f64], total: i64, expected: &[i64]) {
        let exact: Vec<Watts> = exact.iter().copied().map(Watts::new).collect();
        let found = apportion(&exact, Deciwatts::new(total));
        let found: Vec<i64> = found.into_iter().map(Deciwatts::value).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn three_thirds_of_a_tenth_are_printed_as_one_tenth_in_all() {
        check(&[10.0 + 0.1 / 3.0, 10.0 + 0.1 / 3.0, 10.0 + 0.1 / 3.0], 301, &[101, 100, 100]);
    }

    #[test]
    fn a_negative_step_takes_its_share_of_the_rounding() {
        check(&[100.06, -20.04], 801, &[1_001, -200]);
    }
}

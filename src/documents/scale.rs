//! A scale: from values to places on paper, with round values to mark.
//!
//! Absent here: lines and texts.
#![expect(clippy::default_numeric_fallback, reason = "every decimal here is a plain f64")]

/// Values from a first to a last, laid along a stretch of paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// First and last value.
    pub values: [f64; 2],
    /// Where they stand.
    pub places: [f64; 2],
}

/// Most marks on a scale.
const MARKS_MAX: usize = 40;

impl Scale {
    /// Where a value stands.
    pub(super) fn place(&self, value: f64) -> f64 {
        let [first, last] = self.values;
        let [from, to] = self.places;
        from + (value - first) / (last - first) * (to - from)
    }

    /// Round values inside the scale, about so many.
    pub(super) fn marks(&self, about: f64) -> Vec<f64> {
        let [first, last] = self.values;
        let step = round_step((last - first) / about);
        let start = libm::ceil(first / step - SLACK);
        let values = (0..MARKS_MAX).scan(start, |count, _| {
            let value = *count * step;
            *count += 1.0;
            Some(value)
        });
        values.take_while(|value| *value <= last + step * SLACK).collect()
    }
}

/// Keeps a mark at the end of a scale that binary fractions would push out.
const SLACK: f64 = 1e-9;

/// The step 1, 2 or 5 times a power of ten that is not below a value.
pub(super) fn round_step(least: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(least.max(1e-9))));
    let steps = [1.0, 2.0, 5.0, 10.0];
    let suits =
        steps.into_iter().map(|step| step * power).find(|step| least <= *step + SLACK * power);
    suits.unwrap_or(power * 10.0)
}

/// The next round value that is not below one, in steps that cut it into about so many.
pub(super) fn round_up(value: f64, about: f64) -> f64 {
    let step = round_step(value / about);
    libm::ceil(value / step - SLACK) * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_inside() {
        let scale = Scale { values: [18.0, 61.0], places: [0.0, 430.0] };
        assert_eq!(scale.marks(5.0), [20.0, 30.0, 40.0, 50.0, 60.0]);
        assert!((scale.place(28.0) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn the_end_of_a_scale_is_rounded_up() {
        assert!((round_up(313.0, 5.0) - 400.0).abs() < 1e-9);
        assert!((round_up(300.0, 5.0) - 300.0).abs() < 1e-9);
    }
}

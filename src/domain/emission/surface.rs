//! How hot a rail may feel: the figures that guidance gives, and the notice with what output remains below them.
//!
//! The surface counts as warm as the fluid: the wall's own drop is some hundredths of a kelvin. Temperature limits of
//! IEC 60335-2-43 and the tables of EN ISO 13732-1 are not encoded: nobody here has read them.
//! Absent here: who the users are, and which rule then refuses (`compatibility`).

use crate::domain::emission::ElementDrive;
use crate::domain::emission::Emitter;
use crate::domain::emission::element_watts_max;
use crate::domain::emission::steady_state;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::notice::Notice;
use crate::domain::units::Celsius;
use crate::domain::units::Watts;

/// The surface temperature above which vulnerable people may be burnt.
pub const VULNERABLE_SURFACE: Celsius = Celsius::new(43.0);

/// A figure of the guidance, with where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceFact {
    /// Stable code.
    pub code: &'static str,
    /// The figure.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Where it stands.
    pub source: Source,
}

const fn fact(code: &'static str, value: f64, unit: &'static str, source: Source) -> SurfaceFact {
    SurfaceFact { code, value, unit, source }
}

/// What guidance says about heat and skin.
pub static SURFACE_FACTS: &[SurfaceFact] = &[
    fact(
        "vulnerable-surface-max",
        VULNERABLE_SURFACE.value(),
        "°C",
        Source::new(
            "HSE HSG220, Health and safety in care homes, paragraph 154",
            Evidence::ReadSecondary,
        ),
    ),
    fact("bath-water-max", 44.0, "°C", Source::new("HSE HSIS6", Evidence::Read)),
    fact("contact-time-industrial", 5.0, "s", Source::new("ASTM C1055, 1.4", Evidence::Read)),
    fact("contact-time-consumer", 60.0, "s", Source::new("ASTM C1055, 1.4", Evidence::Read)),
];

/// The surface of a pair at work, against the limit for vulnerable people.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceAnswer {
    /// Hottest surface in the steady state.
    pub surface: Celsius,
    /// Output that the pair has left with its fluid held at the limit.
    pub output_at_limit: Watts,
    /// That output as a share of the rated output.
    pub share_of_rated: f64,
    /// The caution, when the surface exceeds the limit.
    pub notice: Option<Notice>,
}

/// Compares the steady surface with [`VULNERABLE_SURFACE`].
///
/// ```
/// use rungwright::domain::emission::surface::check_surface;
/// use rungwright::domain::emission::{ElementDrive, Emitter};
/// use rungwright::domain::units::{Celsius, Watts};
/// let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
/// let locked = ElementDrive { watts: Watts::new(600.0), set_point: Some(Celsius::new(43.0)) };
/// // Just at the limit is allowed; what it costs in heat is said all the same.
/// let answer = check_surface(&body, locked, Celsius::new(22.0));
/// assert_eq!(answer.notice, None);
/// assert!((answer.share_of_rated - 0.338).abs() < 0.001);
/// ```
pub fn check_surface(emitter: &Emitter, drive: ElementDrive, room: Celsius) -> SurfaceAnswer {
    let surface = steady_state(emitter, drive, room).fluid;
    let shed = element_watts_max(emitter, VULNERABLE_SURFACE, room);
    let output_at_limit = if shed < drive.watts { shed } else { drive.watts };
    let share_of_rated = output_at_limit.value() / emitter.rated.value();
    let answer = SurfaceAnswer { surface, output_at_limit, share_of_rated, notice: None };
    if surface <= VULNERABLE_SURFACE {
        return answer;
    }
    SurfaceAnswer { notice: Some(hot_notice(&answer)), ..answer }
}

fn hot_notice(answer: &SurfaceAnswer) -> Notice {
    let text = format!(
        "The surface can reach {:.0} °C. Where a vulnerable person may touch it, guidance (HSE HSG220, quoted second-hand) \
         asks for no more than 43 °C; held there, the pair gives {:.0} W in this room, {:.0} % of the rated output.",
        answer.surface.value(),
        libm::floor(answer.output_at_limit.value()),
        libm::floor(answer.share_of_rated * 100.0),
    );
    Notice::new("surface-hot", text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hot_surface_is_named_with_what_a_cool_one_would_give() {
        let body = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
        let drive = ElementDrive { watts: Watts::new(300.0), set_point: None };
        let answer = check_surface(&body, drive, Celsius::new(22.0));
        let text = answer.notice.map(|notice| notice.text).unwrap_or_default();
        assert!(text.contains("can reach 58 °C"), "{text}");
        assert!(text.contains("gives 152 W"), "{text}");
    }
}

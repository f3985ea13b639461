//! Mechanical fit on the wall as findings: what the wall carries with the rail filled.
//!
//! Absent here: the limits (`mounting`).

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Severity;
use crate::domain::mounting::Burden;
use crate::domain::mounting::Check;
use crate::domain::mounting::Finding as Found;
use crate::domain::mounting::UNKNOWN_WALL_MAX_G;
use crate::domain::mounting::WallType;
use crate::domain::mounting::check_wall;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::pair::pair_fill;
use super::surroundings::Place;

/// Wet towels reckoned on a rail (common practice, no source).
pub const TOWELS_USUAL: i64 = 2;
/// Heaviest fluid of a fill, grams a litre: water and glycol at room temperature, rounded up (from memory).
const FLUID_G_PER_LITRE: f64 = 1_040.0;

/// A mounting check as a finding: its rule code and its two sides.
pub(super) fn of_check(
    check: &Check,
    (rule, [left, right]): (&'static str, [StatedSide; 2]),
) -> Finding {
    Finding {
        rule: rule.into(),
        outcome: match check.finding {
            Found::Holds => Outcome::Holds,
            Found::Warns => Outcome::Warns,
            Found::NotEstablished => Outcome::NotEstablished,
            Found::Refused => Outcome::Clashes,
        },
        severity: match check.finding {
            Found::Holds | Found::Warns | Found::NotEstablished => Severity::Warn,
            Found::Refused => Severity::Refuse,
        },
        detail: format!("{}.", capitalised(&check.text)),
        left,
        right,
        source: check.source.clone(),
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Rule `wall-loading`: the filled rail with wet towels on its brackets.
///
/// Nothing is said of a wall that nobody described as long as the rail is light; a heavy one is a question for a person.
pub fn check_wall_load(body: &Body, element: &Element, place: &Place) -> Option<Finding> {
    let burden = Burden {
        dry_g: grams(body.content.dry_mass.value() * 1_000.0_f64),
        fluid_g: grams(pair_fill(body, Some(element)).volume().value() * FLUID_G_PER_LITRE),
        towels: TOWELS_USUAL,
        fixings: i64::from(body.bracket_count),
    };
    // A body without brackets of its own is fixed in a way that its data do not tell.
    if burden.fixings == 0 {
        return None;
    }
    let wall = place.wall_type.unwrap_or(WallType::Unknown);
    if place.wall_type.is_none() && burden.total_g() <= UNKNOWN_WALL_MAX_G {
        return None;
    }
    let mass = format!(
        "{} g filled, with {TOWELS_USUAL} wet towels, without the element",
        burden.total_g()
    );
    let left = StatedSide::part(&body.card.sku, "mass on the wall", Some(mass));
    let right = StatedSide::demand("wall_type", wall.code().to_owned());
    Some(of_check(&check_wall(&burden, wall), ("wall-loading", [left, right])))
}

#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "some kilograms, rounded up; the cast saturates"
)]
fn grams(grams: f64) -> i64 {
    libm::ceil(grams) as i64
}

//! The users' protection: how hot a surface within reach may be, what must be lockable, how low a tube may sit.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Regulation;
use crate::domain::catalogue::Severity;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Celsius;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::surroundings::CHILD_HEIGHT;
use super::surroundings::LOW_SURFACE;
use super::surroundings::Place;
use super::surroundings::Users;

/// The set point at which a pair's output is taken for these users.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Working {
    /// The element's own highest set point; nothing when it has none.
    AsMade(Option<Celsius>),
    /// Held at a set point that the installer locks in or the factory fixed.
    Held(Celsius),
    /// These users are not protected by this pair.
    NotProtected,
}

impl Working {
    /// The set point, if the pair works for these users at all and has one.
    pub const fn set_point(self) -> Option<Celsius> {
        match self {
            Self::AsMade(set_point) => set_point,
            Self::Held(set_point) => Some(set_point),
            Self::NotProtected => None,
        }
    }
}

/// At which set point a pair works for these users.
///
/// Vulnerable people: at most 43 °C, locked in or fixed, or a guard. Children and the public: lockable, or the same.
/// Where a lock is what protects, the output is taken at the locked set point.
pub fn working(body: &Body, element: &Element, users: Users) -> Working {
    // A guard keeps hands off, so that the element may work as it was made.
    working_bare(element, if body.is_guarded { Users::default() } else { users })
}

/// [`working`] in a body without a guard.
pub fn working_bare(element: &Element, users: Users) -> Working {
    let as_made = Working::AsMade(element.regulation.set_point_max());
    if !users.need_protection() {
        return as_made;
    }
    let held = match element.regulation {
        Regulation::Fixed { set_point } => set_point.filter(|found| *found <= LOW_SURFACE),
        Regulation::Adjustable { lockable_at, .. } => lockable_at,
    };
    match held {
        Some(held) if !users.vulnerable || held <= LOW_SURFACE => Working::Held(held),
        Some(_) | None => Working::NotProtected,
    }
}

/// Rules `surface-too-hot` and `heat-not-lockable`.
pub fn check_users(body: &Body, element: &Element, users: Users) -> Option<Finding> {
    if !users.need_protection() {
        return None;
    }
    let outcome = match working(body, element, users) {
        Working::AsMade(_) | Working::Held(_) => Outcome::Holds,
        Working::NotProtected => Outcome::Clashes,
    };
    let (rule, demand, source) = if users.vulnerable {
        (
            "surface-too-hot",
            "Vulnerable people need a surface of at most 43 °C, fixed or locked in, or a guard.",
            Source::new(
                "HSE HSG220 paragraph 154, quoted in a secondary page",
                Evidence::ReadSecondary,
            ),
        )
    } else {
        (
            "heat-not-lockable",
            "Children and the public need a lockable element, at most 43 °C, or a guard.",
            Source::new("common practice, no source", Evidence::Practice),
        )
    };
    let guarded = if body.is_guarded { "guarded" } else { "not guarded" };
    let left = StatedSide::part(&element.card.sku, "set point", held_text(element));
    let right = StatedSide::part(&body.card.sku, "body.guarded", Some(guarded.to_owned()));
    let detail = format!("{demand} Here {left}, and the body is {guarded}.");
    let rule = rule.into();
    Some(Finding { rule, outcome, severity: Severity::Refuse, detail, left, right, source })
}

fn held_text(element: &Element) -> Option<String> {
    match element.regulation {
        Regulation::Fixed { set_point } => set_point.map(|found| format!("fixed at {found}")),
        Regulation::Adjustable { set_point_max, lockable_at, .. } => Some(lockable_at.map_or_else(
            || format!("adjustable to {set_point_max}, not lockable"),
            |locked| format!("lockable at {locked}"),
        )),
    }
}

/// Height of the lowest heated tube with the body as high on its wall space as can be.
fn highest_tube(body: &Body, place: &Place) -> Option<i32> {
    let lift = place.wall_bottom?.value().saturating_add(place.wall_height?.value());
    Some(
        lift.saturating_sub(body.size.height.value()).saturating_add(body.size.lowest_tube.value()),
    )
}

/// Whether [`check_child_height`] lets the body pass, without the reasons.
pub fn child_height_passes(body: &Body, place: &Place, users: Users) -> bool {
    !users.children || highest_tube(body, place).is_none_or(|height| CHILD_HEIGHT.value() <= height)
}

/// Rule `tube-too-low`: where children are, the lowest heated tube keeps 600 mm above the floor.
///
/// Without the height of the wall space nobody can say; the finding then says so and does not refuse, because the
/// installer chooses the height.
pub fn check_child_height(body: &Body, place: &Place, users: Users) -> Option<Finding> {
    if !users.children {
        return None;
    }
    let highest = highest_tube(body, place);
    let (outcome, severity) = match highest {
        None => (Outcome::NotEstablished, Severity::Warn),
        Some(height) if CHILD_HEIGHT.value() <= height => (Outcome::Holds, Severity::Refuse),
        Some(_) => (Outcome::Clashes, Severity::Refuse),
    };
    let value = highest.map(|height| format!("{height} mm at the highest position"));
    let left = StatedSide::part(&body.card.sku, "height of the lowest heated tube", value);
    let right = StatedSide::demand("least height", CHILD_HEIGHT.to_string());
    Some(Finding {
        rule: "tube-too-low".into(),
        outcome,
        severity,
        detail: format!(
            "Where children are, the lowest heated tube keeps {CHILD_HEIGHT}. Here {left}."
        ),
        left,
        right,
        source: Source::new(
            "IEC 60335-2-43 clause 7.12.1 (wording from memory, figure read in a sheet tested to AS/NZS 60335.2.43)",
            Evidence::ReadSecondary,
        ),
    })
}

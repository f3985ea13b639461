//! The place on the wall: does it fit, does the flex reach, may it hang in that zone.

use crate::domain::catalogue::Body;
use crate::domain::catalogue::Element;
use crate::domain::catalogue::Severity;
use crate::domain::evidence::Evidence;
use crate::domain::evidence::Source;
use crate::domain::units::Millimetres;

use super::finding::Finding;
use super::finding::Outcome;
use super::finding::StatedSide;
use super::surroundings::FLEX_SLACK;
use super::surroundings::Place;

/// Whether [`check_width`] lets the body pass, without the reasons.
pub fn width_passes(body: &Body, place: &Place) -> bool {
    place.wall_width.is_none_or(|wall| body.size.width <= wall)
}

/// Rule `body-too-wide`.
pub fn check_width(body: &Body, place: &Place) -> Option<Finding> {
    let wall = place.wall_width?;
    let width = body.size.width;
    Some(geometry(
        "body-too-wide",
        width_passes(body, place),
        "The body must fit the free width of the wall.",
        [
            StatedSide::part(&body.card.sku, "body.width_mm", Some(width.to_string())),
            StatedSide::demand("wall_width_mm", wall.to_string()),
        ],
    ))
}

/// Rule `rails-too-wide`: rails that share a wall space fit it with a gap between every two.
pub fn check_side_by_side(bodies: &[&Body], gap: Millimetres, place: &Place) -> Option<Finding> {
    let wall = place.wall_width?;
    let first = bodies.first()?;
    let gaps = bodies.iter().skip(1).fold(0_i32, |sum, _| sum.saturating_add(gap.value()));
    let width = bodies.iter().fold(gaps, |sum, body| sum.saturating_add(body.size.width.value()));
    let width = Millimetres::new(width);
    Some(geometry(
        "rails-too-wide",
        width <= wall,
        "Rails side by side must fit the free width of the wall with their gaps.",
        [
            StatedSide::part(
                &first.card.sku,
                "width of all rails with gaps",
                Some(width.to_string()),
            ),
            StatedSide::demand("wall_width_mm", wall.to_string()),
        ],
    ))
}

/// Height that a body takes on the wall with the element's head below it.
pub fn height_with_head(body: &Body, element: &Element) -> Millimetres {
    let head = element.shape.head_length.value();
    Millimetres::new(body.size.height.value().saturating_add(head))
}

/// Rule `body-too-high`: body and element head together fit the free height of the wall.
pub fn check_height(body: &Body, element: &Element, place: &Place) -> Option<Finding> {
    let wall = place.wall_height?;
    let height = height_with_head(body, element);
    Some(geometry(
        "body-too-high",
        height <= wall,
        "The body with the element's head below it must fit the free height of the wall.",
        [
            StatedSide::part(&body.card.sku, "height with head", Some(height.to_string())),
            StatedSide::demand("wall_height_mm", wall.to_string()),
        ],
    ))
}

/// The flex that a route takes, with its slack.
fn flex_needed(route: Millimetres) -> Millimetres {
    Millimetres::new(route.value().saturating_add(FLEX_SLACK.value()))
}

/// Whether [`check_flex`] lets the element pass, without the reasons.
pub fn flex_passes(element: &Element, place: &Place) -> bool {
    place.connection_distance.is_none_or(|route| flex_needed(route) <= element.flex.length)
}

/// Rule `flex-too-short`: the flex covers its route and keeps some slack.
pub fn check_flex(element: &Element, place: &Place) -> Option<Finding> {
    let route = place.connection_distance?;
    let length = element.flex.length;
    let route = format!("{route} and {FLEX_SLACK} of slack");
    Some(geometry(
        "flex-too-short",
        flex_passes(element, place),
        "The flex must reach the connection point; it is never joined on the way.",
        [
            StatedSide::part(&element.card.sku, "element.flex_length_mm", Some(length.to_string())),
            StatedSide::demand("connection_distance_mm", route),
        ],
    ))
}

/// Rule `element-on-wrong-side`: the body takes the element on the side that the place asks for.
pub fn check_side(body: &Body, place: &Place) -> Finding {
    let (offered, wanted) = (body.ports.element_side, place.side);
    geometry(
        "element-on-wrong-side",
        offered.serves(wanted),
        "The body must take the element on the side of the connection.",
        [
            StatedSide::part(&body.card.sku, "body.element_side", Some(offered.word().to_owned())),
            StatedSide::demand("side", wanted.word().to_owned()),
        ],
    )
}

fn geometry(
    rule: &'static str,
    holds: bool,
    demand: &str,
    [left, right]: [StatedSide; 2],
) -> Finding {
    Finding {
        rule: rule.into(),
        outcome: if holds { Outcome::Holds } else { Outcome::Clashes },
        severity: Severity::Refuse,
        detail: format!("{demand} Here {left}, {right}."),
        left,
        right,
        source: Source::new("geometry of the place; slack by common practice", Evidence::Computed),
    }
}

//! What the rails of a bill come to together: the values of demands that they would just meet.
#![expect(clippy::indexing_slicing, reason = "places of bodies within the snapshot")]

use crate::domain::compatibility::CHILD_HEIGHT;
use crate::domain::compatibility::FLEX_SLACK;

use super::best::Bundle;
use super::question::Question;
use super::several::GAP_MM;

/// What a bill comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Measures {
    /// Net price.
    pub net: i64,
    /// Tenths of a watt.
    pub delivered: i64,
    /// Of the rails with the gaps between them.
    pub width: i32,
    /// The least height of the wall space.
    pub height: i32,
    /// The farthest that the connection point may be.
    pub route: i32,
}

impl Measures {
    /// Of a bundle that answers a question.
    pub(super) fn of(question: &Question<'_>, bundle: &Bundle) -> Self {
        let surroundings = &question.demands.surroundings;
        let bottom = surroundings.place.wall_bottom.filter(|_| surroundings.users.children);
        let mut measures = Self {
            net: bundle.net,
            delivered: bundle.delivered,
            width: 0,
            height: 0,
            route: i32::MAX,
        };
        for (place, rail) in bundle.rails.iter().take(bundle.count).enumerate() {
            let body = &question.index.bodies[rail.body];
            let gap = if place == 0 { 0_i32 } else { GAP_MM };
            measures.width = measures.width.saturating_add(gap).saturating_add(body.width);
            let element = question.index.element_row(rail.element);
            let head = element.map_or(i32::MAX, |element| element.head);
            measures.height = body.height.saturating_add(head).max(measures.height);
            if let Some(bottom) = bottom {
                // Children are safe below a wall space whose top is no nearer to the lowest heated tube.
                let hang = body.hang.saturating_add(CHILD_HEIGHT.value());
                measures.height = hang.saturating_sub(bottom.value()).max(measures.height);
            }
            let flex = element.map_or(i32::MIN, |element| element.flex);
            measures.route = flex.saturating_sub(FLEX_SLACK.value()).min(measures.route);
        }
        measures
    }
}

//! The values of lengths and of heat nearest to what is asked that help.
//!
//! Lengths are found to the millimetre and heat to the tenth of a watt: what one step allows, a longer step allows too,
//! be it a width, a reach or how many covers a flex takes. So both the extreme of all rails and halving are exact.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::compatibility::Place;
use crate::domain::conflict::Demand;
use crate::domain::resolver::demands::Demands;
use crate::domain::resolver::finding::Met;
use crate::domain::resolver::measures::Measures;
use crate::domain::resolver::reach::Goal;
use crate::domain::units::Deciwatts;
use crate::domain::units::Millimetres;

use super::offers::Exhausted;
use super::offers::Offers;
use super::offers::Reached;
use super::offers::Step;
use super::words;

/// The widest wall that a request may state, millimetres (`WALL_WIDTH_MM` of `units`).
const WALL_WIDTH_MAX: i32 = 10_000;

/// The highest wall that a request may state, millimetres (`WALL_HEIGHT_MM` of `units`).
const WALL_HEIGHT_MAX: i32 = 5_000;

/// Where a length of the place is stated.
type Lever = fn(&mut Place) -> &mut Option<Millimetres>;

/// The value of a demand that a bill would just do with; nothing where more than the value counts.
type Meter = fn(&Demands<'_>, &Measures) -> Option<i64>;

/// A length of the place.
pub(super) struct Length {
    demand: Demand,
    farthest: i32,
    lever: Lever,
    met: Meter,
    goal: Option<Goal>,
}

pub(super) const WALL_WIDTH: Length = Length {
    demand: Demand::WallWidth,
    farthest: WALL_WIDTH_MAX,
    lever: |place| &mut place.wall_width,
    met: |_, measures| Some(measures.width.into()),
    goal: Some(Goal::Narrowest),
};

pub(super) const WALL_HEIGHT: Length = Length {
    demand: Demand::WallHeight,
    farthest: WALL_HEIGHT_MAX,
    lever: |place| &mut place.wall_height,
    met: |_, measures| Some(measures.height.into()),
    goal: None,
};

pub(super) const CONNECTION_DISTANCE: Length = Length {
    demand: Demand::ConnectionDistance,
    farthest: 0,
    lever: |place| &mut place.connection_distance,
    // A longer route may take more covers, which are not to be had or too dear.
    met: |demands, measures| (!covers_flex(demands)).then_some(measures.route.into()),
    goal: None,
};

fn covers_flex(demands: &Demands<'_>) -> bool {
    demands.surroundings.users.need_protection()
        || demands.preferences.flex_cover
        || demands.preferences.accessories.contains(&AccessoryKind::FlexCover)
}

/// The length nearest to the one asked for that helps, between it and the farthest.
pub(super) fn length<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    length: &Length,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let lever = length.lever;
    let mut place = offers.demands().surroundings.place.clone();
    let Some(asked) = *lever(&mut place) else { return Ok(Vec::new()) };
    let set = |demands: &mut Demands<'a>, value: i64| {
        let value = i32::try_from(value).unwrap_or(length.farthest);
        *lever(&mut demands.surroundings.place) = Some(Millimetres::new(value));
        value.to_string()
    };
    let scale = Scale {
        demand: length.demand,
        refused: asked.value().into(),
        farthest: length.farthest.into(),
        goal: length.goal,
        met: length.met,
        set,
    };
    halve(offers, without, &scale)
}

/// The most heat that can be had, beneath what is asked. No heat at all is no offer.
pub(super) fn less_heat<'a>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let Some(asked) = offers.demands().required else { return Ok(Vec::new()) };
    let set = |demands: &mut Demands<'a>, tenths: i64| {
        let required = Deciwatts::new(tenths);
        demands.required = Some(required);
        words::watts(required)
    };
    let met: Meter = |_, measures| Some(measures.delivered);
    let (refused, goal) = (asked.value(), Some(Goal::Warmest));
    let scale = Scale { demand: Demand::Output, refused, farthest: 1, goal, met, set };
    halve(offers, without, &scale)
}

/// The values of a demand between a refused one and the farthest there is.
struct Scale<F> {
    demand: Demand,
    refused: i64,
    farthest: i64,
    /// What tells the nearest value where prices do not.
    goal: Option<Goal>,
    met: Meter,
    /// States a value among demands, and says it.
    set: F,
}

/// The value nearest to a refused one that helps, on the way to the farthest there is.
fn halve<'a, F: Fn(&mut Demands<'a>, i64) -> String>(
    offers: &mut Offers<'a>,
    without: &Demands<'a>,
    scale: &Scale<F>,
) -> Result<Vec<Step<'a>>, Exhausted> {
    let mut demands = without.clone();
    let Some(Reached { value, known }) = nearest_possible(offers, &mut demands, scale)? else {
        return Ok(Vec::new());
    };
    let to = Some((scale.set)(&mut demands, value));
    let offer = offers.cheapest_within(&demands, known)?;
    let step = offer.map(|offer| Step { to, measure: Some(value), demands, offer });
    Ok(step.into_iter().collect())
}

/// The nearest value that helps; nothing when none does.
///
/// Where prices do not join rails it is found at once. Elsewhere by halving, in which what is found on the way comes to a
/// value of its own, often far nearer than the one asked about, and that helps too.
fn nearest_possible<'a, F: Fn(&mut Demands<'a>, i64) -> String>(
    offers: &mut Offers<'a>,
    demands: &mut Demands<'a>,
    scale: &Scale<F>,
) -> Result<Option<Reached>, Exhausted> {
    let farthest = Reached { value: scale.farthest, known: i64::MAX };
    let mut range = Range { refused: scale.refused, possible: farthest };
    (scale.set)(demands, scale.farthest);
    if let Some(goal) = scale.goal {
        match offers.nearest(demands, goal)? {
            Met::Not => return Ok(None),
            Met::Somehow => {}
            Met::By(measures) => {
                if demands.preferences.budget.is_none() || demands.rails_allowed() == 1 {
                    return Ok(Some(range.reached(scale, demands, (scale.farthest, &measures))));
                }
                // With a budget even what is asked may be within reach: then this says nothing.
                if let Some(value) = (scale.met)(demands, &measures) {
                    range.end_before(value);
                }
            }
        }
    }
    if let Some(reached) = offers.reached(scale.demand) {
        range.possible = reached;
        // Mostly nothing nearer helps here either.
        let next = range.nearer();
        return range.narrow(offers, (demands, scale), next).map(Some);
    }
    match offers.met(demands)? {
        Met::Not => return Ok(None),
        Met::Somehow => {}
        Met::By(measures) => {
            range.possible = range.reached(scale, demands, (scale.farthest, &measures));
        }
    }
    let middle = range.middle();
    range.narrow(offers, (demands, scale), middle).map(Some)
}

/// Between a value that helps and one that does not.
struct Range {
    refused: i64,
    possible: Reached,
}

impl Range {
    /// Asks about a value between, until nothing lies between: about the middle when one was found to help, and about the very
    /// next when one was refused. Rails have few outputs and sizes, so mostly none lies between what was found and that.
    fn narrow<'a, F: Fn(&mut Demands<'a>, i64) -> String>(
        mut self,
        offers: &mut Offers<'a>,
        (demands, scale): (&mut Demands<'a>, &Scale<F>),
        mut asked: i64,
    ) -> Result<Reached, Exhausted> {
        while 1 < self.possible.value.abs_diff(self.refused) {
            (scale.set)(demands, asked);
            let found = match offers.met(demands)? {
                Met::Not => None,
                Met::Somehow => Some(Reached { value: asked, known: i64::MAX }),
                Met::By(measures) => Some(self.reached(scale, demands, (asked, &measures))),
            };
            asked = if let Some(found) = found {
                self.possible = found;
                self.middle()
            } else {
                self.refused = asked;
                self.nearer()
            };
        }
        Ok(self.possible)
    }

    /// What is known to help when a bill is found for a value: the one that the bill comes to, if that is nearer.
    fn reached<F>(
        &self,
        scale: &Scale<F>,
        demands: &Demands<'_>,
        (asked, found): (i64, &Measures),
    ) -> Reached {
        let value = (scale.met)(demands, found).filter(|value| {
            let is_nearer = value.abs_diff(self.refused) < asked.abs_diff(self.refused);
            is_nearer && (self.refused < *value) == (self.refused < asked)
        });
        Reached { value: value.unwrap_or(asked), known: found.net }
    }

    const fn middle(&self) -> i64 {
        self.refused.midpoint(self.possible.value)
    }

    /// The next value on the way from the possible one to the refused one.
    const fn nearer(&self) -> i64 {
        next(self.possible.value, self.refused)
    }

    /// Hears that nothing nearer than a value helps.
    const fn end_before(&mut self, value: i64) {
        let before = next(value, self.refused);
        let from = self.possible.value;
        if before.abs_diff(from) < self.refused.abs_diff(from) {
            self.refused = before;
        }
    }
}

/// The next value on the way to another.
const fn next(value: i64, other: i64) -> i64 {
    value.saturating_add(other.saturating_sub(value).signum())
}

#[cfg(test)]
mod tests {
    use crate::domain::units::WALL_HEIGHT_MM;
    use crate::domain::units::WALL_WIDTH_MM;

    use super::*;

    #[test]
    fn no_wall_is_offered_that_a_request_may_not_state() {
        assert_eq!(WALL_WIDTH_MM.check(WALL_WIDTH_MAX.into()), Ok(WALL_WIDTH_MM.maximum));
        assert_eq!(WALL_HEIGHT_MM.check(WALL_HEIGHT_MAX.into()), Ok(WALL_HEIGHT_MM.maximum));
    }
}

//! From a room, wishes and a partial choice to what can still be chosen.
//!
//! Rests on the same list, requirement and cautions as the resolution of the same request; the counting is the domain's.

use crate::domain::notice::Notice;
use crate::domain::resolver::Allowance;
use crate::domain::resolver::Choices;
use crate::domain::resolver::ChosenValue;
use crate::domain::resolver::choices;

use super::Snapshot;
use super::resolve_room::Footing;
use super::resolve_room::Question;
use super::resolve_room::Refusal;
use super::resolve_room::Requirement;
use super::resolve_room::SEARCH_TIME_MAX;
use super::resolve_room::footing;

/// What can still be chosen, with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct ChoicesAnswer {
    /// The edition that answered.
    pub edition: u32,
    /// The price list that held.
    pub price_list: Box<str>,
    /// The requirement, unless the rail only warms towels.
    pub requirement: Option<Requirement>,
    /// What can still be chosen.
    pub choices: Choices,
    /// Cautions about the question as a whole.
    pub notices: Vec<Notice>,
}

/// Answers from one snapshot, within [`SEARCH_TIME_MAX`].
pub fn next_choices(
    snapshot: &Snapshot,
    mut question: Question<'_>,
    chosen: &[ChosenValue],
) -> Result<ChoicesAnswer, Refusal> {
    let Footing { source, requirement, mut notices } = footing(snapshot, &mut question)?;
    if 1 < question.demands.rails_allowed() {
        notices.push(Notice::new(
            "one-rail-counted",
            "Only bills of one rail are counted here, although the request allows more: several rails together may do \
             what no single rail does, or cost less.",
        ));
    }
    let stopwatch = snapshot.stopwatch();
    let is_time_up = || SEARCH_TIME_MAX < stopwatch.elapsed();
    let allowance = Allowance::until(&is_time_up);
    Ok(ChoicesAnswer {
        edition: source.catalogue.edition().number(),
        price_list: source.list.code.clone(),
        requirement,
        choices: choices(&source, &question.demands, chosen, &allowance),
        notices,
    })
}

//! What fits together: rule rows compiled into look-ups, the built-in rules of physics, and the findings that
//! explain a yes or a no.
//!
//! Two roads lead through here and must agree: [`RuleIndex`] answers "which parts fit this one" from bitsets
//! while searching, [`check_parts`] states every finding with both values and its source when somebody asks why.
//! Absent here: prices, rooms, and anything that needs more than two parts at once, apart from the place that
//! the parts hang in.

mod finding;
mod judge;
mod built_in;
mod index;
mod trial;
mod opposed;
mod plan;
mod surroundings;
mod users;
mod place;
mod zone;
mod law;
mod hanging;
mod pair;
mod mounted;
mod planned;
mod kept;
mod check;
mod catalogue;
mod swaps;

pub use built_in::check_fluid;
pub use built_in::check_heat_source;
pub use built_in::check_thread;
pub use built_in::emitter;
pub use built_in::fluid_passes;
pub use catalogue::Catalogue;
pub use catalogue::net_price;
pub use check::check_parts;
pub use finding::Finding;
pub use finding::Outcome;
pub use finding::StatedSide;
pub use hanging::FLEX_USUAL_MM;
pub use hanging::hanging;
pub use hanging::port;
pub use index::RuleIndex;
pub use judge::Judgement;
pub use judge::Sides;
pub use judge::judge;
pub use kept::Check;
pub use kept::KeptFinding;
pub use kept::PAIRS_KEPT_MAX;
pub use law::check_control_functions;
pub use mounted::TOWELS_USUAL;
pub use mounted::check_wall_load;
pub use opposed::Opposed;
pub use pair::hottest_fluid;
pub use pair::pair_capacity;
pub use pair::pair_fill;
pub use pair::vent_closing;
pub use place::check_flex;
pub use place::check_height;
pub use place::check_side;
pub use place::check_side_by_side;
pub use place::check_width;
pub use place::flex_passes;
pub use place::height_with_head;
pub use place::width_passes;
pub use plan::Hung;
pub use plan::PlannedPlace;
pub use plan::PlannedSpot;
pub use planned::check_control_place;
pub use planned::check_planned;
pub use planned::flex_route;
pub use planned::hung;
pub use surroundings::CHILD_HEIGHT;
pub use surroundings::FLEX_SLACK;
pub use surroundings::LOW_SURFACE;
pub use surroundings::Place;
pub use surroundings::Planned;
pub use surroundings::Surroundings;
pub use surroundings::Users;
pub use swaps::SWAPS_OFFERED_MAX;
pub use swaps::SWAPS_TRIED_MAX;
pub use swaps::Substitute;
pub use swaps::Swap;
pub use swaps::swaps;
pub use trial::TRIAL_EXAMPLES_MAX;
pub use trial::Trial;
pub use trial::TrialExample;
pub use users::Working;
pub use users::check_child_height;
pub use users::check_users;
pub use users::child_height_passes;
pub use users::working;
pub use users::working_bare;
pub use zone::check_zone;
pub use zone::equipment;
pub use zone::zone_passes;
pub use zone::zone_verdict;

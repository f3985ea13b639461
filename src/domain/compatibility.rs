//! What fits together: rule rows compiled into look-ups, the built-in rules of physics, and the findings that
//! explain a yes or a no.
//!
//! Two roads lead through here and must agree: [`RuleIndex`] answers "which parts fit this one" from bitsets
//! while searching, [`check_parts`] states every finding with both values and its source when somebody asks why.
//! Absent here: prices, rooms, and anything that needs more than two parts at once, apart from the place that
//! the parts hang in.

mod finding;
mod judge;
mod index;
mod catalogue;
mod built_in;
mod check;

pub use built_in::check_fluid;
pub use built_in::check_thread;
pub use built_in::emitter;
pub use built_in::fluid_passes;
pub use catalogue::Catalogue;
pub use check::Surroundings;
pub use check::check_parts;
pub use finding::Finding;
pub use finding::Outcome;
pub use finding::StatedSide;
pub use index::RuleIndex;
pub use judge::Judgement;
pub use judge::Sides;
pub use judge::judge;

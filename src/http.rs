//! The HTTP edge: routes, wire types, problem documents, limits and the published description.
//!
//! A request passes the accept loop ([`server`]), the layers of [`stack`], the gate of [`access`], one route of [`routes`], a house
//! extractor ([`json::Json`] or [`query::Query`]), an operation, and leaves as JSON or as a [`problem::Problem`].
//! Absent here: what the answers mean (the domain), SQL, and anything about the process (the command line).

pub mod limits;
pub mod fault_report;
pub mod problem;
pub mod fields;
pub mod document;
pub mod schema;
pub mod violations;
pub mod contract;
pub mod access;
pub mod json;
pub mod query;
pub mod cursor;
pub mod conditional;
pub mod negotiation;
pub mod metrics;
pub mod stack;
pub mod description;
pub mod health;
pub mod problems;
pub mod work;
pub mod room;
pub mod scene;
pub mod named_parts;
pub mod figures;
pub mod in_use;
mod schedule;
pub mod filling;
pub mod references;
pub mod values;
pub mod bills;
pub mod resolutions;
pub mod choices;
pub mod checks;
pub mod wiring;
pub mod sources;
pub mod placements;
pub mod positions;
pub mod electrical_supplies;
pub mod parts;
pub mod heat_requirements;
pub mod heat_outputs;
pub mod fills;
pub mod quotes;
pub mod keys;
pub mod audit;
pub mod sample_answers;
pub mod editions;
pub mod rule_trials;
pub mod routes;
pub mod server;

pub use json::Json;
pub use problem::Problem;
pub use query::Query;

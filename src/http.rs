//! The HTTP edge: routes, wire types, problem documents, limits and the published description.
//!
//! A request passes the accept loop ([`server`]), the layers of [`stack`], one route of [`routes`], a house
//! extractor ([`json::Json`] or [`query::Query`]), an operation, and leaves as JSON or as a [`problem::Problem`].
//! Absent here: what the answers mean (the domain), SQL, and anything about the process (the command line).

pub mod limits;
pub mod problem;
pub mod fields;
pub mod document;
pub mod violations;
pub mod contract;
pub mod json;
pub mod schema;

pub use json::Json;
pub use problem::Problem;

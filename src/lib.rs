//! Rungwright answers what people who make and sell electric towel rails are asked all day: how many watts a
//! bathroom needs, which body and element give them, what fits together, where it may hang, and what it costs.
//!
//! Read the modules in this order; each names only modules above it.

pub mod domain;
pub mod documents;
pub mod store;
pub mod operations;
pub mod http;
pub mod cli;

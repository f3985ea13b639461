//! The database, tried with a made-up edition that uses every column.
#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(
    clippy::arithmetic_side_effects,
    clippy::integer_division,
    reason = "counters and made-up figures, all of them small"
)]

mod scratch;
mod synthetic;
mod editions;
mod immutability;
mod opening;
mod refusals;
mod schema;
mod writers;

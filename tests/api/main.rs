//! The HTTP edge from outside: every kind of refusal as a whole document, and the accept loop over real sockets.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(clippy::panic, reason = "two routes and one law fail loudly on purpose")]
#![expect(clippy::default_numeric_fallback, reason = "the compared value fixes the type")]
#![expect(
    clippy::arithmetic_side_effects,
    reason = "small numbers, and a wrap would fail the test"
)]
#![expect(clippy::indexing_slicing, reason = "a missing field of an answer is a failed test")]

mod sample;
mod service;
mod bodies;
mod refusals;
mod overload;
mod queries;
mod answers;
mod description;
mod drift;
mod bounds;
mod sockets;
mod program;
mod demo;
mod parts;
mod checks;
mod resolutions;
mod bad_input;

//! The HTTP edge from outside: every kind of refusal as a whole document, and the accept loop over real sockets.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(clippy::default_numeric_fallback, reason = "the compared value fixes the type")]

mod sample;
mod bodies;

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
mod keyring;
mod service;
mod conformity;
mod demo;
mod bodies;
mod refusals;
mod overload;
mod queries;
mod answers;
mod description;
mod drift;
mod readme;
mod bounds;
mod sockets;
mod process;
mod program;
mod command;
mod parts;
mod fitting;
mod checks;
mod resolutions;
mod choices;
mod rails;
mod shared_texts;
mod rail_quotes;
mod demands;
mod heat_requirements;
mod in_force;
mod long_lists;
mod heat_outputs;
mod fills;
mod right_requests;
mod bad_input;
mod wrong_fields;
mod quoting;
mod quotes;
mod quote_refusals;
mod quote_forms;
mod papers;
mod drawn_duties;
mod delivery;
mod odd_names;
mod prices;
mod long_quotes;
mod http_client;
mod running;
mod kills;
mod restarts;
mod placements;
mod placement_cases;
mod positions;
mod supplies;
mod cautious_questions;
mod cautions;
mod keys;
mod walk;
mod pages;
mod allowances;
mod guarded;
mod behind_a_proxy;
mod trail;
mod editions;
mod editions_in_turn;
mod catalogue_faults;
mod keeper_rules;
mod keeper_program;

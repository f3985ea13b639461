//! The trade's rules and arithmetic: pure values and functions, in reading order.
//!
//! Absent here: serialisation, storage, the network, the clock, randomness, the environment and files.

pub mod units;
pub mod money;
pub mod evidence;
pub mod notice;
pub mod fault;
pub mod room;
pub mod heat;
pub mod emission;
pub mod fill;
pub mod ip_code;
pub mod protection;
pub mod thread;
pub mod zones;
pub mod supply;
pub mod mounting;
pub mod positions;
pub mod ecodesign;
pub mod catalogue;
pub mod compatibility;
pub mod pricing;
pub mod review;
pub mod consequence;
pub mod conflict;
pub mod snapshot;
pub mod resolver;
pub mod quote;
pub mod access;

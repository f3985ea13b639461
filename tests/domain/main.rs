//! The trade's rules against figures that others published, one module per subject.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

mod drawing;
mod ip_code;
mod placement_cases;
mod threads;
mod zones;
mod thermal_checks;
mod thermal_laws;
mod water;

//! The trade's rules against figures that others published, one module per subject.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]
#![expect(
    clippy::default_numeric_fallback,
    clippy::many_single_char_names,
    clippy::type_complexity,
    reason = "tables of cases read better bare"
)]

mod demo_questions;
mod drawing;
#[path = "../load/generator.rs"]
mod generator;
mod ip_code;
mod made_up_shares;
mod mounting;
mod placement_cases;
mod positions;
mod supply;
mod ranking;
mod choices;
mod choice_limits;
mod serving;
mod orders;
mod hard_questions;
mod threads;
mod wiring_rules;
mod zone_packs;
mod zone_table;
mod zones;
mod worked_totals;
mod thermal_checks;
mod thermal_laws;
mod water;
mod pairs_at_work;
mod oracle;
mod random_catalogue;
mod explanations;
mod resolver_agrees;
mod hard_cases;
mod resolver_laws;
mod ranking_laws;
mod rule_index;
mod shared_findings;
mod money_rows;
mod round_trips;
mod thread_joints;
mod emission_factors;

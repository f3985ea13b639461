//! How long a paper takes: HTML below a millisecond, PDF below ten for each page, in process.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::arithmetic_side_effects,
    reason = "a bench stops at the first surprise, and its figures are small"
)]

#[path = "../documents/papers/tern_house.rs"]
mod tern_house;

use rungwright::documents::paper::Paper;

fn main() {
    divan::main();
}

#[divan::bench]
fn quote_as_html() -> String {
    tern_house::quote().html()
}

#[divan::bench]
fn installation_sheet_as_html() -> String {
    tern_house::installation().html()
}

#[divan::bench]
fn quote_as_pdf() -> Vec<u8> {
    tern_house::quote().pdf().unwrap()
}

#[divan::bench]
fn installation_sheet_as_pdf() -> Vec<u8> {
    tern_house::installation().pdf().unwrap()
}

#[divan::bench]
fn care_sheet_as_pdf() -> Vec<u8> {
    tern_house::care().pdf().unwrap()
}

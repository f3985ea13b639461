//! How long a paper takes: HTML below a millisecond, PDF below ten for each page, in process; and the longest quote of
//! all, which has to be written within [`REQUEST_TIME_OUT`](rungwright::http::limits::REQUEST_TIME_OUT).
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::arithmetic_side_effects,
    reason = "a bench stops at the first surprise, and its figures are small"
)]

#[path = "../documents/papers/tern_house.rs"]
mod tern_house;

use rungwright::documents::paper::Paper;
use rungwright::documents::paper::QuotePaper;
use rungwright::documents::paper::quote::QuoteRoom;
use rungwright::domain::quote::QUOTE_LINES_MAX;

fn main() {
    divan::main();
}

/// A quote of one room with the lines of all again and again, as many as a quote may have.
fn longest() -> QuotePaper {
    let quote = tern_house::quote();
    let lines = quote.rooms.iter().flat_map(|room| &room.lines);
    let lines = lines.cycle().take(QUOTE_LINES_MAX).cloned().collect();
    QuotePaper { rooms: vec![QuoteRoom { lines, ..QuoteRoom::default() }], ..quote }
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

#[divan::bench(sample_count = 10)]
fn longest_quote_as_html(bencher: divan::Bencher<'_, '_>) {
    let quote = longest();
    bencher.bench(|| quote.html());
}

#[divan::bench(sample_count = 10)]
fn longest_quote_as_pdf(bencher: divan::Bencher<'_, '_>) {
    let quote = longest();
    bencher.bench(|| quote.pdf().unwrap());
}

#[divan::bench]
fn care_sheet_as_pdf() -> Vec<u8> {
    tern_house::care().pdf().unwrap()
}

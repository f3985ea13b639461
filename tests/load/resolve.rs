//! What a resolution costs in process, beside what writing its answer down costs: `cargo bench`.
//!
//! The two stand in one table, so that their ratio can be compared from machine to machine. Absent here: the network,
//! which `tests/load/http.sh` measures.

#![expect(clippy::unwrap_used, reason = "a benchmark stops at the first surprise")]

use divan::Bencher;
use divan::black_box;
use jiff::civil::Date;
use rungwright::http::json::Draft;
use rungwright::http::resolutions;
use rungwright::http::resolutions::NewResolution;
use rungwright::http::resolutions::ResolutionView;
use rungwright::operations::Snapshot;
use rungwright::operations::start;

const REQUEST: &[u8] = include_bytes!("../fixtures/requests/family-bathroom.json");

fn main() {
    divan::main();
}

/// The demonstration catalogue on a day that has a price list.
fn snapshot() -> Snapshot {
    Snapshot::of(start::demo().unwrap(), Date::constant(2026, 12, 1))
}

fn resolved(snapshot: &Snapshot) -> ResolutionView {
    let order = Draft::<NewResolution>::parse(REQUEST).unwrap();
    resolutions::resolve(snapshot, order).unwrap()
}

/// From the bytes of the request to the answer's structure.
#[divan::bench]
fn resolve_the_family_bathroom(bencher: Bencher<'_, '_>) {
    let snapshot = snapshot();
    bencher.bench_local(|| resolved(black_box(&snapshot)));
}

/// From the answer's structure to its bytes.
#[divan::bench]
fn serialise_its_answer(bencher: Bencher<'_, '_>) {
    let answer = resolved(&snapshot());
    bencher.bench_local(|| serde_json::to_vec(black_box(&answer)).unwrap());
}

/// Reads and checks the request alone.
#[divan::bench]
fn read_and_check_the_request(bencher: Bencher<'_, '_>) {
    bencher.bench_local(|| Draft::<NewResolution>::parse(black_box(REQUEST)).unwrap());
}

/// From the files in the binary to a catalogue compiled for look-up.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn load_the_demonstration_catalogue(bencher: Bencher<'_, '_>) {
    bencher.bench_local(|| start::demo().unwrap());
}

//! What placing six things among four fixtures and four partitions costs in process, beside reading the question and
//! writing the answer, and what the best places on the walls cost: `cargo bench --bench placement`.
//!
//! Absent here: the network.

#![expect(clippy::unwrap_used, reason = "a benchmark stops at the first surprise")]

use divan::Bencher;
use divan::black_box;
use jiff::civil::Date;
use rungwright::domain::positions::UNIT_BOX;
use rungwright::domain::positions::WallSpot;
use rungwright::domain::positions::hang;
use rungwright::domain::zones::EquipmentKind;
use rungwright::domain::zones::rules::WiringRules;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::verdict::Equipment;
use rungwright::http::fields::Fields;
use rungwright::http::json::Draft;
use rungwright::http::placements;
use rungwright::http::placements::NewPlacements;
use rungwright::http::positions;
use rungwright::http::positions::NewPositions;
use rungwright::operations::Snapshot;
use rungwright::operations::place_items::Item;
use rungwright::operations::place_items::place_items;
use rungwright::operations::start;

/// Six things, four fixtures, four partitions.
const PLACEMENTS: &[u8] = include_bytes!("../fixtures/requests/places/busy-bathroom.json");
/// A body looked for in the same room.
const POSITIONS: &[u8] = include_bytes!("../fixtures/requests/places/busy-bathroom-position.json");

fn main() {
    divan::main();
}

fn snapshot() -> Snapshot {
    Snapshot::of(start::demo().unwrap(), Date::constant(2026, 12, 1))
}

fn question() -> NewPlacements {
    Draft::<NewPlacements>::parse(PLACEMENTS).unwrap().read(Ok).unwrap()
}

/// The room and six things along its walls.
fn room() -> (Scene, Vec<Item>) {
    let scene = question().scene.scene(&mut Fields::default()).unwrap();
    let item = |index: i32| {
        let spot = WallSpot {
            wall_index: 0,
            offset_mm: 450_i32.saturating_mul(index).saturating_add(300),
            bottom_mm: 500,
        };
        Item {
            id: index.to_string(),
            solid: hang(&scene, spot, &UNIT_BOX).unwrap(),
            equipment: vec![Equipment::unknown(EquipmentKind::ConnectionUnit)],
            hung: None,
        }
    };
    let items = (0_i32..6_i32).map(item).collect();
    (scene, items)
}

fn rules(snapshot: &Snapshot) -> &WiringRules {
    snapshot.wiring_rules().iter().find(|rules| rules.id == "gb-bs7671").unwrap()
}

/// From the drawing to zones and verdicts, in process.
#[divan::bench]
fn place_six_things(bencher: Bencher<'_, '_>) {
    let snapshot = snapshot();
    let (scene, items) = room();
    bencher.bench_local(|| place_items(rules(black_box(&snapshot)), &scene, &items));
}

/// Reads and checks the question alone.
#[divan::bench]
fn read_and_check_the_question(bencher: Bencher<'_, '_>) {
    bencher.bench_local(|| Draft::<NewPlacements>::parse(black_box(PLACEMENTS)).unwrap());
}

/// Writes the answer alone.
#[divan::bench]
fn serialise_the_answer(bencher: Bencher<'_, '_>) {
    let snapshot = snapshot();
    let answer = placements::answer(&snapshot, Draft::parse(PLACEMENTS).unwrap()).unwrap();
    bencher.bench_local(|| serde_json::to_vec(black_box(&answer)).unwrap());
}

/// The best places on four walls, from the bytes of the question to the answer's structure.
#[divan::bench]
fn find_the_best_places(bencher: Bencher<'_, '_>) {
    let snapshot = snapshot();
    bencher.bench_local(|| {
        let asked = Draft::<NewPositions>::parse(black_box(POSITIONS)).unwrap();
        positions::answer(&snapshot, asked).unwrap()
    });
}

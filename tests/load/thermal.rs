//! What the physics costs in process, beside what writing its answers down costs: `cargo bench --bench thermal`.
//!
//! The two stand in one table, so that their ratio can be compared from machine to machine. Absent here: the network,
//! and reading the request.

#![expect(clippy::unwrap_used, reason = "a benchmark stops at the first surprise")]

use divan::Bencher;
use divan::black_box;
use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::in_use::in_use;
use rungwright::domain::emission::warming::HeatCapacity;
use rungwright::domain::emission::warming::HungBody;
use rungwright::domain::emission::warming::warm_up;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::fill::FillAmount;
use rungwright::domain::fill::FillOutcome;
use rungwright::domain::fill::FillQuestion;
use rungwright::domain::fill::work_out_fill;
use rungwright::domain::heat::Allowances;
use rungwright::domain::heat::HeatRequirement;
use rungwright::domain::heat::heat_requirement;
use rungwright::domain::room::Room;
use rungwright::domain::room::RoomUse;
use rungwright::domain::room::boundary::Boundary;
use rungwright::domain::room::boundary::BoundaryKind;
use rungwright::domain::room::boundary::Transmittance;
use rungwright::domain::room::ventilation::AirExchange;
use rungwright::domain::room::ventilation::AirHeat;
use rungwright::domain::room::ventilation::Ventilation;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Litres;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;
use rungwright::http::filling::CasesView;
use rungwright::http::filling::DosesView;
use rungwright::http::heat_requirements::HeatRequirementView;
use rungwright::http::in_use::InUseView;

fn main() {
    divan::main();
}

fn room() -> Room {
    let source = Source::new("made up for this benchmark", Evidence::Invented);
    let boundary = Boundary {
        kind: BoundaryKind::ExternalWall,
        area_m2: 4.2,
        transmittance: Transmittance { w_m2k: 0.45, source },
        beyond: None,
    };
    let exchange = AirExchange::ChangesPerHour(1.5);
    Room {
        room_use: RoomUse::Bathroom,
        length: Millimetres::new(2_600),
        width: Millimetres::new(1_900),
        height: Millimetres::new(2_400),
        indoor: Celsius::new(22.0),
        outdoor: Celsius::new(-3.0),
        annual_mean: None,
        ventilation: Ventilation { exchange, recovery: 0.0, air_heat: AirHeat::BRITISH },
        boundaries: vec![boundary; 12],
    }
}

fn needed() -> HeatRequirement {
    heat_requirement(&room(), &Allowances::default()).unwrap()
}

/// A room with twelve boundaries, summed.
#[divan::bench]
fn heat_requirement_of_twelve_boundaries(bencher: Bencher<'_, '_>) {
    let room = room();
    let allowances = Allowances::default();
    bencher.bench_local(|| heat_requirement(black_box(&room), &allowances).unwrap());
}

/// Its answer, written down.
#[divan::bench]
fn heat_requirement_serialised(bencher: Bencher<'_, '_>) {
    let view = HeatRequirementView::new(&needed(), &[]);
    bencher.bench_local(|| serde_json::to_vec(black_box(&view)).unwrap());
}

fn rail() -> (HungBody, ElementDrive) {
    let emitter = Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 };
    let room = Celsius::new(22.0);
    let body = HungBody { emitter, capacity: HeatCapacity::new(24_462.5), room };
    (body, ElementDrive { watts: Watts::new(300.0), set_point: Some(Celsius::new(50.0)) })
}

/// Steady states, surface and warm-up of a pair.
#[divan::bench]
fn emission_with_warm_up(bencher: Bencher<'_, '_>) {
    let (body, drive) = rail();
    bencher.bench_local(|| {
        let body = black_box(&body);
        (in_use(&body.emitter, drive, body.room), warm_up(body, drive, body.room))
    });
}

/// Its answer, written down.
#[divan::bench]
fn emission_serialised(bencher: Bencher<'_, '_>) {
    let (body, drive) = rail();
    let view = InUseView::from(&in_use(&body.emitter, drive, body.room));
    bencher.bench_local(|| serde_json::to_vec(black_box(&view)).unwrap());
}

fn question() -> FillQuestion {
    FillQuestion {
        element_displacement: Litres::new(0.1),
        permitted_gauge_kpa: Some(600.0),
        ..FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(0.1))
    }
}

/// Litres, doses, three pressures, verdict, steps and cautions of a fill.
#[divan::bench]
fn fill(bencher: Bencher<'_, '_>) {
    let question = question();
    bencher.bench_local(|| work_out_fill(black_box(&question)).unwrap());
}

/// Its figures, written down.
#[divan::bench]
fn fill_serialised(bencher: Bencher<'_, '_>) {
    let FillOutcome::Filled(filled) = work_out_fill(&question()).unwrap() else { return };
    let view = (CasesView::from(&*filled), DosesView::from(&filled.doses));
    bencher.bench_local(|| serde_json::to_vec(black_box(&view)).unwrap());
}

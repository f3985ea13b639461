//! Rows about rooms, walls and air.

use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::heat::Allowances;
use rungwright::domain::heat::Bridges;
use rungwright::domain::heat::HeatRequirement;
use rungwright::domain::heat::heat_requirement;
use rungwright::domain::heat::quick_rule;
use rungwright::domain::room::Room;
use rungwright::domain::room::RoomUse;
use rungwright::domain::room::boundary::Beyond;
use rungwright::domain::room::boundary::Boundary;
use rungwright::domain::room::boundary::BoundaryKind;
use rungwright::domain::room::boundary::Transmittance;
use rungwright::domain::room::layers::Films;
use rungwright::domain::room::layers::Layer;
use rungwright::domain::room::layers::transmittance_of_layers;
use rungwright::domain::room::ventilation::AirExchange;
use rungwright::domain::room::ventilation::AirHeat;
use rungwright::domain::room::ventilation::Ventilation;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Millimetres;

use super::row::Found;
use super::row::Row;
use super::row::leading_number;
use super::row::number_after;

const WATTS_PER_BTU_H: f64 = 0.293_071_07;
const M2_PER_FT2: f64 = 0.092_903_04;
const KELVINS_PER_FAHRENHEIT: f64 = 5.0 / 9.0;

pub(super) fn find(row: &Row) -> Option<Found> {
    Some(Found::Number(match row.quantity.as_str() {
        "quick_rule_W" => quick_rule(row.after("A=")).value(),
        "U_external_wall" => wall(row, row.after("ho=").recip()),
        "U_internal_wall" => wall(row, row.after("hi=").recip()),
        "room_heat_load" => rooms_of_courseware(row),
        "H_room" => whole_room(row),
        "H_fabric" => products(row).0,
        "area_weighted_U" => {
            let (loss, area) = products(row);
            loss / area
        }
        "element_loss_Btu_h" => element_btu(row),
        "fabric_total_W" => btu_total(row),
        "U_layers" => layered(row),
        "R_parallel_bridge" => side_by_side(row),
        "vent_const" => AirHeat::EXACT.value(),
        "vent_H" => ventilation_loss(row),
        "extract_to_ach" => extract(row).flow_m3_h(row.after("V=")) / row.after("V="),
        "extract_heat" => extract(row).flow_m3_h(0.0) * AirHeat::EXACT.value() * row.after("dT="),
        "ground_factor_fg2" => ground_factor(row),
        "thermal_bridge_HTB" => bridge(row),
        _ => return None,
    }))
}

fn wall(row: &Row, outer: f64) -> f64 {
    let films = Films { inner: row.after("hi=").recip(), outer };
    let layer = Layer::Solid {
        thickness_mm: row.after("w=") * 1_000.0,
        conductivity_w_mk: row.after("lambda="),
    };
    transmittance_of_layers(films, &[layer]).unwrap().w_m2k
}

/// `ext 27 m2 to 0C; int 9 m2 to 20C; Ti=20`, both walls of one material.
fn rooms_of_courseware(row: &Row) -> f64 {
    let film = |coefficient: f64| coefficient.recip();
    let concrete = [Layer::Solid { thickness_mm: 200.0, conductivity_w_mk: 1.7 }];
    let transmittance =
        |inner, outer| transmittance_of_layers(Films { inner, outer }, &concrete).unwrap().w_m2k;
    let boundaries = row.parts().into_iter().filter(|part| part.contains(" m2 to ")).map(|part| {
        let (kind, u_w_m2k) = if part.starts_with("ext") {
            (BoundaryKind::ExternalWall, transmittance(film(8.0), film(25.0)))
        } else {
            (BoundaryKind::InternalWall, transmittance(film(8.0), film(8.0)))
        };
        let area = number_after(part, if part.starts_with("ext") { "ext" } else { "int" }).unwrap();
        let far = Celsius::new(number_after(part, "m2 to").unwrap());
        boundary(kind, [area, u_w_m2k], Beyond::At(far))
    });
    sum(&still_room(row.after("Ti="), 0.0, boundaries.collect())).required.value()
}

/// A room with its size, air and surfaces, in W/K.
fn whole_room(row: &Row) -> f64 {
    let parts = row.parts();
    let size: Vec<f64> = parts[0]
        .trim_start_matches("V=")
        .split('x')
        .map(|side| leading_number(side).unwrap())
        .collect();
    let surface = |part: &str| {
        let words: Vec<&str> = part.split(' ').collect();
        let area = words.iter().rev().nth(usize::from(words.contains(&"m2")) + 1).unwrap();
        let area: f64 = area.split('x').map(|side| side.parse::<f64>().unwrap()).product();
        boundary(
            BoundaryKind::ExternalWall,
            [area, number_after(part, "U").unwrap()],
            Beyond::Outside,
        )
    };
    let boundaries = parts.iter().filter(|part| part.contains(" U")).map(|part| surface(part));
    let mut room = still_room(21.0, -1.0, boundaries.collect());
    [room.length, room.width, room.height] = [size[0], size[1], size[2]].map(millimetres);
    room.ventilation = Ventilation {
        exchange: AirExchange::ChangesPerHour(row.after("n=")),
        recovery: 0.0,
        air_heat: AirHeat::BRITISH,
    };
    sum(&room).required.value() / 22.0
}

/// `floor 48x0.25;roof 48x0.16; … ; party wall 0`: loss in W/K, and area.
fn products(row: &Row) -> (f64, f64) {
    let pairs = row.parts().into_iter().filter_map(|part| {
        let (area, u_w_m2k) = part.rsplit(' ').next()?.split_once('x')?;
        Some([area.parse().ok()?, u_w_m2k.parse().ok()?])
    });
    let surfaces: Vec<Boundary> =
        pairs.map(|pair| boundary(BoundaryKind::ExternalWall, pair, Beyond::Outside)).collect();
    let area = surfaces.iter().map(|surface| surface.area_m2).sum();
    (sum(&still_room(20.0, 0.0, surfaces)).transmission.value() / 20.0, area)
}

fn element_btu(row: &Row) -> f64 {
    let u_w_m2k = row.after("U=") * WATTS_PER_BTU_H / M2_PER_FT2 / KELVINS_PER_FAHRENHEIT;
    let difference = row.after("dT=") * KELVINS_PER_FAHRENHEIT;
    let far = Celsius::new(20.0 - difference);
    let surface = [row.after("A=") * M2_PER_FT2, u_w_m2k];
    let surface = boundary(BoundaryKind::ExternalWall, surface, Beyond::At(far));
    sum(&still_room(20.0, -20.0, vec![surface])).required.value() / WATTS_PER_BTU_H
}

/// A total in Btu/h, put through the sum as one surface of 10 m2 and 20 K.
fn btu_total(row: &Row) -> f64 {
    let watts = leading_number(&row.inputs).unwrap() * row.after("Btu/h x");
    let surface = boundary(BoundaryKind::ExternalWall, [10.0, watts / 200.0], Beyond::Outside);
    sum(&still_room(20.0, 0.0, vec![surface])).required.value()
}

fn layered(row: &Row) -> f64 {
    let films = Films { inner: row.after("Rsi "), outer: row.after("Rso ") };
    let layers: Vec<Layer> = row
        .parts()
        .into_iter()
        .filter_map(|part| part.rsplit(' ').next()?.split_once('/'))
        .map(|(metres, conductivity)| Layer::Solid {
            thickness_mm: metres.parse::<f64>().unwrap() * 1_000.0,
            conductivity_w_mk: conductivity.parse().unwrap(),
        })
        .collect();
    transmittance_of_layers(films, &layers).unwrap().w_m2k
}

fn side_by_side(row: &Row) -> f64 {
    let part =
        |part: &str| (leading_number(part).unwrap() / 100.0, number_after(part, "R=").unwrap());
    let parts: Vec<(f64, f64)> = row.parts().into_iter().map(part).collect();
    Layer::side_by_side(&parts).unwrap().resistance()
}

fn ventilation_loss(row: &Row) -> f64 {
    let surface = boundary(BoundaryKind::InternalWall, [1.0, 1.0], Beyond::AsWarm);
    let mut room = still_room(20.0, 0.0, vec![surface]);
    [room.length, room.width, room.height] =
        [row.after("L="), row.after("l="), row.after("H=")].map(millimetres);
    room.ventilation.exchange = AirExchange::ChangesPerHour(row.after("n="));
    sum(&room).required.value() / 20.0
}

fn extract(row: &Row) -> Ventilation {
    let litres = leading_number(&row.inputs).unwrap();
    let exchange = AirExchange::ExtractLitresPerSecond(litres);
    Ventilation { exchange, recovery: 0.0, air_heat: AirHeat::EXACT }
}

/// A ground floor's loss as a share of the same floor to outside, without the yearly factor.
fn ground_factor(row: &Row) -> f64 {
    let mean = Celsius::new(row.after("Tme="));
    let floor = |beyond| vec![boundary(BoundaryKind::GroundFloor, [10.0, 1.0], beyond)];
    let loss = |beyond| sum(&still_room(row.after("Ti="), row.after("Tne="), floor(beyond)));
    let ground = loss(Beyond::Ground { annual_mean: mean });
    ground.required.value() / ground.steps[0].factor / loss(Beyond::Outside).required.value()
}

fn bridge(row: &Row) -> f64 {
    let surface = boundary(BoundaryKind::ExternalWall, [row.after("Aexp="), 1.0], Beyond::Outside);
    let room = still_room(row.after("dT="), 0.0, vec![surface]);
    let bridges = Bridges::Share { y_w_m2k: row.after("y=") };
    heat_requirement(&room, &Allowances { bridges, reheat_w_m2: 0.0 }).unwrap().bridges.value()
}

fn boundary(kind: BoundaryKind, [area_m2, w_m2k]: [f64; 2], beyond: Beyond) -> Boundary {
    let source = Source::new("row of the checks file", Evidence::Read);
    Boundary { kind, area_m2, transmittance: Transmittance { w_m2k, source }, beyond: Some(beyond) }
}

/// A room without any exchange of air, so that only its surfaces count.
fn still_room(indoor: f64, outdoor: f64, boundaries: Vec<Boundary>) -> Room {
    Room {
        room_use: RoomUse::Bathroom,
        length: Millimetres::new(3_000),
        width: Millimetres::new(3_000),
        height: Millimetres::new(2_400),
        indoor: Celsius::new(indoor),
        outdoor: Celsius::new(outdoor),
        annual_mean: None,
        ventilation: Ventilation {
            exchange: AirExchange::ChangesPerHour(0.0),
            recovery: 0.0,
            air_heat: AirHeat::EXACT,
        },
        boundaries,
    }
}

fn sum(room: &Room) -> HeatRequirement {
    heat_requirement(room, &Allowances::default()).unwrap()
}

fn millimetres(metres: f64) -> Millimetres {
    let text = format!("{:.0}", metres * 1_000.0);
    Millimetres::new(text.parse().unwrap())
}

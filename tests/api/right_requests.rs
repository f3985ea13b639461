//! A right request for every POST route that only answers: what bad input is made of, and what is asked after it.

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;

/// Right questions about drawn rooms, kept with the tests of their routes.
mod places {
    use serde_json::Value;
    use serde_json::json;

    const POSITION: &str = include_str!("../fixtures/requests/places/busy-bathroom-position.json");

    pub(super) fn position() -> Value {
        serde_json::from_str(POSITION).unwrap()
    }

    pub(super) fn placement() -> Value {
        json!({ "wiring_rules": "gb-bs7671", "scene": position()["scene"],
            "items": [{ "id": "socket", "kind": "socket", "point_mm": [2500, 100, 400], "ip": "IPX4", "class": "I",
                "declared_zones": ["2"], "jets": false, "connection": "permanent", "rcd_30ma": true }] })
    }
}

/// A request of every POST route that is right and uses every field which can stand beside the others.
pub(crate) fn right(path: &str) -> Value {
    let users = json!({ "children": true, "vulnerable": false, "public_building": false });
    let place = json!({ "region": "scotland", "wall_width_mm": 700, "wall_bottom_mm": 600, "wall_height_mm": 1300,
        "zone": "2", "water_jets": false, "connection_distance_mm": 900, "side": "either" });
    match path {
        "/v1/resolutions" => {
            let mut order = family_bathroom();
            let boundaries = order["room"]["boundaries"].as_array_mut().unwrap();
            let layers = json!([{ "thickness_mm": 100, "conductivity_w_mk": 0.5 }, { "resistance_m2k_w": 0.18 }]);
            boundaries.push(json!({ "kind": "external_wall", "area_m2": 1.0, "layers": layers }));
            boundaries.push(json!({ "kind": "unheated", "area_m2": 1.0, "u_w_m2k": 1.0, "unheated_factor": 0.5 }));
            let more = json!({ "annual_mean_c": 9, "heat_recovery": 0.5, "air_heat_wh_m3k": 0.34, "reheat_w_m2": 5,
                "bridges": { "y_w_m2k": 0.1 } });
            order["room"].as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            let besides = json!({ "edition": 1, "purpose": "shared_heating", "heat_requirement_w": 300, "heat_share_percent": 80,
                "towels_factor": 0.8, "price_date": "2026-11-25", "users": users, "place": place, "frontier": true, "explain": true,
                "running": { "price_per_kwh": 0.3, "schedule": ["06:00-08:00"] } });
            order.as_object_mut().unwrap().extend(besides.as_object().unwrap().clone());
            order
        }
        "/v1/choices" => json!({ "request": right("/v1/resolutions"), "chosen": [
            { "attribute": "body.width_mm", "value": 500 }, { "attribute": "body.tube", "value": "round-25" },
            { "attribute": "body.filled", "value": false },
            { "attribute": "element.declared_zones", "value": ["1", "2"] }] }),
        "/v1/checks" => {
            let parts = ["SRW-B-HAAR-500.1200-BK", "SRW-E-GLEED-400-BK"];
            let check = json!({ "parts": parts, "users": users, "place": place, "room_c": 22, "towels_factor": 0.8 });
            json!({ "market": "gb", "edition": 1, "checks": [check] })
        }
        "/v1/heat-requirements" => {
            json!({ "room": right("/v1/resolutions")["room"], "market": "gb" })
        }
        "/v1/heat-outputs" => {
            json!({ "body": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK",
            "room_c": 22, "towels_factor": 0.8, "schedule": ["06:00-08:00"],
            "tariff": { "price_per_kwh": 0.3, "currency": "GBP" }, "market": "gb" })
        }
        "/v1/fills" => json!({ "body": "SRW-B-HAAR-500.1200-BK", "element": "SRW-E-GLEED-400-BK",
            "headspace_fraction": 0.12, "fill_c": 15, "hot_c": 60, "vent_closing": "sealed_cold",
            "fluid": { "kind": "propylene_glycol", "volume_fraction": 0.3 } }),
        "/v1/placements" => places::placement(),
        "/v1/positions" => places::position(),
        "/v1/rules/trials" => {
            json!({ "rule": { "code": "coating-and-room", "left": "body.coating_class", "relation": "at_least",
            "right": "element", "constant": "2", "when": "element.regulation=fixed", "severity": "warn",
            "sentence": "A coating of class 2 at least.", "source": "made up for a test", "evidence": "invented" },
            "attributes": [{ "attribute": "body.coating_class", "value_type": "number", "unit": "class" }] })
        }
        "/v1/electrical-supplies" => json!({ "market": "gb", "device_a": 16,
            "rails": [{ "watts": 695, "flex_mm2": 0.75, "flex_length_mm": 1500, "maker_fuse_a_max": 13 }],
            "cables": [{ "size_mm2": "1.5", "length_mm": 20000 }],
            "work": { "region": "england", "kind": "addition", "site": { "height_mm": 500, "from_bath_or_tray_mm": 700,
                "from_shower_head_mm": 2000, "shower_head_height_mm": 2100 } } }),
        other => panic!("no right request is written down for {other}: add one"),
    }
}

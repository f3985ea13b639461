//! Parts, rule rows and questions as JSON: plain attributes under the names that rule rows use, nothing worked out.

use rungwright::domain::catalogue::*;
use rungwright::domain::money::Minor;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Millimetres;
use rungwright::domain::zones::Zone;
use serde_json::Value as Json;
use serde_json::json;

use crate::generator::questions::Asked;

/// Everything a keeper states.
pub(crate) fn content(content: &EditionContent) -> Json {
    let market = &content.markets[0];
    let prices = content.price_lists[0].prices.iter();
    let prices: serde_json::Map<String, Json> =
        prices.map(|(sku, price)| (sku.to_string(), json!(price.value()))).collect();
    json!({
        "bodies": content.bodies.iter().map(body).collect::<Vec<_>>(),
        "elements": content.elements.iter().map(element).collect::<Vec<_>>(),
        "controls": content.controls.iter().map(control).collect::<Vec<_>>(),
        "accessories": content.accessories.iter().map(accessory).collect::<Vec<_>>(),
        "rules": content.rules.iter().map(rule).collect::<Vec<_>>(),
        "listed_pairs": content.listed_pairs.iter().map(|row| json!([row.table, row.left, row.right])).collect::<Vec<_>>(),
        "thread_matings": content.thread_matings.iter().map(mating).collect::<Vec<_>>(),
        "market": {
            "code": market.code,
            "tax_basis_points": market.tax_rate.basis_points(),
            "wiring_rules": market.wiring_rules,
            "needs_connection_unit": market.connection == Connection::FusedConnectionUnit,
        },
        "unit_prices_e4": prices,
    })
}

fn mating(row: &ThreadMating) -> Json {
    let joins = matches!(row.mates, Mates::Yes | Mates::Conditional);
    json!({"external": row.external.code(), "internal": row.internal.code(), "joins": joins})
}

fn card(card: &Card, more: &Json) -> Json {
    let mut row = json!({"sku": card.sku.as_str(), "stock": card.stock.word()});
    for (name, value) in more.as_object().unwrap() {
        row[name] = value.clone();
    }
    row
}

fn body(body: &Body) -> Json {
    let (heat, size, ports) = (&body.heat, &body.size, &body.ports);
    assert!(body.included.is_empty(), "cartons are not written down");
    let row = json!({
        "finish": body.finish, "tube": body.tube, "heat_source": body.heat_source.word(),
        "width_mm": size.width.value(), "height_mm": size.height.value(),
        "lowest_tube_mm": size.lowest_tube.value(),
        "rated_output_w": heat.rated_output.value(), "exponent": heat.exponent,
        "watts_min": heat.watts_min.value(), "watts_max": heat.watts_max.value(),
        "fluid_limit_c": heat.fluid_limit.value(), "volume_l": body.content.volume.value(),
        "filled": body.content.is_filled, "thread": ports.thread.to_string(),
        "open_port_count": ports.open_count, "element_side": ports.element_side.word(),
        "immersed_length_mm_max": ports.immersed_length_max.value(), "bore_mm": ports.bore.value(),
        "bracket_count": body.bracket_count, "guarded": body.is_guarded,
    });
    card(&body.card, &row)
}

fn stated(stated: Stated) -> Json {
    match stated {
        Stated::Yes => json!(true),
        Stated::No => json!(false),
        Stated::NotStated => Json::Null,
    }
}

fn element(element: &Element) -> Json {
    let (shape, safety) = (&element.shape, &element.safety);
    let locked = match element.regulation {
        Regulation::Fixed { .. } => None,
        Regulation::Adjustable { lockable_at, .. } => lockable_at,
    };
    let row = json!({
        "finish": element.finish, "watts": element.watts.value(),
        "regulation": element.regulation.word(),
        "set_point_c_max": element.regulation.set_point_max().map(Celsius::value),
        "set_point_max_c_lockable": locked.map(Celsius::value),
        "thread": shape.thread.to_string(), "immersed_length_mm": shape.immersed_length.value(),
        "sheath_diameter_mm": f64::from(shape.sheath_diameter_mm_e1) / 10.0,
        "head_length_mm": shape.head_length.value(), "displacement_ml": shape.displacement_ml,
        "flex_length_mm": element.flex.length.value(), "plug": element.flex.has_plug,
        "ip": safety.ip.as_ref().map(ToString::to_string),
        "class": safety.class.map(ProtectionClass::code),
        "declared_zones": safety.declared_zones, "thermal_cut_out": stated(safety.thermal_cut_out),
        "fluid_limit_c": safety.fluid_limit.value(),
        "control_code": element.control.code.to_string(),
        "resumes_after_power_cut": stated(element.control.resumes_after_power_cut),
    });
    card(&element.card, &row)
}

fn control(control: &Control) -> Json {
    let has = |role| control.roles.has(role);
    let row = json!({
        "finish": control.finish, "load_w_max": control.load_max.value(),
        "fused_connection_unit": has(Role::ConnectionUnit), "time_switch": has(Role::TimeSwitch),
        "wall_thermostat": has(Role::WallThermostat), "control_code": control.code.to_string(),
    });
    card(&control.card, &row)
}

fn accessory(accessory: &Accessory) -> Json {
    let row = json!({
        "kind": accessory.kind.word(), "finish": accessory.finish, "tube": accessory.tube,
        "thread": accessory.thread,
        "cover_length_mm": accessory.cover_length.map(Millimetres::value),
        "dose_ml_per_litre": accessory.dose_ml_per_litre, "pack_ml": accessory.pack_ml,
    });
    card(&accessory.card, &row)
}

fn value(value: &Value) -> Json {
    match value {
        Value::Flag(flag) => json!(flag),
        Value::Number(number) => serde_json::from_str(&number.to_string()).unwrap(),
        Value::Text(text) => json!(text),
        Value::Words(words) => json!(words),
    }
}

fn rule(rule: &Rule) -> Json {
    let right = match &rule.right {
        Right::Attribute(name) => json!({"attribute": name.to_string()}),
        Right::Range(low, high) => json!({"low": low.to_string(), "high": high.to_string()}),
        Right::Constant(kind, constant) => {
            json!({"kind": kind.word(), "constant": value(constant)})
        }
    };
    let when: Vec<Json> = rule
        .when
        .iter()
        .map(|condition| json!([condition.attribute.to_string(), value(&condition.is)]))
        .collect();
    json!({
        "code": rule.code, "left": rule.left.to_string(), "relation": rule.relation.word(),
        "right": right, "table": rule.table, "when": when, "severity": rule.severity.word(),
    })
}

/// What is asked.
pub(crate) fn question(asked: &Asked<'_>) -> Json {
    let demands = &asked.demands;
    let (around, wished) = (&demands.surroundings, &demands.preferences);
    let place = &around.place;
    let length = |length: Option<Millimetres>| length.map(Millimetres::value);
    let extras: Vec<&str> = wished.accessories.iter().map(|kind| kind.word()).collect();
    json!({
        "rails_max": asked.rails_max, "required_dw": demands.required.map(Deciwatts::value),
        "room_c": around.room.value(), "towels_factor": around.towels_factor,
        "children": around.users.children, "vulnerable": around.users.vulnerable,
        "public_building": around.users.public_building, "region": place.region,
        "wall_width_mm": length(place.wall_width), "wall_bottom_mm": length(place.wall_bottom),
        "wall_height_mm": length(place.wall_height), "zone": place.zone.map(Zone::code),
        "water_jets": place.water_jets, "connection_distance_mm": length(place.connection_distance),
        "side": place.side.word(), "finish": wished.finish, "regulation": wished.regulation.word(),
        "wall_control": wished.wall_control, "time_control": wished.time_control,
        "flex_cover": wished.flex_cover, "budget_minor": wished.budget.map(Minor::value),
        "accessories": extras,
    })
}

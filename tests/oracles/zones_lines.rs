//! Feeds drawings to the placement engine for the oracle beside it: one JSON object a line in, one out.
//!
//! In: `{"wiring_rules", "scene", "items":[{"id","min_mm","max_mm"}]}`; out: `{"items":[{"id","zone","on_boundary","distance_mm"}]}`
//! or `{"faults":[…]}`.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a tool for the oracle stops at the first surprise"
)]

use std::io::BufRead;
use std::io::Write;

use rungwright::domain::zones::placement::Plan;
use rungwright::domain::zones::scene::Basin;
use rungwright::domain::zones::scene::Fixture;
use rungwright::domain::zones::scene::FixtureKind;
use rungwright::domain::zones::scene::Head;
use rungwright::domain::zones::scene::Outlet;
use rungwright::domain::zones::scene::Partition;
use rungwright::domain::zones::scene::PartitionKind;
use rungwright::domain::zones::scene::Point;
use rungwright::domain::zones::scene::Rect;
use rungwright::domain::zones::scene::Scene;
use rungwright::domain::zones::scene::Solid;
use rungwright::domain::zones::scene::UnderAccess;
use rungwright::domain::zones::validity;
use rungwright::store::rule_packs;
use serde_json::Value;
use serde_json::json;

fn main() {
    let packs = rule_packs::load_all().unwrap();
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let question: Value = serde_json::from_str(&line.unwrap()).unwrap();
        let id = question["wiring_rules"].as_str().unwrap();
        let rules = packs.iter().find(|rules| rules.id == id).unwrap();
        let scene = scene(&question["scene"]);
        let faults = validity::faults(&scene);
        let answer = if faults.is_empty() {
            let plan = Plan::new(&scene, rules.regime.as_ref().unwrap());
            let items: Vec<_> =
                list(&question["items"]).iter().map(|item| place(&plan, &scene, item)).collect();
            json!({ "items": items })
        } else {
            json!({ "faults": faults.iter().map(ToString::to_string).collect::<Vec<_>>() })
        };
        writeln!(out, "{answer}").unwrap();
    }
}

fn place(plan: &Plan, scene: &Scene, item: &Value) -> Value {
    let ([x0, y0, z0], [x1, y1, z1]) = (wholes(&item["min_mm"]), wholes(&item["max_mm"]));
    let rect = Rect::new(Point::new(x0, y0), Point::new(x1, y1));
    let solid = Solid { plan: rect, low_mm: z0, high_mm: z1 };
    let faults = validity::solid_faults("", &solid, scene);
    let placement = plan.place(&solid);
    json!({
        "id": item["id"],
        "fault": faults.first().map(|fault| fault.code),
        "zone": placement.zone.code(),
        "on_boundary": placement.on_boundary,
        "distance_mm": placement.path.map(|path| path.length.mm()),
    })
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn whole(value: &Value) -> i32 {
    i32::try_from(value.as_i64().unwrap()).unwrap()
}

fn wholes<const N: usize>(value: &Value) -> [i32; N] {
    let numbers: Vec<_> = list(value).iter().map(whole).collect();
    numbers.try_into().unwrap()
}

fn point(value: &Value) -> Point {
    let [x, y] = wholes(value);
    Point::new(x, y)
}

fn scene(value: &Value) -> Scene {
    Scene {
        corners: list(&value["corners_mm"]).iter().map(point).collect(),
        ceiling_mm: whole(&value["ceiling_mm"]),
        fixtures: list(&value["fixtures"]).iter().map(fixture).collect(),
        outlets: list(&value["outlets"]).iter().map(outlet).collect(),
        partitions: list(&value["partitions"]).iter().map(partition).collect(),
        openings: Vec::new(),
    }
}

fn fixture(value: &Value) -> Fixture {
    let id = value["id"].as_str().unwrap().to_owned();
    let kind = match value["kind"].as_str().unwrap() {
        "bath" => {
            let [x0, y0, x1, y1] = wholes(&value["rect_mm"]);
            FixtureKind::Bath(Basin {
                outline: Rect::new(Point::new(x0, y0), Point::new(x1, y1)),
                bottom_mm: whole(&value["bottom_mm"]),
                rim_mm: whole(&value["rim_mm"]),
                under: UnderAccess::NoTool,
            })
        }
        "trayless" => FixtureKind::Trayless,
        other => panic!("unknown fixture {other:?}"),
    };
    Fixture { id, kind }
}

fn outlet(value: &Value) -> Outlet {
    Outlet {
        at: point(&value["at_mm"]),
        z_mm: whole(&value["z_mm"]),
        serves: value["serves"].as_str().unwrap().to_owned(),
        is_fixed: true,
        head: Head::NotStated,
    }
}

fn partition(value: &Value) -> Partition {
    Partition {
        a: point(&value["a_mm"]),
        b: point(&value["b_mm"]),
        ends_joined: [false, false],
        top_mm: whole(&value["top_mm"]),
        is_fixed: value["fixed"].as_bool().unwrap(),
        is_floor_joined: true,
        kind: PartitionKind::GlassPanel,
    }
}

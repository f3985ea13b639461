//! The rooms of the shared drawings, read into scenes, and the rule packs by name.

use rungwright::domain::zones::regime::Regime;
use rungwright::domain::zones::rules::WiringRules;
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
use rungwright::domain::zones::scene::UnderAccess;
use rungwright::domain::zones::scene::Washbasin;
use rungwright::store::rule_packs;
use serde_json::Value;

pub(crate) fn pack(id: &str) -> WiringRules {
    let packs = rule_packs::load_all().unwrap();
    packs.into_iter().find(|rules| rules.id == id).unwrap_or_else(|| panic!("no pack {id}"))
}

pub(crate) fn regime(id: &str) -> Regime {
    pack(id).regime.unwrap_or_else(|| panic!("no figures in {id}"))
}

pub(crate) fn cases(text: &str) -> Vec<Value> {
    serde_json::from_str(text).unwrap()
}

pub(crate) fn text<'value>(value: &'value Value, key: &str) -> &'value str {
    value[key].as_str().unwrap_or_else(|| panic!("no text {key} in {value}"))
}

pub(crate) fn whole(value: &Value) -> i32 {
    i32::try_from(value.as_i64().unwrap_or_else(|| panic!("{value} is no whole number"))).unwrap()
}

pub(crate) fn wholes<const N: usize>(value: &Value) -> [i32; N] {
    let list: Vec<_> = value.as_array().unwrap().iter().map(whole).collect();
    list.try_into().unwrap()
}

pub(crate) fn rect(value: &Value) -> Rect {
    let [x0, y0, x1, y1] = wholes(value);
    Rect::new(Point::new(x0, y0), Point::new(x1, y1))
}

fn point(value: &Value) -> Point {
    let [x, y] = wholes(value);
    Point::new(x, y)
}

pub(crate) fn scenes() -> Vec<(String, Scene)> {
    cases(include_str!("../fixtures/placement/scenes.json"))
        .iter()
        .map(|value| (text(value, "id").to_owned(), scene(value)))
        .collect()
}

pub(crate) fn scene_of(id: &str) -> Scene {
    scenes()
        .into_iter()
        .find(|(name, _)| name == id)
        .map_or_else(|| panic!("no scene {id}"), |(_, scene)| scene)
}

fn scene(value: &Value) -> Scene {
    let list = |key: &str| value[key].as_array().unwrap().clone();
    Scene {
        corners: rect(&value["room_mm"]).corners().to_vec(),
        ceiling_mm: whole(&value["ceiling_mm"]),
        fixtures: list("fixtures").iter().map(fixture).collect(),
        outlets: list("outlets").iter().map(outlet).collect(),
        partitions: list("partitions").iter().map(partition).collect(),
        openings: Vec::new(),
    }
}

fn fixture(value: &Value) -> Fixture {
    let basin = || Basin {
        outline: rect(&value["rect_mm"]),
        bottom_mm: whole(&value["bottom_mm"]),
        rim_mm: whole(&value["rim_mm"]),
        under: match text(value, "under_access") {
            "tool" => UnderAccess::Tool,
            "no_tool" => UnderAccess::NoTool,
            other => panic!("unknown access {other:?}"),
        },
    };
    let kind = match text(value, "kind") {
        "bath" => FixtureKind::Bath(basin()),
        "tray" => FixtureKind::Tray(basin()),
        "trayless" => FixtureKind::Trayless,
        "washbasin" => FixtureKind::Washbasin(Washbasin {
            outline: rect(&value["rect_mm"]),
            litres: Some(whole(&value["litres"])),
            rim_mm: None,
            is_outlet_fixed: true,
        }),
        other => panic!("unknown fixture {other:?}"),
    };
    Fixture { id: text(value, "id").to_owned(), kind }
}

fn outlet(value: &Value) -> Outlet {
    Outlet {
        at: point(&value["at_mm"]),
        z_mm: whole(&value["z_mm"]),
        serves: text(value, "serves").to_owned(),
        is_fixed: value["fixed"].as_bool().unwrap(),
        head: Head::NotStated,
    }
}

fn partition(value: &Value) -> Partition {
    let flag = |key: &str| value[key].as_bool().unwrap();
    Partition {
        a: point(&value["a_mm"]),
        b: point(&value["b_mm"]),
        ends_joined: [flag("a_at_wall"), flag("b_at_wall")],
        top_mm: whole(&value["top_mm"]),
        is_fixed: flag("fixed"),
        is_floor_joined: flag("floor_joined"),
        kind: PartitionKind::parse(&text(value, "kind").replace(' ', "_")).unwrap(),
    }
}

//! Random parts of the four kinds.

use std::collections::BTreeMap;

use rungwright::domain::catalogue::Accessory;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Attachment;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::BodyContent;
use rungwright::domain::catalogue::BodyHeat;
use rungwright::domain::catalogue::BodyPorts;
use rungwright::domain::catalogue::BodySize;
use rungwright::domain::catalogue::Card;
use rungwright::domain::catalogue::Control;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::ElementControl;
use rungwright::domain::catalogue::ElementSafety;
use rungwright::domain::catalogue::ElementShape;
use rungwright::domain::catalogue::Flex;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::Included;
use rungwright::domain::catalogue::Regulation;
use rungwright::domain::catalogue::Role;
use rungwright::domain::catalogue::Roles;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Stated;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::catalogue::Value;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::thread::Thread;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Kilograms;
use rungwright::domain::units::Litres;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;

use super::Dice;
use super::words;

/// Part numbers that do not stand in the order in which they are drawn.
fn card(dice: &mut Dice, kind: &str, index: usize) -> Card {
    let sku = Sku::parse(&format!("{kind}-{}{index}", dice.below(3))).unwrap();
    let series = dice.maybe(60, &["one", "two"]).map(|word| ("series".into(), Value::text(word)));
    Card {
        name: sku.as_str().into(),
        sku,
        gtin: None,
        stock: if dice.happens(4) { Stock::Discontinued } else { Stock::InStock },
        lead_days: 1,
        evidence: Evidence::Invented,
        attributes: series.into_iter().collect(),
    }
}

fn plain_card(dice: &mut Dice, kind: &str, index: usize) -> Card {
    Card { attributes: BTreeMap::new(), ..card(dice, kind, index) }
}

pub(super) fn bodies(dice: &mut Dice, finishes: &[&str], accessories: &[Accessory]) -> Vec<Body> {
    let count = 2 + dice.below(5);
    (0..count).map(|index| body(dice, index, finishes, accessories)).collect()
}

/// A body. Its volumes and the packs of inhibitor below meet at whole numbers of packs, and a hair beside them.
fn body(dice: &mut Dice, index: usize, finishes: &[&str], accessories: &[Accessory]) -> Body {
    let electric = HeatSource::Electric;
    Body {
        card: card(dice, "B", index),
        finish: dice.pick(finishes).into(),
        tube: dice.pick(&["round", "round", "flat"]).into(),
        heat_source: if dice.happens(5) { HeatSource::DualFuel } else { electric },
        size: BodySize {
            width: Millimetres::new(dice.pick(&[400, 500, 600])),
            height: Millimetres::new(dice.pick(&[700, 1_000, 1_200])),
            depth: Millimetres::new(90),
            lowest_tube: Millimetres::new(dice.pick(&[70, 100])),
        },
        heat: BodyHeat {
            rated_output: Watts::new(dice.pick(&[250.0, 400.0, 600.0])),
            exponent: dice.pick(&[1.2, 1.25, 1.3]),
            watts_min: Watts::new(100.0),
            watts_max: Watts::new(dice.pick(&[300.0, 600.0, 600.0])),
            fluid_limit: Celsius::new(dice.pick(&[70.0, 90.0, 90.0])),
        },
        content: BodyContent {
            volume: Litres::new(dice.pick(&[2.0, 3.3, 4.5, 6.0])),
            dry_mass: Kilograms::new(6.0),
            permitted_gauge_kpa: None,
            is_filled: dice.happens(30),
        },
        ports: BodyPorts {
            thread: thread(dice.pick(&PORTS)),
            open_count: dice.pick(&[0, 1, 2, 3]),
            element_side: dice.pick(&[Side::Either, Side::Either, Side::Left, Side::Right]),
            immersed_length_max: Millimetres::new(dice.pick(&[350, 500, 500])),
            bore: Millimetres::new(22),
        },
        bracket_count: dice.pick(&[0, 2, 2]),
        is_guarded: dice.happens(15),
        included: included(dice, accessories),
    }
}

fn included(dice: &mut Dice, accessories: &[Accessory]) -> Vec<Included> {
    let mut rows = Vec::new();
    for accessory in accessories {
        let quantity = dice.pick(&[1, 1, 2]);
        if dice.happens(15) {
            rows.push(Included { sku: accessory.card.sku.clone(), quantity });
        }
    }
    rows
}

const PORTS: [&str; 6] =
    ["G 1/2 int", "G 1/2 int", "G 1/2 int", "G 1/2 int", "Rp 1/2 int", "G 3/4 int"];
const BOSSES: [&str; 7] =
    ["G 1/2 ext", "G 1/2 ext", "G 1/2 ext", "G 1/2 ext", "G 1/2 ext", "R 1/2 ext", "G 3/4 ext"];

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

pub(super) fn elements(dice: &mut Dice, finishes: &[&str]) -> Vec<Element> {
    let count = 3 + dice.below(5);
    (0..count).map(|index| element(dice, index, finishes)).collect()
}

fn element(dice: &mut Dice, index: usize, finishes: &[&str]) -> Element {
    let boss = dice.pick(&BOSSES);
    Element {
        card: card(dice, "E", index),
        finish: dice.pick(finishes).into(),
        head: "round".into(),
        watts: Watts::new(dice.pick(&[150.0, 300.0, 300.0, 600.0])),
        regulation: regulation(dice),
        shape: ElementShape {
            thread: thread(boss),
            immersed_length: Millimetres::new(dice.pick(&[320, 320, 350, 351, 480])),
            sheath_diameter_mm_e1: 100,
            head_length: Millimetres::new(dice.pick(&[60, 90])),
            displacement_ml: dice.pick(&[20, 100]),
        },
        flex: Flex {
            length: Millimetres::new(dice.pick(&[1_000, 1_200, 1_800])),
            area_mm2_e2: 75,
            attachment: Attachment::Y,
            has_plug: dice.happens(10),
        },
        safety: safety(dice),
        control: ElementControl {
            code: code(dice.pick(&[
                "NC (0/0/0/0/0/0/0/0)",
                "TE (0/0/0/0/5/0/0/0)",
                "TE (0/2/0/0/5/0/7/8)",
                "TE (0/2/0/4/5/0/7/0)",
                "TE (0/2/0/4/5/0/7/8)",
                "TE (0/2/0/4/5/0/0/8)",
                "TD (0/2/0/0/5/0/0/0)",
            ])),
            timed_drying: false,
            resumes_after_power_cut: dice.pick(&[Stated::Yes, Stated::No, Stated::NotStated]),
        },
    }
}

fn regulation(dice: &mut Dice) -> Regulation {
    if dice.happens(50) {
        let set_point = dice.pick(&[None, Some(43.0), Some(60.0), Some(65.0)]).map(Celsius::new);
        return Regulation::Fixed { set_point };
    }
    Regulation::Adjustable {
        set_point_min: Celsius::new(30.0),
        set_point_max: Celsius::new(65.0),
        lockable_at: dice
            .pick(&[None, Some(43.0), Some(43.0), Some(60.0), Some(60.0)])
            .map(Celsius::new),
    }
}

fn safety(dice: &mut Dice) -> ElementSafety {
    let ip = dice.pick(&[None, Some("IP44"), Some("IP44"), Some("IP44"), Some("IPX5")]);
    ElementSafety {
        ip: ip.map(|text| IpCode::parse(text).unwrap()),
        class: dice.pick(&[
            None,
            Some(ProtectionClass::I),
            Some(ProtectionClass::II),
            Some(ProtectionClass::II),
        ]),
        declared_zones: dice.pick(&[words(&["1", "2"]), words(&["2"]), words(&["2"]), words(&[])]),
        thermal_cut_out: dice.pick(&[
            Stated::Yes,
            Stated::Yes,
            Stated::Yes,
            Stated::No,
            Stated::NotStated,
        ]),
        fluid_limit: Celsius::new(dice.pick(&[80.0, 95.0])),
    }
}

fn code(text: &str) -> ControlCode {
    ControlCode::parse(text).unwrap()
}

/// Single controls and combinations, so that one of several roles can undercut two of one.
pub(super) fn controls(dice: &mut Dice, finishes: &[&str]) -> Vec<Control> {
    let count = 2 + dice.below(6);
    (0..count)
        .map(|index| {
            let unit = Roles::NONE.with(Role::ConnectionUnit);
            let clock = Roles::NONE.with(Role::TimeSwitch);
            let room = Roles::NONE.with(Role::WallThermostat);
            Control {
                card: plain_card(dice, "C", index),
                finish: dice.pick(finishes).into(),
                roles: dice.pick(&[
                    unit,
                    unit,
                    unit,
                    clock,
                    room,
                    unit.union(clock),
                    clock.union(room),
                ]),
                load_max: Watts::new(dice.pick(&[500.0, 2_000.0, 2_000.0])),
                fuse_a_max: None,
                code: code(dice.pick(&[
                    "NC (0/0/0/0/0/0/0/0)",
                    "TD (0/0/0/4/0/0/0/0)",
                    "TW (0/0/0/0/0/0/0/0)",
                    "TW (0/2/0/4/0/0/0/0)",
                ])),
                is_lockable: dice.happens(50),
                ip: None,
                class: None,
            }
        })
        .collect()
}

/// Of each kind none now and then, mostly one or two.
pub(super) fn accessories(dice: &mut Dice, finishes: &[&str]) -> Vec<Accessory> {
    let kinds = [
        AccessoryKind::PlugCover,
        AccessoryKind::Bracket,
        AccessoryKind::FlexCover,
        AccessoryKind::Inhibitor,
        AccessoryKind::Hook,
    ];
    let mut all = Vec::new();
    for kind in kinds {
        for _ in 0..dice.pick(&[0, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 3, 3]) {
            let index = all.len();
            all.push(accessory(dice, kind, index, finishes));
        }
    }
    all
}

fn accessory(dice: &mut Dice, kind: AccessoryKind, index: usize, finishes: &[&str]) -> Accessory {
    let is = |wanted| kind == wanted;
    Accessory {
        card: plain_card(dice, "A", index),
        kind,
        finish: dice.maybe(95, finishes).map(Into::into),
        tube: dice.maybe(95, &["round", "flat"]).map(Into::into),
        thread: dice.pick(&[Some("G 1/2 ext"), Some("G 1/2 ext"), None]).map(Into::into),
        cover_length: dice
            .maybe(90, &[300, 600, 1_000])
            .filter(|_| is(AccessoryKind::FlexCover))
            .map(Millimetres::new),
        dose_ml_per_litre: dice.maybe(90, &[10, 20, 50]).filter(|_| is(AccessoryKind::Inhibitor)),
        pack_ml: is(AccessoryKind::Inhibitor).then_some(dice.pick(&[20, 50, 89, 99])),
    }
}

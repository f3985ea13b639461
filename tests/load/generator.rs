//! Made-up catalogues of any size from a seed, and made-up questions to them.
//!
//! Three bodies to two elements, one control and four accessories. Finishes, threads and tubes grow with the size; three
//! in ten widths and heights are odd ones; prices follow size, finish and an invented range, and end in few kinds of pennies.
//! Every figure keeps to the digits and ranges of the catalogue files, so that a catalogue goes out and comes back the same.

#![expect(
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::default_numeric_fallback,
    clippy::indexing_slicing,
    clippy::integer_division,
    clippy::manual_is_multiple_of,
    clippy::shadow_unrelated,
    clippy::unwrap_used,
    reason = "a generator made of bounded figures, not a part of the program"
)]

#[path = "generator/questions.rs"]
pub(crate) mod questions;
#[path = "generator/rows.rs"]
mod rows;

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use jiff::civil::date;
use rungwright::domain::catalogue::*;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::money::*;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::thread::Thread;
use rungwright::domain::units::*;

pub(crate) use questions::asked;
use rows::matings;
use rows::pairs;
use rows::rules;

/// A stream of numbers, the same for the same seed on every machine.
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    /// A stream from a seed.
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number below a limit.
    pub(crate) fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((mixed ^ (mixed >> 31)) % u64::try_from(limit).unwrap()).unwrap()
    }

    /// Whether so many of a hundred throws come true.
    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of some things.
    pub(crate) fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())].clone()
    }

    /// A whole number from low to high.
    pub(crate) fn between(&mut self, low: i32, high: i32) -> i32 {
        low + i32::try_from(self.below(usize::try_from(high - low + 1).unwrap())).unwrap()
    }
}

const FINISHES: [&str; 12] = [
    "anthracite",
    "bone",
    "brass",
    "chrome",
    "clay",
    "copper",
    "graphite",
    "ivory",
    "moss",
    "sand",
    "slate",
    "white",
];
const TUBES: [&str; 3] = ["flat-50", "oval-30", "round-22"];
const PORTS: [&str; 3] = ["G 1/2 int", "G 3/4 int", "Rp 1/2"];
const BOSSES: [&str; 2] = ["G 1/2 ext", "G 3/4 ext"];
const PLUGS: [&str; 3] = ["G 1/2 ext", "G 3/4 ext", "R 1/2 ext"];
const WATTS: [i32; 13] = [75, 100, 150, 200, 250, 300, 400, 500, 600, 700, 800, 1_000, 1_200];
const FLEXES: [i32; 7] = [600, 900, 1_000, 1_200, 1_500, 2_000, 3_000];
const IPS: [Option<&str>; 5] = [None, Some("IP20"), Some("IP34"), Some("IP44"), Some("IP65")];
const CODES: [&str; 5] = [
    "NC (0/0/0/0/0/0/0/0)",
    "TX (0/0/0/0/0/0/0/0)",
    "TE (0/2/0/0/0/0/0/8)",
    "TD (0/2/0/0/5/0/0/0)",
    "TW (0/2/0/4/0/0/0/0)",
];

/// How many finishes, threads and tubes a catalogue of a size has.
fn variety(parts: usize) -> (usize, usize, usize) {
    match parts {
        0..300 => (3, 2, 2),
        300..3_000 => (6, 2, 2),
        _ => (12, 3, 3),
    }
}

/// A catalogue of so many parts.
pub(crate) fn content(parts: usize, seed: u64) -> EditionContent {
    let dice = &mut Dice::new(seed);
    let share = |tenths: usize| (parts * tenths / 10).max(2);
    let mut prices = BTreeMap::new();
    let content = EditionContent {
        bodies: bodies(dice, parts, share(3), &mut prices),
        elements: (0..share(2)).map(|number| element(dice, parts, number, &mut prices)).collect(),
        controls: (0..share(1)).map(|number| control(dice, parts, number, &mut prices)).collect(),
        accessories: (0..share(4))
            .map(|number| accessory(dice, parts, number, &mut prices))
            .collect(),
        attributes: Vec::new(),
        rules: rules(),
        listed_pairs: pairs(variety(parts).0),
        thread_matings: matings(),
        finishes: FINISHES.iter().map(|finish| ((*finish).into(), (*finish).into())).collect(),
        markets: vec![market()],
        price_lists: Vec::new(),
        ..EditionContent::default()
    };
    let list = PriceList {
        code: "gb-test".into(),
        market: "gb".into(),
        currency: Currency::GBP,
        valid_from: date(2026, 1, 1),
        valid_to: None,
        prices,
    };
    EditionContent { price_lists: vec![list], ..content }
}

type Prices = BTreeMap<Sku, UnitPrice>;

fn card(
    dice: &mut Dice,
    letter: char,
    number: usize,
    (prices, pounds): (&mut Prices, f64),
) -> Card {
    let sku = Sku::parse(&format!("{letter}-{number:06}")).unwrap();
    // Mostly one ending, as in a shop, so that bills tie.
    let endings = [95, 95, 95, 95, 95, 0, 25, 50, 99];
    let pence = i64::from(whole(pounds)) * 100 + dice.pick(&endings);
    // One in two hundred has no price, and is not sold.
    if !dice.chance(1) || dice.chance(50) {
        prices.insert(sku.clone(), UnitPrice::new(pence * 100));
    }
    Card {
        name: format!("Part {number} of {letter}").into(),
        sku,
        gtin: None,
        stock: if dice.chance(2) { Stock::Discontinued } else { Stock::InStock },
        lead_days: 3,
        evidence: Evidence::Invented,
        attributes: BTreeMap::new(),
    }
}

#[expect(clippy::cast_possible_truncation, reason = "prices of some hundreds")]
fn whole(pounds: f64) -> i32 {
    pounds as i32
}

/// A figure as a column of whole thousandths holds it.
fn in_thousandths(figure: f64) -> f64 {
    (figure * 1_000.0).round() / 1_000.0
}

/// Bodies; one in eight is the one before it under another number, at the same price, so that bills tie.
fn bodies(dice: &mut Dice, parts: usize, count: usize, prices: &mut Prices) -> Vec<Body> {
    let mut all: Vec<Body> = Vec::with_capacity(count);
    for number in 0..count {
        let mut next = body(dice, parts, number, prices);
        if let Some(before) = all.last().filter(|_| number % 8 == 7) {
            let card = next.card;
            match prices.get(&before.card.sku).copied() {
                Some(price) => prices.insert(card.sku.clone(), price),
                None => prices.remove(&card.sku),
            };
            next = Body { card, ..before.clone() };
        }
        all.push(next);
    }
    all
}

fn body(dice: &mut Dice, parts: usize, number: usize, prices: &mut Prices) -> Body {
    let (finishes, threads, tubes) = variety(parts);
    let jitter = dice.chance(30);
    let odd = |dice: &mut Dice| if jitter { dice.between(-24, 24) } else { 0 };
    let width = dice.pick(&[300, 400, 450, 500, 550, 600, 750, 900]) + odd(dice);
    let height = dice.pick(&[500, 600, 700, 800, 1_000, 1_200, 1_400, 1_600, 1_800]) + odd(dice);
    let finish = dice.below(finishes);
    let shine = if finish % 3 == 0 { 0.7 } else { 1.0 };
    let area = f64::from(width) * f64::from(height) / 1e6;
    let rated = (area * 820.0 * shine * (0.85 + f64::from(dice.between(0, 30)) / 100.0)).round();
    let range = [0.8, 0.95, 1.0, 1.2, 1.7][dice.below(5)];
    let pounds =
        (35.0 + 210.0 * area) * range * (1.0 + f64::from(u8::try_from(finish).unwrap()) * 0.04);
    let thread = dice.below(threads);
    Body {
        card: card(dice, 'B', number, (prices, pounds)),
        finish: FINISHES[finish].into(),
        tube: TUBES[dice.below(tubes)].into(),
        heat_source: if dice.chance(3) { HeatSource::DualFuel } else { HeatSource::Electric },
        size: BodySize {
            width: Millimetres::new(width),
            height: Millimetres::new(height),
            depth: Millimetres::new(90),
            lowest_tube: Millimetres::new(dice.pick(&[50, 70, 90])),
        },
        heat: BodyHeat {
            rated_output: Watts::new(rated),
            exponent: f64::from(1_200 + dice.between(0, 100)) / 1_000.0,
            watts_min: Watts::new((rated * 0.3).round().max(ELEMENT_WATTS.minimum)),
            watts_max: Watts::new((rated * 1.25).round()),
            fluid_limit: Celsius::new(dice.pick(&[85.0, 90.0, 95.0])),
        },
        content: BodyContent {
            volume: Litres::new(in_thousandths(1.0 + area * 5.0)),
            dry_mass: Kilograms::new(in_thousandths(2.0 + area * 9.0)),
            permitted_gauge_kpa: None,
            is_filled: dice.chance(25),
        },
        ports: BodyPorts {
            thread: Thread::parse(PORTS[thread]).unwrap(),
            open_count: u8::try_from(dice.pick(&[1, 3, 3])).unwrap(),
            element_side: dice.pick(&[Side::Either, Side::Either, Side::Left, Side::Right]),
            immersed_length_max: Millimetres::new(height - dice.pick(&[90, 110, 130])),
            bore: Millimetres::new(dice.pick(&[20, 22, 28])),
        },
        bracket_count: u32::try_from(dice.pick(&[2, 3, 4])).unwrap(),
        is_guarded: dice.chance(2),
        included: Vec::new(),
    }
}

fn element(dice: &mut Dice, parts: usize, number: usize, prices: &mut Prices) -> Element {
    let (finishes, threads, _) = variety(parts);
    let watts = dice.pick(&WATTS);
    let code = dice.pick(&CODES);
    let is_fixed = code.starts_with('N');
    let hottest = dice.pick(&[50.0, 60.0, 65.0, 70.0]);
    let regulation = if is_fixed {
        let set_point = if dice.chance(8) { 43.0 } else { hottest };
        Regulation::Fixed { set_point: (!dice.chance(5)).then(|| Celsius::new(set_point)) }
    } else {
        let locked = dice.pick(&[None, Some(43.0), Some(55.0), Some(60.0)]);
        Regulation::Adjustable {
            set_point_min: Celsius::new(30.0),
            set_point_max: Celsius::new(hottest),
            lockable_at: locked.map(|at: f64| Celsius::new(at.min(hottest))),
        }
    };
    let range = [0.8, 0.95, 1.0, 1.25, 1.6][dice.below(5)];
    let comfort = if is_fixed { 18.0 } else { 45.0 };
    let pounds = (comfort + f64::from(watts) * 0.025) * range;
    let stated = [Stated::Yes, Stated::Yes, Stated::Yes, Stated::No, Stated::NotStated];
    let zones: BTreeSet<Box<str>> = dice
        .pick(&[vec![], vec!["2"], vec!["2"], vec!["1", "2"]])
        .into_iter()
        .map(Into::into)
        .collect();
    Element {
        card: card(dice, 'E', number, (prices, pounds)),
        finish: FINISHES[dice.below(finishes)].into(),
        head: "round".into(),
        watts: Watts::new(f64::from(watts)),
        regulation,
        shape: ElementShape {
            thread: Thread::parse(BOSSES[dice.below(threads.min(2))]).unwrap(),
            immersed_length: Millimetres::new(230 + watts / 3 * dice.pick(&[1, 1, 2])),
            sheath_diameter_mm_e1: u16::try_from(dice.pick(&[80, 100, 120])).unwrap(),
            head_length: Millimetres::new(dice.pick(&[70, 80, 90, 110])),
            displacement_ml: u16::try_from(20 + watts / 20).unwrap(),
        },
        flex: Flex {
            length: Millimetres::new(dice.pick(&FLEXES)),
            area_mm2_e2: 75,
            attachment: Attachment::Y,
            has_plug: dice.chance(10),
        },
        safety: ElementSafety {
            ip: dice.pick(&IPS).map(|ip| IpCode::parse(ip).unwrap()),
            class: dice.pick(&[Some(ProtectionClass::I), Some(ProtectionClass::II), None]),
            declared_zones: zones,
            thermal_cut_out: dice.pick(&stated),
            fluid_limit: Celsius::new(dice.pick(&[85.0, 95.0])),
        },
        control: ElementControl {
            code: ControlCode::parse(code).unwrap(),
            timed_drying: false,
            resumes_after_power_cut: dice.pick(&[Stated::Yes, Stated::No, Stated::NotStated]),
        },
    }
}

fn control(dice: &mut Dice, parts: usize, number: usize, prices: &mut Prices) -> Control {
    let role_sets: [&[Role]; 5] = [
        &[Role::ConnectionUnit],
        &[Role::TimeSwitch],
        &[Role::WallThermostat],
        &[Role::ConnectionUnit, Role::TimeSwitch],
        &[Role::TimeSwitch, Role::WallThermostat],
    ];
    // The first is a plain connection unit, so that even the smallest catalogue can complete a rail.
    let roles = if number == 0 { role_sets[0] } else { dice.pick(&role_sets) };
    let code = if roles.contains(&Role::TimeSwitch) {
        dice.pick(&CODES[3..])
    } else if roles.contains(&Role::WallThermostat) {
        CODES[2]
    } else {
        CODES[0]
    };
    let pounds =
        9.0 + f64::from(u8::try_from(roles.len()).unwrap()) * f64::from(dice.between(8, 30));
    Control {
        card: card(dice, 'C', number, (prices, pounds)),
        finish: FINISHES[dice.below(variety(parts).0)].into(),
        roles: roles.iter().fold(Roles::NONE, |set, role| set.with(*role)),
        load_max: Watts::new(dice.pick(&[600.0, 1_000.0, 2_000.0, 3_000.0])),
        fuse_a_max: roles.contains(&Role::ConnectionUnit).then_some(13),
        code: ControlCode::parse(code).unwrap(),
        is_lockable: true,
        ip: None,
        class: None,
    }
}

fn accessory(dice: &mut Dice, parts: usize, number: usize, prices: &mut Prices) -> Accessory {
    let (finishes, threads, tubes) = variety(parts);
    let kinds = [
        AccessoryKind::Bracket,
        AccessoryKind::PlugCover,
        AccessoryKind::FlexCover,
        AccessoryKind::Hook,
        AccessoryKind::Shelf,
        AccessoryKind::Inhibitor,
        AccessoryKind::VentKey,
        AccessoryKind::WallPlate,
    ];
    // Brackets and plug covers come first and in every finish, or hardly a body could be hung.
    let kind = if number < finishes * tubes {
        AccessoryKind::Bracket
    } else if number < finishes * (tubes + threads) {
        AccessoryKind::PlugCover
    } else {
        dice.pick(&kinds)
    };
    let finish = FINISHES[number % finishes];
    let is_seen = !matches!(kind, AccessoryKind::Inhibitor | AccessoryKind::VentKey);
    let grips = matches!(kind, AccessoryKind::Bracket | AccessoryKind::Hook | AccessoryKind::Shelf);
    let turn = number / finishes;
    let pounds = f64::from(dice.between(2, 30));
    Accessory {
        card: card(dice, 'A', number, (prices, pounds)),
        kind,
        finish: is_seen.then(|| finish.into()),
        tube: grips.then(|| TUBES[turn % tubes].into()),
        thread: (kind == AccessoryKind::PlugCover).then(|| PLUGS[turn % threads].into()),
        cover_length: (kind == AccessoryKind::FlexCover)
            .then(|| Millimetres::new(dice.pick(&[500, 1_000, 2_000]))),
        dose_ml_per_litre: (kind == AccessoryKind::Inhibitor).then(|| dice.pick(&[10, 20, 25])),
        pack_ml: (kind == AccessoryKind::Inhibitor).then(|| dice.pick(&[50, 100, 250])),
    }
}

fn market() -> Market {
    Market {
        code: "gb".into(),
        currency: Currency::GBP,
        tax_rate: TaxRate::new(2_000),
        tax_source: Source::new("made up", Evidence::Invented),
        language: "en-GB".into(),
        wiring_rules: "gb-bs7671".into(),
        connection: Connection::FusedConnectionUnit,
        connection_source: Source::new("made up", Evidence::Invented),
        regions: vec!["england".into(), "northern-ireland".into()],
    }
}

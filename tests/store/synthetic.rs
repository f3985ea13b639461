//! A made-up edition that uses every column, every word of every column, and every absence.

use std::collections::BTreeMap;

use rungwright::domain::catalogue::Accessory;
use rungwright::domain::catalogue::AccessoryKind;
use rungwright::domain::catalogue::Attachment;
use rungwright::domain::catalogue::AttributeDeclaration;
use rungwright::domain::catalogue::AttributeName;
use rungwright::domain::catalogue::Body;
use rungwright::domain::catalogue::BodyContent;
use rungwright::domain::catalogue::BodyHeat;
use rungwright::domain::catalogue::BodyPorts;
use rungwright::domain::catalogue::BodySize;
use rungwright::domain::catalogue::Card;
use rungwright::domain::catalogue::Connection;
use rungwright::domain::catalogue::Control;
use rungwright::domain::catalogue::EditionContent;
use rungwright::domain::catalogue::Element;
use rungwright::domain::catalogue::ElementControl;
use rungwright::domain::catalogue::ElementSafety;
use rungwright::domain::catalogue::ElementShape;
use rungwright::domain::catalogue::Flex;
use rungwright::domain::catalogue::HeatSource;
use rungwright::domain::catalogue::Included;
use rungwright::domain::catalogue::ListedPair;
use rungwright::domain::catalogue::Market;
use rungwright::domain::catalogue::Mates;
use rungwright::domain::catalogue::PartKind;
use rungwright::domain::catalogue::PriceList;
use rungwright::domain::catalogue::Regulation;
use rungwright::domain::catalogue::Relation;
use rungwright::domain::catalogue::Right;
use rungwright::domain::catalogue::Role;
use rungwright::domain::catalogue::Roles;
use rungwright::domain::catalogue::Rule;
use rungwright::domain::catalogue::SampleRequest;
use rungwright::domain::catalogue::Severity;
use rungwright::domain::catalogue::Side;
use rungwright::domain::catalogue::Sku;
use rungwright::domain::catalogue::Stated;
use rungwright::domain::catalogue::Stock;
use rungwright::domain::catalogue::Thousandths;
use rungwright::domain::catalogue::ThreadMating;
use rungwright::domain::catalogue::Value;
use rungwright::domain::catalogue::ValueType;
use rungwright::domain::catalogue::When;
use rungwright::domain::ecodesign::ControlCode;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::ip_code::IpCode;
use rungwright::domain::money::Currency;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::protection::ProtectionClass;
use rungwright::domain::thread::Thread;
use rungwright::domain::thread::ThreadForm;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Kilograms;
use rungwright::domain::units::Litres;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;
use rungwright::store::rule_packs;

use crate::synthetic_terms::terms;

/// Parts of each kind: as many as the longest list of words, so that each word is used.
const PARTS_OF_A_KIND: u16 = 8;

const FINISHES: [&str; 2] = ["chrome", "matt-black"];
const THREADS: [&str; 5] = ["G 1/2 int", "G 3/4 int", "Rp 1/2", "Rc 1 1/4", "NPT 1/8 int"];

/// The edition with eight parts of each kind.
pub(crate) fn content() -> EditionContent {
    sized_content(PARTS_OF_A_KIND)
}

/// The edition with so many parts of each kind.
pub(crate) fn sized_content(parts_of_a_kind: u16) -> EditionContent {
    let numbers = 0..parts_of_a_kind;
    let finish = |code: &str| (code.into(), code.to_uppercase().into());
    EditionContent {
        bodies: numbers.clone().map(body).collect(),
        elements: numbers.clone().map(element).collect(),
        controls: numbers.clone().map(control).collect(),
        accessories: numbers.clone().map(accessory).collect(),
        attributes: declarations(),
        rules: rules(),
        listed_pairs: vec![
            pair("finish", "chrome", "matt-black"),
            pair("finish", "matt-black", "chrome"),
        ],
        thread_matings: thread_matings(),
        finishes: FINISHES.into_iter().map(finish).collect(),
        markets: Connection::ALL.into_iter().map(market).collect(),
        price_lists: price_lists(numbers),
        terms: terms(),
        wiring_rules: rule_packs::load_all().unwrap(),
        samples: samples(),
    }
}

/// The part number of the n-th part whose kind has this letter.
pub(crate) fn sku(letter: char, number: u16) -> Sku {
    Sku::parse(&format!("{letter}-{number:05}.X")).unwrap()
}

fn samples() -> Vec<SampleRequest> {
    let named = ["attic", "family"].into_iter();
    named
        .map(|name| SampleRequest { name: name.into(), request: r#"{"market":"gb"}"#.into() })
        .collect()
}

fn nth<T: Copy>(words: &[T], number: u16) -> T {
    *words.iter().cycle().nth(usize::from(number)).unwrap()
}

fn if_even<T>(number: u16, value: T) -> Option<T> {
    number.is_multiple_of(2).then_some(value)
}

fn card(letter: char, number: u16) -> Card {
    let mut attributes = BTreeMap::new();
    if letter == 'B' && number.is_multiple_of(2) {
        attributes.insert("guarantee".into(), Value::Number(Thousandths::new(-1_500)));
        attributes.insert("handmade".into(), Value::Flag(number.is_multiple_of(4)));
        attributes.insert("motto".into(), Value::text("two words, 'quoted' \u{2014} and a dash"));
        let words = if number == 0 { "" } else { "oak teak" };
        attributes.insert("woods".into(), Value::parse(words, ValueType::Words).unwrap());
    }
    Card {
        sku: sku(letter, number),
        name: format!("Part \"{number}\" of {letter}").into(),
        gtin: if_even(number, "4012345678901".into()),
        stock: nth(&Stock::ALL, number),
        lead_days: number % 300,
        evidence: nth(&Evidence::ALL, number),
        attributes,
    }
}

fn body(number: u16) -> Body {
    let small = f64::from(number % 100);
    let included = |index| Included { sku: sku('A', index), quantity: 2 };
    Body {
        card: card('B', number),
        finish: nth(&FINISHES, number).into(),
        tube: "round-22".into(),
        heat_source: nth(&HeatSource::ALL, number),
        size: BodySize {
            width: Millimetres::new(500),
            height: Millimetres::new(1_200),
            depth: Millimetres::new(85),
            lowest_tube: Millimetres::new(40),
        },
        heat: BodyHeat {
            rated_output: Watts::new(431.7 + small / 3.0),
            exponent: 1.2 + small / 1_000.0,
            watts_min: Watts::new(150.0),
            watts_max: Watts::new(600.5),
            fluid_limit: Celsius::new(95.0),
        },
        content: BodyContent {
            volume: Litres::new(f64::from(4_321 + i32::from(number)) / 1_000.0),
            dry_mass: Kilograms::new(f64::from(9_877 + i32::from(number)) / 1_000.0),
            permitted_gauge_kpa: if_even(number, 1_000.25),
            is_filled: number % 2 == 1,
        },
        ports: BodyPorts {
            thread: Thread::parse(nth(&THREADS, number)).unwrap(),
            open_count: 3,
            element_side: nth(&Side::ALL, number),
            immersed_length_max: Millimetres::new(640),
            bore: Millimetres::new(26),
        },
        bracket_count: 4,
        is_guarded: number.is_multiple_of(3),
        included: (0..number % 3).rev().map(included).collect(),
    }
}

fn regulation(number: u16) -> Regulation {
    let set_point_max = Celsius::new(60.5);
    match number % 4 {
        0 => Regulation::Fixed { set_point: None },
        1 => Regulation::Fixed { set_point: Some(set_point_max) },
        rest => Regulation::Adjustable {
            set_point_min: Celsius::new(30.0),
            set_point_max,
            lockable_at: if_even(rest, Celsius::new(43.0)),
        },
    }
}

fn element(number: u16) -> Element {
    let stated = [Stated::Yes, Stated::No, Stated::NotStated];
    Element {
        card: card('E', number),
        finish: nth(&FINISHES, number).into(),
        head: "square".into(),
        watts: Watts::new(300.0),
        regulation: regulation(number),
        shape: ElementShape {
            thread: Thread::parse("G 1/2 ext").unwrap(),
            immersed_length: Millimetres::new(480),
            sheath_diameter_mm_e1: 125,
            head_length: Millimetres::new(70),
            displacement_ml: 59,
        },
        flex: Flex {
            length: Millimetres::new(1_200),
            area_mm2_e2: 75,
            attachment: nth(&Attachment::ALL, number),
            has_plug: number.is_multiple_of(2),
        },
        safety: ElementSafety {
            ip: if_even(number, IpCode::parse("IPX4").unwrap()),
            class: if_even(number / 2, nth(&ProtectionClass::ALL, number)),
            declared_zones: (0..number % 3).map(|zone| (zone + 1).to_string().into()).collect(),
            thermal_cut_out: nth(&stated, number),
            fluid_limit: Celsius::new(90.0),
        },
        control: ElementControl {
            code: ControlCode::parse("TW (0/2/0/0/0/0/0/8)").unwrap(),
            timed_drying: number % 2 == 1,
            resumes_after_power_cut: nth(&stated, number + 1),
        },
    }
}

fn control(number: u16) -> Control {
    let has = |bit: u16, role| if number & bit == 0 { Roles::NONE } else { Roles::NONE.with(role) };
    let connects = has(1, Role::ConnectionUnit).union(has(2, Role::TimeSwitch));
    Control {
        card: card('C', number),
        finish: nth(&FINISHES, number).into(),
        roles: connects.union(has(4, Role::WallThermostat)),
        load_max: Watts::new(2_000.0),
        fuse_a_max: if_even(number, 13),
        code: ControlCode::parse("TW (0/2/0/0/0/0/0/8)").unwrap(),
        is_lockable: number.is_multiple_of(2),
        ip: if_even(number, IpCode::parse("IPX5/IPX7").unwrap()),
        class: if_even(number / 2, nth(&ProtectionClass::ALL, number)),
    }
}

fn accessory(number: u16) -> Accessory {
    Accessory {
        card: card('A', number),
        kind: nth(&AccessoryKind::ALL, number),
        finish: if_even(number, nth(&FINISHES, number / 2).into()),
        tube: if_even(number + 1, "round-22".into()),
        thread: if_even(number, "G 1/2 ext".into()),
        cover_length: if_even(number, Millimetres::new(600)),
        dose_ml_per_litre: if_even(number + 1, 10),
        pack_ml: if_even(number, 500),
    }
}

fn declarations() -> Vec<AttributeDeclaration> {
    let declare = |name, value_type, unit: &str| AttributeDeclaration {
        attribute: attribute(PartKind::Body, name),
        value_type,
        unit: unit.into(),
    };
    vec![
        declare("woods", ValueType::Words, ""),
        declare("guarantee", ValueType::Number, "years"),
        declare("handmade", ValueType::Flag, ""),
        declare("motto", ValueType::Text, ""),
    ]
}

fn attribute(kind: PartKind, name: &str) -> AttributeName {
    AttributeName { kind, name: name.into() }
}

fn rules() -> Vec<Rule> {
    let constants = [
        Value::Flag(true),
        Value::whole(7),
        Value::text("chrome"),
        Value::parse("oak teak", ValueType::Words).unwrap(),
    ];
    let condition = |is: &Value| When { attribute: holder(is), is: is.clone() };
    let when: Vec<When> = constants.iter().map(condition).collect();
    let mut rules: Vec<Rule> = Relation::ALL
        .into_iter()
        .map(|relation| rule(relation.word(), relation, other_side(relation), when.clone()))
        .collect();
    rules.extend(constants.into_iter().enumerate().map(|(index, value)| {
        let left = holder(&value);
        let right = Right::Constant(PartKind::Element, value);
        let code = format!("constant-{index}");
        Rule { left, ..rule(&code, Relation::Equal, right, Vec::new()) }
    }));
    rules
}

/// An attribute of the value's type.
fn holder(value: &Value) -> AttributeName {
    let name = match value {
        Value::Flag(_) => "plug",
        Value::Number(_) => "watts",
        Value::Text(_) => "finish",
        Value::Words(_) => "declared_zones",
    };
    attribute(PartKind::Element, name)
}

fn other_side(relation: Relation) -> Right {
    let low = attribute(PartKind::Body, "watts_min");
    match relation {
        Relation::Within => Right::Range(low, attribute(PartKind::Body, "watts_max")),
        Relation::Equal
        | Relation::AtMost
        | Relation::AtLeast
        | Relation::ListedPair
        | Relation::Covers => Right::Attribute(low),
    }
}

fn rule(code: &str, relation: Relation, right: Right, when: Vec<When>) -> Rule {
    let is_warning = matches!(relation, Relation::AtMost | Relation::Covers);
    Rule {
        code: code.into(),
        left: attribute(PartKind::Element, "watts"),
        relation,
        right,
        table: (relation == Relation::ListedPair).then(|| "finish".into()),
        when,
        severity: if is_warning { Severity::Warn } else { Severity::Refuse },
        sentence: format!("Rule {code} is made up.").into(),
        source: Source::new("made up for a test", Evidence::Invented),
    }
}

fn pair(table: &str, left: &str, right: &str) -> ListedPair {
    ListedPair { table: table.into(), left: left.into(), right: right.into() }
}

fn thread_matings() -> Vec<ThreadMating> {
    let forms = [ThreadForm::Rp, ThreadForm::G, ThreadForm::Npt, ThreadForm::Rc];
    let row = |(internal, mates)| ThreadMating {
        external: ThreadForm::R,
        internal,
        mates,
        seal: "made up".into(),
        source: Source::new("made up for a test", Evidence::Memory),
    };
    forms.into_iter().zip(Mates::ALL).map(row).collect()
}

fn market(connection: Connection) -> Market {
    let (code, currency) = match connection {
        Connection::FusedConnectionUnit => ("gb", Currency::GBP),
        Connection::CircuitBreaker => ("de", Currency::EUR),
    };
    Market {
        code: code.into(),
        currency,
        tax_rate: TaxRate::new(1_950),
        tax_source: Source::new("made up tax", Evidence::Invented),
        language: "en-GB".into(),
        wiring_rules: "gb-bs7671".into(),
        connection,
        connection_source: Source::new("made up custom", Evidence::Practice),
        regions: if code == "gb" { vec!["wales".into(), "england".into()] } else { Vec::new() },
    }
}

fn price_lists(numbers: std::ops::Range<u16>) -> Vec<PriceList> {
    let price = |(index, sku)| (sku, UnitPrice::new(1_234_567 + index));
    let skus = numbers.flat_map(|number| ['A', 'B', 'C', 'E'].map(|letter| sku(letter, number)));
    let prices: BTreeMap<Sku, UnitPrice> = (0_i64..).zip(skus).map(price).collect();
    let list = |code: &str, currency, valid_to: Option<&str>| PriceList {
        code: code.into(),
        market: "gb".into(),
        currency,
        valid_from: "2026-01-01".parse().unwrap(),
        valid_to: valid_to.map(|day| day.parse().unwrap()),
        prices: prices.clone(),
    };
    let empty = list("de-2026", Currency::EUR, None);
    vec![
        list("gb-2026", Currency::GBP, Some("2026-12-31")),
        list("gb-open", Currency::GBP, None),
        PriceList { market: "de".into(), prices: BTreeMap::new(), ..empty },
    ]
}

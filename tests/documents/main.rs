//! Drawings and papers as bytes: what they say, that nothing leaves the paper, that texts are escaped, and that the same value gives the same bytes.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(clippy::default_numeric_fallback, reason = "test figures are plain decimals")]
#![expect(
    clippy::panic,
    clippy::arithmetic_side_effects,
    reason = "a test stops at the first surprise, and its figures are small"
)]

mod papers;

use rungwright::documents::heat_drawing::draw_heat;
use rungwright::documents::output_drawing::draw_output;
use rungwright::domain::emission::ElementDrive;
use rungwright::domain::emission::Emitter;
use rungwright::domain::emission::in_use::in_use;
use rungwright::domain::emission::question::OutputQuestion;
use rungwright::domain::emission::warming::HeatCapacity;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::heat::Allowances;
use rungwright::domain::heat::Bridges;
use rungwright::domain::heat::HeatRequirement;
use rungwright::domain::heat::LinearBridge;
use rungwright::domain::heat::heat_requirement;
use rungwright::domain::room::Room;
use rungwright::domain::room::RoomUse;
use rungwright::domain::room::boundary::Beyond;
use rungwright::domain::room::boundary::Boundary;
use rungwright::domain::room::boundary::BoundaryKind;
use rungwright::domain::room::boundary::Transmittance;
use rungwright::domain::room::ventilation::AirExchange;
use rungwright::domain::room::ventilation::AirHeat;
use rungwright::domain::room::ventilation::Ventilation;
use rungwright::domain::units::Celsius;
use rungwright::domain::units::Millimetres;
use rungwright::domain::units::Watts;

fn boundary(kind: BoundaryKind, area_m2: f64, beyond: Option<f64>) -> Boundary {
    let source = Source::new("made up for this test", Evidence::Invented);
    let transmittance = Transmittance { w_m2k: 1.5, source };
    let beyond = beyond.map(|temperature| Beyond::At(Celsius::new(temperature)));
    Boundary { kind, area_m2, transmittance, beyond }
}

/// A room with an outer wall, a warmer neighbour and one bridge of this name.
fn bathroom(bridge: &str) -> HeatRequirement {
    let exchange = AirExchange::ChangesPerHour(1.5);
    let room = Room {
        room_use: RoomUse::Bathroom,
        length: Millimetres::new(2_600),
        width: Millimetres::new(1_900),
        height: Millimetres::new(2_400),
        indoor: Celsius::new(22.0),
        outdoor: Celsius::new(-3.0),
        annual_mean: None,
        ventilation: Ventilation { exchange, recovery: 0.0, air_heat: AirHeat::BRITISH },
        boundaries: vec![
            boundary(BoundaryKind::ExternalWall, 6.2, None),
            boundary(BoundaryKind::InternalWall, 4.0, Some(26.0)),
        ],
    };
    let what = bridge.to_owned();
    let lengths = vec![LinearBridge { what, psi_w_mk: 0.3, length_m: 2.4 }];
    let allowances = Allowances { bridges: Bridges::Lengths(lengths), reheat_w_m2: 0.0 };
    heat_requirement(&room, &allowances).unwrap()
}

/// The worked rail of 450 W, driven by these watts up to this set point.
fn rail(watts: f64, set_point: Option<f64>) -> OutputQuestion {
    OutputQuestion {
        emitter: Emitter { rated: Watts::new(450.0), exponent: 1.25, towels_factor: 1.0 },
        drive: ElementDrive { watts: Watts::new(watts), set_point: set_point.map(Celsius::new) },
        room: Celsius::new(22.0),
        capacity: Some(HeatCapacity::new(24_462.5)),
        start: None,
    }
}

fn drawn(question: &OutputQuestion) -> String {
    draw_output(question, &in_use(&question.emitter, question.drive, question.room))
}

/// The texts of a drawing, one a line, as they stand in the file.
fn texts(svg: &str) -> String {
    let parts = svg.split("</text>");
    let texts = parts.filter_map(|part| Some(part.rsplit_once("<text ")?.1.split_once('>')?.1));
    texts.collect::<Vec<_>>().join("\n")
}

/// Numbers of an attribute, wherever it stands.
fn numbers(svg: &str, attribute: &str) -> Vec<f64> {
    let values = values(svg, attribute).into_iter();
    values
        .flat_map(|value| value.split([' ', ',']))
        .filter_map(|number| number.parse().ok())
        .collect()
}

/// Values of an attribute, wherever it stands.
fn values<'a>(svg: &'a str, attribute: &str) -> Vec<&'a str> {
    let mark = format!(" {attribute}=\"");
    svg.split(&mark).skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
}

#[test]
fn a_room_is_drawn_whole() {
    insta::assert_snapshot!(draw_heat(&bathroom("lintel")).replace("><", ">\n<"), @r##"
    <svg xmlns="http://www.w3.org/2000/svg" width="760.0" height="436.0" viewBox="0 0 760.0 436.0" role="img" font-family="DejaVu Sans, Liberation Sans, Arial, sans-serif">
    <title>Where the watts of a room go</title>
    <defs>
    <pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
    <rect width="6" height="6" fill="#fff">
    </rect>
    <line x1="0" y1="0" x2="0" y2="6" stroke="#000" stroke-width="2">
    </line>
    </pattern>
    </defs>
    <rect width="100%" height="100%" fill="#fff">
    </rect>
    <text x="24.0" y="34.0" font-size="17.0" text-anchor="start" font-weight="bold">Where the watts go</text>
    <text x="24.0" y="54.0" font-size="11.0" text-anchor="start">Steady-state heat loss by step, in watts. Dark: the room loses heat. Hollow: it gains heat.</text>
    <text x="24.0" y="84.0" font-size="13.0" text-anchor="start">external wall to outside</text>
    <rect x="51.9" y="90.0" width="270.2" height="12.0" fill="#333" stroke="#000" stroke-width="1">
    </rect>
    <polyline points="51.9,87.0 51.9,105.0" fill="none" stroke="#000" stroke-width="1" stroke-dasharray="none">
    </polyline>
    <text x="736.0" y="101.0" font-size="13.0" text-anchor="end" font-weight="bold">232.5 W</text>
    <text x="24.0" y="115.0" font-size="11.0" text-anchor="start">6.2 m² × 1.5 W/m²K × 25 K</text>
    <text x="24.0" y="138.0" font-size="13.0" text-anchor="start">internal wall to 26 °C</text>
    <rect x="24.0" y="144.0" width="27.9" height="12.0" fill="#fff" stroke="#000" stroke-width="1">
    </rect>
    <polyline points="51.9,141.0 51.9,159.0" fill="none" stroke="#000" stroke-width="1" stroke-dasharray="none">
    </polyline>
    <text x="736.0" y="155.0" font-size="13.0" text-anchor="end" font-weight="bold">−24.0 W</text>
    <text x="24.0" y="169.0" font-size="11.0" text-anchor="start">4 m² × 1.5 W/m²K × −4 K</text>
    <text x="24.0" y="192.0" font-size="13.0" text-anchor="start">thermal bridge: lintel</text>
    <rect x="51.9" y="198.0" width="20.9" height="12.0" fill="#333" stroke="#000" stroke-width="1">
    </rect>
    <polyline points="51.9,195.0 51.9,213.0" fill="none" stroke="#000" stroke-width="1" stroke-dasharray="none">
    </polyline>
    <text x="736.0" y="209.0" font-size="13.0" text-anchor="end" font-weight="bold">18.0 W</text>
    <text x="24.0" y="223.0" font-size="11.0" text-anchor="start">2.4 m × 0.3 W/mK × 25 K</text>
    <text x="24.0" y="246.0" font-size="13.0" text-anchor="start">air from outside</text>
    <rect x="51.9" y="252.0" width="170.6" height="12.0" fill="#333" stroke="#000" stroke-width="1">
    </rect>
    <polyline points="51.9,249.0 51.9,267.0" fill="none" stroke="#000" stroke-width="1" stroke-dasharray="none">
    </polyline>
    <text x="736.0" y="263.0" font-size="13.0" text-anchor="end" font-weight="bold">146.8 W</text>
    <text x="24.0" y="277.0" font-size="11.0" text-anchor="start">17.784 m³/h × 0.33 Wh/m³K × 25 K</text>
    <polyline points="24.0,294.0 736.0,294.0" fill="none" stroke="#000" stroke-width="1" stroke-dasharray="none">
    </polyline>
    <text x="24.0" y="314.0" font-size="13.0" text-anchor="start" font-weight="bold">Required: this figure governs</text>
    <rect x="51.9" y="320.0" width="433.8" height="16.0" fill="#333" stroke="#000" stroke-width="1">
    </rect>
    <text x="736.0" y="333.0" font-size="13.0" text-anchor="end" font-weight="bold">373.3 W</text>
    <text x="24.0" y="364.0" font-size="13.0" text-anchor="start" font-weight="bold">Quick rule, 100 W per m² of floor (common practice, no source): for comparison only</text>
    <rect x="51.9" y="370.0" width="574.1" height="16.0" fill="url(#hatch)" stroke="#000" stroke-width="1">
    </rect>
    <text x="736.0" y="383.0" font-size="13.0" text-anchor="end" font-weight="bold">494.0 W</text>
    <text x="24.0" y="420.0" font-size="11.0" text-anchor="start">An estimate by the data given. The local code and a licensed electrician decide.</text>
    </svg>
    "##);
}

#[test]
fn the_figures_of_the_drawing_are_those_of_the_answer() {
    let requirement = bathroom("lintel");
    let texts = texts(&draw_heat(&requirement));
    for tenths in requirement.printed().steps {
        let printed = format!("{:.1} W", tenths.watts()).replace('-', "\u{2212}");
        assert!(texts.contains(&printed), "{printed} is missing in {texts}");
    }
}

#[test]
fn a_name_from_outside_is_escaped_and_cut() {
    let drawn = draw_heat(&bathroom(
        "<script>\u{1}&\"' WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
    ));
    assert!(!drawn.contains("<script"), "{drawn}");
    assert!(drawn.contains("&lt;script&gt;\u{fffd}&amp;&quot;"), "{drawn}");
    assert!(drawn.contains("WWW…</text>"), "{drawn}");
}

#[test]
fn a_pair_is_drawn_with_units_and_marks() {
    insta::assert_snapshot!(texts(&drawn(&rail(300.0, Some(50.0)))), @"
    The fluid's temperature over time
    0
    50
    100
    150
    200
    20
    30
    40
    50
    60
    Time since switching on, min
    Temperature of the fluid, °C
    fluid
    room, 22 °C
    switched off
    set point, 50 °C
    reaches the set point after 64 min
    Output against the fluid's temperature
    25
    30
    35
    40
    45
    50
    55
    0
    100
    200
    300
    400
    Temperature of the fluid, °C
    Heat given to the room, W
    output of the bare body
    rating of the element, 300 W
    with towels on, 50 % of it
    set point, 50 °C
    ○ works at 50.0 °C and gives 217.9 W
    An estimate by the data given. The local code and a licensed electrician decide.
    ");
}

#[test]
fn a_set_point_out_of_reach_a_cold_rail_and_a_boiling_one_are_told() {
    let last = |question| {
        texts(&drawn(&question))
            .lines()
            .filter(|line| line.chars().any(char::is_alphabetic))
            .map(ToOwned::to_owned)
            .collect::<Vec<_>>()
            .join("\n")
    };
    insta::assert_snapshot!(last(rail(300.0, Some(60.0))), @"
    The fluid's temperature over time
    Time since switching on, h
    Temperature of the fluid, °C
    fluid
    room, 22 °C
    switched off
    set point, 60 °C
    not reached; 54.5 °C after 96 min
    Output against the fluid's temperature
    Temperature of the fluid, °C
    Heat given to the room, W
    output of the bare body
    rating of the element, 300 W
    with towels on, 50 % of it
    set point, 60 °C
    ○ works at 58.1 °C and gives 300.0 W
    An estimate by the data given. The local code and a licensed electrician decide.
    ");
    insta::assert_snapshot!(last(rail(300.0, Some(20.0))), @"
    The fluid's temperature over time
    Time since switching on, min
    Temperature of the fluid, °C
    fluid
    room, 22 °C
    switched off
    set point, 20 °C
    the element stays off
    Output against the fluid's temperature
    Temperature of the fluid, °C
    Heat given to the room, W
    output of the bare body
    rating of the element, 300 W
    with towels on, 50 % of it
    set point, 20 °C
    ○ works at 22.0 °C and gives 0.0 W
    An estimate by the data given. The local code and a licensed electrician decide.
    ");
    insta::assert_snapshot!(last(rail(2_000.0, None)), @"
    The fluid would boil, so no temperature over time is drawn.
    Output against the fluid's temperature
    Temperature of the fluid, °C
    Heat given to the room, W
    output of the bare body
    rating of the element, 2000 W
    with towels on, 50 % of it
    no working point: the fluid would boil
    An estimate by the data given. The local code and a licensed electrician decide.
    ");
}

#[test]
fn nothing_leaves_the_paper() {
    let unknown = OutputQuestion { capacity: None, ..rail(300.0, Some(50.0)) };
    let hot = OutputQuestion { start: Some(Celsius::new(80.0)), ..rail(300.0, Some(43.0)) };
    let questions = [
        rail(300.0, Some(50.0)),
        rail(20.0, None),
        rail(2_000.0, Some(95.0)),
        rail(1.0, Some(60.0)),
        unknown,
        hot,
    ];
    let drawings = questions.iter().map(drawn).chain([draw_heat(&bathroom("lintel"))]);
    for svg in drawings {
        let paper = numbers(&svg, "viewBox");
        let [width, height] = [paper[2], paper[3]];
        let within = |name: &str, most: f64| {
            for number in numbers(&svg, name) {
                assert!((0.0..=most).contains(&number), "{name} {number} of {most}: {svg}");
            }
        };
        for name in ["x", "cx"] {
            within(name, width);
        }
        for name in ["y", "cy"] {
            within(name, height);
        }
        for pair in numbers(&svg, "points").chunks(2) {
            assert!(
                (0.0..=width).contains(&pair[0]) && (0.0..=height).contains(&pair[1]),
                "{pair:?}"
            );
        }
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    }
}

#[test]
fn the_same_value_gives_the_same_bytes() {
    let question = rail(600.0, Some(60.0));
    assert_eq!(drawn(&question), drawn(&question));
    assert_eq!(draw_heat(&bathroom("lintel")), draw_heat(&bathroom("lintel")));
}

#[test]
fn only_black_white_and_grey_are_used() {
    for svg in [drawn(&rail(300.0, Some(50.0))), draw_heat(&bathroom("lintel"))] {
        for name in ["fill", "stroke"] {
            for colour in values(&svg, name) {
                assert!(
                    ["#fff", "#000", "#333", "#ccc", "none", "url(#hatch)"].contains(&colour),
                    "{colour}"
                );
            }
        }
    }
}

//! Papers of *Tern House*, a made-up guest house with nine bathrooms, supplied by a made-up maker.

use rungwright::documents::paper::CareSheet;
use rungwright::documents::paper::Customer;
use rungwright::documents::paper::Guarantee;
use rungwright::documents::paper::Identity;
use rungwright::documents::paper::InstallationSheet;
use rungwright::documents::paper::QuotePaper;
use rungwright::documents::paper::Seller;
use rungwright::documents::paper::installation::Goods;
use rungwright::documents::paper::installation::duty_words;
use rungwright::documents::paper::installation::usual_measures;
use rungwright::documents::paper::quote::Adjustment;
use rungwright::documents::paper::quote::QuoteLine;
use rungwright::documents::paper::quote::QuoteRoom;
use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::fill::FillAmount;
use rungwright::domain::fill::FillOutcome;
use rungwright::domain::fill::FillQuestion;
use rungwright::domain::fill::VentClosing;
use rungwright::domain::fill::work_out_fill;
use rungwright::domain::money::Currency;
use rungwright::domain::money::Minor;
use rungwright::domain::money::TaxRate;
use rungwright::domain::money::UnitPrice;
use rungwright::domain::pricing::document::Amounts;
use rungwright::domain::pricing::document::TaxCategory;
use rungwright::domain::pricing::document::TaxRounding;
use rungwright::domain::pricing::document::Taxation;
use rungwright::domain::pricing::document::Taxed;
use rungwright::domain::quote::sheet::CareFigures;
use rungwright::domain::quote::sheet::FillFigures;
use rungwright::domain::quote::sheet::Fitting;
use rungwright::domain::quote::sheet::HeatFigures;
use rungwright::domain::quote::sheet::Look;
use rungwright::domain::quote::sheet::PlaceFigures;
use rungwright::domain::quote::sheet::PlacedItem;
use rungwright::domain::quote::sheet::Replacement;
use rungwright::domain::quote::sheet::SetPoint;
use rungwright::domain::quote::sheet::Sourced;
use rungwright::domain::quote::sheet::SupplyFigures;
use rungwright::domain::quote::sheet::View;
use rungwright::domain::quote::sheet::ViewPart;
use rungwright::domain::quote::sheet::WorkStep;
use rungwright::domain::supply::notification::Region;
use rungwright::domain::supply::notification::Work;
use rungwright::domain::supply::notification::duty;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::units::Litres;
use rungwright::domain::zones::verdict::Outcome;

fn words(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

pub(super) fn seller() -> Seller {
    Seller {
        name: "Skerry Rail Works".to_owned(),
        address: words(&["Harbour Shed 3", "North Skerry SK1 0XX (made up)"]),
        contact: words(&["quotes@skerry.example", "+00 0000 000000"]),
        tax_number: Some("made up, not registered".to_owned()),
    }
}

pub(super) fn customer() -> Customer {
    Customer {
        name: "Tern House".to_owned(),
        address: words(&["Strand Road 9", "North Skerry SK1 0YY (made up)"]),
        reference: Some("Refit, second floor".to_owned()),
        tax_number: None,
    }
}

pub(super) fn identity() -> Identity {
    Identity {
        number: "GB-2031-000017".to_owned(),
        revision: 2,
        predecessor: Some("GB-2031-000017, revision 1".to_owned()),
        state: "issued".to_owned(),
        issued: Some("3 March 2031, 09:12 (Europe/London)".to_owned()),
        valid_until: Some("2 April 2031, end of day (Europe/London)".to_owned()),
        market: "gb".to_owned(),
        edition: "12".to_owned(),
        price_list: "GB-2031-SPRING".to_owned(),
    }
}

pub(super) fn guarantee() -> Guarantee {
    Guarantee {
        promise: words(&[
            "Skerry Rail Works promises the body for five years and the element for two, from the date of purchase.",
        ]),
        voids: words(&[
            "the element was switched on without fluid;",
            "another fluid than the one on the installation sheet was filled in;",
            "the body was sealed without air left in it;",
            "the electrical work was not certified.",
        ]),
        claims: words(&[
            "Claims: write to care@skerry.example with the number of the quote and a picture.",
        ]),
    }
}

pub(super) fn line(sku: &str, name: &str, [quantity, unit]: [u32; 2], why: &str) -> QuoteLine {
    let unit_net = UnitPrice::new(i64::from(unit) * 100);
    QuoteLine {
        sku: sku.to_owned(),
        name: name.to_owned(),
        quantity,
        unit_net,
        discount: None,
        net: unit_net.times(quantity, Currency::GBP).unwrap(),
        why: why.to_owned(),
        included_with: None,
        lead_days: 4,
    }
}

fn lines() -> Vec<QuoteLine> {
    let mut brackets = line(
        "SRW-A-BRKT-ROUND-22-BK",
        "Wall bracket for round 22 mm tube, matt black",
        [4, 0],
        "holds the body",
    );
    brackets.included_with = Some("SRW-B-ALAMO-500.1200-BK".to_owned());
    let mut element = line(
        "SRW-E-DAYEK-300-BK",
        "Dayek 300 W matt black",
        [1, 8_450],
        "gives 331.0 W of the 313.3 W needed; its thread, length and finish fit the body",
    );
    element.discount = Some("GBP 4.45, ninth of nine rails".to_owned());
    element.net = Minor::new(8_005);
    vec![
        line(
            "SRW-B-ALAMO-500.1200-BK",
            "Alamootie 500 x 1200 matt black",
            [1, 14_900],
            "the cheapest body that sheds the heat at this set point and fits the wall of 700 mm",
        ),
        element,
        line(
            "SRW-C-KIST-3-BK",
            "Kist fused connection unit, 3 A, matt black",
            [1, 2_150],
            "isolates every pole and protects the flex",
        ),
        line("SRW-A-COVER-BK", "Flex cover 600 mm, matt black", [1, 1_299], "asked for"),
        brackets,
    ]
}

pub(super) fn quote_of(rooms: Vec<QuoteRoom>) -> QuotePaper {
    let taxation = Taxation { category: TaxCategory::Standard, rate: TaxRate::new(2_000) };
    let taxed = |net: Minor| Taxed { net, taxation };
    let charge = Adjustment {
        reason: "delivery to the island, two parcels".to_owned(),
        net: Minor::new(1_850),
    };
    let allowance = Adjustment { reason: "second room, 2 %".to_owned(), net: Minor::new(497) };
    let amounts = Amounts {
        lines: rooms.iter().flat_map(|room| &room.lines).map(|line| taxed(line.net)).collect(),
        allowances: vec![taxed(allowance.net)],
        charges: vec![taxed(charge.net)],
    };
    QuotePaper {
        seller: seller(),
        customer: customer(),
        identity: identity(),
        standing: None,
        accepted: None,
        currency: Currency::GBP,
        rooms,
        allowances: vec![allowance],
        charges: vec![charge],
        totals: amounts.totals(TaxRounding::PerRate).unwrap(),
        rounding: TaxRounding::PerRate,
        tax_notes: words(&[
            "The tax shown is that of the day of issue; the law of the day of supply decides.",
        ]),
        overrides: Vec::new(),
        changes: words(&[
            "Room 7: element 400 W replaced by 300 W.",
            "Total GBP 319.34 instead of GBP 331.10.",
        ]),
        notices: words(&[
            "The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.",
            "The surface may reach 57 °C; for vulnerable people at most 43 °C is advised.",
        ]),
        terms: words(&[
            "Terms of sale: the seller's own, to be put here by the seller.",
            "All persons, parts and prices in this paper are made up.",
        ]),
    }
}

pub(super) fn quote() -> QuotePaper {
    let heat = HeatFigures {
        transmission: Deciwatts::new(2_146),
        bridges: Deciwatts::new(124),
        ventilation: Deciwatts::new(863),
        reheat: Deciwatts::new(0),
        required: Deciwatts::new(3_133),
        delivered: Deciwatts::new(3_310),
        quick_rule: Deciwatts::new(4_940),
    };
    let second = "Bathroom, 2100 × 1600 × 2400 mm; towel warming only, no heat is asked for.";
    quote_of(vec![
        QuoteRoom {
            name: "Room 7, bathroom".to_owned(),
            description: "Bathroom, 2600 × 1900 × 2400 mm, 22 °C inside at −3 °C outside; the rail alone heats it."
                .to_owned(),
            delivered: None,
            heat: Some(heat),
            lines: lines(),
        },
        QuoteRoom {
            name: "Room 8, bathroom".to_owned(),
            description: second.to_owned(),
            delivered: None,
            heat: None,
            lines: lines().into_iter().take(3).collect(),
        },
    ])
}

fn part(name: &str, corner_mm: [i32; 2], size_mm: [i32; 2], look: Look) -> ViewPart {
    ViewPart { name: name.to_owned(), corner_mm, size_mm, look }
}

fn views() -> Vec<View> {
    vec![
        View {
            title: "Plan".to_owned(),
            size_mm: [2_600, 1_900],
            zones: Vec::new(),
            parts: vec![
                part("zone 2", [0, 0], [2_300, 1_300], Look::OuterZone),
                part(
                    "bath with zone 0, and zone 1 above it",
                    [0, 0],
                    [1_700, 700],
                    Look::InnerZone,
                ),
                part("basin", [600, 1_450], [550, 450], Look::Fitting),
                part("rail", [1_900, 1_800], [500, 100], Look::Rail),
                part("connection unit, outside the zones", [2_500, 1_700], [100, 100], Look::Unit),
            ],
        },
        View {
            title: "Elevation of the wall with the rail".to_owned(),
            size_mm: [2_600, 2_400],
            zones: Vec::new(),
            parts: vec![
                part("zone 2", [0, 150], [900, 2_250], Look::OuterZone),
                part(
                    "rail 500 × 1200 mm, lower edge 600 mm above the floor",
                    [1_400, 600],
                    [500, 1_200],
                    Look::Rail,
                ),
                part("element at the lower left port", [1_400, 1_760], [60, 40], Look::Unit),
                part("route of the flex", [1_460, 1_800], [640, 0], Look::Route),
                part(
                    "connection unit, 450 mm above the floor",
                    [2_100, 1_850],
                    [100, 100],
                    Look::Unit,
                ),
            ],
        },
    ]
}

fn place() -> PlaceFigures {
    let caution = "residual current device of at most 30 mA on the circuit";
    let item = |name: &str, zone: &str, outcome: Outcome, reasons: &[&str]| PlacedItem {
        name: name.to_owned(),
        zone: zone.to_owned(),
        outcome,
        reasons: words(reasons),
        source: Source::new("BS 7671 701.512.2", Evidence::ReadSecondary),
    };
    PlaceFigures {
        views: views(),
        stated_zone: None,
        rules: Some("BS 7671:2018+A3:2024, section 701, as in the rule pack gb".to_owned()),
        verdicts: vec![
            item("Element SRW-E-DAYEK-300-BK", "2", Outcome::AllowedIf, &[caution, "IP44 reaches the IPX4 asked for"]),
            item("Connection unit SRW-C-KIST-3-BK", "outside", Outcome::AllowedIf, &[caution]),
            item("Time switch of the customer", "not established", Outcome::NotEstablished, &["its IP code is not stated"]),
        ],
        mounting: Some("plasterboard on studs, 4 brackets into noggins; 19.2 kg filled with towels, 4.8 kg on each".to_owned()),
    }
}

fn fill() -> FillFigures {
    let question = FillQuestion {
        vent_closing: Some(VentClosing::Hot),
        ..FillQuestion::new(Litres::new(5.0), FillAmount::Headspace(0.1))
    };
    let FillOutcome::Filled(fill) = work_out_fill(&question).unwrap() else {
        panic!("the sample fill is a right one")
    };
    FillFigures {
        fluid: Some("water with inhibitor, 10 ml for each litre (the maker's dose)".to_owned()),
        volume_ml: Some(4_500),
        headspace_permille: Some(100),
        pressure: Some(
            "closed hot: none when hot, a slight vacuum when cold; the body bears 5 bar".to_owned(),
        ),
        steps: fill.steps.iter().map(WorkStep::from).collect(),
    }
}

fn supply() -> SupplyFigures {
    SupplyFigures {
        load: Some("300 W, 1.30 A".to_owned()),
        connection_unit: Some(
            "SRW-C-KIST-3-BK, double-pole switched, 2100 mm from the left wall".to_owned(),
        ),
        fuse: Some("3 A (BS 1362), by the exact limit of 690 W".to_owned()),
        residual: Some("at most 30 mA, on the circuit".to_owned()),
        flex: Some("3 × 0.75 mm², 1200 mm".to_owned()),
        cable: None,
        voltage_drop: Some("0.6 V (0.3 %) of the 11.5 V (5 %) permitted".to_owned()),
        advice: vec![Sourced {
            text:
                "The fixed wiring has a means of disconnection in every pole with full separation."
                    .to_owned(),
            source: Source::new("IEC 60335-1 clause 7.12.2, quoted", Evidence::ReadSecondary),
        }],
    }
}

pub(super) fn installation() -> InstallationSheet {
    let goods = lines().into_iter().map(|line| Goods {
        sku: line.sku,
        name: line.name,
        quantity: line.quantity,
    });
    let (duty, source) = duty(Region::Scotland, Work::Addition, None);
    InstallationSheet {
        seller: seller(),
        customer: customer(),
        identity: identity(),
        room: "Room 7, bathroom".to_owned(),
        goods: goods.collect(),
        place: place(),
        fitting: Fitting {
            port: Some("lower left port, seen from the room".to_owned()),
            thread: Some("G 1/2 internal in the body, G 1/2 external on the element".to_owned()),
            seal: Some("flat gasket that comes with the element; no hemp, no paste".to_owned()),
            flex_length_mm: Some(1_200),
            flex_route: Some("down 90 mm, right 640 mm; 830 mm with 100 mm of slack".to_owned()),
            ip: Some("IP44".to_owned()),
            class: Some("I, earthed".to_owned()),
        },
        supply: supply(),
        fill: fill(),
        measures: usual_measures(),
        duties: vec![Sourced { text: duty_words(duty).to_owned(), source }],
        cautions: words(&["The surface may reach 57 °C in use."]),
        guarantee: guarantee(),
    }
}

pub(super) fn care() -> CareSheet {
    CareSheet {
        seller: seller(),
        customer: customer(),
        identity: identity(),
        room: "Room 7, bathroom".to_owned(),
        rail: "Alamootie 500 x 1200 matt black with Dayek 300 W".to_owned(),
        cautions: Vec::new(),
        figures: CareFigures {
            regulation: Some(SetPoint { low_c: 30, high_c: 60 }),
            surface_max_c: Some(57),
            is_for_vulnerable: true,
            replacement: Replacement {
                sku: Some("SRW-E-DAYEK-300-BK".to_owned()),
                thread: Some("G 1/2 external".to_owned()),
                power_w: Some(300),
                length_mm: Some(320),
                finish: Some("matt black".to_owned()),
                flex: Some("1200 mm, 3 × 0.75 mm²".to_owned()),
                ip: Some("IP44".to_owned()),
            },
        },
        guarantee: guarantee(),
    }
}

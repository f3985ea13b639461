//! The sheet of a made-up room, with a value in every field.

use rungwright::domain::evidence::Evidence;
use rungwright::domain::evidence::Source;
use rungwright::domain::quote::sheet::CareFigures;
use rungwright::domain::quote::sheet::FillFigures;
use rungwright::domain::quote::sheet::Fitting;
use rungwright::domain::quote::sheet::HeatFigures;
use rungwright::domain::quote::sheet::Look;
use rungwright::domain::quote::sheet::PlaceFigures;
use rungwright::domain::quote::sheet::PlacedItem;
use rungwright::domain::quote::sheet::RailSheet;
use rungwright::domain::quote::sheet::Replacement;
use rungwright::domain::quote::sheet::RoomSheet;
use rungwright::domain::quote::sheet::SetPoint;
use rungwright::domain::quote::sheet::Sourced;
use rungwright::domain::quote::sheet::SupplyFigures;
use rungwright::domain::quote::sheet::View;
use rungwright::domain::quote::sheet::ViewPart;
use rungwright::domain::quote::sheet::WorkStep;
use rungwright::domain::quote::sheet::ZonePatch;
use rungwright::domain::units::Deciwatts;
use rungwright::domain::zones::verdict::Outcome;

fn text<T: From<String>>(words: &str) -> T {
    T::from(words.to_owned())
}

fn sourced(words: &str) -> Sourced {
    Sourced { text: words.to_owned(), source: Source::new("made up", Evidence::Memory) }
}

fn looks() -> Vec<ViewPart> {
    let looks = [
        Look::InnerZone,
        Look::OuterZone,
        Look::Fitting,
        Look::Rail,
        Look::Unit,
        Look::Route,
        Look::Beyond,
    ];
    let part = |look| ViewPart {
        name: "a part".to_owned(),
        corner_mm: [-1, 2],
        size_mm: [300, -400],
        look,
    };
    looks.map(part).into()
}

fn place() -> PlaceFigures {
    let outcomes =
        [Outcome::Allowed, Outcome::AllowedIf, Outcome::NotEstablished, Outcome::Refused];
    PlaceFigures {
        views: vec![View {
            title: "Plan".to_owned(),
            size_mm: [2_600, 1_900],
            zones: vec![ZonePatch {
                name: "zone 2".to_owned(),
                look: Look::OuterZone,
                label_mm: [1, 2],
                boxes_mm: vec![[0, 0, 600, 1_900]],
            }],
            parts: looks(),
        }],
        stated_zone: text("zone 2"),
        rules: text("made-up rules"),
        verdicts: outcomes
            .map(|outcome| PlacedItem {
                name: "a piece".to_owned(),
                zone: "2".to_owned(),
                outcome,
                reasons: vec!["why".to_owned()],
                source: Source::new("clause 1", Evidence::Read),
            })
            .into(),
        mounting: text("masonry"),
    }
}

fn supply() -> SupplyFigures {
    SupplyFigures {
        load: text("300 W"),
        connection_unit: text("a unit"),
        fuse: text("3 A"),
        residual: text("30 mA"),
        flex: text("0.75 mm²"),
        cable: text("2.5 mm²"),
        voltage_drop: text("0.6 V"),
        advice: vec![sourced("look")],
    }
}

fn care() -> CareFigures {
    CareFigures {
        regulation: Some(SetPoint { low_c: 30, high_c: 60 }),
        surface_max_c: Some(57),
        is_for_vulnerable: true,
        replacement: Replacement {
            sku: text("E-1"),
            thread: text("G 1/2"),
            power_w: Some(300),
            length_mm: Some(320),
            finish: text("white"),
            flex: text("1200 mm"),
            ip: text("IP44"),
        },
    }
}

/// The sheet.
pub(crate) fn room_sheet() -> RoomSheet {
    RoomSheet {
        description: "A room".to_owned(),
        heat: Some(HeatFigures {
            transmission: Deciwatts::new(2_146),
            bridges: Deciwatts::new(124),
            ventilation: Deciwatts::new(863),
            reheat: Deciwatts::new(1),
            required: Deciwatts::new(3_134),
            delivered: Deciwatts::new(3_310),
            quick_rule: Deciwatts::new(4_940),
        }),
        rails: vec![RailSheet {
            name: "a rail".to_owned(),
            place: place(),
            fitting: Fitting {
                port: text("left"),
                thread: text("G 1/2"),
                seal: text("a gasket"),
                flex_length_mm: Some(1_200),
                flex_route: text("down"),
                ip: text("IP44"),
                class: text("I"),
            },
            supply: supply(),
            fill: FillFigures {
                fluid: text("water"),
                volume_ml: Some(4_500),
                headspace_permille: Some(100),
                pressure: text("none"),
                steps: vec![WorkStep { text: "pour".to_owned(), caution: text("slowly") }],
            },
            duties: vec![sourced("tell")],
            care: care(),
            lines: Some([0, 2]),
        }],
    }
}

//! Quotes of options with several rails.

use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;

use crate::papers::HTML;
use crate::papers::PDF;
use crate::papers::flowing;
use crate::papers::form;
use crate::papers::text_of;
use crate::quoting::Shop;
use crate::quoting::resolved;
use crate::resolutions::resolve;

#[tokio::test]
async fn an_option_of_several_rails_is_quoted_with_all_its_lines() {
    let shop = Shop::open().await;
    let mut wish = resolved();
    let resolution = json!({ "market": "gb", "heat_requirement_w": 900, "options_max": 1,
        "place": { "region": "scotland", "zone": "2", "wall_width_mm": 1600 },
        "preferences": { "rails_max": 3 } });
    wish["rooms"][0]["resolution"] = resolution.clone();
    let draft = shop.draft("k1", &wish).await;
    assert_eq!(draft.status, 201, "{}", draft.body);
    let option = &resolve(&resolution).await["options"][0];
    let count = option["rail_count"].as_u64().unwrap();
    assert!(1 < count, "{option}");
    let body = draft.json();
    let room = &body["rooms"][0];
    let lines = room["lines"].as_array().unwrap();
    let told = |line: &Value| (line["sku"].clone(), line["quantity"].clone());
    let quoted: Vec<_> = lines.iter().map(told).collect();
    let offered: Vec<_> = option["lines"].as_array().unwrap().iter().map(told).collect();
    assert_eq!(quoted, offered);
    for number in 1..=count {
        let rail = format!("rail {number}: ");
        let own = lines.iter().filter(|line| line["why"].as_str().unwrap().starts_with(&rail));
        assert!(2 <= own.count(), "{lines:?}");
    }
    // What was answered is kept with its rails.
    let answers = shop.get("/v1/quotes/GB-2026-000001/answers").await.json();
    assert!(answers.to_string().contains("rail_count"), "{answers}");
    let again = shop.get("/v1/quotes/GB-2026-000001").await;
    assert_eq!(again.body, draft.body);
}

/// More than one rail gives, on two walls with zone, route and side of their own, and a cable that both share.
fn on_two_walls() -> Value {
    json!({ "market": "gb", "customer": { "name": "Tern House (made up)" },
        "rooms": [{ "name": "Room 5, long bathroom",
            "wiring": { "cables": [{ "size_mm2": "2.5", "length_mm": 20_000 }], "device_a": 16 },
            "resolution": { "market": "gb", "heat_requirement_w": 1_000, "options_max": 1,
                "place": { "region": "england", "zone": "outside" },
                "walls": [
                    { "wall_width_mm": 600, "zone": "2", "connection_distance_mm": 900, "side": "left" },
                    { "wall_width_mm": 550, "connection_distance_mm": 400, "side": "right" }],
                "preferences": { "rails_max": 2 } } }] })
}

/// The words of a page without its markup.
fn words_of(page: &[u8]) -> String {
    let page = String::from_utf8(page.to_vec()).unwrap();
    let body = page.split_once("</head>").unwrap().1;
    let texts = body.split('<').map(|piece| piece.split_once('>').map_or("", |(_, text)| text));
    flowing(&texts.collect::<Vec<_>>().join(" "))
}

/// The sheets in a text, rail by rail, each from its first words on.
fn sheets(text: &str) -> [&str; 2] {
    let head = |number| format!("Room Room 5, long bathroom, rail {number} of 2 Customer");
    let (_, both) = text.split_once(&head(1)).unwrap_or_else(|| panic!("no rail 1: {text}"));
    let (first, second) = both.split_once(&head(2)).unwrap_or_else(|| panic!("no rail 2: {text}"));
    [first, second]
}

#[tokio::test]
async fn each_of_several_rails_has_its_own_sheets() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &on_two_walls()).await;
    let path = format!("/v1/quotes/{number}");
    let answers = shop.get(&format!("{path}/answers")).await.json();
    let option = answers["rooms"][0]["answer"]["options"][0].clone();
    assert_eq!(option["rail_count"], 2, "{option}");
    let (_, quote) = form(&shop, &path, HTML).await;
    let quote = String::from_utf8(quote).unwrap();
    let delivered = option["delivered_w"].as_f64().unwrap();
    let together = format!("The 2 rails together give {delivered:.1} W in this room.");
    assert!(quote.contains(&together), "{together} is not in {quote}");
    assert!(quote.contains("Rail 1: ") && quote.contains("Rail 2: "), "{quote}");
    let (_, installing) = form(&shop, &format!("{path}/installation-sheet"), HTML).await;
    let words = words_of(&installing);
    let sheets = sheets(&words);
    let total: f64 = option["rails"].as_array().unwrap().iter().map(watts).sum();
    for (rail, sheet) in option["rails"].as_array().unwrap().iter().zip(sheets) {
        check_sheet(&option, rail, sheet);
        assert!(
            sheet.contains(&format!("the 2 rails of the room together {total:.0} W")),
            "{sheet}"
        );
        assert!(sheet.contains("with every rail of the room on, within the 11.5 V"), "{sheet}");
    }
    let (_, caring) = form(&shop, &format!("{path}/care-sheet"), HTML).await;
    let care = words_of(&caring);
    for rail in option["rails"].as_array().unwrap() {
        assert!(care.contains(rail["element"].as_str().unwrap()), "{care}");
    }
    for what in ["", "/installation-sheet", "/care-sheet"] {
        let (_, pdf) = form(&shop, &format!("{path}{what}"), PDF).await;
        let Some(text) = text_of("two-rails", &pdf) else { return };
        let text = flowing(&text);
        let both = [1, 2].map(|rail| text.contains(&format!("ail {rail}")));
        assert_eq!(both, [true, true], "{what}: {text}");
    }
}

/// Rating of a rail's element.
fn watts(rail: &Value) -> f64 {
    let sku = rail["element"].as_str().unwrap();
    let edition = demo_edition().unwrap();
    let element = edition.elements.iter().find(|element| element.card.sku.as_str() == sku);
    element.unwrap().watts.value()
}

/// What is said of one rail: its own parts, its own wall, and nothing of the other's.
fn check_sheet(option: &Value, rail: &Value, sheet: &str) {
    let lines = option["lines"].as_array().unwrap();
    let (own, others): (Vec<&Value>, Vec<&Value>) =
        lines.iter().partition(|line| line["rail"] == rail["rail"]);
    let sku = |line: &Value| line["sku"].as_str().unwrap().to_owned();
    for line in &own {
        assert!(sheet.contains(&sku(line)), "{} is not in {sheet}", sku(line));
    }
    for line in others.iter().filter(|line| !own.iter().any(|one| one["sku"] == line["sku"])) {
        assert!(!sheet.contains(&sku(line)), "{} of the other rail is in {sheet}", sku(line));
    }
    // One connection unit a rail, named once beside its fuse.
    let unit = own.iter().find(|line| line["name"].as_str().unwrap().contains("connection unit"));
    let unit = format!("{} {}", unit.unwrap()["name"].as_str().unwrap(), sku(unit.unwrap()));
    let named = sheet.matches(&unit).count();
    assert_eq!(named, 1, "{unit} in {sheet}");
    let wall = rail["wall"].as_u64().unwrap();
    assert!(sheet.contains(&format!("wall space {wall} as asked for; ")), "{sheet}");
    let other = 3 - rail["rail"].as_u64().unwrap();
    assert!(!sheet.contains(&format!("Rail {other}: ")), "{sheet}");
    let [route, port, zone] = if wall == 1 {
        ["stated as 900 mm: 1000 mm", "lower left port", "zone 2"]
    } else {
        ["stated as 400 mm: 500 mm", "lower right port", "outside"]
    };
    for words in [route, port, zone, "A cartridge fuse", "Pour in", "Building control must be told"]
    {
        assert!(sheet.contains(words), "{words} is not in {sheet}");
    }
    let fill = rail["fill"]["fill_l"].as_f64().unwrap();
    assert!(sheet.contains(&format!("Pour in {fill:.3} l")), "{fill} l is not in {sheet}");
}

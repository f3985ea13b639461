//! The law that every answer about a place, a supply, a surface or a fill says who decides: the local wiring code and a
//! licensed electrician.
//!
//! What is asked is taken from the description, so that a new route, or a new form of an answer, fails here until
//! somebody has said what it speaks of.

use std::collections::BTreeSet;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use axum::http::header;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::catalogue::EditionContent;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use rungwright::operations::clock::Clock;
use rungwright::operations::start;
use rungwright::store::demo::demo_edition;
use serde_json::Value;
use serde_json::json;

use crate::cautious_questions::questions;
use crate::demo::demo;
use crate::demo::get_json;
use crate::demo::texts;
use crate::demo::with;
use crate::keyring;
use crate::papers::flowing;
use crate::papers::form as paper;
use crate::papers::tern_house;
use crate::papers::text_of;
use crate::quoting::Shop;
use crate::right_requests::right;
use crate::service::Answer;
use crate::service::ask_of;

/// What a form of an answer speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Speaks {
    /// Of a place, a supply, a surface or a fill: asked with every outcome.
    Safety,
    /// Of a quote: asked of a real one.
    Quotes,
    /// A paper out of a quote: read as its reader reads it.
    Papers,
    /// Of neither, and why that is so.
    Nothing(&'static str),
}

/// What every form of every answer speaks of. The operation, the form, the verdict.
fn speaks(operation: &str, form: &str) -> Option<Speaks> {
    let (method, path) = operation.split_once(' ')?;
    let silent = |why| Some(Speaks::Nothing(why));
    match (method, path, form) {
        (
            _,
            "/health/live" | "/health/ready" | "/metrics" | "/openapi.json" | "/problems/{code}",
            _,
        ) => silent("the service about itself"),
        ("get", path, "application/json") if is_list_of_parts(path) => {
            silent("data of parts as their makers state them, prices and outputs")
        }
        (_, path, _) if path.starts_with("/v1/editions") || path == "/v1/rules/trials" => {
            silent("a keeper's rows, counts and states, shown before anything is sold from them")
        }
        (_, path, _) if path == "/v1/audit" || path.starts_with("/v1/keys") => {
            silent("who may ask, and who changed what")
        }
        ("get", "/v1/sources", _) => silent("a list of books and pages"),
        ("get", "/v1/quotes", _) => silent("numbers, states and sums"),
        ("get", path, _) if path.ends_with("/history") => {
            silent("who did what to a quote, and when")
        }
        (_, _, "text/csv" | "application/xml") => silent(
            "a bill for a machine: lines, prices and tax; the quote itself carries the caution",
        ),
        (_, path, "application/json") if path.starts_with("/v1/quotes") => Some(Speaks::Quotes),
        (_, path, "text/html" | "application/pdf") if path.starts_with("/v1/quotes") => {
            Some(Speaks::Papers)
        }
        ("post", path, _) if ANSWERS.contains(&path) => Some(Speaks::Safety),
        _ => None,
    }
}

/// Routes that only answer. The questions for each are below.
const ANSWERS: [&str; 9] = [
    "/v1/checks",
    "/v1/resolutions",
    "/v1/choices",
    "/v1/heat-requirements",
    "/v1/heat-outputs",
    "/v1/fills",
    "/v1/placements",
    "/v1/positions",
    "/v1/electrical-supplies",
];

fn is_list_of_parts(path: &str) -> bool {
    ["/v1/bodies", "/v1/elements", "/v1/controls", "/v1/accessories"]
        .iter()
        .any(|list| path.strip_prefix(list).is_some_and(|rest| !rest.contains("notices")))
}

/// Fields that speak of safety: an answer that has one of them carries the caution, whatever is said above.
const TELLING: [&str; 9] = [
    "verdict",
    "zone",
    "fuse",
    "voltage_drop",
    "surface_c",
    "fill_l",
    "flex_needed_mm",
    "checks",
    "duty",
];

/// Every operation of the description with the forms of its right answers and the schema of each.
fn forms(description: &Value) -> Vec<(String, String, Value)> {
    let mut forms = Vec::new();
    for (path, methods) in description["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap().iter();
            let right = responses.filter(|(status, _response)| status.starts_with('2'));
            for (form, content) in
                right.filter_map(|(_, response)| response["content"].as_object()).flatten()
            {
                forms.push((format!("{method} {path}"), form.clone(), content["schema"].clone()));
            }
        }
    }
    forms
}

/// Every field that an answer of a schema can have, at any depth.
fn fields(description: &Value, schema: &Value, seen: &mut BTreeSet<String>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    match schema {
        Value::Object(parts) => {
            if let Some(name) = schema["$ref"].as_str() {
                if seen.insert(name.to_owned()) {
                    let target = description.pointer(name.trim_start_matches('#')).unwrap();
                    found.extend(fields(description, target, seen));
                }
                return found;
            }
            found.extend(
                schema["properties"]
                    .as_object()
                    .into_iter()
                    .flatten()
                    .map(|(name, _)| name.clone()),
            );
            for part in parts.values() {
                found.extend(fields(description, part, seen));
            }
        }
        Value::Array(parts) => {
            for part in parts {
                found.extend(fields(description, part, seen));
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
    found
}

#[tokio::test]
async fn every_form_of_every_answer_is_known_to_speak_of_safety_or_not_to() {
    let description = get_json("/openapi.json").await;
    for (operation, form, schema) in forms(&description) {
        let speaks = speaks(&operation, &form).unwrap_or_else(|| {
            panic!("say in `speaks` whether {operation} as {form} speaks of a place, a supply, a surface or a fill")
        });
        let fields = fields(&description, &schema, &mut BTreeSet::new());
        let telling: Vec<_> = TELLING.into_iter().filter(|name| fields.contains(*name)).collect();
        match speaks {
            Speaks::Nothing(why) => {
                assert!(telling.is_empty(), "{operation}: {telling:?}, yet {why}");
            }
            Speaks::Safety | Speaks::Quotes | Speaks::Papers => {
                let is_list = form != "application/json" || fields.contains("notices");
                assert!(is_list || operation.ends_with("/answers"), "{operation} has no notices");
            }
        }
    }
}

/// The demonstration catalogue, changed.
fn changed(change: impl Fn(&mut EditionContent)) -> Router {
    let mut content = demo_edition().unwrap();
    change(&mut content);
    let app = App::with_clock(Clock::Fixed("2026-11-25T12:00:00Z".parse().unwrap()));
    app.hold(start::serve(Edition::new(1, content).unwrap()).unwrap());
    keyring::open(&app);
    app.advance(Readiness::Ready);
    routes::router(app)
}

/// Services with rules that know little: Belgian ones for every market, and none of the edition's own.
fn services() -> [(&'static str, Router); 3] {
    let belgian = changed(|content| {
        for market in &mut content.markets {
            market.wiring_rules = "be-arei".into();
        }
    });
    let without = changed(|content| content.wiring_rules.clear());
    [("demonstration", demo()), ("Belgian rules", belgian), ("no rules of its own", without)]
}

async fn ask(service: &Router, (path, form): (&str, &str), body: &Value) -> Answer {
    let request = Request::post(path)
        .header(header::CONTENT_TYPE, "application/json")
        .header(header::ACCEPT, form);
    ask_of(service.clone(), request, Body::from(body.to_string())).await
}

/// Whether an answer says who decides: in the words of a picture, or among the notices of each thing answered.
fn is_cautious(answer: &Answer, form: &str) -> bool {
    if form != "application/json" {
        return answer.body.contains("licensed electrician decide");
    }
    let document = answer.json();
    match document["answers"].as_array() {
        Some(answers) => answers.iter().all(says_so),
        None => says_so(&document),
    }
}

/// Whether the notices of an answer, or of a part of one, say who decides.
fn says_so(answer: &Value) -> bool {
    answer["notices"].is_array()
        && texts(&answer["notices"], "code").contains(&"electrician-decides")
}

/// Asks a service everything that is written down for a route, and gives the outcomes.
async fn check_caution(service: &Router, (path, form): (&str, &str), whose: &str) -> Vec<String> {
    let mut asked = Vec::new();
    for (name, question) in questions(path) {
        let answer = ask(service, (path, form), &question).await;
        let id = format!("{path} as {form}, {name}, {whose}: {}", answer.body);
        assert_eq!(answer.status, 200, "{id}");
        assert!(is_cautious(&answer, form), "{id}");
        asked.extend(outcomes(&answer));
    }
    asked
}

#[tokio::test]
async fn every_answer_about_a_place_a_supply_a_surface_or_a_fill_says_who_decides() {
    let description = get_json("/openapi.json").await;
    let services = services();
    let mut asked = BTreeSet::new();
    let all = forms(&description).into_iter();
    let of_safety =
        all.filter(|(operation, form, _)| speaks(operation, form) == Some(Speaks::Safety));
    for (operation, form, _schema) in of_safety {
        let path = operation.trim_start_matches("post ");
        for (whose, service) in &services {
            asked.extend(check_caution(service, (path, &form), whose).await);
        }
    }
    // A law that only ever sees good answers proves little.
    for outcome in [
        "resolved",
        "impossible",
        "fits",
        "clashes",
        "refused",
        "allowed",
        "not_established",
        "no position",
    ] {
        assert!(asked.contains(outcome), "no answer was {outcome}: {asked:?}");
    }
}

/// What came out, as far as it has a word.
fn outcomes(answer: &Answer) -> Vec<String> {
    let Ok(document) = serde_json::from_str::<Value>(&answer.body) else { return Vec::new() };
    let mut words = Vec::new();
    words.extend(document["outcome"].as_str().map(str::to_owned));
    for list in ["items", "answers"] {
        let entries = document[list].as_array().into_iter().flatten();
        let word = |entry: &Value| {
            entry["verdict"].as_str().or_else(|| entry["outcome"].as_str()).map(str::to_owned)
        };
        words.extend(entries.filter_map(word));
    }
    words.extend((document["positions"] == json!([])).then(|| "no position".to_owned()));
    words
}

#[tokio::test]
async fn an_edition_without_rules_of_its_own_says_that_others_stand_in() {
    let [_demonstration, _belgian, (_name, service)] = services();
    for path in ["/v1/placements", "/v1/positions", "/v1/electrical-supplies"] {
        let answer = ask(&service, (path, "application/json"), &right(path)).await;
        assert!(
            texts(&answer.json()["notices"], "code").contains(&"rules-stand-in"),
            "{path}: {}",
            answer.body
        );
        let own = ask(&demo(), (path, "application/json"), &right(path)).await;
        assert!(!own.body.contains("rules-stand-in"), "{path}");
    }
    for path in ["/v1/checks", "/v1/resolutions", "/v1/choices"] {
        let answer = ask(&service, (path, "application/json"), &right(path)).await;
        assert!(answer.body.contains("rules-stand-in"), "{path}: {}", answer.body);
    }
}

#[tokio::test]
async fn the_rules_of_the_edition_decide_and_no_others() {
    let wider = changed(|content| {
        let british =
            content.wiring_rules.iter_mut().find(|rules| rules.id == "gb-bs7671").unwrap();
        british.regime.as_mut().unwrap().zone2.width_mm = 900;
        content
            .wiring_rules
            .retain(|rules| ["gb-bs7671", "ie-is10101", "de-2025"].contains(&rules.id.as_str()));
    });
    let question = json!({ "wiring_rules": "gb-bs7671",
        "scene": { "room_mm": [0, 0, 4000, 2500], "ceiling_mm": 2400, "fixtures": [
            { "id": "bath", "kind": "bath", "rect_mm": [0, 0, 1700, 700], "bottom_mm": 100, "rim_mm": 550 }] },
        "items": [{ "id": "rail", "kind": "rail", "point_mm": [2500, 350, 1000] }] });
    let path = ("/v1/placements", "application/json");
    let own = ask(&wider, path, &question).await.json();
    assert_eq!(
        (&own["items"][0]["zone"], &own["items"][0]["distance_mm"]),
        (&json!("2"), &json!(800.0))
    );
    assert_eq!(ask(&demo(), path, &question).await.json()["items"][0]["zone"], "outside");
    let gone = ask(&wider, path, &with(question, "/wiring_rules", json!("fr-a5"))).await;
    assert_eq!(gone.status, 422);
    assert!(gone.body.contains("known are de-2025, gb-bs7671, ie-is10101"), "{}", gone.body);
}

#[tokio::test]
async fn a_quote_says_who_decides_in_every_room_and_in_the_answers_that_it_keeps() {
    let shop = Shop::open().await;
    let resolution = json!({ "market": "gb", "heat_requirement_w": 250, "options_max": 1, "place": { "zone": "2" } });
    let rooms: Vec<Value> = ["Bath", "Attic"]
        .iter()
        .map(|name| json!({ "name": name, "resolution": resolution }))
        .collect();
    let number = shop.issued("k1", &json!({ "market": "gb", "rooms": rooms })).await;
    let description = get_json("/openapi.json").await;
    let mut asked = 0;
    for (operation, form, _schema) in forms(&description) {
        let Some(path) = operation
            .strip_prefix("get ")
            .filter(|_| speaks(&operation, &form) == Some(Speaks::Quotes))
        else {
            continue;
        };
        let path = path.replace("{number}", &number).replace("{revision}", "1");
        let answer = shop.get(&path).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        let document = answer.json();
        let answered = document["rooms"].as_array().unwrap();
        assert!(
            answered.iter().all(|room| says_so(room) || says_so(&room["answer"])),
            "{path}: {document}"
        );
        asked += answered.len();
    }
    assert!(6 <= asked, "{asked}");
}

#[tokio::test]
async fn every_paper_says_who_decides_in_every_form() {
    let shop = Shop::open().await;
    let number = shop.issued("k1", &tern_house()).await;
    let mut read = 0;
    for (operation, form, _schema) in forms(&get_json("/openapi.json").await) {
        let Some(path) = operation
            .strip_prefix("get ")
            .filter(|_| speaks(&operation, &form) == Some(Speaks::Papers))
        else {
            continue;
        };
        let path = path.replace("{number}", &number).replace("{revision}", "1");
        let (_head, bytes) = paper(&shop, &path, &form).await;
        let name = format!("caution-{read}");
        let text = match form.as_str() {
            "application/pdf" => text_of(&name, &bytes),
            _ => Some(String::from_utf8(bytes).unwrap()),
        };
        read += 1;
        // Without a reader of PDF on this machine the page of the same paper was still read.
        let Some(text) = text.map(|text| flowing(&text)) else { continue };
        for words in ["local wiring code and", "licensed electrician", "decide"] {
            assert!(text.to_lowercase().contains(words), "{words} not in {path} as {form}: {text}");
        }
    }
    assert_eq!(read, 8, "a quote, its revision and two sheets, as pages and as files");
}

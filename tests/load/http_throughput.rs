//! A server to be loaded from outside, on made-up catalogues: `tests/load/http_throughput.sh` starts it and counts.
//!
//! `http_throughput PARTS MIX KIND FOLDER`: writes the questions into the folder, one a line, then its address, and serves
//! until it is ended. MIX is `one` (questions for one rail) or `all`, with `-brief` behind it when refusals are asked for
//! without their reasons. KIND is `echo`, which reads the typed question and writes the typed answer made beforehand; `bare`,
//! the route alone, told who asks; or `full`, the route inside all layers. No answer is cached.
#![expect(
    clippy::enum_glob_use,
    clippy::wildcard_imports,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::panic,
    reason = "a harness that prints and stops at the first surprise"
)]

mod generator;

use std::path::Path;
use std::sync::Arc;

use axum::Extension;
use axum::Router;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::post;
use jiff::civil::Date;
use rungwright::domain::catalogue::Edition;
use rungwright::domain::compatibility::Catalogue;
use rungwright::domain::compatibility::Check;
use rungwright::domain::compatibility::Finding;
use rungwright::http::json::Draft;
use rungwright::http::limits::Limits;
use rungwright::http::resolutions;
use rungwright::http::resolutions::NewResolution;
use rungwright::http::resolutions::ResolutionView;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Held;
use rungwright::operations::Readiness;
use rungwright::operations::Snapshot;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeySecret;
use rungwright::operations::access::Token;
use rungwright::operations::start::demo_grant;
use rungwright::store::rule_packs::load_all;
use serde_json::Value;
use serde_json::json;
use tokio::net::TcpListener;

use generator::Dice;
use generator::asked;
use generator::content;
use generator::questions::Asked;

/// Questions that are asked in turn.
const QUESTIONS: usize = 400;
/// Options of each answer.
const OPTIONS: u32 = 3;
const SEED: u64 = 2026;
/// The day whose prices the made-up list holds.
const DAY: Date = Date::constant(2026, 6, 1);
/// Where the client says which question it sends.
const NUMBER: &str = "x-number";

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let [parts, mix, kind, folder] = words.as_slice() else {
        println!("http_throughput PARTS MIX KIND FOLDER, by tests/load/http_throughput.sh");
        return;
    };
    let parts = parts.parse().unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(serve((parts, mix), kind, Path::new(folder)));
}

async fn serve((parts, mix): (usize, &str), kind: &str, folder: &Path) {
    let snapshot = Snapshot::of(held(parts), DAY);
    let bodies = questions(&snapshot, parts, mix);
    std::fs::write(folder.join("questions"), bodies.join("\n")).unwrap();
    let app = App::default();
    app.hold(held(parts));
    std::fs::write(folder.join("key"), open(&app)).unwrap();
    app.advance(Readiness::Ready);
    let router = match kind {
        "echo" => echo(&snapshot, &bodies),
        "bare" => Router::new()
            .route("/v1/resolutions", post(resolutions::post_resolution))
            .layer(Extension(app.access().unwrap().reader().unwrap().clone()))
            .with_state(app),
        "full" => routes::assemble(routes::registry(), app, &Limits::default()),
        other => panic!("{other}"),
    };
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap().to_string();
    std::fs::write(folder.join("address"), address).unwrap();
    axum::serve(listener, router).await.unwrap();
}

/// Lets a key in and gives it. It may ask more often than any client can.
fn open(app: &App) -> String {
    let access = Access::closed(KeySecret::random().unwrap()).open_to_this_machine();
    let token = Token::passing().unwrap();
    access.lend(&token, demo_grant());
    app.open_access(access);
    token.reveal().to_owned()
}

fn held(parts: usize) -> Held {
    let edition = Edition::new(1, content(parts, SEED)).unwrap();
    Held::compile(Catalogue::compile(edition), load_all().unwrap())
}

/// The typed answer to one order.
fn answer(snapshot: &Snapshot, body: &[u8]) -> ResolutionView {
    let order = Draft::<NewResolution>::parse(body).unwrap();
    resolutions::resolve(snapshot, order).unwrap()
}

/// Questions as bodies of requests.
fn questions(snapshot: &Snapshot, parts: usize, mix: &str) -> Vec<String> {
    let market = snapshot.catalogue().edition().market("gb").unwrap();
    let rules = snapshot.wiring_rules().iter().find(|pack| pack.id == "gb-bs7671").unwrap();
    let mut dice = Dice::new(SEED + 1);
    let mut bodies = Vec::new();
    while bodies.len() < QUESTIONS {
        let question = asked(&mut dice, parts, market, rules);
        if mix.starts_with("one") && question.rails_max != 1 {
            continue;
        }
        let mut order = order(&question);
        if mix.ends_with("brief") {
            order["explain"] = json!(false);
        }
        bodies.push(order.to_string());
    }
    bodies
}

/// A question as a client would send it; the room's temperature is the usual one.
fn order(asked: &Asked<'_>) -> Value {
    let demands = &asked.demands;
    let (around, wished) = (&demands.surroundings, &demands.preferences);
    let place = &around.place;
    let mut preferences = json!({
        "regulation": wished.regulation.word(), "wall_control": wished.wall_control,
        "time_control": wished.time_control, "flex_cover": wished.flex_cover,
        "rails_max": asked.rails_max,
        "accessories": wished.accessories.iter().map(|kind| kind.word()).collect::<Vec<_>>(),
    });
    let mut hung = json!({"side": place.side.word(), "water_jets": place.water_jets});
    let lengths = [
        ("wall_width_mm", place.wall_width),
        ("wall_bottom_mm", place.wall_bottom),
        ("wall_height_mm", place.wall_height),
        ("connection_distance_mm", place.connection_distance),
    ];
    for (name, length) in lengths {
        if let Some(length) = length {
            hung[name] = json!(length.value());
        }
    }
    if let Some(region) = &place.region {
        hung["region"] = json!(region);
    }
    if let Some(zone) = place.zone {
        hung["zone"] = json!(zone.code());
    }
    if let Some(finish) = &wished.finish {
        preferences["finish"] = json!(finish);
    }
    if let Some(budget) = wished.budget {
        let (pounds, pence) = (budget.value().div_euclid(100), budget.value().rem_euclid(100));
        preferences["budget"] = json!(format!("{pounds}.{pence:02}"));
    }
    let users = json!({
        "children": around.users.children, "vulnerable": around.users.vulnerable,
        "public_building": around.users.public_building,
    });
    let mut order = json!({
        "market": "gb", "users": users, "place": hung, "preferences": preferences,
        "towels_factor": around.towels_factor, "price_date": DAY.to_string(), "options_max": OPTIONS,
    });
    match demands.required {
        Some(required) => order["heat_requirement_w"] = json!(required.watts()),
        None => order["purpose"] = json!("towel_warming"),
    }
    order
}

type Answers = Arc<Vec<ResolutionView>>;

/// An answer whose checks are all written by the serialiser, none taken from what is kept beside the catalogue.
fn plain(mut answer: ResolutionView) -> ResolutionView {
    if let ResolutionView::Resolved(view) = &mut answer {
        for check in view.options.iter_mut().flat_map(|option| &mut option.checks) {
            check.0 = Check::from(Finding::clone(&check.0));
        }
    }
    answer
}

/// Reads each question into its type and writes the answer that belongs to it, made beforehand.
fn echo(snapshot: &Snapshot, bodies: &[String]) -> Router {
    let answers: Vec<_> =
        bodies.iter().map(|body| plain(answer(snapshot, body.as_bytes()))).collect();
    Router::new().route("/v1/resolutions", post(say_again)).with_state(Arc::new(answers))
}

async fn say_again(
    State(answers): State<Answers>,
    headers: HeaderMap,
    body: Bytes,
) -> impl IntoResponse {
    let order: NewResolution = serde_json::from_slice(&body).unwrap();
    let number: usize = headers[NUMBER].to_str().unwrap().parse().unwrap();
    std::hint::black_box(&order);
    let bytes = serde_json::to_vec(&answers[number]).unwrap();
    ([(header::CONTENT_TYPE, "application/json")], bytes)
}

//! A quote over the life of the real program: resolved, issued, outlasting a new edition and a restart, revised, accepted.

use rungwright::domain::money::UnitPrice;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::demo::demo_edition;
use rungwright::store::save_edition;
use serde_json::Value;
use serde_json::json;

use crate::http_client::Reply;
use crate::http_client::fetch;
use crate::http_client::send;
use crate::papers::flowing;
use crate::papers::tern_house;
use crate::papers::text_of;
use crate::running::Folder;
use crate::running::Program;

fn ask(program: &Program, request: &str, headers: &[(&str, &str)], body: &Value) -> Reply {
    let body = if body.is_null() { String::new() } else { body.to_string() };
    send(program.address(), request, headers, &body).unwrap()
}

/// A new edition on the same file: every price three times what it was, and the bodies called otherwise.
async fn publish_dearer(path: &str) {
    let database = Database::open(path).await.unwrap();
    let mut content = demo_edition().unwrap();
    for price in content.price_lists.iter_mut().flat_map(|list| list.prices.values_mut()) {
        *price = UnitPrice::new(price.value() * 3);
    }
    for body in &mut content.bodies {
        body.card.name = "Another name".into();
    }
    save_edition(&database, &content, EditionState::Published).await.unwrap();
    database.close().await;
}

/// What was fetched, and its bytes.
type Form = (String, Vec<u8>);

/// Every form of a quote and its sheets, of revision 1.
fn forms(program: &Program, address: &str) -> Vec<Form> {
    let quote = format!("{address}/revisions/1");
    let of_quote =
        ["application/json", "text/html", "application/pdf", "application/xml", "text/csv"];
    let of_sheets = ["text/html", "application/pdf"];
    let sheets = ["installation-sheet", "care-sheet"];
    let quotes = of_quote.map(|media_type| (quote.clone(), media_type)).into_iter();
    let sheets = sheets.into_iter().flat_map(|sheet| {
        of_sheets.map(|media_type| (format!("{address}/{sheet}?revision=1"), media_type))
    });
    let all = quotes.chain(sheets);
    all.map(|(path, media_type)| {
        let bytes = fetch(program.address(), &path, media_type);
        (format!("{path} as {media_type}"), bytes)
    })
    .collect()
}

#[tokio::test]
async fn every_form_of_an_issued_quote_outlasts_new_prices_parts_and_a_restart() {
    let folder = Folder::new("forms");
    let path = folder.database();
    let program = Program::start(&path);
    let draft = ask(&program, "POST /v1/quotes", &[("idempotency-key", "k1")], &tern_house());
    assert_eq!(draft.status, 201, "{}", draft.body);
    let address = draft.header("location").to_owned();
    let tag = [("if-match", draft.header("etag"))];
    let issue = ask(&program, &format!("POST {address}/issue"), &tag, &Value::Null);
    assert_eq!(issue.status, 200, "{}", issue.body);
    let before = forms(&program, &address);
    program.kill();

    publish_dearer(&path).await;

    let restarted = Program::start(&path);
    for ((name, then), (_, now)) in before.iter().zip(forms(&restarted, &address)) {
        assert!(*then == now, "{name} is not what it was");
    }
    let gross = draft.json()["total"]["gross"].as_str().unwrap().to_owned();
    let headers = [("idempotency-key", "k2"), ("if-match", issue.header("etag"))];
    let revision = ask(&restarted, &format!("POST {address}/revisions"), &headers, &tern_house());
    assert_eq!(revision.status, 201, "{}", revision.body);
    let dearer = revision.json()["total"]["gross"].as_str().unwrap().to_owned();
    assert_ne!(dearer, gross);
    let of_draft = [("if-match", revision.header("etag"))];
    let issued = ask(&restarted, &format!("POST {address}/issue"), &of_draft, &Value::Null);
    let of_offer = [("if-match", issued.header("etag"))];
    let accepted = ask(
        &restarted,
        &format!("POST {address}/acceptance"),
        &of_offer,
        &json!({ "by": "A. Tern" }),
    );
    assert_eq!(accepted.status, 200, "{}", accepted.body);
    let order = fetch(restarted.address(), &address, "application/xml");
    let order = String::from_utf8(order).unwrap();
    assert!(order.contains("<Order") && order.contains(&dearer), "{order}");
    let paper = fetch(restarted.address(), &address, "application/pdf");
    if let Some(text) = text_of("accepted", &paper) {
        let text = flowing(&text);
        assert!(text.contains(&format!("Total to pay GBP {dearer}")), "{text}");
        assert!(text.contains("Accepted by A. Tern on"), "{text}");
    }
    // The first revision is superseded and says so; its sums stay.
    let old = fetch(restarted.address(), &format!("{address}/revisions/1"), "text/html");
    let old = String::from_utf8(old).unwrap();
    assert!(old.contains("A later revision has taken its place.") && old.contains(&gross));
    restarted.kill();
}

#[test]
fn a_second_process_does_not_write_to_the_same_file() {
    let folder = Folder::new("second");
    let path = folder.database();
    let first = Program::start(&path);
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_rungwright"));
    command.args(["serve", "--demo", "--database", &path, "--listen", "127.0.0.1:0"]);
    let second = command.env_remove("RUST_LOG").output().unwrap();
    assert!(!second.status.success());
    let told = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(told.contains("another process writes to the database"), "{told}");
    first.kill();
    // The mark went with the process that was killed.
    Program::start(&path).kill();
}

#[tokio::test]
async fn an_issued_quote_outlasts_a_new_edition_and_a_restart() {
    let folder = Folder::new("restarts");
    let path = folder.database();
    let program = Program::start(&path);
    let resolution = json!({ "market": "gb", "heat_requirement_w": 250, "options_max": 1 });
    let found = ask(&program, "POST /v1/resolutions", &[], &resolution).json();
    let wish = json!({ "market": "gb", "rooms": [{ "name": "Bath", "resolution": resolution }] });
    let draft = ask(&program, "POST /v1/quotes", &[("idempotency-key", "k1")], &wish);
    assert_eq!(draft.status, 201, "{}", draft.body);
    assert_eq!(draft.json()["total"]["gross"], found["options"][0]["total"]["gross"]);
    let address = draft.header("location").to_owned();
    let issue = ask(
        &program,
        &format!("POST {address}/issue"),
        &[("if-match", draft.header("etag"))],
        &Value::Null,
    );
    assert_eq!(issue.status, 200, "{}", issue.body);
    program.kill();

    publish_dearer(&path).await;

    let restarted = Program::start(&path);
    let read = ask(&restarted, &format!("GET {address}"), &[], &Value::Null);
    assert_eq!((&read.body, read.header("etag")), (&issue.body, issue.header("etag")));
    let repeated = ask(&restarted, "POST /v1/quotes", &[("idempotency-key", "k1")], &wish);
    assert_eq!((repeated.status, &repeated.body), (201, &draft.body));
    let other = ask(
        &restarted,
        "POST /v1/quotes",
        &[("idempotency-key", "k1")],
        &json!({ "market": "ie", "rooms": wish["rooms"] }),
    );
    assert_eq!(other.status, 422);
    let headers = [("idempotency-key", "k2"), ("if-match", read.header("etag"))];
    let revision = ask(&restarted, &format!("POST {address}/revisions"), &headers, &wish);
    assert_eq!(revision.status, 201, "{}", revision.body);
    let changes = revision.json()["changes"].clone();
    let what: Vec<&str> =
        changes.as_array().unwrap().iter().map(|change| change["what"].as_str().unwrap()).collect();
    assert!(
        ["edition", "gross", "line", "unit_net"].iter().all(|kind| what.contains(kind)),
        "{what:?}"
    );
    let accepted = ask(
        &restarted,
        &format!("POST {address}/acceptance"),
        &[("if-match", read.header("etag"))],
        &json!({ "by": "A. Tern" }),
    );
    assert_eq!(accepted.status, 200, "{}", accepted.body);
    assert_eq!(accepted.json()["total"], draft.json()["total"]);
    restarted.kill();
}

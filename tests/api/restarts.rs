//! A quote over the life of the real program: resolved, issued, outlasting a new edition and a restart, revised, accepted.

use rungwright::domain::money::UnitPrice;
use rungwright::store::Database;
use rungwright::store::EditionState;
use rungwright::store::demo::demo_edition;
use rungwright::store::save_edition;
use serde_json::Value;
use serde_json::json;

use crate::http_client::Reply;
use crate::http_client::send;
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

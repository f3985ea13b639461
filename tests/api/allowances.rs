//! How often one may ask: by key, and by address without one.

use axum::body::Body;
use axum::http::Request;
use rungwright::domain::access::Account;
use rungwright::domain::access::Grant;
use rungwright::domain::access::PerMinute;
use rungwright::domain::access::Scopes;
use rungwright::http::access::client::Client;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use serde_json::Value;

use crate::keys::Office;
use crate::service::Answer;
use crate::service::ask_as_it_is;

#[tokio::test]
async fn a_key_that_has_used_up_its_minute_is_told_how_long_to_wait() {
    let office = Office::open().await;
    let grant = Grant {
        account: Account::parse("tern").unwrap(),
        scopes: Scopes::all_secret(),
        per_minute: PerMinute::new(2).unwrap(),
        ..Grant::reading()
    };
    let key = office.make(grant).await;
    let ask = async || office.ask(&key, "GET /v1/bodies?limit=1", &Value::Null).await;
    let first = ask().await;
    assert_eq!(first.header("ratelimit-policy"), "\"key\";q=2;w=60");
    assert_eq!(first.header("ratelimit"), "\"key\";r=1;t=30");
    assert_eq!(ask().await.header("ratelimit"), "\"key\";r=0;t=60");
    let third = ask().await;
    assert_eq!((third.status.as_u16(), third.header("ratelimit")), (429, "\"key\";r=0;t=60"));
    let wait: u32 = third.header("retry-after").parse().unwrap();
    assert!((29..=30).contains(&wait), "{wait}");
    assert_eq!(third.json()["code"], "too-many-requests");
    // Another key has a minute of its own, and so has whoever is refused for want of a scope.
    let other = office.ask(office.key("quote"), "GET /v1/bodies?limit=1", &Value::Null).await;
    assert_eq!(other.status, 200);
    let refused = office.ask(office.key("quote"), "GET /metrics", &Value::Null).await;
    assert_eq!(refused.header("ratelimit-policy"), "\"key\";q=6000000;w=60");
}

async fn from(office: &Office, limits: &Limits, addresses: &[&str]) -> Vec<Answer> {
    let service = routes::assemble(routes::registry(), office.app(), limits);
    let mut answers = Vec::new();
    for address in addresses {
        let client = Client { address: Some(address.parse().unwrap()), is_this_machine: false };
        let request = Request::get("/v1/bodies").extension(client);
        let request = request.header("authorization", format!("Bearer {}", office.key("unknown")));
        answers.push(ask_as_it_is(service.clone(), request, Body::empty()).await);
    }
    answers
}

#[tokio::test]
async fn guesses_are_counted_by_address_and_the_holder_of_a_key_is_not_held_up_by_them() {
    let office = Office::open().await;
    let limits = Limits { keyless_per_minute: PerMinute::new(2).unwrap(), ..Limits::default() };
    let addresses = ["192.0.2.1", "192.0.2.1", "192.0.2.1", "192.0.2.2"];
    let answers = from(&office, &limits, &addresses).await;
    let statuses: Vec<u16> = answers.iter().map(|answer| answer.status.as_u16()).collect();
    assert_eq!(statuses, [401, 401, 429, 401]);
    assert_eq!(answers[2].header("ratelimit-policy"), "\"address\";q=2;w=60");
    assert_eq!(answers[2].header("retry-after"), "30");
    let service = routes::assemble(routes::registry(), office.app(), &limits);
    for _ in 0..5 {
        let request = Request::get("/v1/bodies?limit=1");
        let request = request.header("authorization", format!("Bearer {}", office.key("quote")));
        assert_eq!(ask_as_it_is(service.clone(), request, Body::empty()).await.status, 200);
        let live = Request::get("/health/live");
        assert_eq!(ask_as_it_is(service.clone(), live, Body::empty()).await.status, 200);
    }
}

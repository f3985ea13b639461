//! The real program serving: its signals, its restarts, its exit codes.

use std::fs;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::io::Write;
use std::net::TcpListener;
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;
use std::time::Instant;

use rungwright::http::routes;
use serde_json::Value;

use crate::process::Scratch;
use crate::process::ask;
use crate::process::failure;
use crate::process::make_key;
use crate::process::resolve_over_http;
use crate::process::resolve_with;
use crate::process::run;
use crate::process::serve;
use crate::process::signal;

/// Asks, sends the signal while connections are open, and checks the end.
fn check_end_by(name: &str) {
    let scratch = Scratch::new(name);
    let (mut child, address) = serve(&scratch.file("catalogue.sqlite"), &["--demo"]);
    let mut asking = TcpStream::connect(&address).unwrap();
    let silent = TcpStream::connect(&address).unwrap();
    asking
        .write_all(b"GET /health/ready HTTP/1.1\r\nHost: x\r\nX-Request-Id: by-hand\r\n\r\n")
        .unwrap();
    let mut answer = [0; 15];
    asking.read_exact(&mut answer).unwrap();
    assert_eq!(&answer, b"HTTP/1.1 200 OK");
    let started = Instant::now();
    signal(&child, name);
    let status = child.wait().unwrap();
    assert_eq!(status.code(), Some(0));
    assert!(started.elapsed() < Duration::from_secs(8), "{:?}", started.elapsed());
    drop(silent);
    let mut log = String::new();
    child.stderr.unwrap().read_to_string(&mut log).unwrap();
    let lines = log.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    let asked = lines.filter(|line| line["request_id"] == "by-hand").collect::<Vec<_>>();
    assert_eq!(asked.len(), 1, "{log}");
    let line = &asked[0];
    assert_eq!(
        (&line["method"], &line["route"], &line["status"]),
        (&"GET".into(), &"/health/ready".into(), &200.into())
    );
    assert!(line["duration_ms"].is_u64());
}

#[test]
fn sigterm_ends_the_program_with_exit_code_0() {
    check_end_by("-TERM");
}

#[test]
fn sigint_ends_the_program_with_exit_code_0() {
    check_end_by("-INT");
}

#[test]
fn the_description_is_printed() {
    let output = run(&["openapi"]);
    assert!(output.status.success() && output.stderr.is_empty());
    let printed: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(printed, serde_json::to_value(routes::description()).unwrap());
}

#[test]
fn a_killed_program_answers_the_same_after_its_restart() {
    let scratch = Scratch::new("restart");
    let database = scratch.file("catalogue.sqlite");
    let (mut child, address) = serve(&database, &["--demo"]);
    let before = resolve_over_http(&address);
    signal(&child, "-KILL");
    child.wait().unwrap();
    assert!(fs::metadata(&database).unwrap().len() > 0);
    // Without --demo now: the catalogue is in the database, and nobody reads without a key.
    let key = make_key(&database, &["--account", "house", "--scope", "quote"]);
    let (mut again, second) = serve(&database, &[]);
    let authorization = format!("\r\nAuthorization: Bearer {key}");
    assert_eq!(resolve_with(&second, &authorization), before);
    let (head, ready) = ask(&second, "GET /health/ready HTTP/1.1", "");
    assert!(head.starts_with("HTTP/1.1 200 OK"), "{head} {ready}");
    signal(&again, "-TERM");
    assert_eq!(again.wait().unwrap().code(), Some(0));
    // --demo on a database that has an edition adds none.
    let (mut last, third) = serve(&database, &["--demo"]);
    assert_eq!(resolve_over_http(&third), before);
    signal(&last, "-KILL");
    last.wait().unwrap();
}

#[test]
fn a_bad_request_over_a_socket_is_refused_and_the_next_one_answered() {
    let scratch = Scratch::new("bad-request");
    let (mut child, address) = serve(&scratch.file("catalogue.sqlite"), &["--demo"]);
    let head = "POST /v1/resolutions HTTP/1.1\r\nContent-Type: application/json";
    for (body, status) in [
        ("", "400 "),
        ("{", "400 "),
        ("{}", "422 "),
        (&" ".repeat(2 << 20), "413 "),
        (r#"{"market":"xx"}"#, "422 "),
    ] {
        let (answer, document) = ask(&address, head, body);
        assert!(answer.starts_with(&format!("HTTP/1.1 {status}")), "{answer} {document}");
        assert!(document.contains("\"code\":\""), "{document}");
    }
    assert!(resolve_over_http(&address).contains("\"outcome\":\"resolved\""));
    signal(&child, "-KILL");
    child.wait().unwrap();
}

#[test]
fn an_empty_database_is_not_served() {
    let scratch = Scratch::new("empty");
    let database = scratch.file("catalogue.sqlite");
    let error = failure(run(&["serve", "--listen", "127.0.0.1:0", "--database", &database]));
    insta::assert_snapshot!(error, @"rungwright: could not load a catalogue: the database holds no published edition; start with --demo to load the demonstration catalogue");
}

#[test]
fn a_database_in_a_folder_that_is_missing_is_named() {
    let scratch = Scratch::new("missing");
    let database = scratch.file("no/such/catalogue.sqlite");
    let error =
        failure(run(&["serve", "--demo", "--listen", "127.0.0.1:0", "--database", &database]));
    insta::assert_snapshot!(error.replace(&scratch.file(""), "/"), @"rungwright: the database /no/such/catalogue.sqlite could not be opened: error returned from database: (code: 14) unable to open database file");
}

#[test]
fn a_port_that_is_taken_is_named_and_the_database_is_left_alone() {
    let scratch = Scratch::new("port");
    let database = scratch.file("catalogue.sqlite");
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let error = failure(run(&["serve", "--demo", "--listen", &address, "--database", &database]));
    assert!(error.starts_with(&format!("rungwright: could not listen on {address}: ")), "{error}");
    assert!(!Path::new(&database).exists());
}

#[test]
fn a_wrong_command_line_is_exit_code_2() {
    assert_eq!(run(&["serve", "--colour"]).status.code(), Some(2));
    assert_eq!(run(&[]).status.code(), Some(2));
    assert_eq!(run(&["resolve"]).status.code(), Some(2));
}

#[test]
fn a_health_check_tells_a_ready_service_from_none() {
    let scratch = Scratch::new("health");
    let (mut child, address) = serve(&scratch.file("catalogue.sqlite"), &["--demo"]);
    let ready = run(&["healthcheck", "--address", &address]);
    signal(&child, "-TERM");
    child.wait().unwrap();
    assert_eq!(ready.status.code(), Some(0), "{ready:?}");
    let gone = run(&["healthcheck", "--address", &address]);
    assert_eq!(gone.status.code(), Some(1));
    let error = String::from_utf8(gone.stderr).unwrap();
    assert!(error.starts_with(&format!("rungwright: the service at {address} is not ready: ")));
}

#[test]
fn a_health_check_believes_no_other_status() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let answering = std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        stream.write_all(b"HTTP/1.1 503 Service Unavailable\r\ncontent-length: 0\r\n\r\n").unwrap();
        // The request is read to its end, so that closing does not throw the answer away.
        BufReader::new(stream)
            .lines()
            .take_while(|line| line.as_ref().is_ok_and(|line| !line.is_empty()))
            .count()
    });
    let output = run(&["healthcheck", "--address", &address]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8(output.stderr).unwrap().contains("503 Service Unavailable"));
    assert!(1 < answering.join().unwrap(), "a request line and a host");
}

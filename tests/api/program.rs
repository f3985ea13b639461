//! The real program: its output, its exit codes, its signals.

use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::io::Write;
use std::net::TcpStream;
use std::process::Child;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

use rungwright::http::routes;

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
    command.env_remove("RUST_LOG").env_remove("RUNGWRIGHT_LISTEN");
    command
}

fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().unwrap()
}

/// A serving program and the address it printed.
fn serve() -> (Child, String) {
    let mut command = program();
    command.args(["serve", "--listen", "127.0.0.1:0", "--log-format", "json"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
    let address = line.split("http://").nth(1).unwrap().split_whitespace().next().unwrap();
    (child, address.to_owned())
}

fn signal(child: &Child, name: &str) {
    let status = Command::new("kill").args([name, &child.id().to_string()]).status().unwrap();
    assert!(status.success());
}

/// Asks, sends the signal while connections are open, and checks the end.
fn check_end_by(name: &str) {
    let (mut child, address) = serve();
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
    let lines = log.lines().map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap());
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
    let printed: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(printed, serde_json::to_value(routes::description()).unwrap());
}

#[test]
fn a_failure_is_one_sentence_with_its_cause() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let output = run(&["serve", "--listen", &address]);
    assert_eq!(output.status.code(), Some(1));
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(error.lines().count(), 1, "{error}");
    assert!(error.starts_with(&format!("rungwright: could not listen on {address}: ")), "{error}");
}

#[test]
fn a_wrong_command_line_is_exit_code_2() {
    assert_eq!(run(&["serve", "--colour"]).status.code(), Some(2));
    assert_eq!(run(&[]).status.code(), Some(2));
}

#[test]
fn a_health_check_tells_a_ready_service_from_none() {
    let (mut child, address) = serve();
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
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
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

//! The real program: its output, its exit codes, its signals.

use std::fs;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::io::Write;
use std::net::TcpListener;
use std::net::TcpStream;
use std::path::Path;
use std::path::PathBuf;
use std::process::Child;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

use rungwright::http::routes;
use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::with;

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
    for name in ["RUST_LOG", "RUNGWRIGHT_LISTEN", "RUNGWRIGHT_DATABASE", "RUNGWRIGHT_LOG_FORMAT"] {
        command.env_remove(name);
    }
    command
}

fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().unwrap()
}

/// The one line on stderr of a run that failed by exit code 1 and printed nothing else.
fn failure(output: Output) -> String {
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(String::from_utf8(output.stdout).unwrap(), "");
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(error.lines().count(), 1, "{error}");
    assert!(error.starts_with("rungwright: "), "{error}");
    error
}

/// A folder of one test.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let folder = format!("program-{name}-{}", std::process::id());
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(folder);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str) -> String {
        self.0.join(name).to_str().unwrap().to_owned()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        drop(fs::remove_dir_all(&self.0));
    }
}

/// A program that has printed where it serves.
fn serve(database: &str, more: &[&str]) -> (Child, String) {
    let mut command = program();
    command.args(["serve", "--listen", "127.0.0.1:0", "--log-format", "json"]);
    command.args(["--database", database]).args(more);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
    let address = line.split("http://").nth(1).unwrap().split_whitespace().next().unwrap();
    (child, address.to_owned())
}

/// Head and body of the answer to a request over a real socket.
fn ask(address: &str, head: &str, body: &str) -> (String, String) {
    let mut stream = TcpStream::connect(address).unwrap();
    let length = body.len();
    let more = format!("Host: x\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}");
    stream.write_all(format!("{head}\r\n{more}").as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    let (head, body) = answer.split_once("\r\n\r\n").unwrap();
    (head.to_owned(), body.to_owned())
}

/// The answer to the family bathroom on a day of the demonstration's first price lists.
fn resolve_over_http(address: &str) -> String {
    let head = "POST /v1/resolutions HTTP/1.1\r\nContent-Type: application/json";
    let (head, body) = ask(address, head, &dated().to_string());
    assert!(head.starts_with("HTTP/1.1 200 OK\r\n"), "{head} {body}");
    body
}

/// The family bathroom with its prices of a day, because the real program reads the real clock.
fn dated() -> Value {
    with(family_bathroom(), "/price_date", json!("2026-11-25"))
}

fn signal(child: &Child, name: &str) {
    let status = Command::new("kill").args([name, &child.id().to_string()]).status().unwrap();
    assert!(status.success());
}

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
    // Without --demo now: the catalogue is in the database.
    let (mut again, address) = serve(&database, &[]);
    assert_eq!(resolve_over_http(&address), before);
    let (head, ready) = ask(&address, "GET /health/ready HTTP/1.1", "");
    assert!(head.starts_with("HTTP/1.1 200 OK"), "{head} {ready}");
    signal(&again, "-TERM");
    assert_eq!(again.wait().unwrap().code(), Some(0));
    // --demo on a database that has an edition adds none.
    let (mut third, address) = serve(&database, &["--demo"]);
    assert_eq!(resolve_over_http(&address), before);
    signal(&third, "-KILL");
    third.wait().unwrap();
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
fn a_request_file_is_resolved_to_a_bill_to_read() {
    let scratch = Scratch::new("bill");
    let file = scratch.file("order.json");
    fs::write(&file, dated().to_string()).unwrap();
    let output = run(&["resolve", &file]);
    assert!(output.status.success() && output.stderr.is_empty());
    let bill = String::from_utf8(output.stdout).unwrap();
    let first = bill.split("\nOption 2").next().unwrap();
    insta::assert_snapshot!(first, @"
    Edition 1, market gb, price list gb-2026
    Heat required: 313.3 W (steady_state); the quick rule says 494.0 W
      ! The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
      ! Thermal bridges are not counted; in an old or a well insulated home they matter.
      ! The steady-state sum of 313.3 W governs. The quick rule (100 W per m2, common practice, no source) gives 494.0 W and is shown for comparison only.

    Option 1: 268.80 GBP with tax, 329.2 W delivered (15.9 W to spare), 25 days
        1 x SRW-B-OOTAD-400.1100-BK      Ootadaeks 400 x 1100 matt black                     99.90
              matt-black body; with this element it gives 329.2 W in a room of 22 °C, 313.3 W are required
        4 x SRW-A-BRKT-ROUND-25-BK       Wall bracket for round 25 mm tube, matt black    included
              comes in the body's carton
        1 x SRW-A-KEY-5                  Vent key, 5 mm square                            included
              comes in the body's carton
        1 x SRW-A-VENT-G12-BK            Vent plug cover G 1/2, matt black                included
              comes in the body's carton
        1 x SRW-E-DIMRI-400-BK           Dimriv 400 W matt black                             83.95
              400 W, adjustable, held at 65 °C
        1 x SRW-C-KIST-3-WH              Kist fused connection unit, 3 A, white               7.20
              connects the flex to the fixed wiring, with a fuse and a switch
        2 x SRW-A-PLUG-G12-BK            Plug cover G 1/2, matt black                         6.90
              closes the ports left open
        1 x SRW-A-FLEX-1000-BK           Flex cover 1000 mm, matt black                      14.40
              no loose flex where children, vulnerable people or the public come
        1 x SRW-A-INHIB-100              Fill inhibitor, 100 ml                               4.86
              treats a fill of 3.6 l
        1 x SRW-A-HOOK-ROUND-25-BK       Hook for round 25 mm tube, matt black                6.79
              wished for
                                                                                    net     224.00
                                                                               tax 20 %      44.80
                                                                                  gross     268.80
      ! Children, vulnerable people or the public use this room: the person responsible assesses the risk on the spot. No rail is safe for everybody.
      ! The body comes empty: fill it, treat the fill and leave room for expansion before the element is ever switched on. An element that is switched on dry is destroyed and may burn.
      ! The position is allowed on a condition: a residual current device of at most 30 mA on the circuit.
      ! Great Britain keeps the older Regulation 2015/1188 (from memory). Whether it covers towel rails is not established here, so no control function is demanded on its account.
      ! The local wiring code and a licensed electrician decide; have this confirmed by the installing electrician.
      ! The installer locks the set point at 65 °C; the output is taken at it.
      ! Some sellers' pages treat 600 mm round a washbasin as zone 2; that is in neither BS 7671 nor IEC 60364-7-701.
      ! The element is rated 400 W, the body sheds 329.2 W at its set point: that is what the room gets.
    ");
}

#[test]
fn the_answer_as_json_is_that_of_the_interface() {
    let scratch = Scratch::new("json");
    let file = scratch.file("order.json");
    fs::write(&file, dated().to_string()).unwrap();
    let output = run(&["resolve", &file, "--json"]);
    assert!(output.status.success() && output.stderr.is_empty());
    let printed: Value = serde_json::from_slice(&output.stdout).unwrap();
    let (mut child, address) = serve(&scratch.file("catalogue.sqlite"), &["--demo"]);
    let answered: Value = serde_json::from_str(&resolve_over_http(&address)).unwrap();
    assert_eq!(printed, answered);
    // From the database that the service filled, too, while the service runs.
    let database = scratch.file("catalogue.sqlite");
    let stored = run(&["resolve", &file, "--json", "--database", &database]);
    assert_eq!(serde_json::from_slice::<Value>(&stored.stdout).unwrap(), answered);
    signal(&child, "-KILL");
    child.wait().unwrap();
}

/// The output for a request on standard input.
fn resolve_from_input(order: &str) -> Output {
    let mut command = program();
    command.args(["resolve", "-", "--json"]);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    child.stdin.take().unwrap().write_all(order.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn a_request_is_read_from_standard_input() {
    let output = resolve_from_input(&dated().to_string());
    assert!(output.status.success() && output.stderr.is_empty());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["outcome"], "resolved");
}

#[test]
fn an_impossible_request_is_an_answer_and_no_failure() {
    let order = with(dated(), "/preferences/finish", json!("sea-green"));
    let output = resolve_from_input(&order.to_string());
    assert!(output.status.success() && output.stderr.is_empty());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["outcome"], "impossible");
}

#[test]
fn a_refused_request_is_told_with_all_its_wrong_fields() {
    let mut order = with(dated(), "/room/width_mm", json!(0));
    order = with(order, "/preferences/finish", json!("puce"));
    order = with(order, "/colour", json!("red"));
    insta::assert_snapshot!(failure(resolve_from_input(&order.to_string())), @r#"rungwright: the request in - was refused: /room/width_mm: width of the room is 0 mm, allowed are 300 to 20000 mm; /colour: there is no field colour here; /preferences/finish: there is no finish "puce" in this catalogue"#);
    insta::assert_snapshot!(failure(resolve_from_input("")), @"rungwright: the request in - was refused: the body is empty, a JSON object is expected");
    insta::assert_snapshot!(failure(resolve_from_input("{")), @"rungwright: the request in - was refused: the JSON ends too early, at line 1 column 1");
    insta::assert_snapshot!(failure(run(&["resolve", "no-such-file.json"])), @"rungwright: could not read the request in no-such-file.json: No such file or directory (os error 2)");
    let early = with(dated(), "/price_date", json!("2020-01-01"));
    insta::assert_snapshot!(failure(resolve_from_input(&early.to_string())), @"rungwright: the request in - was refused: no price list of gb holds on 2020-01-01");
}

#[test]
fn a_wrong_command_line_is_exit_code_2() {
    assert_eq!(run(&["serve", "--colour"]).status.code(), Some(2));
    assert_eq!(run(&[]).status.code(), Some(2));
    assert_eq!(run(&["resolve"]).status.code(), Some(2));
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

//! The real program as a child process: run to its end, or serving a database of its own.

use std::fs;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::io::Write;
use std::net::TcpStream;
use std::path::Path;
use std::path::PathBuf;
use std::process::Child;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;

use serde_json::Value;
use serde_json::json;

use crate::demo::family_bathroom;
use crate::demo::with;

pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
    for name in ["RUST_LOG", "RUNGWRIGHT_LISTEN", "RUNGWRIGHT_DATABASE", "RUNGWRIGHT_LOG_FORMAT"] {
        command.env_remove(name);
    }
    command
}

pub(crate) fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().unwrap()
}

/// The one line on stderr of a run that failed by exit code 1 and printed nothing else.
pub(crate) fn failure(output: Output) -> String {
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(String::from_utf8(output.stdout).unwrap(), "");
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(error.lines().count(), 1, "{error}");
    assert!(error.starts_with("rungwright: "), "{error}");
    error
}

/// A folder of one test.
pub(crate) struct Scratch(PathBuf);

impl Scratch {
    pub(crate) fn new(name: &str) -> Self {
        let folder = format!("program-{name}-{}", std::process::id());
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(folder);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn file(&self, name: &str) -> String {
        self.0.join(name).to_str().unwrap().to_owned()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        drop(fs::remove_dir_all(&self.0));
    }
}

/// A program that has printed where it serves.
pub(crate) fn serve(database: &str, more: &[&str]) -> (Child, String) {
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
pub(crate) fn ask(address: &str, head: &str, body: &str) -> (String, String) {
    let mut stream = TcpStream::connect(address).unwrap();
    let length = body.len();
    let more = format!("Host: x\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}");
    stream.write_all(format!("{head}\r\n{more}").as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    let (answered, document) = answer.split_once("\r\n\r\n").unwrap();
    (answered.to_owned(), document.to_owned())
}

/// A new key of a database, as the command line makes it.
pub(crate) fn make_key(database: &str, more: &[&str]) -> String {
    let start = ["keys", "create", "--database", database, "--label", "a test"];
    let output = run(&[&start, more].concat());
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8(output.stdout).unwrap().trim_end().to_owned()
}

/// The answer to the family bathroom on a day of the demonstration's first price lists.
pub(crate) fn resolve_over_http(address: &str) -> String {
    resolve_with(address, "")
}

/// The same with more fields in the head, each with its end of line before it.
pub(crate) fn resolve_with(address: &str, fields: &str) -> String {
    let head = format!("POST /v1/resolutions HTTP/1.1\r\nContent-Type: application/json{fields}");
    let (head, body) = ask(address, &head, &dated().to_string());
    assert!(head.starts_with("HTTP/1.1 200 OK\r\n"), "{head} {body}");
    body
}

/// The family bathroom with its prices of a day, because the real program reads the real clock.
pub(crate) fn dated() -> Value {
    with(family_bathroom(), "/price_date", json!("2026-11-25"))
}

pub(crate) fn signal(child: &Child, name: &str) {
    let status = Command::new("kill").args([name, &child.id().to_string()]).status().unwrap();
    assert!(status.success());
}

//! The real program behind a small proxy: whose word is taken for where a request comes from.

use std::io::Read;
use std::io::Write;
use std::net::TcpListener;
use std::net::TcpStream;
use std::thread;

use crate::process::Scratch;
use crate::process::ask;
use crate::process::serve;

/// A proxy that serves one connection after another and adds where the client is, as proxies do: behind whatever the
/// client wrote there itself.
fn proxy(service: &str, client: &'static str) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let service = service.to_owned();
    thread::spawn(move || {
        for stream in listener.incoming() {
            forward(&mut stream.unwrap(), &service, client);
        }
    });
    address
}

fn forward(stream: &mut TcpStream, service: &str, client: &str) {
    let mut bytes = Vec::new();
    while !bytes.ends_with(b"\r\n\r\n") {
        let mut byte = [0];
        stream.read_exact(&mut byte).unwrap();
        bytes.push(byte[0]);
    }
    let head = String::from_utf8(bytes).unwrap();
    let own = head.lines().find_map(|line| line.strip_prefix("X-Forwarded-For: "));
    let chain = own.map_or_else(|| client.to_owned(), |own| format!("{own}, {client}"));
    let rest = head.lines().filter(|line| !line.starts_with("X-Forwarded-For") && !line.is_empty());
    let kept = rest.collect::<Vec<_>>().join("\r\n");
    let added = format!("X-Forwarded-For: {chain}\r\nX-Forwarded-Proto: https");
    let mut onward = TcpStream::connect(service).unwrap();
    onward.write_all(format!("{kept}\r\n{added}\r\n\r\n").as_bytes()).unwrap();
    let mut answer = Vec::new();
    onward.read_to_end(&mut answer).unwrap();
    stream.write_all(&answer).unwrap();
}

/// How many may still be asked for without a key, as the answer says.
fn remaining(address: &str, more: &str) -> Option<u32> {
    let (head, _) = ask(address, &format!("GET /problems/not-found HTTP/1.1{more}"), "");
    assert!(head.starts_with("HTTP/1.1 200 OK"), "{head}");
    let field = head.lines().find_map(|line| line.strip_prefix("ratelimit: \"address\";r="));
    field.map(|field| field.split(';').next().unwrap().parse().unwrap())
}

#[test]
fn the_client_s_address_is_taken_from_a_named_proxy_and_from_nobody_else() {
    let scratch = Scratch::new("proxy");
    let database = scratch.file("catalogue.sqlite");
    let (mut child, service) = serve(&database, &["--demo", "--trusted-proxy", "127.0.0.1"]);
    let first = proxy(&service, "203.0.113.1");
    let second = proxy(&service, "203.0.113.2");
    assert_eq!((remaining(&first, ""), remaining(&first, "")), (Some(599), Some(598)));
    assert_eq!(remaining(&second, ""), Some(599));
    // What a client says of itself stands before what the proxy says, and changes nothing.
    assert_eq!(remaining(&first, "\r\nX-Forwarded-For: 198.51.100.9"), Some(597));
    // Nor does the field that this proxy does not set.
    assert_eq!(remaining(&first, "\r\nForwarded: for=198.51.100.9"), Some(596));
    // Through a proxy nobody is on this machine, so reading is not open.
    let (head, body) = ask(&first, "GET /v1/bodies HTTP/1.1\r\nX-Forwarded-For: 127.0.0.1", "");
    assert!(head.starts_with("HTTP/1.1 401 "), "{head} {body}");
    let (direct, _) = ask(&service, "GET /v1/bodies?limit=1 HTTP/1.1", "");
    assert!(direct.starts_with("HTTP/1.1 200 "), "{direct}");
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn a_peer_that_nobody_named_is_not_believed() {
    let scratch = Scratch::new("no-proxy");
    let database = scratch.file("catalogue.sqlite");
    let (mut child, service) = serve(&database, &["--demo", "--trusted-proxy", "10.0.0.0/8"]);
    // Each request claims another address; all count as the one peer that they came from.
    let claim = |number: u32| format!("\r\nX-Forwarded-For: 203.0.113.{number}");
    let left: Vec<_> = (1..=3).map(|number| remaining(&service, &claim(number))).collect();
    assert_eq!(left, [Some(599), Some(598), Some(597)]);
    let (head, _) = ask(&service, "GET /v1/bodies HTTP/1.1\r\nX-Forwarded-For: 10.0.0.1", "");
    assert!(head.starts_with("HTTP/1.1 401 "), "{head}");
    child.kill().unwrap();
    child.wait().unwrap();
}

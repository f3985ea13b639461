//! A small HTTP client over plain sockets, for the real program: one request a connection, nothing hidden.

use std::collections::BTreeMap;
use std::io::Read;
use std::io::Write;
use std::net::TcpStream;
use std::sync::Mutex;
use std::time::Duration;

/// Longest wait for an answer.
const TIME_OUT: Duration = Duration::from_secs(20);

/// A whole answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Reply {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Reply {
    pub(crate) fn header(&self, name: &str) -> &str {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        let mut found = lines.filter(|(key, _)| key.eq_ignore_ascii_case(name));
        found.next().map(|(_, value)| value).unwrap_or_default()
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).unwrap()
    }
}

/// Fetches a form of a thing, with the key of that service if one is known: its bytes as they came.
pub(crate) fn fetch(address: &str, path: &str, media_type: &str) -> Vec<u8> {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(TIME_OUT)).unwrap();
    let key = KEYS.lock().unwrap().get(address).cloned();
    let key = key.map(|key| format!("authorization: Bearer {key}\r\n")).unwrap_or_default();
    let request = format!(
        "GET {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n{key}accept: {media_type}\r\n\r\n"
    );
    stream.write_all(request.as_bytes()).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    assert!(bytes.starts_with(b"HTTP/1.1 200 "), "{path} {}", String::from_utf8_lossy(&bytes));
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
    bytes.split_off(end + 4)
}

/// Keys that running services printed, by their addresses.
static KEYS: Mutex<BTreeMap<String, String>> = Mutex::new(BTreeMap::new());

/// From now on requests to this address carry the key.
pub(crate) fn remember(address: &str, key: &str) {
    KEYS.lock().unwrap().insert(address.to_owned(), key.to_owned());
}

/// Sends a request, with the key of that service if one is known; nothing when no whole answer came back.
pub(crate) fn send(
    address: &str,
    request: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> Option<Reply> {
    let mut stream = TcpStream::connect(address).ok()?;
    stream.set_read_timeout(Some(TIME_OUT)).ok()?;
    let mut text = format!("{request} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n");
    for (name, value) in headers {
        text.push_str(name);
        text.push_str(": ");
        text.push_str(value);
        text.push_str("\r\n");
    }
    if let Some(key) = KEYS.lock().unwrap().get(address) {
        text.push_str(&["authorization: Bearer ", key, "\r\n"].concat());
    }
    if !body.is_empty() {
        text.push_str("content-type: application/json\r\n");
    }
    let length = body.len().to_string();
    text.push_str(&["content-length: ", &length, "\r\n\r\n", body].concat());
    stream.write_all(text.as_bytes()).ok()?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).ok()?;
    whole(&String::from_utf8(bytes).ok()?)
}

/// The answer in a text, if it is all there.
fn whole(text: &str) -> Option<Reply> {
    let (head, body) = text.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let reply = Reply { status, head: head.to_owned(), body: body.to_owned() };
    let length: usize = reply.header("content-length").parse().ok()?;
    (length == body.len()).then_some(reply)
}

//! The accept loop over real sockets, with limits short enough to wait for.

use rungwright::domain::access::PerMinute;
use rungwright::http::limits::Limits;
use rungwright::http::routes;
use rungwright::http::server;
use rungwright::http::server::Server;
use rungwright::operations::App;
use rungwright::operations::Readiness;
use std::io::Read;
use std::io::Write;
use std::net::SocketAddr;
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::mpsc;
use std::thread;
use std::thread::JoinHandle;
use std::time::Duration;
use std::time::Instant;
use tokio::sync::oneshot;

use crate::service::registry;

/// A server in a thread of its own.
struct Running {
    address: SocketAddr,
    app: App,
    stop: oneshot::Sender<()>,
    thread: JoinHandle<()>,
}

const SHORT: Limits = Limits {
    requests_at_once_max: 8,
    keyless_per_minute: PerMinute::USUAL,
    connections_max: 3,
    keeper_time_out: Duration::from_secs(10),
    request_time_out: Duration::from_secs(5),
    first_byte_time_out: Duration::from_millis(300),
    head_or_idle_time_out: Duration::from_millis(600),
    connection_life_max: Duration::from_mins(1),
    drain_notice: Duration::from_millis(200),
    drain_time_max: Duration::from_secs(2),
};

fn start(limits: Limits) -> Running {
    let (stop, stopped) = oneshot::channel::<()>();
    let (tell, told) = mpsc::channel();
    let app = App::default();
    app.advance(Readiness::Ready);
    let server = Server {
        router: routes::assemble(registry(), app.clone(), &limits),
        app: app.clone(),
        limits,
        proxies: Arc::default(),
    };
    let thread = thread::spawn(move || {
        tokio::runtime::Runtime::new().unwrap().block_on(async {
            let listener = server::listen("127.0.0.1:0").await.unwrap();
            tell.send(listener.local_addr().unwrap()).unwrap();
            server.serve(listener, async { stopped.await.unwrap() }).await;
        });
    });
    Running { address: told.recv().unwrap(), app, stop, thread }
}

impl Running {
    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
        stream
    }
}

fn send(stream: &mut TcpStream, text: &str) {
    stream.write_all(text.as_bytes()).unwrap();
}

/// All that comes until the connection is closed, and how long that took.
fn read_to_end(stream: &mut TcpStream) -> (String, Duration) {
    let started = Instant::now();
    let mut bytes = Vec::new();
    // A reset counts as closed.
    stream.read_to_end(&mut bytes).unwrap_or_default();
    (String::from_utf8_lossy(&bytes).into_owned(), started.elapsed())
}

fn assert_about(took: Duration, expected: Duration) {
    let least = expected.mul_f64(0.8);
    assert!(
        took >= least && took < expected + Duration::from_millis(1500),
        "{took:?}, not {expected:?}"
    );
}

#[test]
fn a_connection_without_a_byte_is_closed() {
    let running = start(SHORT);
    let (text, took) = read_to_end(&mut running.connect());
    assert_eq!(text, "");
    assert_about(took, SHORT.first_byte_time_out);
}

#[test]
fn a_head_that_does_not_end_is_closed() {
    let running = start(SHORT);
    let mut stream = running.connect();
    send(&mut stream, "GET /health/live HTTP/1.1\r\nHost: x\r\nX-Slow: ");
    let (text, took) = read_to_end(&mut stream);
    assert!(!text.contains("200 OK"), "{text}");
    assert_about(took, SHORT.head_or_idle_time_out);
}

#[test]
fn an_idle_connection_is_closed_after_its_answer() {
    let running = start(SHORT);
    let mut stream = running.connect();
    send(&mut stream, "GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n");
    let (text, took) = read_to_end(&mut stream);
    assert!(
        text.starts_with("HTTP/1.1 200 OK\r\n") && text.ends_with("{\"status\":\"ok\"}"),
        "{text}"
    );
    assert_about(took, SHORT.head_or_idle_time_out);
}

#[test]
fn an_old_connection_is_closed() {
    let limits = Limits {
        connection_life_max: Duration::from_millis(400),
        head_or_idle_time_out: Duration::from_secs(30),
        ..SHORT
    };
    let running = start(limits);
    let mut stream = running.connect();
    send(&mut stream, "GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n");
    let (text, took) = read_to_end(&mut stream);
    assert!(text.contains("200 OK"), "{text}");
    assert_about(took, limits.connection_life_max);
}

#[test]
fn a_connection_beyond_the_cap_is_told_so() {
    let running = start(Limits { first_byte_time_out: Duration::from_secs(30), ..SHORT });
    let held = [running.connect(), running.connect(), running.connect()];
    // The loop accepts in order, so the fourth finds three places taken.
    let (text, _) = read_to_end(&mut running.connect());
    assert!(
        text.starts_with("HTTP/1.1 503 ") && text.contains("\"code\":\"overloaded\""),
        "{text}"
    );
    drop(held);
    thread::sleep(Duration::from_millis(300));
    let mut next = running.connect();
    send(&mut next, "GET /health/live HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
    assert!(read_to_end(&mut next).0.contains("200 OK"));
}

#[test]
fn a_large_body_gets_its_answer_and_not_a_broken_connection() {
    let running = start(SHORT);
    let mut stream = running.connect();
    let size = 2 << 20;
    send(
        &mut stream,
        &format!(
            "POST /samples HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {size}\r\nConnection: close\r\n\r\n"
        ),
    );
    send(&mut stream, &" ".repeat(size));
    let (text, _) = read_to_end(&mut stream);
    assert!(
        text.starts_with("HTTP/1.1 413 ") && text.contains("\"code\":\"body-too-large\""),
        "{text}"
    );
}

#[test]
fn a_client_that_asks_before_sending_a_large_body_hears_no_at_once() {
    let running = start(SHORT);
    let mut stream = running.connect();
    send(
        &mut stream,
        "POST /samples HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 2000000\r\nExpect: 100-continue\r\n\r\n",
    );
    let (text, _) = read_to_end(&mut stream);
    assert!(text.starts_with("HTTP/1.1 413 "), "{text}");
}

#[test]
fn rubbish_instead_of_a_request_is_refused() {
    let running = start(SHORT);
    let mut stream = running.connect();
    send(&mut stream, "\x16\x03\x01 this is no request\r\n\r\n");
    let (text, _) = read_to_end(&mut stream);
    assert!(text.starts_with("HTTP/1.1 400 "), "{text}");
    let mut next = running.connect();
    send(&mut next, "GET /health/live HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
    assert!(read_to_end(&mut next).0.contains("200 OK"));
}

#[test]
fn a_request_in_flight_is_answered_before_the_end() {
    let running = start(SHORT);
    let mut slow = running.connect();
    send(&mut slow, "GET /slow HTTP/1.1\r\nHost: x\r\n\r\n");
    thread::sleep(Duration::from_millis(50));
    running.stop.send(()).unwrap();
    thread::sleep(Duration::from_millis(50));
    assert_eq!(running.app.readiness(), Readiness::Draining);
    let (text, _) = read_to_end(&mut slow);
    assert!(text.contains("200 OK") && text.ends_with("at last"), "{text}");
    running.thread.join().unwrap();
    assert!(TcpStream::connect(running.address).is_err());
}

#[test]
fn the_end_does_not_wait_for_ever() {
    let limits = Limits {
        head_or_idle_time_out: Duration::from_mins(1),
        drain_time_max: Duration::from_millis(400),
        ..SHORT
    };
    let running = start(limits);
    let mut half = running.connect();
    send(&mut half, "GET /health/live HTTP/1.1\r\nX-Slow: ");
    thread::sleep(Duration::from_millis(50));
    let started = Instant::now();
    running.stop.send(()).unwrap();
    running.thread.join().unwrap();
    assert!(started.elapsed() < Duration::from_secs(3), "{:?}", started.elapsed());
}

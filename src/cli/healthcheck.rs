//! Asks a running service whether it is ready: for a container's health check, where there is no other client.
//!
//! One plain request over a socket with time-outs. Absent here: TLS, redirects, and anything read beyond the status.

use std::io;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::net::TcpStream;
use std::net::ToSocketAddrs;
use std::time::Duration;

/// Time to connect, and time for each read and write.
const TIME_OUT: Duration = Duration::from_secs(2);

/// What a ready service answers with.
const READY: &str = "HTTP/1.1 200 ";

/// Succeeds when `GET /health/ready` at the address, as `127.0.0.1:8080`, is answered with 200.
pub(super) fn check_ready(address: &str) -> io::Result<()> {
    let line = ask(address)?;
    if line.starts_with(READY) {
        return Ok(());
    }
    Err(io::Error::other(format!("it answered {:?}", line.trim_end())))
}

/// The first line of the answer.
fn ask(address: &str) -> io::Result<String> {
    let unknown = || io::Error::new(io::ErrorKind::NotFound, "the name has no address");
    let resolved = address.to_socket_addrs()?.next().ok_or_else(unknown)?;
    let mut stream = TcpStream::connect_timeout(&resolved, TIME_OUT)?;
    stream.set_read_timeout(Some(TIME_OUT))?;
    stream.set_write_timeout(Some(TIME_OUT))?;
    let request =
        format!("GET /health/ready HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\n\r\n");
    stream.write_all(request.as_bytes())?;
    let mut line = String::new();
    BufReader::new(stream).read_line(&mut line)?;
    Ok(line)
}

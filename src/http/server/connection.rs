//! One connection from its first byte to its end.
//!
//! Absent here: accepting, and the number of connections.

use axum::Router;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::TokioIo;
use hyper_util::rt::TokioTimer;
use hyper_util::service::TowerToHyperService;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio::time::sleep;
use tokio::time::timeout;
use tower::util::MapRequest;

use crate::http::access::client::Proxies;
use crate::http::limits;
use crate::http::limits::Limits;
use crate::http::problem::MEDIA_TYPE;

/// Serves requests on a connection until the client, a limit or the end of the program closes it.
pub(super) async fn serve(
    (stream, peer): (TcpStream, SocketAddr),
    (router, proxies): (Router, Arc<Proxies>),
    (limits, mut stop): (Limits, watch::Receiver<bool>),
) {
    super::hurry(&stream);
    if !has_begun(&stream, &limits, &mut stop).await {
        return;
    }
    let mut protocol = http1::Builder::new();
    protocol
        .timer(TokioTimer::new())
        .header_read_timeout(limits.head_or_idle_time_out)
        .max_headers(limits::CONNECTION_HEADER_FIELDS_MAX)
        .max_buf_size(limits::CONNECTION_BUFFER_BYTES_MAX);
    let located = MapRequest::new(router, move |mut request: Request<Incoming>| {
        let client = proxies.client(peer, request.headers());
        request.extensions_mut().insert(client);
        request
    });
    let requests =
        protocol.serve_connection(TokioIo::new(stream), TowerToHyperService::new(located));
    let mut requests = pin!(requests);
    tokio::select! {
        ended = requests.as_mut() => return note(ended),
        () = stopped(&mut stop) => {}
        () = sleep(limits.connection_life_max) => {}
    }
    requests.as_mut().graceful_shutdown();
    if let Ok(ended) = timeout(limits.drain_time_max, requests).await {
        note(ended);
    }
}

/// Whether a first byte came before the limit and before the end of the program.
async fn has_begun(stream: &TcpStream, limits: &Limits, stop: &mut watch::Receiver<bool>) -> bool {
    let mut first_byte = [0];
    tokio::select! {
        first = timeout(limits.first_byte_time_out, stream.peek(&mut first_byte)) => matches!(first, Ok(Ok(1..))),
        () = stopped(stop) => false,
    }
}

async fn stopped(stop: &mut watch::Receiver<bool>) {
    // A sender that is gone means the same as its signal.
    if stop.wait_for(|stopping| *stopping).await.is_err() {
        tracing::debug!("the accept loop is gone");
    }
}

fn note(ended: hyper::Result<()>) {
    if let Err(error) = ended {
        tracing::debug!(%error, "a connection broke");
    }
}

/// What a connection beyond the cap is told. It has not been read, so there is no request to name.
const TURNED_AWAY: &str = "{\"type\":\"/problems/overloaded\",\"title\":\"The service is at its limit\",\
    \"status\":503,\"detail\":\"too many connections are open; try again\",\"code\":\"overloaded\"}";

/// Tells a connection beyond the cap so, as far as that works without waiting for it.
pub(super) fn turn_away(stream: &TcpStream) {
    let (length, seconds) = (TURNED_AWAY.len(), limits::RETRY_AFTER_S);
    let head = format!(
        "HTTP/1.1 503 Service Unavailable\r\ncontent-type: {MEDIA_TYPE}\r\n\
         content-length: {length}\r\nretry-after: {seconds}\r\nconnection: close\r\n\r\n"
    );
    let is_told = stream.try_write(format!("{head}{TURNED_AWAY}").as_bytes()).is_ok();
    tracing::warn!(is_told, "a connection was turned away: all places are taken");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::Problem;
    use crate::http::problem::Code;
    use axum::body::to_bytes;

    #[tokio::test]
    async fn the_text_for_a_connection_too_many_is_the_problem_document() {
        let problem = Problem::new(Code::Overloaded, "too many connections are open; try again");
        let expected = to_bytes(problem.render(None).into_body(), usize::MAX).await.unwrap();
        assert_eq!(TURNED_AWAY.as_bytes(), expected);
    }
}

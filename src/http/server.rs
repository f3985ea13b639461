//! The accept loop: connections with a first-byte, a head and a life limit, a cap on their number, a clean end.
//!
//! The framework's own serve call keeps half-sent requests open for ever, so this is ours. Absent here: TLS and HTTP/2,
//! which a proxy in front adds; requests, which begin in `stack`.

use axum::Router;
use std::io;
use std::sync::Arc;
use tokio::net::TcpListener;
use tokio::net::TcpStream;
use tokio::signal::unix::SignalKind;
use tokio::signal::unix::signal;
use tokio::sync::Semaphore;
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::sleep;
use tokio::time::timeout;

use crate::http::access::client::Proxies;
use crate::http::limits;
use crate::http::limits::Limits;
use crate::operations::App;
use crate::operations::Readiness;

mod connection;

/// What is served and within which limits.
#[derive(Debug, Clone)]
pub struct Server {
    /// The routes with their layers.
    pub router: Router,
    /// Told when the end begins, so that `/health/ready` can say so.
    pub app: App,
    /// Limits of the connections.
    pub limits: Limits,
    /// Whose word is taken for where a request comes from.
    pub proxies: Arc<Proxies>,
}

impl Server {
    /// Serves until `stop` ends, then drains: not ready, a pause for load balancers, no new connections, time for
    /// requests in flight. Returns when the last connection is closed or cut.
    pub async fn serve<F: Future<Output = ()>>(self, listener: TcpListener, stop: F) {
        let (stopping, watcher) = watch::channel(false);
        let mut connections = JoinSet::new();
        let places = Arc::new(Semaphore::new(self.limits.connections_max));
        let notice = self.limits.drain_notice;
        let end = async {
            stop.await;
            self.app.advance(Readiness::Draining);
            tracing::info!("shutting down: no longer ready");
            sleep(notice).await;
        };
        tokio::select! {
            () = end => {}
            () = self.accept_all(&listener, &mut connections, (&places, &watcher)) => {}
        }
        drop(listener);
        stopping.send_replace(true);
        self.drain(connections).await;
    }

    /// Accepts for ever.
    async fn accept_all(
        &self,
        listener: &TcpListener,
        connections: &mut JoinSet<()>,
        (places, stop): (&Arc<Semaphore>, &watch::Receiver<bool>),
    ) {
        loop {
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                Some(_) = connections.join_next() => continue,
            };
            let stream = match accepted {
                Ok(accepted) => accepted,
                Err(error) => {
                    pause_after(&error).await;
                    continue;
                }
            };
            let Ok(place) = Arc::clone(places).try_acquire_owned() else {
                connection::turn_away(&stream.0);
                continue;
            };
            let served = (self.router.clone(), Arc::clone(&self.proxies));
            let (limits, stop) = (self.limits, stop.clone());
            connections.spawn(async move {
                connection::serve(stream, served, (limits, stop)).await;
                drop(place);
            });
        }
    }

    /// Waits for the connections, each of which ends after the answer it is working on.
    async fn drain(&self, mut connections: JoinSet<()>) {
        let all = async { while connections.join_next().await.is_some() {} };
        if timeout(self.limits.drain_time_max, all).await.is_err() {
            log_cut(connections.len());
            connections.shutdown().await;
        }
    }
}

fn log_cut(count: usize) {
    tracing::warn!(connection_count = count, "{count} connections were cut");
}

/// Most failed accepts are a client that has left already; the rest are a lack of file descriptors, which a pause helps.
async fn pause_after(error: &io::Error) {
    if error.kind() != io::ErrorKind::ConnectionAborted
        && error.kind() != io::ErrorKind::ConnectionReset
    {
        tracing::warn!(%error, "a connection could not be accepted");
        sleep(limits::ACCEPT_PAUSE).await;
    }
}

/// Ends at the first SIGTERM or SIGINT. Fails when signals cannot be received at all.
pub fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    let mut terminate = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => {}
            _ = interrupt.recv() => {}
        }
    })
}

/// Opens the port. Port 0 takes any free one.
pub async fn listen(address: &str) -> io::Result<TcpListener> {
    TcpListener::bind(address).await
}

/// Sends small answers at once instead of waiting for more to send.
fn hurry(stream: &TcpStream) {
    if let Err(error) = stream.set_nodelay(true) {
        tracing::debug!(%error, "a connection would not hurry");
    }
}

//! Connections: so many at most, none for good without a request.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// Connections at once; a browser holds six.
const CONNECTIONS: usize = 256;
/// How long the head of a request may take, and how long a connection may stay without one.
const HEAD: Duration = Duration::from_secs(20);
/// Bytes of the head of a request.
const BUFFER: usize = 64 << 10;
/// After an error of the system, such as too many open files.
const PAUSE: Duration = Duration::from_millis(50);

/// Serves what comes; never ends.
pub(super) async fn serve(listener: TcpListener, router: Router) {
    let open = Arc::new(Semaphore::new(CONNECTIONS));
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .max_buf_size(BUFFER);
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            tokio::time::sleep(PAUSE).await;
            continue;
        };
        // one too many is closed at once
        let Ok(place) = Arc::clone(&open).try_acquire_owned() else {
            continue;
        };
        let service = TowerToHyperService::new(router.clone());
        let http = http.clone();
        tokio::spawn(async move {
            // whoever goes away in the middle is not missed
            let _ = http.serve_connection(TokioIo::new(stream), service).await;
            drop(place);
        });
    }
}

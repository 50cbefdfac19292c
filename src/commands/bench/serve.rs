//! The listener: connections are taken as long as there is room, and each must say soon what it wants.

use std::io;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpStream;
use tokio::runtime::{Builder, Runtime};
use tokio::sync::Semaphore;

use super::super::interrupt;

/// Connections at once: sixteen phones with six each, and room.
const MOST_CONNECTIONS: usize = 256;

/// The head of a request must be there within this time, also on a connection that is kept open.
const MOST_HEAD_TIME: Duration = Duration::from_secs(10);

/// Largest head of a request, bytes.
const MOST_HEAD: usize = 32 << 10;

/// Threads that answer; photos are read on others.
const THREADS: usize = 2;

/// How long a photo that is being read may hold up the end.
const FAREWELL: Duration = Duration::from_secs(1);

/// After a connection could not be taken, for want of files, this long is waited.
const PAUSE: Duration = Duration::from_millis(50);

/// What answers are made on.
///
/// # Errors
/// The system gives no threads.
pub(super) fn runtime() -> io::Result<Runtime> {
    Builder::new_multi_thread()
        .worker_threads(THREADS)
        .enable_all()
        .build()
}

/// Answers until the program is asked to end.
///
/// # Errors
/// The listener cannot be used.
pub(super) fn serve(runtime: Runtime, listener: TcpListener, routes: &Router) -> io::Result<()> {
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
        let mut end = std::pin::pin!(asked_to_end());
        loop {
            let taken = tokio::select! {
                () = &mut end => return Ok(()),
                taken = listener.accept() => taken,
            };
            match (taken, room.clone().try_acquire_owned()) {
                (Ok((stream, _)), Ok(place)) => {
                    let answered = answer(stream, routes.clone());
                    tokio::spawn(async move {
                        answered.await;
                        drop(place);
                    });
                }
                // Closed at once: those who wait already go first.
                (Ok(_), Err(_)) => {}
                (Err(_), _) => tokio::time::sleep(PAUSE).await,
            }
        }
    });
    runtime.shutdown_timeout(FAREWELL);
    served
}

async fn answer(stream: TcpStream, routes: Router) {
    let mut server = http1::Builder::new();
    server
        .timer(TokioTimer::new())
        .header_read_timeout(MOST_HEAD_TIME)
        .max_buf_size(MOST_HEAD);
    // Whoever breaks off, or speaks something else, is let go.
    let _ = server
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(routes))
        .await;
}

/// Waits until the program is interrupted.
async fn asked_to_end() {
    let (tell, told) = tokio::sync::oneshot::channel();
    interrupt::tell(move || {
        // Where nobody waits any more it has ended already.
        let _ = tell.send(());
    });
    let _ = told.await;
}

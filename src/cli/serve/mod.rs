//! The page, served on this computer alone.
//!
//! 1. [`gate`] says which requests are let in: whose token, host and origin are right.
//! 2. [`answers`] answers them, in turn, on threads of its own behind a queue that is soon full.
//! 3. [`respond`] reads a request and writes its response, within limits of size and time.
//! 4. Here connections are taken, on the loopback addresses only, until an interrupt or the page itself ends it.

mod answers;
mod gate;
mod respond;

use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Notify, Semaphore};
use tokio::time::interval;

use super::failure::Failure;
use super::interrupt;
use answers::Answers;
use gate::Gate;
use respond::Service;

/// Connections that are open at once at most; one more is closed at once.
const MOST_CONNECTIONS: usize = 512;
/// Time for the head of a request, and between two requests of a connection.
const HEAD_WITHIN: Duration = Duration::from_secs(20);
/// The largest head of a request, bytes.
const LARGEST_HEAD: usize = 16 * 1024;
/// How often it is looked whether an interrupt came.
const LOOK: Duration = Duration::from_millis(100);
/// How often another port is tried where the second loopback address has the first one's taken.
const TRIES: usize = 8;

/// A server that is bound and not yet running.
pub(super) struct Server {
    runtime: tokio::runtime::Runtime,
    listeners: Vec<TcpListener>,
    gate: Gate,
    answers: Answers,
}

impl Server {
    /// Binds both loopback addresses to a port; 0 for any that is free.
    ///
    /// # Errors
    /// That the port is taken or not allowed.
    pub(super) fn bound(port: u16) -> Result<Self, Failure> {
        let failed = |doing: &'static str| {
            move |cause: std::io::Error| Failure::File {
                path: format!("port {port} of this computer").into(),
                doing,
                cause,
            }
        };
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(failed("use"))?;
        let listeners = runtime.block_on(listeners(port)).map_err(failed("use"))?;
        let port = listeners[0].local_addr().map_err(failed("use"))?.port();
        let token = token().map_err(|e| Failure::Program(e.to_string().into()))?;
        let answers =
            Answers::start().map_err(|cause| Failure::File { path: "a thread".into(), doing: "start", cause })?;
        Ok(Self { runtime, listeners, gate: Gate { port, token }, answers })
    }

    /// The address to open: only who knows it is let in.
    pub(super) fn address(&self) -> String {
        self.gate.address()
    }

    /// Serves until an interrupt comes, whose exit code it gives, or until the page asks it to end.
    pub(super) fn run(self) -> Option<u8> {
        let _held = interrupt::hold();
        let Self { runtime, listeners, gate, answers } = self;
        let service = Arc::new(Service::new(gate, answers));
        runtime.block_on(async {
            let open = Arc::new(Semaphore::new(MOST_CONNECTIONS));
            let accepts = listeners
                .into_iter()
                .map(|listener| tokio::spawn(accept(listener, Arc::clone(&service), Arc::clone(&open))));
            let accepts: Vec<_> = accepts.collect();
            ended(service.end()).await;
            accepts.iter().for_each(tokio::task::JoinHandle::abort);
        });
        // What is still being answered is nobody's any more.
        runtime.shutdown_background();
        interrupt::caught()
    }
}

/// Both loopback addresses at one port; the second is left out where this computer has none.
async fn listeners(port: u16) -> std::io::Result<Vec<TcpListener>> {
    let mut last = None;
    for _ in 0..TRIES {
        let first = TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port))).await?;
        let same = first.local_addr()?.port();
        match TcpListener::bind(SocketAddr::from((Ipv6Addr::LOCALHOST, same))).await {
            Ok(second) => return Ok(vec![first, second]),
            Err(e) if e.kind() == std::io::ErrorKind::AddrInUse && port == 0 => last = Some(e),
            Err(e) if e.kind() == std::io::ErrorKind::AddrInUse => return Err(e),
            Err(_) => return Ok(vec![first]),
        }
    }
    Err(last.unwrap_or_else(|| std::io::Error::other("no port is free on both loopback addresses")))
}

/// Sixteen random bytes as letters and digits.
fn token() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Takes connections, each on a task of its own.
async fn accept(listener: TcpListener, service: Arc<Service>, open: Arc<Semaphore>) {
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            // Too many open files, say: those that end make room.
            tokio::time::sleep(LOOK).await;
            continue;
        };
        // One too many is closed at once.
        let Ok(permit) = Arc::clone(&open).try_acquire_owned() else { continue };
        let service = Arc::clone(&service);
        tokio::spawn(async move {
            serve(stream, service).await;
            drop(permit);
        });
    }
}

/// Serves one connection, a request at a time.
async fn serve(stream: TcpStream, service: Arc<Service>) {
    let answered = service_fn(move |request| {
        let service = Arc::clone(&service);
        async move { Ok::<_, std::convert::Infallible>(service.respond(request).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_buf_size(LARGEST_HEAD)
        .serve_connection(TokioIo::new(stream), answered);
    // A client that goes away, or is too slow, is no failure of ours.
    let _ = connection.await;
}

/// Waits for an interrupt, or for the page to end it.
async fn ended(asked: &Notify) {
    let mut look = interval(LOOK);
    loop {
        tokio::select! {
            () = asked.notified() => return,
            _ = look.tick() => if interrupt::caught().is_some() { return },
        }
    }
}

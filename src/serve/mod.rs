//! The page, served on this computer alone.
//!
//! 1. [`gate`] says which requests are let in: whose token, host and origin are right.
//! 2. [`answers`] answers them, in turn, on threads of its own behind a queue that is soon full.
//! 3. [`respond`] reads a request and writes its response, within limits of size and time.
//! 4. Here connections are taken, on the loopback addresses only, until the page itself or who runs it ends it.

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

use answers::Answers;
use gate::Gate;
use respond::Service;

/// Connections that are open at once at most; one more is closed at once.
const MOST_CONNECTIONS: usize = 512;
/// Time for the head of a request, and between two requests of a connection.
const HEAD_WITHIN: Duration = Duration::from_secs(20);
/// The largest head of a request, bytes.
const LARGEST_HEAD: usize = 16 * 1024;
/// How often it is looked whether it is to end.
const LOOK: Duration = Duration::from_millis(100);
/// How often another port is tried where the second loopback address has the first one's taken.
const TRIES: usize = 8;

/// Why nothing can be served.
#[derive(Debug, thiserror::Error)]
#[error("{what}: cannot {doing}")]
pub struct NotServed {
    /// What it takes for that.
    pub what: String,
    /// What cannot be done with it: `use` or `start`.
    pub doing: &'static str,
    /// What the system says.
    #[source]
    pub cause: std::io::Error,
}

/// A server that is bound and not yet running.
pub struct Server {
    runtime: tokio::runtime::Runtime,
    listeners: Vec<TcpListener>,
    gate: Gate,
    answers: Answers,
}

impl Server {
    /// Binds both loopback addresses to a port; 0 for any that is free.
    ///
    /// # Errors
    /// [`NotServed`]: the port is taken or not allowed, or the system gives no thread.
    pub fn bound(port: u16) -> Result<Self, NotServed> {
        let failed = |what: &str, doing: &'static str| {
            let what = what.to_string();
            move |cause: std::io::Error| NotServed { what, doing, cause }
        };
        let of_port = || failed(&format!("port {port} of this computer"), "use");
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(of_port())?;
        let listeners = runtime.block_on(listeners(port)).map_err(of_port())?;
        let port = listeners[0].local_addr().map_err(of_port())?.port();
        let token = token().map_err(failed("the system's source of random numbers", "use"))?;
        let answers = Answers::start().map_err(failed("a thread", "start"))?;
        Ok(Self { runtime, listeners, gate: Gate { port, token }, answers })
    }

    /// The address to open: only who knows it is let in.
    pub fn address(&self) -> String {
        self.gate.address()
    }

    /// Serves until the page asks it to end, or `is_over` says so.
    pub fn run(self, is_over: impl Fn() -> bool) {
        let Self { runtime, listeners, gate, answers } = self;
        let service = Arc::new(Service::new(gate, answers));
        runtime.block_on(async {
            let open = Arc::new(Semaphore::new(MOST_CONNECTIONS));
            let accepts = listeners
                .into_iter()
                .map(|listener| tokio::spawn(accept(listener, Arc::clone(&service), Arc::clone(&open))));
            let accepts: Vec<_> = accepts.collect();
            ended(service.end(), is_over).await;
            accepts.iter().for_each(tokio::task::JoinHandle::abort);
        });
        // What is still being answered is nobody's any more.
        runtime.shutdown_background();
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
fn token() -> std::io::Result<String> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(std::io::Error::other)?;
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

/// Waits for the page to end it, or for `is_over`.
async fn ended(asked: &Notify, is_over: impl Fn() -> bool) {
    let mut look = interval(LOOK);
    loop {
        tokio::select! {
            () = asked.notified() => return,
            _ = look.tick() => if is_over() { return },
        }
    }
}

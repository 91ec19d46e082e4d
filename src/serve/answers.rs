//! Answers, worked out on threads of their own behind a queue that is soon full.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::oneshot;

use stopwright::answer::{Answer, Reply, wire};

/// Threads that answer: one may be making files while another redraws.
const WORKERS: usize = 2;
/// Requests that wait at most. A page sends one at a time; more than these are a flood.
const QUEUE: usize = 8;

/// A request, and where its answer goes.
struct Asked {
    request: Vec<u8>,
    answer: oneshot::Sender<Vec<u8>>,
}

/// The queue.
#[derive(Debug, Clone)]
pub(super) struct Answers {
    queue: SyncSender<Asked>,
}

/// That the queue is full.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Full;

impl Answers {
    /// Starts the threads; they end when the last queue is dropped. One of them is enough.
    ///
    /// # Errors
    /// That the system gives none.
    pub(super) fn start() -> std::io::Result<Self> {
        let (queue, asked) = sync_channel(QUEUE);
        let asked = Arc::new(Mutex::new(asked));
        let start = || {
            let asked = Arc::clone(&asked);
            std::thread::Builder::new().spawn(move || work(&asked))
        };
        start()?;
        for _ in 1..WORKERS {
            let _ = start();
        }
        Ok(Self { queue })
    }

    /// Queues a request.
    ///
    /// # Errors
    /// [`Full`].
    pub(super) fn ask(&self, request: Vec<u8>) -> Result<oneshot::Receiver<Vec<u8>>, Full> {
        let (answer, receiver) = oneshot::channel();
        match self.queue.try_send(Asked { request, answer }) {
            Ok(()) => Ok(receiver),
            Err(TrySendError::Full(_) | TrySendError::Disconnected(_)) => Err(Full),
        }
    }
}

fn work(asked: &Mutex<Receiver<Asked>>) {
    loop {
        let next = asked.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(Asked { request, answer }) = next else { return };
        // Who has gone away needs no answer.
        if !answer.is_closed() {
            let _ = answer.send(answered(&request));
        }
    }
}

/// An answer whatever happens: a panic is a fault of the program, said in words.
fn answered(request: &[u8]) -> Vec<u8> {
    let sorry = |_| {
        let words = "Internal error: this is a bug in stopwright, not in what you typed. What you typed is kept.";
        wire::written(&Answer { reply: Reply::Refused(vec![words.into()]), parts: Vec::new() })
    };
    catch_unwind(AssertUnwindSafe(|| wire::answered(request))).unwrap_or_else(sorry)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_queue_says_so_and_goes_on() {
        let answers = Answers::start().expect("a thread");
        let request = br#"{"want":"guide"}"#.to_vec();
        let offered: Vec<_> = (0..200).map(|_| answers.ask(request.clone())).collect();
        let taken: Vec<_> = offered.into_iter().flatten().collect();
        assert!(taken.len() >= QUEUE && taken.len() < 200, "{} of 200 were taken", taken.len());
        for answer in taken {
            assert!(answer.blocking_recv().expect("an answer").len() > 100);
        }
        assert!(answers.ask(request).expect("room again").blocking_recv().is_ok());
    }
}
